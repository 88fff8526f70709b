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
func lastWord(f *Frame, name func(string) string) (text, word string, k ink) {
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
	text, word = name(n.Name), placeWord(n.Place, s.Scale.Kind)
	if n.ChordTone {
		text = "(" + text + ")"
	}
	if n.Place == song.Outside && n.Fate > fate.Pending {
		word = fateWord(n.Fate, n.Colour)
	}
	if n.Against {
		word = "against"
	}
	return text, word, inkOf(n, f.slipped(n))
}

// paintVerdict shows the newest note large enough to be read across a room.
func (p *painter) paintVerdict(f *Frame) {
	at := p.at[verdict]
	if at.n == 0 {
		return
	}
	unicode := p.speller
	unicode.ascii = false // the large alphabet has its own ASCII form
	name, word, k := lastWord(f, unicode.name)
	if name == "" {
		return
	}
	if nameArt, ok := large(name, p.options.ASCII); ok {
		x := p.margin()
		wordArt, ok := large(word, p.options.ASCII)
		for i := range nameArt {
			p.c.put(x, at.y+i, nameArt[i], k|bold)
			if ok {
				p.c.put(x+width(nameArt[0])+letterRows, at.y+i, wordArt[i], k|bold)
			}
		}
		if !ok {
			p.c.put(x+width(nameArt[0])+letterRows, at.y+letterRows/2, word, k|bold)
		}
		return
	}
	p.line(p.margin(), p.right(), at.y, []piece{{p.speller.text(name), k | bold}, {word, k | bold}})
}

func (p *painter) paintHeld(s *analyse.Snapshot) {
	at := p.at[held]
	if at.n == 0 {
		return
	}
	pieces := []piece{{"held", faint}}
	if s.HeldChord != "" {
		pieces = append(pieces, piece{p.speller.symbol(s.HeldChord), plain | bold})
	}
	for i := range s.Held {
		k := inkOf(&analyse.PageNote{Place: s.Held[i].Place}, false)
		pieces = append(pieces, piece{p.speller.name(s.Held[i].Name), k})
	}
	p.line(p.margin(), p.right(), at.y, pieces)
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
