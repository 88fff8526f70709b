package harmony

import (
	"strings"

	"shedlight/analyse/tone"
)

// rootDoubt is why a root could be read in another way.
type rootDoubt uint8

const (
	rootSure     rootDoubt = iota
	rootPower              // Ab5: also A with a flat five
	rootGivesTo5           // Bbb5, read as Bb with a flat five: also a power chord
	rootDominant           // Cx, read as C7: also on C double sharp
)

// spelledRoot is a root as it was read.
type spelledRoot struct {
	name  tone.Name
	doubt rootDoubt
}

// root reads the root of a chord.
func (r *reader) root() (spelledRoot, *SymbolError) {
	start := r.at
	name, ok := r.name()
	if !ok {
		return spelledRoot{}, r.fail(start, wantRoot)
	}
	root := spelledRoot{name: name}
	if r.at == start+1 && r.flatApart() {
		if strings.IndexByte("CF", r.signs[start]) >= 0 {
			return spelledRoot{}, r.fail(r.at, wantTogether)
		}
		r.skipBlanks()
		r.at++
		root.name.Alter = -1
	}
	five := r.peek(0) == '5' && !isDigit(r.peek(1))
	switch {
	case r.at == start+1 && r.peek(0) == 'x':
		r.at++
		if r.plainFollows() {
			root.doubt = rootDominant
		} else {
			root.name.Alter = 2
		}
	case five && r.at == start+2 && (name.Alter == 1 || name.Alter == -1):
		root.doubt = rootPower
	case five && r.at == start+3 && (name.Alter == 2 || name.Alter == -2):
		root.doubt = rootGivesTo5
		root.name.Alter /= 2
		r.at--
	}
	return root, nil
}

// flatApart reports whether blanks and a lone flat follow, typed apart from the
// letter: E b, B b7. A flat that lowers a degree is none: E b5, E b9, E b13.
func (r *reader) flatApart() bool {
	i := 0
	for r.peek(i) == ' ' {
		i++
	}
	if i == 0 || r.peek(i) != 'b' && r.peek(i) != signFlat {
		return false
	}
	next := r.peek(i + 1)
	lowers := next == '5' || next == '9' || next == '1' && r.peek(i+2) == '3' || next == '6' || next == '1' && r.peek(i+2) == '0'
	return !lowers && (next == 0 || next == ' ' || next != 'b')
}

// other returns the chord on the root's other reading, given the formula of the
// chosen one, and the formula that is written without what the root adds.
func (root spelledRoot) other(f, written Formula) (Chord, bool) {
	power, altered := FormulaOf(One, Five), FormulaOf(One, Three, FlatFive)
	if root.name.Alter > 0 {
		altered = FormulaOf(One, Three, SharpFive)
	}
	n := root.name
	switch {
	case root.doubt == rootPower && f == power:
		n.Alter, f = 0, altered
	case root.doubt == rootGivesTo5 && f == altered:
		n.Alter, f = 2*n.Alter, power
	case root.doubt == rootDominant:
		n.Alter, f = 2, written
	default:
		return Chord{}, false
	}
	return Chord{Root: n, Bass: n, Formula: f}, true
}

// plainFollows reports whether what follows names no quality.
func (r *reader) plainFollows() bool {
	c := r.peek(0)
	return c == 0 || isDigit(c) || isOpen(c) || isClose(c) || c == '/' || c == ' '
}

// name reads a note name: a letter A to H, in either case, with up to two
// accidentals of one kind, or in German (Es, As, Fis).
func (r *reader) name() (n tone.Name, ok bool) {
	letter := r.peek(0)
	if letter >= 'a' && letter <= 'h' {
		letter -= 'a' - 'A'
	}
	if !isRoot(letter) {
		return n, false
	}
	if letter == 'H' {
		letter = 'B'
	}
	n.Letter = tone.Letter(strings.IndexByte("CDEFGAB", letter))
	r.at++
	if alter, size := r.german(letter); size > 0 {
		r.at += size
		n.Alter = alter
		return n, true
	}
	for range 2 {
		alter, size := r.accidental()
		if size == 0 || n.Alter != 0 && alter != n.Alter {
			break
		}
		n.Alter += alter
		r.at += size
		if alter != 1 && alter != -1 {
			break
		}
	}
	return n, true
}

// german reads the ending of a German note name.
func (r *reader) german(letter byte) (alter int8, size int) {
	flat := strings.IndexByte("AE", letter) < 0
	switch {
	case r.starts(0, "is", true):
		return 1, 2
	case flat && r.starts(0, "es", true):
		return -1, 2
	case !flat && r.starts(0, "s", true) && !r.starts(1, "us", false):
		return -1, 1
	}
	return 0, 0
}

// accidental reads one accidental of a note name. A capital B is a flat where
// everything is written in capitals: EB7.
func (r *reader) accidental() (alter int8, size int) {
	for _, word := range [...]struct {
		text  string
		alter int8
	}{{"flat", -1}, {" flat", -1}, {"sharp", 1}, {" sharp", 1}} {
		if r.starts(0, word.text, false) {
			return word.alter, len(word.text)
		}
	}
	switch r.peek(0) {
	case 'b', 'B', signFlat:
		return -1, 1
	case '#':
		return 1, 1
	case signDoubleFlat:
		return -2, 1
	case signDoubleSharp:
		return 2, 1
	case signNatural:
		return 0, 1
	}
	return 0, 0
}
