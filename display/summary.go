package display

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/advise"
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
	Goal    string   // what each chorus was to be; outside text, empty for nothing
	Kept    bool     // it is in a file, which can be reviewed
	With    []string // who played along; outside text

	Earlier Earlier
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
	told := []telling{sentence(count(s.Notes, "note") + " in " + clock(s.Seconds) + form(s) + comma(atTempi(s.ChorusesDetail)))}
	tell := func(is bool, text string) {
		if is {
			told = append(told, sentence(text))
		}
	}
	tell(withBand(o.With), "with "+inWords(o.With, sp))
	tell(len(s.Forgotten) > 0, forgotten(s.Forgotten))
	tell(len(s.ChorusesDetail) > 0 && s.ChorusesDetail[0].Key != "", "a new key every chorus; bars are told in the chart's key")
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
	if text := overChoruses(o.ChorusesDetail, sp); text != "" {
		told = append(told, sentence(text))
	}
	if text := o.Earlier.text(sp); text != "" {
		told = append(told, sentence(text))
	}
	if o.Goal != "" {
		told = append(told, sentence(sp.goal(o)))
	}
	told = append(told, listed("met: ", "; ", "", 2, sp.met(o.Met)...)...)
	if now > 0 && len(o.ChorusesDetail) > 1 {
		told = append(told, sentence(choruses(o.ChorusesDetail, sp)))
	}
	return block{heading: "Changed", told: told}
}

// goal says how far the goal was met.
func (s speller) goal(o *Outcome) string {
	met, of := o.GoalKind.Met(o.ChorusesDetail)
	how, what := "met in", "chorus"
	switch o.GoalKind {
	case analyse.ThirdOnChange:
		how, what = "on", "change"
	case analyse.FamilyChord:
		how = "played in"
	}
	return fmt.Sprintf("goal, %s: %s %d of %s", s.text(o.Goal), how, met, count(int64(of), what))
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
