package display

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fit"
	"shedlight/analyse/phrase"
)

// intervals by their size in semitones, as players say them.
var intervals = [...]string{"", "a half step", "a whole step", "a minor third", "a major third", "a fourth", "a tritone"}

// off says what the player did whose line fits elsewhere: "one bar behind", "a half
// step high".
func off(v *fit.Verdict) string { return movedBy(v.Bars(), v.Elsewhere.Semitones) }

// movedBy says how a line lies that would have to move by so many bars or half steps
// to fit.
func movedBy(bars float64, semitones int) string {
	if semitones != 0 {
		way := "high"
		if semitones > 0 {
			semitones, way = -semitones, "low"
		}
		return intervals[-semitones] + " " + way
	}
	way := "ahead"
	if bars < 0 {
		bars, way = -bars, "behind"
	}
	switch {
	case bars < 1:
		return "half a bar " + way
	case bars < 2:
		return "one bar " + way
	}
	return "two bars " + way
}

// barsOf names the bars of a verdict: "bars 9-12", "bar 4", "bars 46-5" where the form
// begins again within them.
func barsOf(v *fit.Verdict) string { return barsFromTo(v.FromBar, v.LastBar()) }

func barsFromTo(from, to int) string {
	if to < from {
		return fmt.Sprintf("bars %d-%d", from, to)
	}
	return stretchOfBars(from, to)
}

// youAre is what a player is told in a rest: "Bars 9-12: you are one bar behind."
func youAre(v *fit.Verdict) string {
	text := capital(barsOf(v)) + ": you are " + off(v) + "."
	if v.Elsewhere.Semitones != 0 {
		text = capital(barsOf(v)) + ": " + off(v) + "."
	}
	return text
}

// claimed says what a verdict claims of a section, a chorus or a take.
func claimed(v *fit.Verdict) string {
	switch v.Span {
	case fit.Take:
		if semitones, ok := v.ChartMove(); ok {
			return fmt.Sprintf("the whole take: %s; a transposing instrument wants the chart moved %s (--key)", what(v), movedUp(semitones))
		}
		return "the whole take: " + what(v)
	case fit.Chorus:
		return fmt.Sprintf("chorus %d: %s", v.Chorus, what(v))
	}
	return fmt.Sprintf("chorus %d, %s: %s", v.Chorus, barsOf(v), what(v))
}

// movedUp says how far and which way a chart is to be moved: "up a whole step".
func movedUp(semitones int) string {
	if semitones < 0 {
		return "down " + intervals[-semitones]
	}
	return "up " + intervals[semitones]
}

// what says what is claimed of a span.
func what(v *fit.Verdict) string {
	if v.Says == fit.Nowhere {
		return "it goes with none of the changes"
	}
	return off(v)
}

// capital begins a text with a capital letter.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// wentWith says in one word how a chorus or a take went; empty where there is nothing
// to say.
func wentWith(v *fit.Verdict) string {
	switch {
	case v.Says == fit.Elsewhere:
		return off(v)
	case v.Says == fit.Nowhere:
		return "with none of the changes"
	case v.Says == fit.Fits && v.With == fit.Chords:
		return "with the changes"
	case v.Says == fit.Fits && v.With == fit.Key:
		return "with the key"
	}
	return ""
}

// went says chorus by chorus whether the line went with the changes, choruses that
// went alike together: "choruses 1-3 and 5 with the changes, chorus 4 one bar behind".
func went(s *analyse.Summary) []telling {
	choruses := map[string][]int{}
	var hows []string
	for i := range s.Fit {
		v := &s.Fit[i]
		if how := wentWith(v); v.Span == fit.Chorus && how != "" {
			if choruses[how] == nil {
				hows = append(hows, how)
			}
			choruses[how] = append(choruses[how], v.Chorus)
		}
	}
	var texts []string
	for _, how := range hows {
		switch {
		case len(choruses[how]) < s.Choruses:
			texts = append(texts, chorusList(choruses[how])+" "+how)
		case s.Choruses == 1:
			texts = append(texts, "it went "+how)
		default:
			texts = append(texts, "every chorus went "+how)
		}
	}
	return listed("", ", ", "", 2, texts...)
}

