package changes

import (
	"fmt"
	"strings"

	"shedlight/analyse/tone"
)

// Key is what music is to be moved to: a tonic, and the mode where somebody names it.
type Key struct {
	Centre
	Open bool // no mode is named: that of the music stays
}

// ParseKey reads a key to move to: the name of a note, or a key centre as ParseCentre
// reads it, like "Eb", "Cm" or "F blues".
func ParseKey(text string) (Key, error) {
	text = strings.TrimSpace(text)
	_, rest, ok := tone.CutName(text)
	if !ok || rest == "" {
		tonic, err := tone.ParseName(text)
		return Key{Centre: Centre{Tonic: tonic}, Open: true}, err
	}
	c, named, err := parseCentre(text)
	if err != nil {
		return Key{}, fmt.Errorf("%s is no key: expected the name of a note, alone or with its mode, like Eb or Cm", quote(text))
	}
	return Key{Centre: c, Open: !named}, nil
}

// For returns the tonic to move music of a key to. The error says that its mode is not
// the one that was named.
func (k Key) For(from Centre) (tone.Name, error) {
	if !k.Open && k.Mode != from.Mode {
		same := Centre{Tonic: k.Tonic, Mode: from.Mode}
		return k.Tonic, fmt.Errorf("%s is not the mode of what is moved, which is in %s: expected %s, or %s alone", k, from, same, k.Tonic)
	}
	return k.Tonic, nil
}

// In returns the chart moved to a key: see Transpose. The error is that of Key.For.
func (c *Chart) In(k Key) (*Chart, error) {
	tonic, err := k.For(c.InKey())
	if err != nil {
		return nil, err
	}
	return c.Transpose(tonic), nil
}
