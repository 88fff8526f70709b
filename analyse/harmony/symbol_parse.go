package harmony

import "shedlight/analyse/tone"

// body is one chord while it is read.
type body struct {
	recipe
	bass       tone.Name
	hasBass    bool
	depth      int     // brackets open inside the chord
	started    bool    // a word or number has been read since the root
	afterSlash bool    // the next number is one tone, no stack
	named      Formula // suspensions written with their number
	signed     Formula // degrees written with an accidental
	list       saying  // sayAdd or sayOmit: bare numbers that follow continue it
	qualityEnd int     // where the last quality ended, for "maj-7"
	majorEnd   int     // where the last major sign ended, for "m(maj9)"
}

// symbol reads the whole text: a chord, or a chord in brackets.
func (r *reader) symbol(sym *Symbol) *SymbolError {
	wrapped := isOpen(r.peek(0))
	if wrapped {
		r.at++
		r.skipBlanks()
	}
	if err := r.chord(sym, wrapped); err != nil {
		return err
	}
	if wrapped {
		if !isClose(r.peek(0)) {
			return r.fail(r.at, wantClose)
		}
		r.at++
	}
	r.skipBlanks()
	if r.at < r.end {
		return r.fail(r.at, wantEnd)
	}
	return nil
}

// chord reads one chord; a nested one ends before its closing bracket or before
// the next chord there.
func (r *reader) chord(sym *Symbol, nested bool) *SymbolError {
	typed := r.peek(0)
	root, err := r.root()
	if err != nil {
		return err
	}
	b := body{bass: root.name, qualityEnd: -1, majorEnd: -1}
	for r.at < r.end && !(nested && b.depth == 0 && (isClose(r.peek(0)) || r.nextChord())) {
		if err := r.part(&b, sym); err != nil {
			return err
		}
	}
	if b.depth > 0 {
		return r.fail(r.at, wantClose)
	}
	b.finish(sym, root, typed)
	return nil
}

// part reads what stands next in a chord: a bracket, a slash, a word.
func (r *reader) part(b *body, sym *Symbol) *SymbolError {
	switch c := r.peek(0); {
	case isOpen(c):
		r.at++
		r.skipBlanks()
		if r.offersChord() {
			return r.alternatives(sym)
		}
		b.depth++
		return nil
	case isClose(c) && b.depth > 0:
		b.depth--
		r.at++
		return nil
	case c == '/':
		return r.slash(b)
	case b.hasBass && b.depth == 0 && c != ' ':
		return r.fail(r.at, wantEnd)
	}
	return r.element(b)
}

// offersChord reports whether a bracket that has just opened holds another
// chord: a capital letter that begins no word of the vocabulary.
func (r *reader) offersChord() bool {
	_, size := r.word()
	return size == 0 && isRoot(r.peek(0))
}

// nextChord reports whether another chord follows a blank or a comma.
func (r *reader) nextChord() bool {
	before := r.signs[r.at-1]
	return (before == ' ' || before == ',') && r.offersChord()
}

// alternatives reads the chords in a bracket and the bracket's end.
func (r *reader) alternatives(sym *Symbol) *SymbolError {
	for r.offersChord() {
		var inner Symbol
		if err := r.chord(&inner, true); err != nil {
			return err
		}
		sym.Alternate = append(append(sym.Alternate, inner.Chord), inner.Alternate...)
	}
	if !isClose(r.peek(0)) {
		return r.fail(r.at, wantClose)
	}
	r.at++
	return nil
}

// slash reads a bass, or passes over a slash that only separates: 6/9, m/maj7.
func (r *reader) slash(b *body) *SymbolError {
	r.at++
	r.skipBlanks()
	if r.separates() {
		b.afterSlash = true
		return nil
	}
	start := r.at
	bass, ok := r.name()
	if !ok {
		return r.fail(start, wantBass)
	}
	if b.hasBass {
		return r.fail(start, wantEnd)
	}
	b.bass, b.hasBass = bass, true
	return nil
}

// separates reports whether what follows a slash is a tone or a quality.
func (r *reader) separates() bool {
	c := r.peek(0)
	switch {
	case isDigit(c), c == signFlat, c == '#':
		return true
	case c == 'b' || c == '+' || c == '-':
		return isDigit(r.peek(1))
	}
	means, size := r.word()
	return size > 0 && means < sayFlat && c != 'h'
}

// finish turns what was read into the chord and its other readings.
func (b *body) finish(sym *Symbol, root spelledRoot, typed byte) {
	written := b.formula()
	if b.stack == 0 && (b.triangle || root.doubt == rootDominant) {
		b.seventh = true
	}
	f := b.formula()
	b.question(f)
	if typed >= 'a' && f == majorTriad {
		b.doubt(doubtLowerCase)
	}
	sym.Chord = Chord{Root: root.name, Bass: b.bass, Formula: f}
	if b.doubts != 0 {
		sym.Others = b.others(sym.Chord)
		sym.Unsure = len(sym.Others) > 0 && b.doubts&^settled != 0
	}
	if other, ok := root.other(f, written); ok {
		if b.hasBass {
			other.Bass = b.bass
		}
		sym.Others = append(sym.Others, other)
	}
}
