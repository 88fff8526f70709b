package changes

import (
	"fmt"
	"slices"
)

// oneOf makes one part of all: the first with harmony, with the harmony of the
// others in the measures where it has none, and with the signs of the form that
// only another bears. It returns nil where none has harmony, and what is to be
// said of measures in which two parts differ.
func oneOf(parts []*sheetPart) (*sheetPart, []Remark) {
	i := slices.IndexFunc(parts, func(p *sheetPart) bool { return p.harmonies > 0 })
	if i < 0 {
		return nil, nil
	}
	p := parts[i]
	var remarks []Remark
	for _, other := range parts {
		if other == p {
			continue
		}
		if r, differs := p.takeHarmony(other); differs {
			remarks = append(remarks, r)
		}
		p.takeForm(other)
	}
	return p, remarks
}

// takeHarmony takes the chords of another part into the measures without any.
func (p *sheetPart) takeHarmony(other *sheetPart) (r Remark, differs bool) {
	several := 0
	for i := range min(len(p.bars), len(other.bars)) {
		own, theirs := &p.bars[i], &other.bars[i]
		switch {
		case len(theirs.chords) == 0 || sameChords(own.chords, theirs.chords):
		case len(own.chords) == 0:
			own.chords, own.onsets, own.copies = theirs.chords, theirs.onsets, 0
		default:
			if several++; several == 1 {
				r = own.remark(p, "")
			}
		}
	}
	if several == 0 {
		return r, false
	}
	r.Text = fmt.Sprintf("part %s has other chords here%s; those of part %s are read", other.id, moreMeasures(several), p.id)
	return r, true
}

// moreMeasures says that something holds of more measures than the one named.
func moreMeasures(all int) string {
	if all == 1 {
		return ""
	}
	return " and in " + plural(all-1, "more measure")
}

func sameChords(a, b []sheetChord) bool {
	return slices.EqualFunc(a, b, func(x, y sheetChord) bool { return x.tick == y.tick && x.chord == y.chord })
}

// takeForm takes the repeats, the jumps, the rehearsal marks and the tempi of another part
// where this one has none at all: some programs write them in one part only.
func (p *sheetPart) takeForm(other *sheetPart) {
	has := func(p *sheetPart, sign func(*sheetBar) bool) bool {
		return slices.ContainsFunc(p.bars, func(b sheetBar) bool { return sign(&b) })
	}
	repeating := func(b *sheetBar) bool { return b.forward || b.backward || b.endings != nil }
	jumping := func(b *sheetBar) bool { return b.jumps != (jumps{}) || b.codaSign }
	marked := func(b *sheetBar) bool { return b.section != "" }
	timed := func(b *sheetBar) bool { return b.tempo != nil }
	takesRepeats, takesJumps, takesMarks, takesTempi := !has(p, repeating), !has(p, jumping), !has(p, marked), !has(p, timed)
	for i := range min(len(p.bars), len(other.bars)) {
		own, theirs := &p.bars[i], &other.bars[i]
		if takesRepeats {
			own.repeats = theirs.repeats
		}
		if takesJumps {
			own.jumps, own.codaSign = theirs.jumps, theirs.codaSign
		}
		if takesMarks {
			own.section = theirs.section
		}
		if takesTempi {
			own.tempo = theirs.tempo
		}
	}
}
