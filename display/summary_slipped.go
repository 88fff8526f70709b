package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fate"
)

// slipRows is how many rows tell where it slipped over which chord, the last of
// them where there is room.
const slipRows = 3

// slipped says where it slipped: first the stretches that fit elsewhere or nowhere,
// each as one fault, then what was held against its chord, then single slips by centre
// and by chord outside those stretches, and what they have in common.
func slipped(o *Outcome, sp speller) block {
	s := &o.Summary
	told := faults(s)
	n := s.Slips()
	switch {
	case n > 0:
		told = append(told, slips(o, sp)...)
	case len(told) > 0 || s.Notes < enoughNotes:
	case s.Place.Outside == 0:
		told = append(told, sentence("nowhere: no note was outside"))
	default:
		told = append(told, sentence("nowhere: everything outside has its reason"))
	}
	if s.Meant > 0 {
		told = append(told, sentence("meant: "+count(s.Meant, "note")+", in no count"))
	}
	return block{heading: "Slipped", told: told}
}

// slips says how many slips there were, and where.
func slips(o *Outcome, sp speller) []telling {
	s := &o.Summary
	n := s.Slips()
	told := listed("against the chord: ", "; ", "", 2, fights(s, sp)...)
	total := fmt.Sprintf("%s in %s", count(n, "slip"), count(s.Notes, "note"))
	centres := slices.DeleteFunc(slices.Clone(s.Centres), func(c analyse.CentreCount) bool { return c.Slips() == 0 })
	slices.SortStableFunc(centres, func(a, b analyse.CentreCount) int { return cmp.Compare(b.Slips(), a.Slips()) })
	var texts []string
	for _, c := range centres {
		texts = append(texts, fmt.Sprintf("%s %d of %d", sp.centre(c.Centre), c.Slips(), c.Notes))
	}
	names := sp.slips(o.SlipNames[0], n)
	switch {
	case len(s.Centres) > 1:
		told = append(told, listed(total+": ", ", ", others, 1, texts...)...)
	case len(s.ChordsDetail) == 0 && names != "":
		told = append(told, sentence(total+": "+names))
	default:
		told = append(told, sentence(total))
	}
	told = append(told, inCommon(s)...)
	var chords []met
	for i, c := range s.ChordsDetail {
		if c.Slips() > 0 && !inFault(s, c.Bar, c.ToBar) {
			text := sp.overChord(c.Bar, c.ToBar, c.Symbol) + ": "
			of := fmt.Sprintf("%d of %s", c.Slips(), count(c.Notes, "note"))
			if names := sp.slips(o.SlipNames[i+1], c.Slips()); names != "" {
				of = fmt.Sprintf("%s (%s)", names, of)
			}
			chords = append(chords, met{word: text + of, n: c.Slips()})
		}
	}
	over := listed("", "; ", "place", slipRows, mostFirst(chords, "%s%s", func(int64) string { return "" })...)
	return append(told, spared(over, slipRows-1)...)
}

// fights says what was held against which chord, the most frequent first: "B over C7
// twice: its seventh is B♭".
func fights(s *analyse.Summary, sp speller) (texts []string) {
	all := slices.Clone(s.Fights)
	slices.SortStableFunc(all, func(a, b analyse.Fight) int { return cmp.Compare(b.Times, a.Times) })
	for _, f := range all {
		texts = append(texts, sp.fought(&f)+" "+times(f.Times)+sp.instead(&f))
	}
	return texts
}

// fought says which note was held over which chord: "B over C7".
func (s speller) fought(f *analyse.Fight) string {
	return s.name(f.Name) + " over " + s.symbol(f.Chord)
}

// instead says which tone of the chord a note fights: ": its seventh is B♭".
func (s speller) instead(f *analyse.Fight) string {
	own, ok := map[string]string{"maj7": "seventh", "maj3": "third", "5": "fifth", "b9": "root"}[f.Is]
	if !ok {
		return ""
	}
	return ": its " + own + " is " + s.name(f.Own)
}

// inCommon says what most slips have in common.
func inCommon(s *analyse.Summary) []telling {
	const least = 3
	slips := s.Fate[fate.Unresolved.String()]
	if s.SlipsAhead < least || 3*s.SlipsAhead < 2*slips {
		return nil
	}
	return []telling{sentence(fmt.Sprintf("%d of %s come in the beat before a change: hold the old chord, or tie the new one over",
		s.SlipsAhead, count(slips, "slip")))}
}

// slips names the notes that slipped, each once: "C♯, F♯"; where not all are known
// that there are more.
func (s speller) slips(notes []string, all int64) string {
	if len(notes) == 0 {
		return ""
	}
	var texts []string
	for _, n := range notes {
		if name := s.name(n); !slices.Contains(texts, name) {
			texts = append(texts, name)
		}
	}
	text := strings.Join(texts, ", ")
	if int64(len(notes)) < all {
		text += " and more"
	}
	return text
}
