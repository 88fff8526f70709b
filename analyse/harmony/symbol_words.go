package harmony

import "strings"

// element reads one word, number or sign of a chord.
func (r *reader) element(b *body) *SymbolError {
	direct := !b.started
	if value, size := r.number(); size > 0 {
		return r.plainNumber(b, value, size)
	}
	switch r.peek(0) {
	case '+':
		b.started = true
		r.at++
		return r.plus(b, direct)
	case '-':
		b.started = true
		return r.minus(b, direct)
	}
	means, size := r.word()
	if size == 0 || r.peek(0) == '0' && !direct {
		return r.fail(r.at, wantQuality)
	}
	if means == saySeparator {
		r.at += size
		return nil
	}
	start := r.at
	r.at += size
	b.started, b.afterSlash, b.list = true, false, 0
	if means <= sayDominant {
		return r.qualityWord(b, means, start, direct)
	}
	switch means {
	case saySus:
		return r.suspension(b)
	case saySusFlat2:
		b.sus |= 1 << FlatNine
	case saySusSharp4:
		b.sus |= 1 << SharpEleven
	case sayAltered:
		b.altered |= FormulaOf(FlatFive, SharpFive, FlatNine, SharpNine)
		b.seventh = true
	case sayAdd:
		return r.addWord(b)
	case sayOmit:
		return r.omitWord(b)
	default:
		f, err := r.signedDegree(means)
		if err != nil {
			return err
		}
		return r.alter(b, f, start)
	}
	return nil
}

// alter notes a degree written with an accidental. One that was written already
// is a slip of the typist, C13b9b9, and which of the two was meant is unknown.
func (r *reader) alter(b *body, f Formula, start int) *SymbolError {
	if b.signed&f != 0 {
		return r.fail(start, wantOther)
	}
	b.signed |= f
	b.altered |= f
	b.listed |= f & (ninths | elevenths | sixths)
	return nil
}

// qualityWord takes a word that says what kind of chord it is.
func (r *reader) qualityWord(b *body, means saying, start int, direct bool) *SymbolError {
	switch means {
	case sayMajor, sayTriangle:
		b.major = true
		b.triangle = b.triangle || means == sayTriangle
		b.seventh = b.seventh || b.quality != 0 // Cm(maj), CmM
		r.skipBlanks()
		b.majorEnd = r.at
	case sayMinor:
		if !direct {
			return r.fail(start, wantQuality)
		}
		b.quality = sayMinor
	case sayDiminished:
		if b.stack != 0 && r.peek(0) == '5' { // G7dim5
			r.step(1)
			return r.alter(b, 1<<FlatFive, start)
		}
		if b.quality != 0 || b.major || b.decided() {
			return r.fail(start, wantQuality)
		}
		b.quality = sayDiminished
	case sayHalfDim:
		if b.quality != 0 && b.quality != sayMinor || b.major || b.decided() {
			return r.fail(start, wantQuality)
		}
		b.quality, b.seventh = sayHalfDim, true
	case sayAugmented:
		return r.plus(b, direct)
	case sayDominant:
		b.seventh = true
	}
	b.qualityEnd = r.at
	return nil
}

// decided reports whether single degrees have been named: no quality follows.
func (b *body) decided() bool { return b.altered|b.added|b.omitted|b.sus != 0 }

// plainNumber takes a number without an accidental: the stack, or one tone.
func (r *reader) plainNumber(b *body, value uint8, size int) *SymbolError {
	first := !b.started
	major := b.majorEnd == r.at && b.stack != 5
	alone := b.depth > 0 || b.afterSlash || b.stack != 0
	if b.list == sayOmit && (value == 3 || value == 5) {
		b.omitted |= numbered[value].all
		r.step(size)
		return nil
	}
	if (value == 3 || value == 10) && !alone && b.list != sayAdd {
		return r.fail(r.at, wantNumber)
	}
	if value == b.stack && !major && b.depth == 0 && !b.afterSlash { // a slip of the typist: F77
		return r.fail(r.at, wantQuality)
	}
	if value == 4 && b.named.Has(Four) && b.list != sayAdd { // and C7sus44
		return r.fail(r.at, wantOther)
	}
	if f, size := r.signAfter(value, size, alone); size > 0 {
		start := r.at
		r.at += size
		b.started, b.afterSlash = true, false
		return r.alter(b, f, start)
	}
	r.step(size)
	b.started, b.afterSlash = true, false
	switch {
	case b.list == sayAdd:
		b.add(value)
	case value == 4 && b.quality == 0:
		b.named |= 1 << Four
		b.sus |= 1 << Four
		if first {
			b.doubt(doubtFour)
		}
	case value == 2 && first && !alone:
		b.added |= 1 << Nine
		b.doubt(doubtTwo)
	case value == 5 && first && !alone:
		b.stack = 5
	case value >= 6 && (major || !alone):
		b.pile(value, major)
	default:
		b.add(value)
		if value >= 9 && value != sixNine {
			b.listed |= numbered[value].plain &^ thirds
		}
	}
	return nil
}

