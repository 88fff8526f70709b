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
	// habitMost is how many habits are told, those that a teacher would speak of first.
	habitMost = 6
	// habitLeast is how many phrases it takes to speak of a habit, crossingsLeast how
	// many changes, seenLeast how often one thing comes.
	habitLeast, crossingsLeast, seenLeast = 4, 6, 2
	// hurried is the share of rests, in percent, under which a line hardly breathes.
	hurried = 10
	// closeRange is the range, in half steps, that a line should leave.
	closeRange = 15
	// barsTold is how many bars of a habit are named, the latest.
	barsTold = 4
)

// habitLines is the table of habits: what comes again and again, in the order in which
// a teacher would speak of it, at most six. They are observations, and no verdicts.
func habitLines(r *Review, sp speller, cells int) []string {
	s := &r.Summary
	p, h := &s.Phrases, &s.Habits
	if p.Phrases == 0 {
		return []string{"nothing to tell: no phrase was played"}
	}
	var blocks []block
	tell := func(is bool, heading, text string, bars ...song.BarRef) {
		if is && len(blocks) < habitMost {
			blocks = append(blocks, block{heading: heading, told: []telling{sentence(text + inBars(bars))}})
		}
	}
	seen := func(heading, text string, s *habit.Sightings) {
		if text += ": " + times(s.Times); s.Times > int64(len(s.Bars)) {
			text += ", lately"
		}
		tell(s.Times >= seenLeast, heading, text, s.Bars...)
	}
	enough := p.Phrases >= habitLeast
	tell(enough && p.Rest < hurried, "Rests", fmt.Sprintf("%d %% of the time: the line hardly breathes", p.Rest))
	hung := s.LeftHanging.PhraseEnd
	tell(enough && hung >= seenLeast && hung*4 >= p.Phrases, "Hanging", fmt.Sprintf("%d of %s end on a tone that wants to go on", hung, count(p.Phrases, "phrase")),
		edgesWhere(r.Phrases, end, func(e *phrase.Edge) bool { return e.Wants != "" })...)
	changes := int64(0)
	for _, n := range p.Crossings {
		changes += n
	}
	leaps := p.Crossings["leap"]
	tell(changes >= crossingsLeast && leaps*2 >= changes, "Crossings", fmt.Sprintf("%d of %s are crossed by a leap", leaps, count(changes, "change")), leapsAcross(r.Phrases)...)
	if beat, times := most(p.Starts.Beats); enough && times*2 >= p.Phrases {
		tell(true, "Starts", fmt.Sprintf("%d of %s start on %s", times, count(p.Phrases, "phrase"), beatWords(beat)),
			edgesWhere(r.Phrases, start, func(e *phrase.Edge) bool { return e.On == beat })...)
	}
	if degree, times := most(p.Ends.ChordDegrees); enough && times*2 >= p.Phrases {
		tell(true, "Ends", fmt.Sprintf("%d of %s end on %s", times, count(p.Phrases, "phrase"), sp.degreeWords(degree)),
			edgesWhere(r.Phrases, end, func(e *phrase.Edge) bool { return e.ChordDegree == degree })...)
	}
	if len(h.Cells) > 0 {
		cell := &h.Cells[0]
		tell(true, "Cell", cellWords(cell.Intervals)+": "+times(cell.Times)+", the last", cell.Last)
	}
	seen("Side-slips", "three notes or more in a row outside", &h.SideSlips)
	seen("Ahead", "already in the next chord's scale", &h.Ahead)
	seen("Displaced", "resolved an octave or two away", &h.Displaced)
	reach := h.Highest - h.Lowest
	lowest, highest := keyName(h.Lowest, sp)+inBars([]song.BarRef{h.LowestAt}), keyName(h.Highest, sp)+inBars([]song.BarRef{h.HighestAt})
	tell(enough && reach <= closeRange, "Range", fmt.Sprintf("all between %s and %s: %s", lowest, highest, withArticle(interval(reach))))
	if len(blocks) == 0 {
		return []string{"nothing comes again and again"}
	}
	return laidOut(nil, blocks, false, cells)
}

func start(p *phrase.Phrase) *phrase.Edge { return &p.Start }

func end(p *phrase.Phrase) *phrase.Edge { return &p.End }

