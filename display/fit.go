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
func barsOf(v *fit.Verdict) string {
	if last := v.LastBar(); last < v.FromBar {
		return fmt.Sprintf("bars %d-%d", v.FromBar, last)
	}
	return stretchOfBars(v.FromBar, v.LastBar())
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
			return fmt.Sprintf("the whole take: %s; a transposing instrument wants the chart moved by %s (--key)", what(v), halfSteps(semitones))
		}
		return "the whole take: " + what(v)
	case fit.Chorus:
		return fmt.Sprintf("chorus %d: %s", v.Chorus, what(v))
	}
	return fmt.Sprintf("chorus %d, %s: %s", v.Chorus, barsOf(v), what(v))
}

// halfSteps writes an interval with its direction: "2 half steps up".
func halfSteps(n int) string {
	if n < 0 {
		return count(int64(-n), "half step") + " down"
	}
	return count(int64(n), "half step") + " up"
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

// went says chorus by chorus whether the line went with the changes, choruses in a
// row that went alike together: "1-3 with the changes, 4 one bar behind".
func went(s *analyse.Summary) []string {
	type stretch struct {
		from, to int
		how      string
	}
	var all []stretch
	for i := range s.Fit {
		v := &s.Fit[i]
		if v.Span != fit.Chorus {
			continue
		}
		how := wentWith(v)
		switch last := len(all) - 1; {
		case how == "":
		case last >= 0 && all[last].how == how && all[last].to+1 == v.Chorus:
			all[last].to = v.Chorus
		default:
			all = append(all, stretch{from: v.Chorus, to: v.Chorus, how: how})
		}
	}
	switch {
	case len(all) == 0 && s.Choruses > 0:
		return nil
	case len(all) == 1 && all[0].from == 1 && all[0].to == s.Choruses:
		return []string{"every chorus went " + all[0].how}
	}
	var texts []string
	for _, one := range all {
		number := fmt.Sprint(one.from)
		if one.to > one.from {
			number = fmt.Sprintf("%d-%d", one.from, one.to)
		}
		texts = append(texts, number+" "+one.how)
	}
	return said("by chorus: ", ", ", 2, texts...)
}

// faults are the stretches that fit elsewhere or nowhere, each told once: those of
// the same bars that are off alike are one, however many choruses it came in.
func faults(s *analyse.Summary) (rows []string) {
	type fault struct {
		first    fit.Verdict
		choruses []int
	}
	var all []fault
	for _, v := range fit.Speaking(s.Fit) {
		i := slices.IndexFunc(all, func(f fault) bool {
			return v.Span == fit.Section && f.first.Span == fit.Section && barsOf(&f.first) == barsOf(&v) && f.first.Says == v.Says && off(&f.first) == off(&v)
		})
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
		case v.Span == fit.Phrase:
			continue // told in the table of phrases
		case n > 1 && n == s.Choruses:
			text = fmt.Sprintf("%s, every chorus: %s", barsOf(v), what(v))
		case n > 1:
			text = fmt.Sprintf("%s, in %d choruses: %s", barsOf(v), n, what(v))
		}
		rows = append(rows, said("", "; ", 2, strings.Split(text, "; ")...)...)
	}
	return rows
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
