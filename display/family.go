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
	Voicing string          // how it is laid out: "close", "drop 2"
	Reason  string          // why this scale, in a few words
	Family  harmony.Family  // concert pitch
	Others  []harmony.Scale // other scales that hold the voicing, concert pitch
}

const (
	numberCells = 3  // the column of step numbers
	chordCells  = 20 // the column of chord names, wide enough for "Dbm7(no5,11)/Cb"
	halfCells   = 6  // "mixed" and a space
	mostAlso    = 4  // other names of a chord
	alsoRows    = 2
	scaleRows   = 2 // rows for other scales
)

// WriteFamily writes a family as a sheet, as wide as the options say: the scale with
// its halves, then for each step its number, name, half, tones from low to
// high, keys on a keyboard, and other names. At written pitch everything is
// moved, the keys too; the family then stands less than an octave higher, or,
// where the keyboard ends, lower. The error is the writer's.
func WriteFamily(w io.Writer, sheet FamilySheet, o Options) error {
	sp := newSpeller(o)
	moved, err := sp.family(sheet.Family)
	if err != nil {
		return err
	}
	there := speller{ascii: o.ASCII} // writes what has been moved
	cells := o.width()
	out := append(familyHead(sheet, moved, sp, cells), "")
	board := keyboardOf(moved.Steps)
	written := sp.chord(sheet.Chord)
	for i, st := range moved.Steps {
		names := NameStep(st, moved.Scale, written)
		left := there.step(i+1, names, halfWord(st.Half, moved.Scale.Kind))
		out = append(out, withKeys(left, board, st.Keys, i == 0, o.ASCII, cells)...)
		if also := names.also(there, mostAlso); len(also) > 0 {
			out = append(out, flow(strings.Repeat(" ", numberCells)+"also ", ", ", cells, moreRows(alsoRows, cells), also)...)
		}
	}
	if n := moved.Size; n < len(moved.Steps) {
		out = append(out, "", fmt.Sprintf("After %s the same tones come back over another bass.", count(int64(n), "step")))
	}
	for i := range out {
		out[i] = strings.TrimRight(cut(out[i], pageWidth), " ")
	}
	return writeRows(w, out, cells)
}

// withKeys puts the keys of a chord beside its text, or below where the voices
// lie too far apart, or nowhere where they lie further. The first chord has the
// ruler above.
func withKeys(left []string, board keyboard, keys []uint8, first, ascii bool, cells int) []string {
	const beside = numberCells + chordCells + halfCells
	var ruler string
	if first {
		ruler = board.ruler()
	}
	picture := board.draw(keys, ascii)
	switch room := cells - board.width(); {
	case room >= beside:
		out := []string{strings.Repeat(" ", beside) + ruler}
		for i, text := range left {
			out = append(out, pad(text, beside)+picture[i])
		}
		return out
	case room >= numberCells:
		out := append([]string{""}, left...)
		if first {
			out, picture = left, append([]string{ruler}, picture...)
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
	title := there.symbol(sp.chord(sheet.Chord).Symbol()) + ", " + sp.text(sheet.Voicing) + ", up " + there.symbol(moved.Scale.String())
	out := []string{title}
	if sp.written != tone.InC {
		out = append(out, "at written pitch for an instrument in "+there.name(sp.written.String()))
	}
	var scale []string
	for _, n := range moved.Scale.Tones() {
		scale = append(scale, there.print(n))
	}
	home, dim := there.halves(moved.Scale)
	out = append(out, "", "scale  "+strings.Join(scale, " "), "halves "+home+"   "+dim)
	out = append(out, wrapWords("why    ", sheet.Reason, cells)...)
	if len(sheet.Others) > 0 {
		var others []string
		for _, s := range sheet.Others {
			others = append(others, there.symbol(sp.scale(s).Short()))
		}
		out = append(out, flow("others ", ", ", cells, moreRows(scaleRows, cells), others)...)
	}
	return out
}

// step is the text of one chord: number, name and half, and its tones.
func (s speller) step(number int, n StepNames, half string) []string {
	tones := make([]string, len(n.Tones))
	for i, t := range n.Tones {
		tones[i] = s.print(t)
	}
	name := "no chord name"
	if n.Named {
		name = s.symbol(n.Name)
	}
	return []string{
		fmt.Sprintf("%*d %s %s", numberCells-1, number, pad(name, chordCells-1), half),
		strings.Repeat(" ", numberCells) + strings.Join(tones, " "),
	}
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
