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
	"shedlight/analyse/figure"
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
	Kept    bool   // it is in a file, which can be reviewed

	// The takes of the same tune before this one, summed up.
	EarlierTakes               int
	EarlierNotes, EarlierSlips int64
}

// WriteSummary writes what a session came to, on one screen of 80 by 24 at the
// most: what was played, how it fitted, where it slipped, what was never used,
// what changed, and what to practise next. A narrower page says the same on more rows. What has nothing to say is left out.
// The error is the writer's.
func WriteSummary(w io.Writer, o *Outcome, options Options) error {
	return writeRows(w, summaryLines(o, newSpeller(options), pageRows, options.width()), options.width())
}

// enoughNotes is how many notes it takes to say how they fitted: two bars of eighths.
const enoughNotes = 16

// summaryLines is the summary for so many cells; where these are a whole page's, on so
// many rows at the most.
func summaryLines(o *Outcome, sp speller, limit, cells int) []string {
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
	switch {
	case s.Place == (song.PlaceCounts{}):
		blocks = append(blocks, block{heading: "Fitted", told: []telling{sentence("no chart and no centre was given, so no note was judged")}})
	case s.Notes < enoughNotes:
		blocks = append(blocks, block{heading: "Fitted", told: []telling{sentence(count(s.Notes, "note") + ": too little to say")}}, slipped(o, sp))
	default:
		blocks = append(blocks, fitted(s, sp), slipped(o, sp), neverUsed(s, sp), changed(o, sp), nextTime(o, sp))
	}
	blocks = slices.DeleteFunc(blocks, func(b block) bool { return len(b.told) == 0 })
	total := shorten(blocks, limit-len(out))
	return laidOut(out, blocks, len(out)+total+len(blocks) <= limit, cells)
}

// played says what was played.
func played(o *Outcome, sp speller) block {
	s := &o.Summary
	told := []telling{sentence(count(s.Notes, "note") + " in " + clock(s.Seconds) + form(s))}
	tell := func(is bool, text string) {
		if is {
			told = append(told, sentence(text))
		}
	}
	tell(len(s.Forgotten) > 0, forgotten(s.Forgotten))
	tell(len(s.Marks) > 0, count(int64(len(s.Marks)), "place")+" marked: --by mark lists them")
	tell(s.Passed > 0, count(s.Passed, "note")+" in the bars of others, which do not count")
	tell(s.Ghosts > 0, count(s.Ghosts, "note")+" below the gate, which do not count")
	tell(s.Groups.Glitch > 0, count(s.Groups.Glitch, "glitch")+", which do not count")
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
	told = append(told, listed("", ", ", others, 1, figures...)...)
	tell(o.Unsplit && (s.SplitFound > 0 || s.Phrases.Struck >= splitLeast), "--split "+splitName(s.SplitFound)+" keeps the left hand apart from the melody")
	told = append(append(told, phrasing(s)...), timeFeel(s)...)
	if s.Notes >= enoughNotes {
		told = append(append(told, goodPhrase(s, sp)...), habitRow(s, sp)...)
	}
	return block{heading: "Played", told: told}
}

