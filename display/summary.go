package display

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/fate"
	"shedlight/analyse/feel"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Outcome is what a session came to, held against those before it.
type Outcome struct {
	analyse.Summary
	Met         []advise.Met        // suggestions of the takes before that this one met
	Suggestions []advise.Suggestion // for next time

	// The slips, by name, some of them at least, by the row
	// of ChordsDetail that counts them, from 1; under 0 those that no row counts.
	SlipNames map[int][]string
	// Unsplit says that nothing parts the hands: neither a split nor the top voice.
	Unsplit bool
	Goal    string // what each chorus was to be; outside text, empty for nothing

	// The takes of the same tune before this one, summed up.
	EarlierTakes               int
	EarlierNotes, EarlierSlips int64
}

// WriteSummary writes what a session came to, on one screen of 80 by 24 at the
// most: what was played, how it fitted, where it slipped, what was never used,
// what changed, and what to practise next. A narrower page says the same on more rows. What has nothing to say is left out.
// The error is the writer's.
func WriteSummary(w io.Writer, o *Outcome, options Options) error {
	return writeRows(w, summaryLines(o, newSpeller(options), pageRows), options.width())
}

// summaryLines is the summary on so many rows at the most.
func summaryLines(o *Outcome, sp speller, limit int) []string {
	var out []string
	if o.Title != "" {
		out = append(out, sp.text(o.Title))
	}
	switch {
	case o.Notes == 0 && o.Ghosts > 0:
		return append(out, fmt.Sprintf("Nothing but %s below the gate was played.", count(o.Ghosts, "note")))
	case o.Notes == 0:
		return append(out, "No notes were played.")
	}
	s := &o.Summary
	blocks := []block{played(o, sp)}
	if s.Place == (song.PlaceCounts{}) {
		blocks = append(blocks, block{heading: "Fitted", rows: []string{"no chart and no centre was given, so no note was judged"}})
	} else {
		blocks = append(blocks, fitted(s, sp), slipped(o, sp), neverUsed(s, sp), changed(o, sp), nextTime(o, sp))
	}
	blocks = slices.DeleteFunc(blocks, func(b block) bool { return len(b.rows) == 0 })
	total := shorten(blocks, limit-len(out))
	return laidOut(out, blocks, len(out)+total+len(blocks) <= limit)
}

// played says what was played.
func played(o *Outcome, sp speller) block {
	s := &o.Summary
	rows := []string{count(s.Notes, "note") + " in " + clock(s.Seconds) + form(s)}
	if len(s.Forgotten) > 0 {
		rows = append(rows, forgotten(s.Forgotten))
	}
	if n := len(s.Marks); n > 0 {
		rows = append(rows, count(int64(n), "place")+" marked: --by mark lists them")
	}
	if s.Ghosts > 0 {
		rows = append(rows, count(s.Ghosts, "note")+" below the gate, which do not count")
	}
	var figures []string
	for _, one := range []struct {
		n    int64
		word string
	}{
		{s.Figures.Run, "run"}, {s.Figures.Arpeggio, "arpeggio"},
		{s.Figures.Cell, "cell"}, {s.Figures.Enclosure, "enclosure"}, {s.Figures.Chord, "chord"}, {s.Figures.Leap, "leap"},
	} {
		if one.n > 0 {
			figures = append(figures, count(one.n, one.word))
		}
	}
	rows = append(rows, said("", ", ", 1, figures...)...)
	if o.Unsplit && (s.SplitFound > 0 || s.Phrases.Struck >= splitLeast) {
		rows = append(rows, "--split "+splitName(s.SplitFound)+" keeps the left hand apart from the melody")
	}
	rows = append(append(rows, phrasing(s)...), timeFeel(s)...)
	rows = append(rows, goodPhrase(s, sp)...)
	habits := habitRow(s, sp)
	return block{heading: "Played", rows: append(rows, habits...), spare: len(habits)}
}

// forgotten says which choruses are in no count: "choruses 3 and 5 forgotten".
func forgotten(choruses []int) string {
	if len(choruses) == 1 {
		return fmt.Sprintf("chorus %d forgotten: in the take, in no count", choruses[0])
	}
	last := len(choruses) - 1
	texts := make([]string, last)
	for i := range texts {
		texts[i] = fmt.Sprint(choruses[i])
	}
	return fmt.Sprintf("choruses %s and %d forgotten: in the take, in no count", strings.Join(texts, ", "), choruses[last])
}

