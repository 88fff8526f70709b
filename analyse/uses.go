package analyse

import (
	"slices"

	"shedlight/analyse/harmony"
)

// SubUse says how often a substitute scale was heard over a kind of chord.
type SubUse struct {
	ChordKind string        `json:"chord_kind"`
	Scale     harmony.Scale `json:"scale"`
	Times     int64         `json:"times"`
}

// countSub adds to how often a scale was heard over a kind of chord.
func countSub(subs *[]SubUse, use SubUse) {
	i := slices.IndexFunc(*subs, func(s SubUse) bool { return s.ChordKind == use.ChordKind && s.Scale == use.Scale })
	if i < 0 {
		*subs = append(*subs, use)
		return
	}
	(*subs)[i].Times += use.Times
}

// ColourCount says how often a colour was played, whatever the chord.
type ColourCount struct {
	Is    string `json:"is"` // what it is over its chord: "13"
	Times int64  `json:"times"`
}

func countColour(colours *[]ColourCount, one ColourCount) {
	i := slices.IndexFunc(*colours, func(c ColourCount) bool { return c.Is == one.Is })
	if i < 0 {
		*colours = append(*colours, one)
		return
	}
	(*colours)[i].Times += one.Times
}

// Fight is a tone that was held against a chord.
type Fight struct {
	Chord string `json:"chord"` // the symbol
	Name  string `json:"name"`  // without octave
	Is    string `json:"is"`    // what it is over the chord: "maj7"
	Own   string `json:"own"`   // the tone of the chord that it fights, a semitone below
	Times int64  `json:"times"`
}

// countFight adds to how often a tone was held against a chord.
func countFight(fights *[]Fight, at Fight) {
	i := slices.IndexFunc(*fights, func(f Fight) bool { return f.Chord == at.Chord && f.Name == at.Name })
	if i < 0 {
		*fights = append(*fights, at)
		return
	}
	(*fights)[i].Times += at.Times
}
