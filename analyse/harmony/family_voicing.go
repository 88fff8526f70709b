package harmony

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"shedlight/analyse/tone"
)

// middleC is the key that the middle of a voicing is placed nearest to: there
// it reads with few ledger lines on either staff and sounds clear.
const middleC = 60

// Voicing is a way to lay out the tones of a chord (common practice).
type Voicing uint8

const (
	Close           Voicing = iota // in thirds from the bass up
	Drop2                          // within an octave, then the second voice from the top an octave lower
	Drop3                          // the third voice from the top an octave lower
	Drop2And4                      // the second and the fourth from the top an octave lower
	Shell                          // root, third and seventh
	ShellOpen                      // root, seventh, and the third above it
	Rootless                       // third, fifth, seventh and ninth
	RootlessSeventh                // the same from the seventh up: 7 9 3 5
)

// voicingTable gives for each voicing its name, the voices from the top that
// drop, the voice it stands on, and the fewest tones it takes.
var voicingTable = [...]struct {
	name  string
	drops []int
	start int
	least int
}{
	Close:           {name: "close", least: minVoices},
	Drop2:           {name: "drop 2", drops: []int{2}, least: 3},
	Drop3:           {name: "drop 3", drops: []int{3}, least: 4},
	Drop2And4:       {name: "drop 2 and 4", drops: []int{2, 4}, least: 4},
	Shell:           {name: "shell", least: 3},
	ShellOpen:       {name: "shell with the third on top", least: 3},
	Rootless:        {name: "rootless", least: 3},
	RootlessSeventh: {name: "rootless from the seventh", start: 2, least: 4},
}

// String prints the voicing: "close", "drop 2", "shell".
func (v Voicing) String() string { return voicingTable[v].name }

// Voice lays the chord out near middle C, from the lowest key up. Inversion 0
// has the written bass at the bottom, inversion n the nth tone above it; so it
// is for the dropped voicings too: Drop2 of Cmaj7 is C G B E. A bass that is
// not among the tones stays at the bottom under the others. RootlessSeventh
// stands on its seventh whatever the bass.
//
// Close and dropped voicings have the tones of the symbol, all of them; see
// Own. Shells and rootless voicings have the tones that players give them,
// among them a ninth that the symbol need not have; see guides. Voice refuses a
// chord with too few tones for the voicing, and an inversion that the chord does
// not have.
func (c Chord) Voice(v Voicing, inversion int) ([]uint8, error) {
	row := voicingTable[v]
	tones := c.layout(v)
	if len(tones) < row.least {
		return nil, fmt.Errorf("a %s voicing needs %d tones, the chord gives it %d: expected a fuller chord", v, row.least, len(tones))
	}
	if inversion < 0 || inversion >= len(tones) {
		return nil, fmt.Errorf("inversion %d of a voicing of %d tones: expected 0 to %d", inversion, len(tones), len(tones)-1)
	}
	above := int(tone.ClassOf(int(c.Bass.Class()) - int(c.Root.Class())))
	bass := slices.IndexFunc(tones, func(t int) bool { return int(tone.ClassOf(t)) == above })
	first := max(bass, 0)
	if row.start > 0 {
		first = row.start
	}
	tones = arrange(tones, row.drops, tones[(first+inversion)%len(tones)])
	if bass < 0 && above != 0 {
		tones = slices.Insert(tones, 0, tones[0]-int(tone.ClassOf(tones[0]-above)))
	}
	return nearMiddle(tones, int(c.Root.Class())), nil
}

// layout returns the tones that the voicing takes, in semitones above the
// root, ascending: in thirds, or within one octave where voices will drop.
func (c Chord) layout(v Voicing) []int {
	f := c.Formula
	third, fifth, seventh, ninth := f.guides()
	switch v {
	case Shell, ShellOpen:
		if seventh == 0 && third != 0 {
			seventh = fifth // all that an augmented triad has
		}
		f = f&FormulaOf(One) | third | seventh
	case Rootless, RootlessSeventh:
		f = third | fifth | seventh | ninth
	}
	var taken tone.Set
	var out []int
	for d := One; d < degrees; d++ {
		class := tone.Class(d.Semitones())
		if !f.Has(d) || taken.Has(class) {
			continue
		}
		taken |= 1 << class
		height := d.Semitones()
		switch v {
		case Close:
			if c.tension(d) {
				height += 12
			}
		case ShellOpen:
			if third.Has(d) {
				height += 12
			}
		case Rootless, RootlessSeventh:
			if ninth.Has(d) {
				height += 12
			}
		}
		out = append(out, height)
	}
	slices.Sort(out)
	return out
}

// tension reports whether a degree stands an octave up in the stack of thirds:
// a ninth over a third, an eleventh over a third or fifth, a thirteenth over a
// fifth or seventh.
func (c Chord) tension(d Degree) bool {
	f := c.Formula
	switch d {
	case FlatNine, Nine, SharpNine, Four:
		return f.hasAny(Three, FlatThree)
	case SharpEleven, FlatThirteen:
		return f.hasAny(FlatFive, Five, SharpFive)
	case Six:
		return f.hasAny(FlatSeven, Seven)
	}
	return false
}

// arrange inverts the tones, the lowest going up an octave each time, until
// the tone wanted is the lowest after the drops.
func arrange(tones, drops []int, lowest int) []int {
	inverted := slices.Clone(tones)
	for {
		out := slices.Clone(inverted)
		for _, drop := range drops {
			out[len(out)-drop] -= 12
		}
		slices.Sort(out)
		if tone.ClassOf(out[0]) == tone.ClassOf(lowest) {
			return out
		}
		inverted[0] += 12
		slices.Sort(inverted)
	}
}

// nearMiddle turns semitones above a root into keys, in the octave that brings
// the middle between lowest and highest nearest to middle C.
func nearMiddle(tones []int, root int) []uint8 {
	const lowest = middleC - 6 // of the octave around middle C
	middle := root + (tones[0]+tones[len(tones)-1])/2
	base := root + lowest + int(tone.ClassOf(middle-lowest)) - middle
	keys := make([]uint8, len(tones))
	for i, t := range tones {
		keys[i] = uint8(base + t)
	}
	return keys
}

// ParseVoicing reads pitches with blanks between them, like "Bb3 D4 F4 A4", as
// keys. An error names the column, counted in characters from 1.
func ParseVoicing(text string) ([]uint8, error) {
	var keys []uint8
	next := 1
	for word := range strings.FieldsSeq(text) {
		before, after, _ := strings.Cut(text, word)
		column := next + utf8.RuneCountInString(before)
		next = column + utf8.RuneCountInString(word)
		text = after
		p, err := tone.ParsePitch(word)
		if err != nil {
			return nil, fmt.Errorf("column %d: %w", column, err)
		}
		keys = append(keys, uint8(p.Key()))
	}
	if len(keys) == 0 {
		return nil, fmt.Errorf("column 1: no notes: expected pitches like Bb3 D4 F4 A4")
	}
	return keys, nil
}