// splitLeast is how many chords struck amid a melody tell that both hands play it:
// a chord here and there is a way to end a phrase.
const splitLeast = 8

// splitName names the key of a split as the flag takes it: at concert pitch.
func splitName(key uint8) string {
	if key == 0 {
		return "C4" // the middle of the keyboard, where none was found
	}
	return fmt.Sprintf("%s%d", tone.Class(key%tone.Octave).Name(), int(key)/tone.Octave-1)
}

// form says how often the form was played: ", 4 choruses of 4 bars", and how far
// the last time, where that was not to its last bar.
func form(s *analyse.Summary) string {
	if s.Choruses == 0 || len(s.BarsDetail) == 0 {
		return ""
	}
	whole := len(s.BarsDetail)
	text := fmt.Sprintf(", %s of %s", count(int64(s.Choruses), "chorus"), count(int64(whole), "bar"))
	if last := s.Bars - (s.Choruses-1)*whole; 0 < last && last < whole {
		text += fmt.Sprintf(", the last to bar %d", s.BarsDetail[last-1].Bar)
	}
	return text
}

// perBar is how many notes a bar had: of the bars that the page tells, where there
// is a chart.
func perBar(s *analyse.Summary) float64 {
	if s.Bars == 0 {
		return float64(s.Feel.NotesPerBar)
	}
	return float64(s.Notes) / float64(s.Bars)
}

// phrasing says how long phrases were, and how dense.
func phrasing(s *analyse.Summary) []string {
	p := &s.Phrases
	if p.Phrases == 0 {
		return nil
	}
	row := fmt.Sprintf("%s, the longest of %s, rests %d %%", count(p.Phrases, "phrase"), count(int64(p.Longest), "note"), p.Rest)
	if s.Feel.Counted {
		row += fmt.Sprintf(", %.1f notes a bar", perBar(s))
	}
	return []string{row}
}

// goodPhrase shows a good phrase, by the places or the number that the table of
// phrases gives it, and what it was made of.
func goodPhrase(s *analyse.Summary, sp speller) []string {
	fits := slices.IndexFunc(s.Phrases.Good, func(p phrase.Phrase) bool { return !claimedOver(s, &p) })
	if fits < 0 {
		return nil
	}
	p := &s.Phrases.Good[fits]
	where := fmt.Sprintf("number %d", p.Number)
	if p.Start.Bar > 0 {
		where = fmt.Sprintf("%d/%d to %d/%d", p.Start.Chorus, p.Start.Bar, p.End.Chorus, p.End.Bar)
	}
	rows := said("good phrase: ", ", ", 2, where, count(int64(p.Notes), "note"), sp.ended(p))
	return append(rows, sp.figureRows("made of: ", p, pageWidth-labelCells, 1)...)
}

// fitted says whether the line went with the changes, how its notes lay, and how it
// fell on the beat.
func fitted(s *analyse.Summary, sp speller) block {
	rows := went(s)
	rows = append(rows, said("", ", ", 2, groups(s)...)...)
	view := "over one key:"
	if s.View == song.ChordView {
		view = "over each chord:"
	}
	rows = append(rows, said(view+" ", ", ", 1, fmt.Sprintf("six %d", s.Place.Home), fmt.Sprintf("dim %d", s.Place.Dim),
		fmt.Sprintf("outside %d", s.Place.Outside))...)
	rows = append(rows, said("outside notes: ", ", ", 2, fateCounts(s)...)...)
	rows = append(rows, said("colours, nothing to mend: ", ", ", 1, colours(s, sp)...)...)
	rows = append(rows, beats(s, sp)...)
	rows = append(rows, craft(s, sp)...)
	return block{heading: "Fitted", rows: append(append(rows, hearings(s, sp)...), subs(s, sp)...)}
}

// groups says how the notes lay, each once.
func groups(s *analyse.Summary) (texts []string) {
	g := &s.Groups
	for _, one := range []struct {
		word string
		n    int64
	}{
		{"on the chord", g.Chord}, {"in the scale", g.Scale}, {"on its way", g.Way}, {"edge of the change", g.Change},
		{"colour", g.Colour}, {"slips", g.Slip},
	} {
		if one.n > 0 {
			texts = append(texts, fmt.Sprintf("%s %d (%s)", one.word, one.n, share(one.n, s.Notes)))
		}
	}
	return texts
}

// colours lists which colours were played, the most frequent first.
func colours(s *analyse.Summary, sp speller) (texts []string) {
	all := slices.Clone(s.Colours)
	slices.SortStableFunc(all, func(a, b analyse.ColourCount) int { return cmp.Compare(b.Times, a.Times) })
	for _, c := range all {
		texts = append(texts, sp.degree(c.Is)+" "+times(c.Times))
	}
	return texts
}

