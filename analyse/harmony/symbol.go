package harmony

// Reading and printing chord symbols
//
// Method. A symbol is read in three small steps, none of which guesses.
// symbol_signs.go turns every character into one sign: the Unicode flats,
// triangles, circles, dashes, raised figures of the trade each become one byte,
// so that a column stays a column. symbol_reader.go cuts the signs into words
// with the table there, longest first, and writes down what they say: a quality,
// a stack (7, 9, 11, 13), degrees altered, added, left out, suspended.
// symbol_recipe.go turns that note into a formula. Where musicians disagree,
// the reader marks a doubt and the table of doubts there gives the other chord.
// Cost: one pass, at most maxSymbol signs, no allocation but for other readings.
//
// The rules that decide (all common practice):
//
//   - b and # belong to the root as long as they can: Ab5 is a power chord, Eb9
//     a ninth, Bbb7 has a double flat root. Only before 5 the second of two goes
//     to the 5 (Bbb5 is Bb with a flat five): nobody writes that power chord.
//   - x after a root is the double sharp where a quality follows (Fxm7b5), else
//     the sign for a dominant seventh (Cx is C7).
//   - A minus straight after the root is minor (C-9), but C-5 flattens the 5.
//     After a number it is a flat (C7-9), after a quality a hyphen (Cmaj-7).
//   - A plus straight after the root is augmented (C+9 is C9#5), but C+11 raises
//     the 11. After a number it raises (C7+9, C7+11); Cm+7 is minor with a major
//     seventh. C6+9 and C6-9 join: a 6/9 chord.
//   - The triangle alone has its seventh; maj alone has not; both make a later 7
//     or 9 major, also from inside brackets: Cm9(maj7).
//   - A number in brackets, after a slash or after another number is one tone and
//     not a stack: C7(13) has no ninth, C13 has.
//   - 11 over a dominant leaves out the third, 13 leaves out the 11; minor 13
//     keeps it. sus is sus4. dim alone is the triad, with 7 the seventh chord.
//   - alt is the whole altered set, with b5 and #5: a set of options, not a chord.
//   - A flat or sharp 5, 9, 11 or 13 takes the place of the plain one in the
//     stack; b13 is not #5 and leaves the 5, #11 is not b5 and leaves it too.
//   - After a slash a number or a quality is no bass: C6/9, C7/6, Cm/maj7.
//   - A sign after its number counts where the number stands alone: C7(9-), C7/9+
//     (a sharp nine), Cm7(5b); and in C5+, which is augmented. G7dim5 is G7b5.
//   - A flat apart from its letter belongs to it (E b, B b7), but to the degree
//     before 5, 9 and 13: E b9. C b7 and F b7 are refused: Cb7, or C and B7?
//   - What is written twice is a slip, and refused: C7sus44, C13b9b9.
//   - H is B; Es, As, Cis and their like are German names, except where a sus
//     follows: Asus4 is on A. A lone B is B.
//   - In brackets a capital letter starts another chord (D7(G7)), a small b is
//     a flat.
//
// Known wrong answers, accepted: C7(B9) offers a chord on B where an all-capital
// hand means b9; a lower-case c is C major, where some write C minor so (offered
// as the other reading); C7- and a slash chord over a whole chord (C7/Dm7) are
// refused; solfege roots (Do, Sol) are not known, since Do7 is D diminished.

import (
	"fmt"
	"unicode/utf8"
)

// maxSymbol is how many characters a chord symbol may have. A thirteenth with
// four alterations, a bass and an alternative stays below 40; the longest that
// Symbol prints, a set nobody has a name for over double flats, takes 71.
const maxSymbol = 80

// Symbol is a chord symbol as it was read.
type Symbol struct {
	Text  string // the symbol as written, without the blanks and marks around it
	Chord Chord  // the most usual reading; the zero Chord for N.C.

	// Others are the other readings of a sign that musicians use in more than
	// one way, the nearest first: for "Csus" also C9sus4. Nil for most symbols.
	Others []Chord

	// Unsure says that the other readings are common enough for a player to be
	// told which was taken.
	Unsure bool

	// Alternate are the chords offered in brackets beside the chord: G7 in
	// "D7(G7)". Nil for most symbols.
	Alternate []Chord
}

// SymbolError says why a text is not a chord symbol. Its text is one line and
// holds no control bytes.
type SymbolError struct {
	Column   int    // where, in characters from 1; one past the end where something is missing
	Found    string // what stands there, one character; empty at the end
	Expected string // what would have been right
}

func (e *SymbolError) Error() string {
	if e.Found == "" {
		return fmt.Sprintf("chord symbol, column %d: it ends here, expected %s", e.Column, e.Expected)
	}
	return fmt.Sprintf("chord symbol, column %d: found %q, expected %s", e.Column, e.Found, e.Expected)
}

// ParseSymbol reads one chord symbol as musicians write it, or N.C. for no
// chord. Blanks, bar lines, commas, footnote stars and beat slashes around it
// are passed over. The error is always a *SymbolError. Repeat signs, rests and
// lone slashes belong to a chart and are refused.
func ParseSymbol(text string) (Symbol, error) {
	r := reader{text: text}
	if err := r.fill(); err != nil {
		return Symbol{}, err
	}
	sym := Symbol{Text: text[r.offset(r.at):r.offset(r.end)]}
	if r.noChord() {
		sym.Text = "N.C." // the mark at its end counts as one of those around it
		return sym, nil
	}
	if err := r.symbol(&sym); err != nil {
		return Symbol{}, err
	}
	return sym, nil
}

// fail returns the error for the sign at a place, counted from 0.
func (r *reader) fail(at int, expected string) *SymbolError {
	e := &SymbolError{Column: at + 1, Expected: expected}
	if start := r.offset(at); start < len(r.text) {
		_, size := utf8.DecodeRuneInString(r.text[start:])
		e.Found = r.text[start : start+size]
	}
	return e
}

// offset returns the byte at which a character of the text starts.
func (r *reader) offset(at int) int {
	for i := range r.text {
		if at == 0 {
			return i
		}
		at--
	}
	return len(r.text)
}
