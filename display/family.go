package display

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// FamilySheet is a family of chords as it goes on the music stand.
type FamilySheet struct {
	Chord   harmony.Chord   // the chord that is moved, concert pitch
	Moved   harmony.Chord   // its own four tones, where only they are moved; else none
	Voicing string          // how it is laid out: "close", "drop 2"
	Reason  string          // why this scale, in a few words
	Family  harmony.Family  // concert pitch
	Others  []harmony.Scale // other scales that hold the voicing, concert pitch
}

const (
	numberCells = 3 // the column of step numbers
	halfCells   = 6 // "mixed" and a space
	leastName   = 8 // of the column of names
	mostAlso    = 2 // other names of a chord
)

// WriteFamily writes a family as a sheet, as wide as the options say: the scale with
// its halves, then for each step its number, name, half, tones from low to
// high, and below them its other names, beside the keys on a keyboard. On a
// screen of pageWidth by pageRows the family of a chord of four is seen whole. At
// written pitch everything is moved, the keys too; the family then stands less
// than an octave higher, or, where the keyboard ends, lower. The error is the
// writer's.
func WriteFamily(w io.Writer, sheet FamilySheet, o Options) error {
	sp := newSpeller(o)
	moved, err := sp.family(sheet.Family)
	if err != nil {
		return err
	}
	there := speller{ascii: o.ASCII} // writes what has been moved
	cells := o.width()
	out := familyHead(sheet, moved, sp, cells)
	names, column := NameFamily(moved, sp.chord(sheet.Chord)), leastName
	for i := range names {
		if names[i].Said.Chord.None() { // what is lacking may stand out of the column
			column = max(column, width(names[i].first(there)))
		}
	}
	board := keyboardOf(moved.Steps)
	room := cells - board.width()
	for i, st := range moved.Steps {
		name := names[i].first(there)
		name += strings.Repeat(" ", max(0, column-width(name)))
		head := fmt.Sprintf("%*d %s %-*s", numberCells-1, i+1, name, halfCells, halfWord(st.Half, moved.Scale.Kind))
		left := there.step(head, names[i], textCells(room, column, cells))
		out = append(out, withKeys(left, board, st.Keys, i == 0, o.ASCII, cells)...)
	}
	if n := moved.Size; n < len(moved.Steps) {
		out = append(out, fmt.Sprintf("After %s the same tones come back over another bass.", count(int64(n), "step")))
	}
	for i := range out {
		out[i] = strings.TrimRight(cut(out[i], pageWidth), " ")
	}
	return writeRows(w, out, cells)
}

// textCells is how wide the text of a step may be: the room beside the keyboard,
// or the page where the name and the half do not fit there.
func textCells(room, column, cells int) int {
	if room < numberCells+column+1+halfCells {
		return cells
	}
	return room
}

// withKeys puts the keys of a chord beside its text, or below where the voices
// lie too far apart, or nowhere where they lie further. The first chord has the
// ruler above.
func withKeys(left []string, board keyboard, keys []uint8, first, ascii bool, cells int) []string {
	var ruler string
	if first {
		ruler = board.ruler()
	}
	picture := board.draw(keys, ascii)
	widest := 0
	for _, text := range left {
		widest = max(widest, width(text))
	}
	beside := cells - board.width()
	switch {
	case beside >= widest:
		var out []string
		if first {
			out = []string{strings.Repeat(" ", beside) + ruler}
		}
		for i := range max(len(left), len(picture)) {
			row := ""
			if i < len(left) {
				row = left[i]
			}
			if i < len(picture) {
				row = pad(row, beside) + picture[i]
			}
			out = append(out, row)
		}
		return out
	case beside >= numberCells:
		out := append([]string{""}, left...)
		if first {
			picture = append([]string{ruler}, picture...)
		}
		for _, row := range picture {
			out = append(out, strings.Repeat(" ", numberCells)+row)
		}
		return out
	}
	return append([]string{""}, left...)
}