// signAfter reads a number with its accidental behind it, as some write them
// where one number stands alone: C7(9-), C7/9+, Cm7(5b), and C5+ where it is
// the first. It returns the degree and the length, 0 for none.
func (r *reader) signAfter(value uint8, size int, alone bool) (Formula, int) {
	if !alone && !(value == 5 && r.peek(size+1) != '/') {
		return 0, 0
	}
	if r.peek(size+1) != 0 && strings.IndexByte(" ,;/)]}", r.peek(size+1)) < 0 {
		return 0, 0
	}
	var f Formula
	switch r.peek(size) {
	case '-', 'b', signFlat:
		f = numbered[value].flat
	case '+', '#':
		f = numbered[value].sharp
	}
	if f == 0 || value == 7 {
		return 0, 0
	}
	return f, size + 1
}

// pile takes the number of a stack of thirds. A second one is there only after
// a major sign: Cm9(maj7).
func (b *body) pile(value uint8, major bool) {
	if value == sixNine {
		b.added |= 1 << Nine
		value = 6
	}
	if b.stack == 6 {
		b.added |= 1 << Six
	}
	if major && b.quality == sayDiminished && b.stack >= 7 {
		b.bothSevenths = true
	}
	b.stack = max(b.stack, value)
}

// add notes one tone that joins the chord.
func (b *body) add(value uint8) {
	switch value {
	case 7:
		b.seventh = true // which one, the quality says
	case 5: // says what is there
	default:
		b.added |= numbered[value].plain
	}
}

// minus takes a minus sign: minor, a flat, or a hyphen.
func (r *reader) minus(b *body, direct bool) *SymbolError {
	joins := b.qualityEnd == r.at
	before := r.at
	r.at++
	value, size := r.number()
	flat := numbered[value].flat
	switch {
	case direct && before > 0 && r.signs[before-1] == ' ' && (r.peek(0) == 0 || r.peek(0) == ' '):
		return r.fail(before, wantQuality) // a dash by itself may hold a beat
	case direct && b.depth == 0 && value != 5:
		b.quality = sayMinor
		b.qualityEnd = r.at
	case value == 9 && b.stack == 6:
		b.added |= 1 << Nine
		b.doubt(doubtMinusJoin)
		r.step(size)
	case flat != 0 && value != 7 && (value == 5 || !joins):
		r.step(size)
		return r.alter(b, flat, before)
	case r.at == r.end || !joins:
		return r.fail(before, wantQuality)
	case b.majorEnd == before:
		b.majorEnd = r.at
	}
	return nil
}

// plus takes a plus sign or the word aug: augmented, a sharp, or an and.
func (r *reader) plus(b *body, direct bool) *SymbolError {
	direct = direct && b.depth == 0
	start := r.at
	value, size := r.number()
	sharp := numbered[value].sharp
	stacks := size == 0 || direct && value != 2 && value != 5 && value != 11 || b.major && value == 7 && b.stack == 0
	switch {
	case stacks:
		b.augment(value, direct)
		return nil
	case value == 9 && b.stack == 6:
		b.added |= 1 << Nine
		b.doubt(doubtPlusJoin)
	case value == 9 && b.quality != 0 && b.stack == 0:
		b.added |= 1 << Nine
	case value == 7 && b.quality == 0:
		return r.fail(r.at, wantAltered)
	case sharp != 0:
		if value == 7 && b.quality == sayMinor && b.stack == 0 {
			b.doubt(doubtRaised)
		}
		r.step(size)
		return r.alter(b, sharp, start)
	default:
		b.add(value)
	}
	r.step(size)
	return nil
}

// augment raises the fifth under the number that follows, if one does.
func (b *body) augment(value uint8, direct bool) {
	b.altered |= 1 << SharpFive
	switch {
	case direct && value == 9:
		b.doubt(doubtPlusNine)
		b.doubt(doubtPlusAdd)
	case direct && value == 6:
		b.doubt(doubtPlusSix)
	}
}

// suspension takes the numbers after sus: sus2, sus4, sus24, or none for sus4.
func (r *reader) suspension(b *body) *SymbolError {
	blanks := r.at
	r.skipBlanks()
	before := b.sus
	for range 2 {
		var f Formula
		switch r.peek(0) {
		case '2':
			f = 1 << Nine
		case '4':
			f = 1 << Four
		default:
			continue
		}
		if b.named&f != 0 {
			return r.fail(r.at, wantOther)
		}
		b.named |= f
		b.sus |= f
		r.step(1)
	}
	if b.sus == before {
		r.at = blanks
		b.sus |= 1 << Four
		b.doubt(doubtSus)
	}
	return nil
}