// fateCounts lists what became of the outside notes, the most frequent first.
func fateCounts(s *analyse.Summary) []string {
	type met struct {
		word string
		n    int64
	}
	var all []met
	for f := fate.Glitch; f <= fate.Unresolved; f++ {
		if n := s.Fate[f.String()]; n > 0 && f != fate.Colour {
			all = append(all, met{fateWord(f, ""), n})
		}
	}
	if s.Meant > 0 {
		all = append(all, met{"meant", s.Meant})
	}
	slices.SortStableFunc(all, func(a, b met) int { return cmp.Compare(b.n, a.n) })
	var out []string
	for _, one := range all {
		out = append(out, fmt.Sprintf("%s %d", one.word, one.n))
	}
	return out
}

// beats says how many chord tones fell on the beat, over the kinds of chord scored
// most.
func beats(s *analyse.Summary, sp speller) []string {
	kinds := slices.DeleteFunc(slices.Clone(s.OnBeat), func(b feel.OnBeat) bool { return b.Scored == 0 })
	slices.SortStableFunc(kinds, func(a, b feel.OnBeat) int { return cmp.Compare(b.Scored, a.Scored) })
	var texts []string
	for _, b := range kinds {
		texts = append(texts, fmt.Sprintf("%s %d of %d", sp.text(b.ChordKind), b.ChordTone, b.Scored))
	}
	if len(texts) == 0 || !s.Feel.WithBeat {
		return nil
	}
	return said("chord tones on the beat: ", ", ", 2, texts...)
}

// craft says what was done about the beat, and what was left hanging: both are
// news and no reproach.
func craft(s *analyse.Summary, sp speller) (rows []string) {
	if n := s.HalfSteps.Added; n > 0 {
		rows = append(rows, fmt.Sprintf("half steps put in: %d, %d of them back onto the beat", n, s.HalfSteps.OntoBeat))
	}
	if h := s.LeftHanging; h.Held+h.PhraseEnd > 0 {
		text := fmt.Sprintf("left hanging: %d held, %d at the end of a phrase", h.Held, h.PhraseEnd)
		if len(h.Over) > 0 {
			o := &h.Over[0]
			text += fmt.Sprintf("; %s over %s wants %s, %s", sp.name(o.Name), sp.symbol(o.Chord), sp.name(o.Wants), times(o.Times))
		}
		rows = append(rows, text)
	}
	return rows
}

// hearings says which centre was heard where none was given.
func hearings(s *analyse.Summary, sp speller) []string {
	var texts []string
	for _, h := range s.HeardCentres {
		texts = append(texts, fmt.Sprintf("%s from note %d", sp.centre(h.Centre), h.From+1))
	}
	return said("centre heard: ", ", ", 1, texts...)
}

// subs says in which other scales chords were heard.
func subs(s *analyse.Summary, sp speller) []string {
	all := slices.Clone(s.Subs)
	slices.SortStableFunc(all, func(a, b analyse.SubUse) int { return cmp.Compare(b.Times, a.Times) })
	var texts []string
	for _, u := range all {
		texts = append(texts, fmt.Sprintf("%s as %s %s", sp.text(u.ChordKind), sp.short(u.Scale), times(u.Times)))
	}
	return said("heard: ", ", ", 1, texts...)
}

// slipRows is how many rows tell where it slipped over which chord, the last of
// them where there is room.
const slipRows = 3

