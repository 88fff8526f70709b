package display

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse/advise"
	"shedlight/analyse/tone"
)

// Suggestion says what a suggestion gives to play and what it comes from, in one line, as
// the page does.
func Suggestion(a *advise.Suggestion, options Options) string {
	sp := newSpeller(options)
	return sp.suggestion(a)
}

// suggestion says what to play, as a teacher says it, and in brackets what shows that it
// is wanted: "A7, bar 6: E G B♭ C♯ up into D on 1, four choruses at 100 (4 slips in
// 20 notes)".
func (s speller) suggestion(a *advise.Suggestion) string {
	task := s.task(a)
	return strings.ToUpper(task[:1]) + task[1:] + " (" + s.evidence(a) + ")"
}

// task says what to play.
func (s speller) task(a *advise.Suggestion) string {
	p := &a.Play
	choruses := ", " + spelledOut(p.Times, "chorus") + atTempo(p)
	switch a.Kind {
	case advise.Elsewhere:
		return s.stretch(a) + ", bass only: play just the roots and thirds" + choruses
	case advise.HalfStep:
		if a.InAnotherKey() {
			return fmt.Sprintf("first check the key: an instrument that transposes wants the chart moved %s (--key)", movedUp(-a.HalfStep))
		}
		if a.Chord != "" || len(p.Notes) == 0 {
			return s.overPlay(p) + ": " + s.names(p.Notes) + " down, from beat 1" + choruses
		}
		return fmt.Sprintf("%s: only chord tones, down from beat 1, as %s over %s%s", s.stretch(a), s.names(p.Notes), s.symbol(p.Chord), choruses)
	case advise.Unresolved:
		if p.Chord == "" {
			return "over " + s.centre(a.Centre) + ": " + s.names(p.Notes) + ", up and down, four times" + atTempo(p)
		}
		return s.symbol(p.Chord) + ", " + stretchOfBars(p.Bar, p.ToBar) + ": " + s.names(p.Notes) + s.into(p) + choruses
	case advise.Hanging:
		return fmt.Sprintf("end %s over %s with %s%s", spelledOut(p.Times, "phrase"), s.symbol(p.Chord), s.pairs(p), atTempo(p))
	case advise.OnBeat:
		if len(a.Bars) == 0 {
			return fmt.Sprintf("over %s: %s, %s on the beat, four times%s", s.symbol(p.Chord), s.names(p.Notes), s.names(p.Notes[:1]), atTempo(p))
		}
		return fmt.Sprintf("%s in %s: %s, %s on the beat%s", s.symbol(p.Chord), barList(a.Bars), s.names(p.Notes), s.names(p.Notes[:1]), choruses)
	case advise.Crossing:
		return fmt.Sprintf("%s: cross by step into the 3rd, as %s, %s%s, then a chorus",
			changeOfBars(p.Bar, p.ToBar), s.pairs(p), spelledOut(p.Times, "time"), atTempo(p))
	case advise.Rests:
		return "two bars playing, two resting" + choruses
	}
	if len(p.Notes) == 0 {
		return s.ofFamily(a) + choruses
	}
	return s.names(p.Notes) + ", then " + s.names(p.Then) + s.overBars(p) + ", from beat 1" + choruses
}

// evidence says what a suggestion comes from.
func (s speller) evidence(a *advise.Suggestion) string {
	switch a.Kind {
	case advise.Elsewhere, advise.HalfStep:
		out := movedBy(a.Move, a.HalfStep)
		switch {
		case a.Chord != "":
			return fmt.Sprintf("%d of %s %s", a.Part, count(a.Whole, "note"), out)
		case a.Bar > 0:
			out += fmt.Sprintf(" in %d of %s", a.Part, count(a.Whole, "chorus"))
		}
		return out
	case advise.Unresolved:
		out := fmt.Sprintf("%s in %s", count(a.Part, "slip"), count(a.Whole, "note"))
		switch {
		case a.Bar > 0 || a.Play.Chord == "":
			return out
		case a.Chord == "":
			out += " over " + s.overWhat(a)
		}
		return out + ", " + barList(a.Bars)
	case advise.Hanging:
		return fmt.Sprintf("left hanging over %s chords %s in %s", s.text(a.ChordKind), times(a.Part), count(a.Whole, "phrase"))
	case advise.OnBeat:
		return fmt.Sprintf("%d of %d on the beat are chord tones over %s", a.Whole-a.Part, a.Whole, s.text(a.ChordKind)+" chords")
	case advise.Crossing:
		return fmt.Sprintf("%s to %s: %d of %s by a leap", s.text(a.ChordKind), s.text(a.ToKind), a.Part, count(a.Whole, "change"))
	case advise.Rests:
		return fmt.Sprintf("rests %d %%, a phrase lasts %s", a.Rest, count(a.Part/a.Whole, "bar"))
	}
	if a.Step == 0 {
		return fmt.Sprintf("%s of the %s of its family played%s", playedOf(a), count(a.Whole, "chord"), inChoruses(a))
	}
	out := "that chord"
	// Nobody calls a chord by what it lacks, nor by a tone that is written otherwise.
	if root, _, ok := tone.CutName(a.Name); ok && !strings.Contains(a.Name, "(no") && slices.Contains(a.Play.Notes, root.String()) {
		out = s.familyChord(a.Name)
	}
	return out + " never, the rest of its family " + times(a.Whole)
}

