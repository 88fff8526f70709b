package centre

import "shedlight/analyse/tone"

// usualTonics are the names under which players know the twelve tonics.
var usualTonics = [...][octave]string{
	Major: {"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"},
	Minor: {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"},
	Blues: {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"},
}

// otherTonics are the tonics that players name both ways, with the name that is
// not the usual one.
var otherTonics = [...]map[int]string{
	Major: {1: "C#", 6: "F#"},
	Minor: {1: "Db", 3: "D#", 6: "Gb", 8: "Ab"},
	Blues: {1: "C#", 6: "Gb"},
}

// spell names the tonic of a stretch: as the key is written where it is the
// key's own tonic; as the stretch writes the tonic chord; on the key's side,
// sharp or flat; under its usual name.
func (t *Tune) spell(p part) tone.Name {
	if t.HasKey && int(t.Key.Class()) == p.tonic {
		return t.Key
	}
	for i := p.from; i < p.to; i++ {
		chord := t.Chords[i%len(t.Chords)].Chord
		if root := chord.Root; !chord.None() && int(root.Class()) == p.tonic && usable(root) {
			return root
		}
	}
	usual, _ := tone.ParseName(usualTonics[p.mode][p.tonic])
	other, err := tone.ParseName(otherTonics[p.mode][p.tonic])
	if t.HasKey && err == nil && side(t.Key) == int(other.Alter) {
		return other
	}
	return usual
}

// side returns 1 for a key written with sharps, -1 for one with flats, 0 for C.
func side(key tone.Name) int {
	switch {
	case key.Alter != 0:
		return int(key.Alter)
	case key.Letter == letterC:
		return 0
	case key.Letter == letterF:
		return -1
	}
	return 1
}

const (
	letterC tone.Letter = 0
	letterF tone.Letter = 3
)

// usable reports whether a written root can name a centre: it has at most one
// accidental and is not a white key by another name.
func usable(n tone.Name) bool {
	switch n.String() {
	case "Cb", "Fb", "E#", "B#":
		return false
	}
	return n.Alter >= -1 && n.Alter <= 1
}
