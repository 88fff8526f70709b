package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/display"
)

const (
	// aroundBeat is how far, in thousandths of a beat, a note may lie from a beat
	// that is given with decimals: a swung or late note is still found by what is
	// written. aheadOfBeat is how far before a whole beat its notes may start.
	aroundBeat, aheadOfBeat, wholeBeat = 200, 100, 1000
	// mostThere is how many notes are named where nothing can be marked: what a
	// line holds.
	mostThere = 3
)

// place is where in the form a verdict is marked as meant: a bar, in one
// chorus or in all, and perhaps a beat.
type place struct {
	chorus, bar int     // chorus 0: all
	beat        float64 // 0: the whole bar; without decimals: the whole beat
}

// parsePlace reads [CHORUS/]BAR[:BEAT].
func parsePlace(text string) (place, error) {
	wrong := fmt.Errorf("%q: expected BAR, BAR:BEAT or CHORUS/BAR:BEAT, like 3/13:2.5", text)
	var p place
	var err error
	rest := text
	if chorus, after, ok := strings.Cut(rest, "/"); ok {
		if p.chorus, err = strconv.Atoi(chorus); err != nil || p.chorus < 1 {
			return p, wrong
		}
		rest = after
	}
	bar, beat, ok := strings.Cut(rest, ":")
	if p.bar, err = strconv.Atoi(bar); err != nil || p.bar < 1 {
		return p, wrong
	}
	if ok {
		if p.beat, err = strconv.ParseFloat(beat, 64); err != nil || !(p.beat >= 1 && p.beat < maxBeat) {
			return p, wrong
		}
	}
	return p, nil
}

// maxBeat is more beats than any meter has.
const maxBeat = 256

// String writes the place as parsePlace reads it.
func (p place) String() string {
	text := strconv.Itoa(p.bar)
	if p.chorus > 0 {
		text = strconv.Itoa(p.chorus) + "/" + text
	}
	if p.beat > 0 {
		text += ":" + strconv.FormatFloat(p.beat, 'f', -1, 64)
	}
	return text
}

// inBar reports whether a note lies in the bar of the place.
func (p place) inBar(f *analyse.Finding) bool {
	at := f.Told()
	return at.Bar == p.bar && (p.chorus == 0 || at.Chorus == p.chorus)
}

// holds reports whether a note lies at the place.
func (p place) holds(f *analyse.Finding) bool {
	after := int64(math.Round((f.Told().Beat - p.beat) * wholeBeat))
	switch {
	case !p.inBar(f):
		return false
	case p.beat == 0:
		return true
	case p.beat == math.Trunc(p.beat):
		return after >= -aheadOfBeat && after < wholeBeat-aheadOfBeat
	}
	return after >= -aroundBeat && after <= aroundBeat
}

// parsePlaces reads the places that a take's notes or the flags name.
func parsePlaces(texts []string) ([]place, error) {
	var out []place
	for _, text := range texts {
		p, err := parsePlace(text)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// markMeant counts the unresolved notes at the places as meant.
func (r *report) markMeant(places []place) {
	for i := range r.slips {
		f := &r.slips[i]
		if slices.ContainsFunc(places, func(p place) bool { return p.holds(f) }) {
			r.TakeMeant(*f)
			r.MeantNotes = append(r.MeantNotes, f.N)
			for i := range r.Phrases {
				if p := &r.Phrases[i]; f.Role == analyse.Line && p.First <= f.N && f.N <= p.Last {
					p.Unresolved--
				}
			}
		}
	}
}

// newMarks checks that there is something to mark at each place.
func (r *report) newMarks(places []place, o display.Options) error {
	for _, p := range places {
		if !slices.ContainsFunc(r.slips, func(f analyse.Finding) bool { return p.holds(&f) }) {
			return fmt.Errorf("--meant %s: %s", p, r.nothingAt(p, o))
		}
	}
	return nil
}

// nothingAt says what is at a place where nothing is unresolved, and which notes
// near it are.
func (r *report) nothingAt(p place, o display.Options) string {
	if n := len(r.Findings); n > 0 && r.Findings[n-1].Told().Bar == 0 {
		return "places are bars of a chart, and this was played without one"
	}
	slips := slices.DeleteFunc(slices.Clone(r.slips), func(f analyse.Finding) bool { return f.Told().Bar == 0 })
	if len(slips) == 0 {
		return "nothing in this take is unresolved"
	}
	slices.SortStableFunc(slips, func(a, b analyse.Finding) int { return cmp.Compare(p.barsAway(&a), p.barsAway(&b)) })
	var near, there []string
	for i := range slips {
		near = append(near, display.NoteName(slips[i].Name, o)+" at "+notePlace(&slips[i]))
	}
	answer := "no note there"
	for i := range r.Findings {
		if f := &r.Findings[i]; p.holds(f) {
			answer = "nothing unresolved there"
			name := display.NoteName(f.Name, o) + " (" + display.Verdict(f) + ")"
			if p.beat > 0 && !slices.Contains(there, name) {
				there = append(there, name)
			}
		}
	}
	if len(there) > 0 {
		answer += ", only " + listed(there)
	}
	return answer + "; unresolved: " + listed(near)
}

// barsAway is how far a note lies from the bar of the place.
func (p place) barsAway(f *analyse.Finding) int {
	return max(f.Told().Bar-p.bar, p.bar-f.Told().Bar)
}

func listed(names []string) string {
	if more := len(names) - mostThere; more > 0 {
		names = append(names[:mostThere:mostThere], fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}

// notePlace writes where a note lies, fit for --meant.
func notePlace(f *analyse.Finding) string {
	at := f.Told()
	return fmt.Sprintf("%d/%d:%s", at.Chorus, at.Bar, noteBeat(at))
}

func noteBeat(at song.Spot) string {
	const hundredth = 100
	return strconv.FormatFloat(math.Floor(at.Beat*hundredth)/hundredth, 'f', -1, 64)
}