// stretch says where a suggestion lies.
func (s speller) stretch(a *advise.Suggestion) string {
	if a.Bar == 0 {
		return "the whole tune"
	}
	return stretchOfBars(a.Bar, a.ToBar)
}

// overPlay says over which chord to play: "bar 2, F7".
func (s speller) overPlay(p *advise.Exercise) string {
	return stretchOfBars(p.Bar, p.ToBar) + ", " + s.symbol(p.Chord)
}

// overWhat says over what slips lie that are those of no one chord.
func (s speller) overWhat(a *advise.Suggestion) string {
	if a.ChordKind != "" {
		return s.text(a.ChordKind) + " chords"
	}
	return s.centre(a.Centre)
}

func (s speller) ofFamily(a *advise.Suggestion) string {
	return "the " + s.symbol(a.Family) + " family"
}

// names writes tones in order: "E G B♭ C♯".
func (s speller) names(tones []string) string {
	texts := make([]string, len(tones))
	for i, t := range tones {
		texts[i] = s.name(t)
	}
	return strings.Join(texts, " ")
}

// pairs writes tones with the tone that each goes to: "F-E or A♭-G".
func (s speller) pairs(p *advise.Exercise) string {
	texts := make([]string, len(p.Notes))
	for i := range p.Notes {
		texts[i] = s.name(p.Notes[i]) + "-" + s.name(p.Then[i])
	}
	return strings.Join(texts, " or ")
}

// into says where a line up goes: " up into D on 1", " up, then B on 1" where it falls.
func (s speller) into(p *advise.Exercise) string {
	if len(p.Then) == 0 {
		return " up, from beat 1"
	}
	last, _, _ := tone.CutName(p.Notes[len(p.Notes)-1])
	goal, _, _ := tone.CutName(p.Then[0])
	if up := tone.ClassOf(int(goal.Class()) - int(last.Class())); up <= tone.WholeStep {
		return " up into " + s.names(p.Then) + " on 1"
	}
	return " up, then " + s.names(p.Then) + " on 1"
}

func (s speller) overBars(p *advise.Exercise) string {
	if p.Bar == 0 {
		return ""
	}
	return ", over " + stretchOfBars(p.Bar, p.ToBar)
}

// changeOfBars says where a chord changes: "bar 4 to 5", or "bar 4" within one.
func changeOfBars(from, to int) string {
	if from == to {
		return fmt.Sprintf("bar %d", from)
	}
	return fmt.Sprintf("bar %d to %d", from, to)
}

func atTempo(p *advise.Exercise) string {
	if p.Tempo == 0 {
		return ""
	}
	return fmt.Sprintf(" at %d", p.Tempo)
}

// spelledOut is how often something is to be played: "four choruses".
func spelledOut(n int, word string) string {
	words := [...]string{2: "two", 3: "three", 4: "four", 8: "eight"}
	return words[n] + " " + strings.TrimLeft(count(int64(n), word), "0123456789 ")
}

// playedOf says how many chords of a family were played.
func playedOf(a *advise.Suggestion) string {
	if a.Part == a.Whole {
		return "none"
	}
	return fmt.Sprint(a.Whole - a.Part)
}

func inChoruses(a *advise.Suggestion) string {
	if a.Choruses == 0 {
		return ""
	}
	return " in " + count(int64(a.Choruses), "chorus")
}

// met says of each suggestion that was met what it said then and how it stands
// now.
func (s speller) met(all []advise.Met) (texts []string) {
	for i := range all {
		then, now := &all[i].Then, &all[i].Now
		switch {
		case now.Kind == advise.Untouched && now.Step == 0:
			texts = append(texts, fmt.Sprintf("from %s to %d of the %s of %s", playedOf(then), now.Whole-now.Part, count(now.Whole, "chord"), s.ofFamily(now)))
		case now.Kind == advise.Untouched:
			texts = append(texts, fmt.Sprintf("the chord on %s of %s was played", s.bass(now.Scale, now.Step), s.ofFamily(now)))
		case now.Kind == advise.Rests:
			texts = append(texts, fmt.Sprintf("rests from %d %% to %d %%", then.Rest, now.Rest))
		default:
			texts = append(texts, fmt.Sprintf("%s, from %d of %d to %d of %d", s.subject(now), then.Part, then.Whole, now.Part, now.Whole))
		}
	}
	return texts
}

// subject says in a few words what a suggestion was about.
func (s speller) subject(a *advise.Suggestion) string {
	switch a.Kind {
	case advise.Elsewhere:
		return s.stretch(a) + " " + movedBy(a.Move, 0)
	case advise.HalfStep:
		return s.stretch(a) + " " + movedBy(0, a.HalfStep)
	case advise.Hanging:
		return "left hanging over " + s.text(a.ChordKind) + " chords"
	case advise.OnBeat:
		return "other tones on the beat over " + s.text(a.ChordKind) + " chords"
	case advise.Crossing:
		return "leaps from " + s.text(a.ChordKind) + " to " + s.text(a.ToKind)
	}
	switch {
	case a.Bar > 0:
		return s.overChord(a.Bar, a.ToBar, a.Chord)
	case a.Chord != "":
		return "over " + s.symbol(a.Chord)
	}
	return "over " + s.overWhat(a)
}
