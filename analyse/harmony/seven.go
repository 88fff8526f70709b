package harmony

import "shedlight/analyse/tone"

// SevenTones returns the seven tones that players run through over a chord: those of
// the key, where it holds the chord, else those that the kind of chord has from its
// root (common practice). key is the seven tones of the key, empty where it has no
// such. A chord for which players take eight tones or six, as a diminished seventh,
// has none.
func (c Chord) SevenTones(key tone.Set) tone.Set {
	if c.None() {
		return 0
	}
	chord := c.degreeSet()
	if key != 0 && chord.Within(key) {
		return key
	}
	if own := c.Formula.sevenTones().Transpose(int(c.Root.Class())); chord.Within(own) {
		return own
	}
	return 0
}

// sevenTones are the seven tones from the root by the kind of chord.
func (f Formula) sevenTones() tone.Set {
	dominant := f.Has(FlatSeven) && !f.Has(FlatThree)
	switch {
	case f.Has(DoubleFlatSeven):
		return 0
	case dominant && f.hasAny(FlatFive, SharpFive, SharpNine):
		return tone.SetOf(0, 1, 3, 4, 6, 8, 10)
	case f.Has(FlatThree) && f.Has(FlatFive) && !f.Has(Nine):
		return tone.SetOf(0, 1, 3, 5, 6, 8, 10)
	}
	pick := func(d Degree, usual tone.Class) tone.Set {
		if f.Has(d) {
			usual = tone.Class(d.Semitones())
		}
		return tone.SetOf(usual)
	}
	sixth, seventh, fifth := tone.Class(9), tone.Class(11), tone.Class(7)
	if f.Has(FlatFive) {
		fifth, sixth = 6, 8
	}
	if f.Has(FlatNine) && !f.Has(Six) {
		sixth = 8
	}
	if f.Has(FlatThree) && !f.hasAny(Six, Seven) {
		seventh = 10
	}
	fourth := pick(SharpEleven, 5)
	if f.Has(SharpFive) {
		fourth = tone.SetOf(6)
	}
	return tone.SetOf(0) | pick(FlatNine, 2) | pick(FlatThree, 4) | fourth | pick(SharpFive, fifth) |
		pick(FlatThirteen, sixth) | pick(FlatSeven, seventh)
}
