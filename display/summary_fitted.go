package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/feel"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// fitted says whether the line went with the changes, how its notes lay, and how it
// fell on the beat.
func fitted(s *analyse.Summary, sp speller) block {
	told := append(went(s), groups(s, sp)...)
	outside := fmt.Sprintf("outside %d", s.Place.Outside)
	if written := s.Fate[fate.Written.String()]; written > 0 {
		outside += fmt.Sprintf(" (%d on the chord)", written)
	}
	told = append(told, sentence(fmt.Sprintf("by %s: six %d, dim %d, %s", views(s), s.Place.Home, s.Place.Dim, outside)))
	told = append(told, beats(s, sp)...)
	told = append(told, craft(s, sp)...)
	return block{heading: "Fitted", told: append(told, hearings(s, sp)...)}
}

// views says by which scales the notes were told: "the key's scale, each chord's scale
// from chorus 2, bar 5".
func views(s *analyse.Summary) string {
	name := map[song.View]string{song.KeyView: "the key's scale", song.ChordView: "each chord's scale"}
	switch len(s.Views) {
	case 0, 1:
		return name[s.View]
	case 2:
		from := &s.Views[1]
		where := fmt.Sprintf("note %d", from.From+1)
		if from.Bar > 0 {
			where = fmt.Sprintf("chorus %d, bar %d", from.Chorus, from.Bar)
		}
		return name[s.Views[0].View] + ", " + name[from.View] + " from " + where
	}
	return name[s.Views[0].View] + " and " + name[s.Views[1].View] + " in turn"
}

// groups says how the notes lay, each once, and what the groups of outside notes are
// made of: "on its way 9 (4 %): enclosure 5, approach 4".
func groups(s *analyse.Summary, sp speller) (told []telling) {
	of := func(word string, n int64) string {
		text := fmt.Sprintf("%s %d", word, n)
		if share := share(n, s.Notes); share != nothing {
			text += " (" + share + ")"
		}
		return text
	}
	g := &s.Groups
	var lay []string
	for _, one := range []struct {
		word string
		n    int64
	}{{"on the chord", g.Chord}, {"in the scale", g.Scale}, {"slips", g.Slip}} {
		if one.n > 0 {
			lay = append(lay, of(one.word, one.n))
		}
	}
	told = listed("", ", ", "", 2, lay...)
	for _, one := range []struct {
		word string
		n    int64
		of   []string
	}{
		{of("on its way", g.Way), g.Way, fateCounts(s, analyse.OnWay)},
		{of("edge of the change", g.Change), g.Change, fateCounts(s, analyse.AtChange)},
		{of("colour", g.Colour) + ", nothing to mend", g.Colour, colours(s, sp)},
	} {
		if one.n > 0 && len(one.of) > 0 {
			told = append(told, spared(listed(one.word+": ", ", ", others, 2, one.of...), 1)...)
		}
	}
	return told
}

// met is something that was met so often.
type met struct {
	word string
	n    int64
}

// mostFirst lists what was met, the most frequent first.
func mostFirst(all []met, format string, times func(int64) string) (texts []string) {
	slices.SortStableFunc(all, func(a, b met) int { return cmp.Compare(b.n, a.n) })
	for _, one := range all {
		if one.n > 0 {
			texts = append(texts, fmt.Sprintf(format, one.word, times(one.n)))
		}
	}
	return texts
}

// colours lists which colours were played: tensions, blue notes, and other scales that
// the chord admits.
func colours(s *analyse.Summary, sp speller) []string {
	var all []met
	for _, c := range s.Colours {
		all = append(all, met{strings.TrimPrefix(sp.degreeWords(c.Is), "the "), c.Times})
	}
	all = append(all, met{"blue note", s.Fate[fate.Blue.String()]})
	for _, u := range s.Subs {
		all = append(all, met{sp.short(u.Scale) + " over " + sp.text(u.ChordKind), u.Times})
	}
	return mostFirst(all, "%s (%s)", times)
}

// fateCounts lists how often outside notes met the fates of a group.
func fateCounts(s *analyse.Summary, group analyse.Group) []string {
	var all []met
	for f := fate.Glitch; f <= fate.Unresolved; f++ {
		if its, ok := analyse.GroupOf(f); ok && its == group {
			all = append(all, met{fateWord(f, ""), s.Fate[f.String()]})
		}
	}
	return mostFirst(all, "%s %s", func(n int64) string { return fmt.Sprint(n) })
}

// beatsLeast is how many notes on the beat it takes to say over which chords they were
// chord tones.
const beatsLeast = 8

// beats says how many chord tones fell on the beat, over the kinds of chord scored
// most.
func beats(s *analyse.Summary, sp speller) []telling {
	var kinds []feel.OnBeat // of both views together: a chord tone is one in either
	for _, b := range s.OnBeat {
		if last := len(kinds) - 1; last >= 0 && kinds[last].ChordKind == b.ChordKind && kinds[last].View != b.View {
			kinds[last].ChordTone += b.ChordTone
			kinds[last].Scored += b.Scored
		} else {
			kinds = append(kinds, b)
		}
	}
	kinds = slices.DeleteFunc(kinds, func(b feel.OnBeat) bool { return b.Scored < beatsLeast })
	slices.SortStableFunc(kinds, func(a, b feel.OnBeat) int { return cmp.Compare(b.Scored, a.Scored) })
	var texts []string
	for _, b := range kinds {
		texts = append(texts, fmt.Sprintf("%s %d of %d", sp.text(b.ChordKind), b.ChordTone, b.Scored))
	}
	if !s.Feel.WithBeat {
		return nil
	}
	return spared(listed("chord tones on the beat: ", ", ", others, 2, texts...), 1)
}

// craft says what was done about the beat, and what was left hanging: both are
// news and no reproach.
func craft(s *analyse.Summary, sp speller) (told []telling) {
	if h := s.HalfSteps; h.Added > 0 {
		onto := fmt.Sprint(h.OntoBeat)
		if h.OntoBeat == 0 {
			onto = "none"
		}
		told = append(told, sentence(fmt.Sprintf("%s put in, %s to get back onto the beat", count(h.Added, "half step"), onto)))
	}
	if h := s.LeftHanging; h.Held+h.PhraseEnd > 0 {
		told = append(told, sentence(sp.leftHanging(&h)))
	}
	return told
}

// leftHanging says how often a tone was left hanging, and which most often.
func (s speller) leftHanging(h *phrase.Hanging) string {
	all := h.Held + h.PhraseEnd
	text := "left hanging " + times(all)
	switch {
	case h.PhraseEnd == 0:
	case all == 1:
		text += ", at the end of a phrase"
	case h.Held == 0:
		text += ", at phrase ends"
	default:
		text += fmt.Sprintf(", %d at phrase ends", h.PhraseEnd)
	}
	if len(h.Over) == 0 {
		return text
	}
	o := &h.Over[0]
	text += fmt.Sprintf(": %s over %s wants %s", s.name(o.Name), s.symbol(o.Chord), s.name(o.Wants))
	if len(h.Over) > 1 {
		text += ", and others"
	}
	return text
}

// hearings says which centre was heard where none was given.
func hearings(s *analyse.Summary, sp speller) []telling {
	var texts []string
	for _, h := range s.HeardCentres {
		texts = append(texts, fmt.Sprintf("%s from note %d", sp.centre(h.Centre), h.From+1))
	}
	return listed("centre heard: ", ", ", "", 1, texts...)
}
