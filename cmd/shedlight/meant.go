package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse"
)

const (
	// aroundBeat is how far, in thousandths of a beat, a note may lie from a beat
	// that is given with decimals: a swung or late note is still found by what is
	// written. aheadOfBeat is how far before a whole beat its notes may start.
	aroundBeat, aheadOfBeat, wholeBeat = 200, 100, 1000
	// mostThere is how many notes are named where nothing can be marked.
	mostThere = 12
)

// place is where in the form a verdict is marked as meant: a bar, in one
// chorus or in all, and perhaps a beat.
type place struct {
	chorus, bar int     // chorus 0: all
	beat        float64 // 0: the whole bar; without decimals: the whole beat
}

// parsePlace reads [CHORUS/]BAR[:BEAT].
func parsePlace(text string) (place, error) {
	wrong := usagef("%q is no place: expected BAR, BAR:BEAT or CHORUS/BAR:BEAT, like 13, 13:2.5 or 3/13:2.5", text)
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
	return f.Bar == p.bar && (p.chorus == 0 || f.Chorus == p.chorus)
}

// holds reports whether a note lies at the place.
func (p place) holds(f *analyse.Finding) bool {
	after := int64(math.Round((f.Beat - p.beat) * wholeBeat))
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
			r.Mean(*f)
			r.MeantNotes = append(r.MeantNotes, f.N)
			for i := range r.Phrases {
				if p := &r.Phrases[i]; f.Role == analyse.Line && p.First <= f.N && f.N <= p.Last {
					p.Unresolved--
				}
			}
		}
	}
}

// newMarks checks that there is something to mark at each place. all is every
// note of the take.
func newMarks(file string, places []place, slips, all []analyse.Finding) error {
	for _, p := range places {
		if slices.ContainsFunc(slips, func(f analyse.Finding) bool { return p.holds(&f) }) {
			continue
		}
		return fmt.Errorf("%s: nothing unresolved at %s; %s", file, p, there(p, slips, all))
	}
	return nil
}

// there says what is played at a place where nothing is unresolved, or where
// something is.
func there(p place, slips, all []analyse.Finding) string {
	var names []string
	for i := range all {
		if f := &all[i]; p.inBar(f) {
			names = append(names, f.Name+" at "+noteBeat(f)+" ("+verdict(f)+")")
		}
	}
	if len(names) > 0 {
		return fmt.Sprintf("bar %d has %s", p.bar, listed(names))
	}
	for i := range slips {
		if f := &slips[i]; f.Bar > 0 {
			names = append(names, f.Name+" at "+notePlace(f))
		}
	}
	switch {
	case len(names) > 0:
		return "no note is in that bar; unresolved are " + listed(names)
	case len(all) > 0 && all[len(all)-1].Bar == 0:
		return "places are bars of a chart, and this was played without one"
	}
	return "no note is in that bar, and nothing is unresolved in this take"
}

func verdict(f *analyse.Finding) string {
	if f.Fate != analyse.NoFate {
		return f.Fate.String()
	}
	return f.Place.String()
}

func listed(names []string) string {
	if more := len(names) - mostThere; more > 0 {
		names = append(names[:mostThere:mostThere], fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}

// notePlace writes where a note lies, fit for --meant.
func notePlace(f *analyse.Finding) string {
	return fmt.Sprintf("%d/%d:%s", f.Chorus, f.Bar, noteBeat(f))
}

func noteBeat(f *analyse.Finding) string {
	const hundredth = 100
	return strconv.FormatFloat(math.Floor(f.Beat*hundredth)/hundredth, 'f', -1, 64)
}