// edgesWhere lists the bars of those phrases' first or last notes that are so.
func edgesWhere(phrases []phrase.Phrase, edge func(*phrase.Phrase) *phrase.Edge, so func(*phrase.Edge) bool) (bars []song.BarRef) {
	for i := range phrases {
		if e := edge(&phrases[i]); so(e) {
			bars = append(bars, song.BarRef{Chorus: e.Chorus, Bar: e.Bar})
		}
	}
	return bars
}

// leapsAcross lists the bars into which the line leapt over a change.
func leapsAcross(phrases []phrase.Phrase) (bars []song.BarRef) {
	for i := range phrases {
		for _, c := range phrases[i].Crossings {
			if c.Kind == "leap" {
				bars = append(bars, song.BarRef{Chorus: c.Chorus, Bar: c.Bar})
			}
		}
	}
	return bars
}

// cellWords tells the intervals of a cell: "minor third down, half step up, octave up".
func cellWords(intervals []int) string {
	words := make([]string, len(intervals))
	for i, n := range intervals {
		switch {
		case n < 0:
			words[i] = interval(-n) + " down"
		case n > 0:
			words[i] = interval(n) + " up"
		default:
			words[i] = "the same"
		}
	}
	return strings.Join(words, ", ")
}

// inBars names the latest of some bars: " in bars 4, 7 of chorus 1, bar 4 of chorus 2".
// Nothing without a chart.
func inBars(bars []song.BarRef) string {
	bars = slices.Compact(slices.DeleteFunc(slices.Clone(bars), func(b song.BarRef) bool { return b.Bar == 0 }))
	in := " in "
	if len(bars) > barsTold {
		in, bars = ", lately in ", bars[len(bars)-barsTold:]
	}
	var texts []string
	for from, to := 0, 0; from < len(bars); from = to {
		var numbers []string
		for to = from; to < len(bars) && bars[to].Chorus == bars[from].Chorus; to++ {
			numbers = append(numbers, fmt.Sprint(bars[to].Bar))
		}
		word := "bar"
		if len(numbers) > 1 {
			word = "bars"
		}
		texts = append(texts, fmt.Sprintf("%s %s of chorus %d", word, strings.Join(numbers, ", "), bars[from].Chorus))
	}
	if len(texts) == 0 {
		return ""
	}
	return in + strings.Join(texts, ", ")
}

// most returns the key with the greatest count.
func most(counts map[string]int64) (key string, times int64) {
	if keys := mostFrequent(counts); len(keys) > 0 {
		return keys[0], counts[keys[0]]
	}
	return "", 0
}

// mostFrequent lists the keys of counts, the most frequent first.
func mostFrequent(counts map[string]int64) []string {
	keys := slices.DeleteFunc(slices.Sorted(maps.Keys(counts)), func(k string) bool { return counts[k] == 0 })
	slices.SortStableFunc(keys, func(a, b string) int { return cmp.Compare(counts[b], counts[a]) })
	return keys
}

// beatWords writes a part of a beat as it is said: "2" is "beat 2", "2.5" "the and of 2",
// and what lies between them "just after 2".
func beatWords(part string) string {
	beat, behind, _ := strings.Cut(part, ".")
	switch behind {
	case "":
		return "beat " + beat
	case "5":
		return "the and of " + beat
	}
	return "just after " + beat
}

func keyName(key int, sp speller) string {
	return sp.pitch(tone.ClassOf(key).Name().String(), uint8(key))
}

// habitRow is the habits in a row of the page: where most phrases start, and on
// what most of them end.
func habitRow(s *analyse.Summary, sp speller) []telling {
	p := &s.Phrases
	if p.Phrases < habitLeast {
		return nil
	}
	var texts []string
	add := func(words string, counts map[string]int64, word func(string) string) {
		if key, times := most(counts); times*2 >= p.Phrases {
			of := fmt.Sprint(p.Phrases)
			if len(texts) == 0 {
				of = count(p.Phrases, "phrase")
			}
			texts = append(texts, fmt.Sprintf("%d of %s %s %s", times, of, words, word(key)))
		}
	}
	add("start on", p.Starts.Beats, beatWords)
	add("end on", p.Ends.ChordDegrees, sp.degreeWords)
	return spared(listed("", "; ", "", 1, texts...), 0)
}
