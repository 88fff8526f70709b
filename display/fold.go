package display

import "strings"

const (
	// foldGap are the blanks that part a heading from what stands beside it.
	foldGap = "  "
	// foldIndent is by how much the rest of a folded row is set in, where the column
	// that it belongs to lies too far right.
	foldIndent = 2
	// fullRow is how many cells a row that somebody has folded has at the least.
	fullRow = 66
	// fixed is a blank that wrap does not break at.
	fixed = "\u00a0"
)

// Fold breaks the lines of a text that are wider than so many cells at their blanks.
// What is broken off stands below the column that it belongs to: behind the blanks a
// line begins with and the heading in it, or below the heading where that takes more
// than half of the cells.
// A word that is too long stays whole, on a
// line of its own.
func Fold(text string, cells int) string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		out = append(out, fold(line, cells)...)
	}
	return strings.Join(out, "\n")
}

// FoldPage is Fold for a page that somebody has folded to eighty cells. For fewer it
// joins first what was broken off.
func FoldPage(text string, cells int) string {
	if cells < pageWidth {
		text = unfolded(text)
	}
	return Fold(text, cells)
}

// unfolded joins the rows of a page with what goes on below them: below the column
// beside a heading, or below a row of prose that is full.
func unfolded(text string) string {
	var out []string
	column, prose, full := -1, 0, false // where that stands, of the row above
	for row := range strings.SplitSeq(text, "\n") {
		line := strings.TrimLeft(row, " ")
		indent := len(row) - len(line)
		heading, beside, isTable := strings.Cut(line, foldGap)
		goesOn := indent == column || full && !isTable && indent >= prose && !strings.HasPrefix(line, "|")
		if goesOn && line != "" {
			out[len(out)-1] += " " + line
		} else {
			out = append(out, row)
			column = -1
			if isTable {
				column = indent + width(heading) + len(foldGap) + len(beside) - len(strings.TrimLeft(beside, " "))
			}
		}
		prose, full = indent, !isTable && column < 0 && width(row) >= fullRow
	}
	return strings.Join(out, "\n")
}

// folded folds each of some rows.
func folded(rows []string, cells int) (out []string) {
	for _, row := range rows {
		out = append(out, fold(row, cells)...)
	}
	return out
}

func fold(row string, cells int) []string {
	if width(row) <= cells {
		return []string{row}
	}
	text := strings.TrimLeft(row, " ")
	most := cells / 2
	indent := min(len(row)-len(text), most)
	hang := indent
	if heading, beside, is := strings.Cut(text, foldGap); is {
		hang += width(heading) + len(foldGap) + len(beside) - len(strings.TrimLeft(beside, " "))
	}
	if hang > most {
		below := min(indent+foldIndent, most)
		heading, beside, _ := strings.Cut(text, foldGap)
		return append(fold(strings.Repeat(" ", indent)+heading, cells),
			fold(strings.Repeat(" ", below)+strings.TrimLeft(beside, " "), cells)...)
	}
	return wrap(text, indent, hang, cells)
}

// wrap breaks a text into rows of so many cells: the first is set in by indent, the
// others by hang. Fixed blanks become blanks.
func wrap(text string, indent, hang, cells int) []string {
	out := []string{""}
	for gap := ""; text != ""; {
		word, rest, _ := strings.Cut(text, " ")
		last := len(out) - 1
		switch {
		case strings.TrimSpace(out[last]) == "":
			out[last] = setIn(word, indent, cells)
		case width(out[last])+width(gap)+width(word) <= cells:
			out[last] += gap + word
		default:
			out = append(out, setIn(word, hang, cells))
		}
		text = strings.TrimLeft(rest, " ")
		gap = strings.Repeat(" ", 1+len(rest)-len(text))
	}
	for i := range out {
		out[i] = strings.ReplaceAll(out[i], fixed, " ")
	}
	return out
}

// setIn sets a word in, by less where it would stand out on the right.
func setIn(word string, by, cells int) string {
	return strings.Repeat(" ", max(0, min(by, cells-width(word)))) + word
}