// forgotten says which choruses are in no count: "choruses 3 and 5 forgotten".
func forgotten(choruses []int) string {
	switch len(choruses) {
	case 0:
		return ""
	case 1:
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
		if s.Choruses > 1 {
			text += ", the last"
		} else {
			text += ","
		}
		text += fmt.Sprintf(" to bar %d", s.BarsDetail[last-1].Bar)
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
func phrasing(s *analyse.Summary) []telling {
	p := &s.Phrases
	if p.Phrases == 0 {
		return nil
	}
	texts := []string{"1 phrase of " + count(int64(p.Longest), "note")}
	if p.Phrases > 1 {
		texts[0] = fmt.Sprintf("%s, the longest %s", count(p.Phrases, "phrase"), count(int64(p.Longest), "note"))
		texts = append(texts, fmt.Sprintf("rests %d %%", p.Rest))
	}
	if s.Feel.Counted {
		texts = append(texts, fmt.Sprintf("%.1f notes a bar", perBar(s)))
	}
	return listed("", ", ", "", 2, texts...)
}

// goodPhrase shows a good phrase, by the places or the number that the table of
// phrases gives it, and what it was made of.
func goodPhrase(s *analyse.Summary, sp speller) []telling {
	fits := slices.IndexFunc(s.Phrases.Good, func(p phrase.Phrase) bool { return !claimedOver(s, &p) })
	if fits < 0 {
		return nil
	}
	p := &s.Phrases.Good[fits]
	where := fmt.Sprintf(", number %d of --by phrase", p.Number)
	if p.Start.Bar > 0 {
		where = " in " + barsOfPhrase(p, s.Choruses)
	}
	told := []telling{sentence(fmt.Sprintf("a good phrase%s: %s, %s", where, count(int64(p.Notes), "note"), sp.landing(p)))}
	if !slices.ContainsFunc(p.Figures, func(f figure.OfPhrase) bool { return f.Kind != figure.Leap }) {
		return told // a leap alone says nothing of it
	}
	made := sp.madeOf("made of: ", p)
	return append(told, telling{list: made, rows: made.on(1, besides)})
}

// barsOfPhrase says in which bars a phrase was played: "chorus 1, bars 4-6".
func barsOfPhrase(p *phrase.Phrase, choruses int) string {
	from, to := &p.Start, &p.End
	switch {
	case from.Chorus != to.Chorus:
		return fmt.Sprintf("chorus %d, bar %d to chorus %d, bar %d", from.Chorus, from.Bar, to.Chorus, to.Bar)
	case choruses == 1:
		return stretchOfBars(from.Bar, to.Bar)
	}
	return fmt.Sprintf("chorus %d, %s", from.Chorus, stretchOfBars(from.Bar, to.Bar))
}

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

// neverUsed says which chords of the families were not played, of the family
// played most first.
func neverUsed(s *analyse.Summary, sp speller) block {
	var texts []string
	for _, f := range familiesOf(s) {
		if len(f.touched) > 0 && len(f.untouched) > 0 {
			texts = append(texts, f.text(sp))
		}
	}
	return block{heading: "Never used", told: listed("", "; ", "family", 2, texts...)}
}

// changed says how it went from the first chorus to the last, and against the
// takes before.
func changed(o *Outcome, sp speller) block {
	var told []telling
	now := o.Summary.Slips()
	if len(o.ChorusesDetail) > 1 {
		first, last := &o.ChorusesDetail[0], lastChorus(o.ChorusesDetail)
		if last != first {
			told = append(told, sentence(chorusAgainst(first, last)))
		}
	}
	if o.EarlierTakes > 0 {
		told = append(told, sentence(fmt.Sprintf("since %s: slips %s",
			count(int64(o.EarlierTakes), "earlier take"), fromTo(o.EarlierSlips, o.EarlierNotes, now, o.Notes))))
	}
	if met, of := analyse.GoalMet(o.ChorusesDetail); o.Goal != "" {
		told = append(told, sentence(fmt.Sprintf("goal, %s: met in %d of %s", sp.text(o.Goal), met, count(int64(of), "chorus"))))
	}
	told = append(told, listed("met: ", "; ", "", 2, sp.met(o.Met)...)...)
	if now > 0 && len(o.ChorusesDetail) > 1 {
		told = append(told, sentence(choruses(o.ChorusesDetail)))
	}
	return block{heading: "Changed", told: told}
}

// nextTime writes the suggestions, and how to have one as notes.
func nextTime(o *Outcome, sp speller) block {
	var told []telling
	for i := range o.Suggestions {
		told = append(told, telling{rows: wrapWords(fmt.Sprintf("%d. ", i+1), sp.suggestion(&o.Suggestions[i]), besides)})
	}
	first := slices.IndexFunc(o.Suggestions, func(a advise.Suggestion) bool { return len(a.Play.Notes) > 0 })
	if o.Kept && first >= 0 {
		written := sentence(fmt.Sprintf("as notes: shedlight review TAKE --exercise %d", first+1))
		told = append(told, spared([]telling{written}, 0)...)
	}
	return block{heading: "Next time", told: told, whole: true}
}