// chorusList names choruses that are in order: "chorus 4", "choruses 1-3 and 5".
func chorusList(choruses []int) string {
	if len(choruses) == 1 {
		return fmt.Sprintf("chorus %d", choruses[0])
	}
	var texts []string
	for i := 0; i < len(choruses); {
		from := i
		for i++; i < len(choruses) && choruses[i] == choruses[i-1]+1; i++ {
		}
		texts = append(texts, bareStretch(choruses[from], choruses[i-1]))
	}
	last := len(texts) - 1
	if last == 0 {
		return "choruses " + texts[0]
	}
	return "choruses " + strings.Join(texts[:last], ", ") + " and " + texts[last]
}

// faults are the stretches that fit elsewhere or nowhere, each told once: the same bars,
// or whole choruses, that are off alike are one, however many choruses it came in.
func faults(s *analyse.Summary) (told []telling) {
	type fault struct {
		first    fit.Verdict
		choruses []int
	}
	alike := func(a, b *fit.Verdict) bool {
		return a.Span == b.Span && a.Says == b.Says && off(a) == off(b) &&
			(a.Span == fit.Chorus || a.Span == fit.Section && barsOf(a) == barsOf(b))
	}
	var all []fault
	for _, v := range fit.Speaking(s.Fit) {
		if v.Span == fit.Phrase {
			continue // told in the table of phrases
		}
		i := slices.IndexFunc(all, func(f fault) bool { return alike(&f.first, &v) })
		if i < 0 {
			all = append(all, fault{first: v, choruses: []int{v.Chorus}})
			continue
		}
		all[i].choruses = append(all[i].choruses, v.Chorus)
	}
	for i := range all {
		v, n := &all[i].first, len(all[i].choruses)
		text := claimed(v)
		switch {
		case v.Span == fit.Take && v.Says == fit.Elsewhere && inKey(s):
			text = "the whole take: with the key, but " + what(v) + " the changes"
		case n == 1:
		case v.Span == fit.Chorus:
			text = chorusList(all[i].choruses) + ": " + what(v)
		case n == s.Choruses:
			text = fmt.Sprintf("%s, every chorus: %s", barsOf(v), what(v))
		default:
			text = fmt.Sprintf("%s, in %d choruses: %s", barsOf(v), n, what(v))
		}
		told = append(told, sentence(text))
	}
	return told
}

// inKey reports whether every chorus went with the key, where the take is not with the
// changes but some bars before or behind them.
func inKey(s *analyse.Summary) bool {
	none := true
	for i := range s.Fit {
		switch v := &s.Fit[i]; {
		case v.Span == fit.Take && v.Elsewhere.Semitones != 0:
			return false
		case v.Span == fit.Chorus && v.Says != fit.TooLittle:
			if v.Says != fit.Fits || v.With != fit.Key {
				return false
			}
			none = false
		}
	}
	return !none
}

// claimedOver reports whether something is claimed of a span that holds notes of a
// phrase.
func claimedOver(s *analyse.Summary, p *phrase.Phrase) bool {
	return slices.ContainsFunc(s.Fit, func(v fit.Verdict) bool { return v.Claims() && v.FromN <= p.Last && p.First < v.ToN })
}

// inFault reports whether bars lie within a stretch that is told as a fault.
func inFault(s *analyse.Summary, from, to int) bool {
	for _, v := range fit.Speaking(s.Fit) {
		switch {
		case v.Span == fit.Phrase:
		case v.Span == fit.Take, v.FromBar <= from && to <= v.LastBar(), v.Span == fit.Chorus && s.Choruses == 1:
			return true
		}
	}
	return false
}

// chorusWent says how a chorus went, for its row in a table.
func chorusWent(s *analyse.Summary, chorus int) []string {
	for i := range s.Fit {
		if v := &s.Fit[i]; v.Span == fit.Chorus && v.Chorus == chorus && wentWith(v) != "" {
			return []string{wentWith(v)}
		}
	}
	return nil
}

// barsWent says what is claimed of a section that bars lie in, in some chorus.
func barsWent(s *analyse.Summary, from, to int) []string {
	for i := range s.Fit {
		v := &s.Fit[i]
		if v.Span == fit.Section && v.Claims() && v.FromBar <= from && to <= v.LastBar() {
			return []string{what(v)}
		}
	}
	return nil
}

// phraseWent says what is claimed of a phrase, by the number of its first note.
func phraseWent(s *analyse.Summary, first int64) []string {
	for i := range s.Fit {
		if v := &s.Fit[i]; v.Span == fit.Phrase && v.Claims() && v.FromN == first {
			return []string{what(v)}
		}
	}
	return nil
}
