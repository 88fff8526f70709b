package display

import "strings"

// barText is a text that wants to stand at a column, in its forms from the whole
// to the shortest.
type barText struct {
	at    int
	forms []string
}

// placedText is a text at the column where it stands.
type placedText struct {
	at   int
	text string
}

// fitTexts sets pieces into a width, in order and with a space between: each where it
// wants to stand, or as near to the right of it, and then to the left, as the
// others let it. One cell is kept free on the left while there is room. Where
// the whole texts are too long the shorter forms are taken, then the longest
// are cut, ending in the mark; cutSome reports that.
func fitTexts(pieces []barText, cells int, mark string) (out []placedText, cutSome bool) {
	if most := (cells + 1) / 2; len(pieces) > most {
		pieces, cutSome = pieces[:most], true
	}
	out = make([]placedText, len(pieces))
	total := func() int {
		n := len(out) - 1
		for _, p := range out {
			n += width(p.text)
		}
		return n
	}
	for form := 0; form < 2; form++ {
		for i, p := range pieces {
			out[i] = placedText{at: p.at, text: p.forms[min(form, len(p.forms)-1)]}
		}
		if total() <= cells {
			break
		}
	}
	whole := make([]string, len(out))
	for i, p := range out {
		whole[i] = p.text
	}
	for total() > cells {
		longest := 0
		for i, p := range out {
			if width(p.text) > width(out[longest].text) {
				longest = i
			}
		}
		out[longest].text = head(whole[longest], width(out[longest].text)-2) + mark
		cutSome = true
	}
	next := 0
	if total() < cells {
		next = 1
	}
	for i := range out {
		out[i].at = max(out[i].at+1, next)
		next = out[i].at + width(out[i].text) + 1
	}
	limit := cells
	for i := len(out) - 1; i >= 0; i-- {
		out[i].at = min(out[i].at, limit-width(out[i].text))
		limit = out[i].at - 1
	}
	return out, cutSome
}

// textRow is a row of text, written from left to right.
type textRow struct {
	b  strings.Builder
	at int
}

// put writes a text at a column, or behind what stands there with a space
// between.
func (r *textRow) put(at int, text string) {
	if at < r.at {
		at = r.at + 1
	}
	r.b.WriteString(strings.Repeat(" ", at-r.at))
	r.b.WriteString(text)
	r.at = at + width(text)
}

func (r *textRow) pieces(left int, all []placedText) {
	for _, p := range all {
		r.put(left+p.at, p.text)
	}
}

func (r *textRow) text() string { return r.b.String() }
