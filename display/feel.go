package display

import (
	"fmt"
	"math"

	"shedlight/analyse"
	"shedlight/analyse/feel"
)

// feelLeast is how many notes it takes to be told that their time feel cannot be
// measured: fewer can look so by chance.
const feelLeast = 32

// timeFeel says how the line lay in the beat, the lag apart from the scatter and both
// apart from a drift, and the part of the form where it lay most otherwise.
func timeFeel(s *analyse.Summary) []telling {
	return append(inTheBeat(s), listed("back with the click: ", "; ", "", 2, returned(s.Feel.Returns)...)...)
}

// returned says how the player came back each time the click had been silent.
func returned(returns []feel.Return) (texts []string) {
	for _, r := range returns {
		texts = append(texts, fmt.Sprintf("%s in chorus %d, bar %d", Drift(r.DriftMS), r.Chorus, r.Bar))
	}
	return texts
}

// Drift says how a player came through bars without a click: "40 ms later".
func Drift(ms int64) string {
	switch {
	case ms > 0:
		return fmt.Sprintf("%d ms later", ms)
	case ms < 0:
		return fmt.Sprintf("%d ms sooner", -ms)
	}
	return "on time"
}

func inTheBeat(s *analyse.Summary) []telling {
	f := &s.Feel
	if f.Counted && !f.Measured && s.Phrases.Notes >= feelLeast {
		return []telling{sentence("time feel: the beat is divided too freely to measure")}
	}
	if !f.Measured || f.Onsets == 0 {
		return nil
	}
	where := offBeat(f.OffsetMS)
	switch {
	case f.OffsetMS > 0:
		where += " the beat"
	case f.OffsetMS < 0:
		where += " of the beat"
	}
	texts := []string{where, fmt.Sprintf("scatter %d ms", f.ScatterMS)}
	switch swing := fmt.Sprintf("%.1f", f.Swing); {
	case f.Swing <= 0:
	case swing == "1.0":
		texts = append(texts, "straight")
	default:
		texts = append(texts, "swing "+swing+" to 1")
	}
	switch {
	case f.DriftMS > 0:
		texts = append(texts, fmt.Sprintf("drifts behind %d ms a minute", f.DriftMS))
	case f.DriftMS < 0:
		texts = append(texts, fmt.Sprintf("drifts ahead %d ms a minute", -f.DriftMS))
	}
	if place, at := otherwise(f); place != "" {
		texts = append(texts, offBeat(at.OffsetMS)+" in "+place)
	}
	return listed("", ", ", "", 2, texts...)
}

// offBeat says how far from the beat: "10 ms behind".
func offBeat(ms int64) string {
	switch {
	case ms > 0:
		return fmt.Sprintf("%d ms behind", ms)
	case ms < 0:
		return fmt.Sprintf("%d ms ahead", -ms)
	}
	return "on the beat"
}

// What is worth telling apart from the whole: as many onsets, so many grains from the
// whole, and so many standard errors. Of the parts of a form one in a thousand is so
// far by chance.
const (
	partOnsets, partGrains = 16, 2
	partErrors             = 4
)

// otherwise finds the section or, where none lies apart, the chorus whose onsets lie most
// surely apart from all; place is empty where none does.
func otherwise(f *feel.Report) (place string, at feel.Span) {
	most := float64(partErrors)
	find := func(span feel.Span, where string) {
		off := math.Abs(float64(span.OffsetMS - f.OffsetMS))
		if span.Onsets < partOnsets || off < float64(partGrains*f.GrainMS) {
			return
		}
		scatter := float64(max(span.ScatterMS, f.GrainMS))
		if errors := off * math.Sqrt(float64(span.Onsets)) / scatter; errors > most {
			most, place, at = errors, where, span
		}
	}
	for _, s := range f.Sections {
		find(s.Span, fmt.Sprintf("bars %d-%d", s.Bar, s.ToBar))
	}
	if place != "" {
		return place, at
	}
	for _, c := range f.Choruses {
		find(c.Span, fmt.Sprintf("chorus %d", c.Chorus))
	}
	return place, at
}
