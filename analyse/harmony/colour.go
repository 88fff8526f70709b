package harmony

import "shedlight/analyse/tone"

// Colours, in semitones over the root: what good teaching never calls wrong over a
// chord, beside its own tones (common practice, no source).
const (
	dominantColours           = 1<<2 | 1<<3 | 1<<6 | 1<<9     // 9, #9, #11, 13
	resolvingColours          = dominantColours | 1<<1 | 1<<8 // and b9, b13
	alteredNinthColours       = 1<<1 | 1<<3 | 1<<6 | 1<<9     // b9, #9, #11, 13
	alteredFifthColours       = 1<<1 | 1<<3 | 1<<6 | 1<<8     // b9, #9, #11, b13
	suspendedColours          = 1<<4 | 1<<8                   // 3, b13
	halfDiminishedColours     = 1<<2 | 1<<5 | 1<<8 | 1<<9     // 9, 11, b13, 13
	diminishedColours         = 1<<2 | 1<<5 | 1<<8 | 1<<11    // 9, 11, b13, maj7
	minorSeventhColours       = 1<<2 | 1<<9                   // 9, 13
	tonicMinorColours         = 1 << 10                       // b7
	flatNineColour, bThirteen = 1 << 1, 1 << 8
)

// Colours returns the tones that may stand over the chord beside its own: tensions
// that its symbol does not name. resolves says that it goes where dominants go.
func (c Chord) Colours(resolves bool) tone.Set {
	return tone.Set(c.colours(resolves)).Transpose(int(c.Root.Class()))
}

func (c Chord) colours(resolves bool) (above uint16) {
	f := c.Formula
	switch kind := c.Kind(); {
	case kind == KindDominant && f.hasAny(FlatFive, SharpFive):
		return alteredFifthColours
	case kind == KindDominant && f.hasAny(FlatNine, SharpNine) && resolves:
		return alteredNinthColours | bThirteen
	case kind == KindDominant && f.hasAny(FlatNine, SharpNine):
		return alteredNinthColours
	case kind == KindDominant && resolves:
		return resolvingColours
	case kind == KindDominant:
		return dominantColours
	case kind == KindSuspended && f.Has(FlatSeven) && resolves:
		return suspendedColours | flatNineColour
	case kind == KindSuspended && f.Has(FlatSeven):
		return suspendedColours
	case kind == KindHalfDiminished:
		return halfDiminishedColours
	case kind == KindDiminished:
		return diminishedColours
	case kind == KindMinor && f.Has(FlatSeven):
		return minorSeventhColours
	case kind == KindMinor || kind == KindMinorSixth:
		return tonicMinorColours
	}
	return 0
}

// Against returns the tones that fight the chord where they are held on the beat:
// the major seventh over a dominant, the major third over a minor or half-diminished
// chord, the natural fifth over a half-diminished one, the flat ninth over a major or
// minor tonic (common practice, no source). Tones of the chord are not among them.
func (c Chord) Against() tone.Set {
	const majorSeventh, majorThird, fifth, flatNine = 1 << 11, 1 << 4, 1 << 7, 1 << 1
	var above tone.Set
	switch c.Kind() {
	case KindDominant:
		above = majorSeventh
	case KindMinor:
		above = majorThird
		if !c.Formula.Has(FlatSeven) {
			above |= flatNine
		}
	case KindMinorSixth:
		above = majorThird | flatNine
	case KindHalfDiminished:
		above = majorThird | fifth
	case KindMajor:
		above = flatNine
	}
	return above.Transpose(int(c.Root.Class())) &^ c.Set()
}

// Hanging returns the tones that stay open over the chord where they are held or end
// a phrase: each wants to go a semitone down (common practice, no source). The
// fourth and the flat sixth over a major chord, the flat ninth and the flat sixth
// over a minor one, the fourth over a dominant, the flat ninth over a
// half-diminished chord, the semitone above any tone of a diminished seventh; never
// a ninth or a major seventh over a tonic. Tones of the chord are not among them.
func (c Chord) Hanging() tone.Set {
	const fourth, flatSixth, flatNine = 1 << 5, 1 << 8, 1 << 1
	var above tone.Set
	switch c.Kind() {
	case KindMajor:
		above = fourth | flatSixth
	case KindMinor, KindMinorSixth:
		above = flatNine | flatSixth
	case KindDominant:
		above = fourth
	case KindHalfDiminished:
		above = flatNine
	case KindDiminished:
		return c.Set().Transpose(1) &^ c.Set()
	}
	return above.Transpose(int(c.Root.Class())) &^ c.Set()
}
