package settings

import (
	"github.com/alecthomas/kong"

	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/usage"
)

// maxKey is the greatest key number (MIDI 1.0).
const maxKey = 127

// Note is a key of the instrument by the name of its note, like C4.
type Note struct {
	Key   uint8  // 0: none is named
	typed string // as the player named it; empty where a take named it
}

// Decode reads a flag.
func (n *Note) Decode(ctx *kong.DecodeContext) error {
	var text string
	if err := ctx.Scan.PopValueInto("string", &text); err != nil {
		return err
	}
	pitch, err := tone.ParsePitch(text)
	if err != nil {
		return usage.Errorf("--%s: %w", ctx.Value.Name, err)
	}
	key := pitch.Key()
	if key < 0 || key > maxKey {
		return usage.Errorf("--%s %s: expected C-1 to G9", ctx.Value.Name, text)
	}
	n.Key, n.typed = uint8(key), text
	return nil
}

// String returns the name as it was typed.
func (n Note) String() string { return n.typed }

// MarshalText writes the name as it was typed.
func (n Note) MarshalText() ([]byte, error) { return []byte(n.typed), nil }

// UnmarshalText reads what MarshalText wrote.
func (n *Note) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*n = Note{}
		return nil
	}
	pitch, err := tone.ParsePitch(string(text))
	if err != nil {
		return err
	}
	key := pitch.Key()
	if key < 0 || key > maxKey {
		return usage.Errorf("%s: expected C-1 to G9", text)
	}
	n.Key, n.typed = uint8(key), string(text)
	return nil
}