// slipped says where it slipped: first the stretches that fit elsewhere or nowhere,
// each as one fault, then what was held against its chord, then single slips by centre
// and by chord outside those stretches, and what they have in common.
func slipped(o *Outcome, sp speller) block {
	const heading = "Slipped"
	s := &o.Summary
	rows := faults(s)
	n := s.Slips()
	switch {
	case n == 0 && len(rows) > 0:
		return block{heading: heading, rows: rows}
	case s.Place.Outside == 0 && n == 0:
		return block{heading: heading, rows: []string{"nowhere: no note was outside"}}
	case n == 0:
		return block{heading: heading, rows: []string{"nowhere: everything outside has its reason"}}
	}
	rows = append(rows, said("against the chord: ", "; ", 2, fights(s, sp)...)...)
	total := fmt.Sprintf("%s in %s", count(n, "slip"), count(s.Notes, "note"))
	if len(s.ChordsDetail) == 0 && len(s.Centres) < 2 {
		total += sp.slips(o.SlipNames[0], n)
	}
	centres := slices.DeleteFunc(slices.Clone(s.Centres), func(c analyse.CentreCount) bool { return c.Slips() == 0 })
	slices.SortStableFunc(centres, func(a, b analyse.CentreCount) int { return cmp.Compare(b.Slips(), a.Slips()) })
	if len(s.Centres) > 1 {
		var texts []string
		for _, c := range centres {
			texts = append(texts, fmt.Sprintf("%s %d of %d", sp.centre(c.Centre), c.Slips(), c.Notes))
		}
		rows = append(rows, said(total+": ", ", ", 1, texts...)...)
	} else {
		rows = append(rows, total)
	}
	rows = append(rows, inCommon(s)...)
	type slip struct {
		text  string
		slips int64
	}
	var chords []slip
	for i, c := range s.ChordsDetail {
		if c.Slips() > 0 && !inFault(s, c.Bar, c.ToBar) {
			text := fmt.Sprintf("%s: %d of %d", sp.overChord(c.Bar, c.ToBar, c.Symbol), c.Slips(), c.Notes)
			chords = append(chords, slip{text: text + sp.slips(o.SlipNames[i+1], c.Slips()), slips: c.Slips()})
		}
	}
	slices.SortStableFunc(chords, func(a, b slip) int { return cmp.Compare(b.slips, a.slips) })
	var texts []string
	for _, c := range chords {
		texts = append(texts, c.text)
	}
	over := said("", "; ", slipRows, texts...)
	return block{heading: heading, rows: append(rows, over...), spare: max(len(over)-slipRows+1, 0)}
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
func inCommon(s *analyse.Summary) []string {
	const least = 3
	slips := s.Fate[fate.Unresolved.String()]
	if s.SlipsAhead < least || 3*s.SlipsAhead < 2*slips {
		return nil
	}
	return []string{fmt.Sprintf("%d of %s come in the beat before a change: hold the old chord, or tie the new one over",
		s.SlipsAhead, count(slips, "slip"))}
}

// slips names the notes that slipped: ": C♯, F♯, C♯", some of them where
// there are more.
func (s speller) slips(notes []string, all int64) string {
	if len(notes) == 0 {
		return ""
	}
	var texts []string
	for _, n := range notes {
		texts = append(texts, s.name(n))
	}
	if int64(len(texts)) < all {
		texts = append(texts, ellipsis)
	}
	return ": " + strings.Join(texts, ", ")
}

// neverUsed says which chords of the families were not played, of the family
// played most first.
func neverUsed(s *analyse.Summary, sp speller) block {
	var texts []string
	for _, f := range familiesOf(s) {
		if f.played > 0 && len(f.untouched) > 0 {
			texts = append(texts, f.text(sp))
		}
	}
	return block{heading: "Never used", rows: said("", "; ", 2, texts...)}
}

// changed says how it went from the first chorus to the last, and against the
// takes before.
func changed(o *Outcome, sp speller) block {
	var rows []string
	now := o.Summary.Slips()
	if len(o.ChorusesDetail) > 1 {
		first, last := &o.ChorusesDetail[0], lastChorus(o.ChorusesDetail)
		if last != first {
			rows = append(rows, chorusAgainst(first, last))
		}
	}
	if o.EarlierTakes > 0 {
		rows = append(rows, fmt.Sprintf("since %s: slips %s",
			count(int64(o.EarlierTakes), "earlier take"), fromTo(o.EarlierSlips, o.EarlierNotes, now, o.Notes)))
	}
	if met, of := analyse.GoalMet(o.ChorusesDetail); o.Goal != "" {
		rows = append(rows, fmt.Sprintf("goal, %s: met in %d of %s", sp.text(o.Goal), met, count(int64(of), "chorus")))
	}
	rows = append(rows, said("met: ", "; ", 2, sp.met(o.Met)...)...)
	if now > 0 && len(o.ChorusesDetail) > 1 {
		rows = append(rows, choruses(o.ChorusesDetail))
	}
	return block{heading: "Changed", rows: rows}
}

// nextTime writes the suggestions.
func nextTime(o *Outcome, sp speller) block {
	var rows []string
	for i := range o.Suggestions {
		texts := strings.Fields(sp.suggestion(&o.Suggestions[i]))
		rows = append(rows, said(fmt.Sprintf("%d. ", i+1), " ", 2, texts...)...)
	}
	return block{heading: "Next time", rows: rows, whole: true}
}