// familyHead is what stands above the steps. sp moves what is at concert pitch.
func familyHead(sheet FamilySheet, moved harmony.Family, sp speller, cells int) []string {
	there := speller{ascii: sp.ascii}
	chord := there.symbol(sp.chord(sheet.Chord).Symbol())
	if !sheet.Moved.None() {
		chord += " as " + there.symbol(sp.chord(sheet.Moved).Symbol())
	}
	title := chord + ", " + sp.text(sheet.Voicing) + ", up " + there.symbol(moved.Scale.String())
	out := []string{title}
	if sp.written != tone.InC {
		out = append(out, "at written pitch for an instrument in "+there.name(sp.written.String()))
	}
	var scale []string
	for _, n := range moved.Scale.Tones() {
		scale = append(scale, there.print(n))
	}
	home, dim := there.halves(moved.Scale)
	out = append(out, flow("scale  ", "   ", cells, moreRows(1, cells), []string{strings.Join(scale, " "), home, dim})...)
	out = append(out, wrapWords("why    ", sheet.Reason, cells)...)
	if len(sheet.Others) > 0 {
		var others []string
		for _, s := range sheet.Others {
			others = append(others, there.symbol(sp.scale(s).Short()))
		}
		out = append(out, flow("others ", ", ", cells, moreRows(1, cells), others)...)
	}
	return out
}

// step is the text of one chord in so many cells: number, name and half, its
// tones beside them or below, and its other names where there is room for them.
func (s speller) step(head string, n StepNames, cells int) []string {
	tones := make([]string, len(n.Tones))
	for i, t := range n.Tones {
		tones[i] = s.print(t)
	}
	indent := strings.Repeat(" ", numberCells)
	out, row := []string{head + strings.Join(tones, " ")}, indent
	if width(out[0]) > cells {
		out, row = []string{strings.TrimRight(head, " ")}, indent+strings.Join(tones, " ")
	}
	between := "also "
	if row != indent {
		between = "  also "
	}
	for _, name := range n.also(s) {
		if width(row)+width(between)+width(name) <= cells {
			row, between = row+between+name, ", "
		}
	}
	if row != indent {
		out = append(out, row)
	}
	return out
}

// halfWord names the half that a chord is made of, by the top tone of the home
// chord.
func halfWord(h harmony.Half, kind harmony.ScaleKind) string {
	if h == harmony.HomeHalf {
		return homeWord(kind)
	}
	return h.String()
}

// family moves a family to written pitch.
func (s speller) family(f harmony.Family) (harmony.Family, error) {
	if s.written == tone.InC {
		return f, nil
	}
	const octave = 12
	to := s.scale(f.Scale)
	up := int(tone.ClassOf(int(to.Root.Class()) - int(f.Scale.Root.Class())))
	last := f.Steps[len(f.Steps)-1].Keys
	if int(slices.Max(last))+up > tone.MaxKey {
		up -= octave
	}
	keys := slices.Clone(f.Steps[0].Keys)
	for i := range keys {
		keys[i] = uint8(max(0, int(keys[i])+up))
	}
	return harmony.Expand(to, keys)
}

// wrapWords writes a sentence after a label, on as many rows of so many cells as it
// takes; below the label where that leaves less than half of a row.
func wrapWords(label, text string, cells int) []string {
	out, left := []string{label}, strings.Repeat(" ", width(label))
	if width(label) > cells/2 {
		left = strings.Repeat(" ", 2*foldIndent)
		out = append(out, left)
	}
	for word := range strings.FieldsSeq(text) {
		last := len(out) - 1
		gap := " "
		if strings.TrimSpace(out[last]) == "" || out[last] == label {
			gap = ""
		}
		if width(out[last])+len(gap)+width(word) > cells && gap != "" {
			out = append(out, left+word)
			continue
		}
		out[last] += gap + word
	}
	return out
}
