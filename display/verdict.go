package display

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
)

// lastWord is the verdict on the newest note of the line: its name, ringed if
// it is a tone of the written chord, and its place, or its fate once it has met
// one. The text is empty before the first note of a page. On a quiet screen it
// is the last note of the phrase that is over, until the next one begins.
func lastWord(f *Frame, sp speller) (text, word string, k ink) {
	s := &f.Snapshot
	if f.keepsQuiet() || f.Status.Quiet && s.Phrase.Number == 0 {
		return "", "", plain
	}
	last := len(s.Page.Notes) - 1
	for last >= 0 && (s.Page.Notes[last].Role == analyse.Struck || f.Status.Quiet && s.Page.Notes[last].N > s.Phrase.Last) {
		last--
	}
	if last < 0 {
		return "", "", plain
	}
	n := &s.Page.Notes[last]
	text, word = sp.name(n.Name), placeWord(n.Place, s.Scale.Kind)
	if n.ChordTone {
		text = "(" + text + ")"
	}
	if n.Place == song.Outside && n.Fate > fate.Pending {
		word = fateWord(n.Fate, sp.degree(n.Colour))
	}
	if n.Against {
		word = "against"
	}
	return text, word, inkOf(n, f.slipped(n))
}

// fateWord says what became of a note: a colour by its number, never as one alone.
func fateWord(f fate.Fate, colour string) string {
	switch f {
	case fate.Colour:
		return colour
	case fate.Unresolved:
		return "slip"
	}
	return f.String()
}
