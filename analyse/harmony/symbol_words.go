package harmony

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
		r.suspension(b)
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
		b.alter(f)
	}
	return nil
}

// alter notes a degree written with an accidental.
func (b *body) alter(f Formula) {
	b.altered |= f
	b.listed |= f & (ninths | elevenths | sixths)
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
	r.step(size)
	b.started, b.afterSlash = true, false
	switch {
	case b.list == sayAdd:
		b.add(value)
	case value == 4 && b.quality == 0:
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
	case direct && b.depth == 0 && value != 5:
		b.quality = sayMinor
		b.qualityEnd = r.at
	case value == 9 && b.stack == 6:
		b.added |= 1 << Nine
		b.doubt(doubtMinusJoin)
		r.step(size)
	case flat != 0 && value != 7 && (value == 5 || !joins):
		b.alter(flat)
		r.step(size)
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
		b.alter(sharp)
		if value == 7 && b.quality == sayMinor && b.stack == 0 {
			b.doubt(doubtRaised)
		}
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
func (r *reader) suspension(b *body) {
	blanks := r.at
	r.skipBlanks()
	before := b.sus
	for range 2 {
		switch r.peek(0) {
		case '2':
			b.sus |= 1 << Nine
			r.step(1)
		case '4':
			b.sus |= 1 << Four
			r.step(1)
		}
	}
	if b.sus == before {
		r.at = blanks
		b.sus |= 1 << Four
		b.doubt(doubtSus)
	}
}
