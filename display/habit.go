package display

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/habit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

const (
	// habitRows is how many rows what has many kinds takes at the most, so that all
	// habits stand on one screen.
	habitRows = 3
	// habitLeast is how many phrases it takes to speak of a habit on the page.
	habitLeast = 4
)

// habitLines is the table of habits: what comes again and again. They are
// observations, and no verdicts.
func habitLines(s *analyse.Summary, sp speller) []string {
	p, h := &s.Phrases, &s.Habits
	if p.Phrases == 0 {
		return []string{"nothing to tell: no phrase was played"}
	}
	cells := []string{}
	for _, c := range h.Cells {
		cells = append(cells, strings.Trim(fmt.Sprintf("%+d", c.Intervals), "[]")+": "+times(c.Times)+lastSeen(c.Last))
	}
	blocks := []block{
		{heading: "Phrases", rows: said(count(p.Phrases, "phrase")+": ", ", ", habitRows, lengths(p)...)},
		{heading: "Starts", rows: edges(&p.Starts, sp)},
		{heading: "Ends", rows: edges(&p.Ends, sp)},
		{heading: "Range", rows: []string{keyName(h.Lowest, sp) + " to " + keyName(h.Highest, sp) +
			fmt.Sprintf(", %d half steps", h.Highest-h.Lowest)}},
		{heading: "Rests", rows: []string{fmt.Sprintf("%d %% of the time from the first phrase to the last", p.Rest)}},
		{heading: "Cells", rows: said("half steps ", ", ", habitRows, cells...)},
		{heading: "Crossings", rows: append(said("", ", ", 2, counted(p.Crossings, itself)...),
			said("by step: ", ", ", habitRows, counted(p.Steps, sp.degree)...)...)},
		{heading: "Side-slips", rows: seen("three notes or more in a row outside", &h.SideSlips)},
		{heading: "Ahead", rows: seen("in the next chord's scale", &h.Ahead)},
		{heading: "Displaced", rows: seen("resolved an octave or two away", &h.Displaced)},
	}
	blocks = slices.DeleteFunc(blocks, func(b block) bool { return len(b.rows) == 0 })
	return laidOut(nil, blocks, false)
}

// lengths says how many phrases were how long: "5-8 notes: twice".
func lengths(p *phrase.Report) (texts []string) {
	for _, l := range p.Lengths {
		if l.Phrases == 0 {
			continue
		}
		of := fmt.Sprintf("%d-%d notes", l.From, l.To)
		if l.To == 0 {
			of = fmt.Sprintf("%d or more", l.From)
		}
		texts = append(texts, of+": "+times(l.Phrases))
	}
	return texts
}

// edges says on which beats phrases start or end, on what of the chord, and in
// which half.
func edges(e *phrase.EdgeReport, sp speller) []string {
	halves := map[string]int64{"six": e.Halves.Home, "dim": e.Halves.Dim, "outside": e.Halves.Outside}
	rows := said("on beat ", ", ", 1, counted(e.Beats, itself)...)
	rows = append(rows, said("on ", ", ", 2, counted(e.ChordDegrees, sp.degreeWords)...)...)
	return append(rows, said("in the scale ", ", ", 1, counted(halves, itself)...)...)
}

// mostFrequent lists the keys of counts, the most frequent first.
func mostFrequent(counts map[string]int64) []string {
	keys := slices.DeleteFunc(slices.Sorted(maps.Keys(counts)), func(k string) bool { return counts[k] == 0 })
	slices.SortStableFunc(keys, func(a, b string) int { return cmp.Compare(counts[b], counts[a]) })
	return keys
}

// counted lists counts, the greatest first: "7 to 3: 5 times".
func counted(counts map[string]int64, word func(string) string) (texts []string) {
	for _, key := range mostFrequent(counts) {
		texts = append(texts, word(key)+": "+times(counts[key]))
	}
	return texts
}

func itself(text string) string { return text }

// seen says how often something was seen, and where the last few times.
func seen(what string, s *habit.Sightings) []string {
	if s.Times == 0 {
		return []string{what + ": none"}
	}
	var places []string
	for _, at := range s.Bars {
		if at.Bar > 0 {
			places = append(places, fmt.Sprintf("%d/%d", at.Chorus, at.Bar))
		}
	}
	text := what + ": " + times(s.Times)
	switch {
	case len(places) == 0:
		return []string{text}
	case s.Times > int64(len(places)):
		places = append([]string{ellipsis}, places...)
	}
	return []string{text + " (" + strings.Join(places, ", ") + ")"}
}

// lastSeen says in which bar something was seen last; nothing without a chart.
func lastSeen(at song.BarRef) string {
	if at.Bar == 0 {
		return ""
	}
	return fmt.Sprintf(" (%d/%d)", at.Chorus, at.Bar)
}

func keyName(key int, sp speller) string {
	return sp.pitch(tone.ClassOf(key).Name().String(), uint8(key))
}

// habitRow is the habits in a row of the page: where most phrases start, and on
// what most of them end.
func habitRow(s *analyse.Summary, sp speller) []string {
	p := &s.Phrases
	if p.Phrases < habitLeast {
		return nil
	}
	var texts []string
	add := func(words string, counts map[string]int64, word func(string) string) {
		if keys := mostFrequent(counts); len(keys) > 0 && counts[keys[0]] > 1 {
			texts = append(texts, fmt.Sprintf("%s %s (%d of %d)", words, word(keys[0]), counts[keys[0]], p.Phrases))
		}
	}
	add("starts on beat", p.Starts.Beats, itself)
	add("ends on", p.Ends.ChordDegrees, sp.degreeWords)
	return said("often: ", ", ", 1, texts...)
}
