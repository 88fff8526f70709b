package harmony

// numbered says what a number of a symbol means plain, flat and sharp, and which
// degrees go when it is left out. 2, 4, 6 and 10 are other names of 9, 11, 13
// and 3; a flat ten is how some write #9.
var numbered = [...]struct{ plain, flat, sharp, all Formula }{
	1:  {plain: 1 << One, all: 1 << One},
	2:  {plain: 1 << Nine, flat: 1 << FlatNine, sharp: 1 << SharpNine, all: ninths},
	3:  {plain: 1 << Three, flat: 1 << FlatThree, all: thirds},
	4:  {plain: 1 << Four, sharp: 1 << SharpEleven, all: elevenths},
	5:  {plain: 1 << Five, flat: 1 << FlatFive, sharp: 1 << SharpFive, all: fifths},
	6:  {plain: 1 << Six, flat: 1 << FlatThirteen, all: sixths},
	7:  {plain: 1 << FlatSeven, flat: 1 << FlatSeven, sharp: 1 << Seven, all: sevenths},
	9:  {plain: 1 << Nine, flat: 1 << FlatNine, sharp: 1 << SharpNine, all: ninths},
	10: {plain: 1 << Three, flat: 1 << SharpNine},
	11: {plain: 1 << Four, sharp: 1 << SharpEleven, all: elevenths},
	13: {plain: 1 << Six, flat: 1 << FlatThirteen, all: sixths},

	sixNine: {plain: 1<<Six | 1<<Nine},
}

// step passes over a number and the ending of an ordinal: no3rd, no5th.
func (r *reader) step(size int) {
	r.at += size
	for _, ending := range [...]string{"th", "rd", "nd"} {
		if r.starts(0, ending, false) {
			r.at += len(ending)
			return
		}
	}
}

// signedDegree reads the number after an accidental.
func (r *reader) signedDegree(sign saying) (Formula, *SymbolError) {
	r.skipBlanks()
	value, size := r.number()
	var f Formula
	switch n := numbered[value]; {
	case sign == sayFlat:
		f = n.flat
	case sign == saySharp:
		f = n.sharp
	case sign == sayNatural && value == 7:
		f = 1 << Seven
	case sign == sayNatural:
		f = n.plain
	case sign == sayDoubleFlat && value == 7:
		f = 1 << DoubleFlatSeven
	}
	if f == 0 {
		return 0, r.fail(r.at, wantAltered)
	}
	r.step(size)
	return f, nil
}

// addWord reads what follows add: one degree with any accidental, beside
// whatever the chord has of it. maj7 and M7 stand for the major seventh.
func (r *reader) addWord(b *body) *SymbolError {
	r.inBracket(b)
	means, size := r.word()
	switch {
	case means == sayMajor || means == sayTriangle:
		r.at += size
		means = sayNatural
	case means >= sayFlat && means <= sayNatural:
		r.at += size
	case r.peek(0) == '+' || r.peek(0) == '-':
		means = saySharp
		if r.peek(0) == '-' {
			means = sayFlat
		}
		r.at++
	default:
		value, size := r.number()
		if size == 0 {
			return r.fail(r.at, wantDegree)
		}
		if f := numbered[value].plain; f != 0 && b.added&f == f {
			return r.fail(r.at, wantOther)
		}
		b.added |= numbered[value].plain
		b.list = sayAdd
		r.step(size)
		return nil
	}
	start := r.at
	f, err := r.signedDegree(means)
	if err == nil && b.added&f == f {
		return r.fail(start, wantOther)
	}
	b.added |= f
	b.list = sayAdd
	return err
}

// omitWord reads what follows no and omit: a degree or the root.
func (r *reader) omitWord(b *body) *SymbolError {
	r.inBracket(b)
	b.list = sayOmit
	if value, size := r.number(); size > 0 && numbered[value].all != 0 {
		b.omitted |= numbered[value].all
		r.step(size)
		return nil
	}
	for _, name := range [...]string{"root", "1"} {
		if r.starts(0, name, false) {
			b.omitted |= numbered[1].all
			r.at += len(name)
			return nil
		}
	}
	return r.fail(r.at, "the degree left out, such as 3 or 5")
}

// inBracket steps into a bracket straight after a word: add(9), omit(3).
func (r *reader) inBracket(b *body) {
	r.skipBlanks()
	if isOpen(r.peek(0)) {
		b.depth++
		r.at++
		r.skipBlanks()
	}
}
