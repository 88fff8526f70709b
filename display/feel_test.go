package display

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/feel"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// What is said of time feel: a drift, and where in the form it was another.
func TestTimeFeel(t *testing.T) {
	span := func(onsets, offset, scatter int64) feel.Span {
		return feel.Span{Onsets: onsets, OffsetMS: offset, ScatterMS: scatter}
	}
	bridge := func(s feel.Span) []feel.SectionTime {
		return []feel.SectionTime{{Bar: 1, ToBar: 8, Span: span(90, 0, 10)}, {Bar: 17, ToBar: 24, Span: s}}
	}
	report := feel.Report{Counted: true, Measured: true, Onsets: 120, ScatterMS: 15, GrainMS: 5}
	for _, c := range []struct {
		want   string
		change func(*feel.Report)
	}{
		{"on the beat, scatter 15 ms", func(*feel.Report) {}},
		{"10 ms ahead of the beat, scatter 15 ms, swing 1.6 to 1", func(r *feel.Report) { r.OffsetMS, r.Pairs, r.Swing = -10, 40, 1.6 }},
		{"10 ms behind the beat, scatter 15 ms", func(r *feel.Report) { r.OffsetMS, r.Pairs = 10, 3 }},
		{"on the beat, scatter 15 ms, drifts ahead 60 ms a minute", func(r *feel.Report) { r.DriftMS = -60 }},
		{"on the beat, scatter 15 ms, drifts behind 60 ms a minute", func(r *feel.Report) { r.DriftMS = 60 }},
		{"on the beat, scatter 15 ms, 10 ms ahead in bars 17-24", func(r *feel.Report) { r.Sections = bridge(span(40, -10, 10)) }},
		{"on the beat, scatter 15 ms", func(r *feel.Report) { r.Sections = bridge(span(40, -5, 5)) }},
		{"on the beat, scatter 15 ms", func(r *feel.Report) { r.Sections = bridge(span(15, -30, 5)) }},
		{"on the beat, scatter 15 ms", func(r *feel.Report) { r.Sections = bridge(span(16, -10, 10)) }},
		{"10 ms behind the beat, scatter 15 ms, on the beat in bars 17-24", func(r *feel.Report) {
			r.OffsetMS = 10
			r.Sections = bridge(span(90, 0, 10))
		}},
		{"on the beat, scatter 15 ms, 20 ms behind in chorus 3", func(r *feel.Report) {
			r.Choruses = []feel.ChorusTime{{Chorus: 2, Span: span(60, 10, 10)}, {Chorus: 3, Span: span(60, 20, 10)}}
		}},
		{"on the beat, scatter 15 ms back with the click: 80 ms later in chorus 3, bar 1", func(r *feel.Report) {
			r.Returns = []feel.Return{{BarRef: song.BarRef{Chorus: 3, Bar: 1}, DriftMS: 80}}
		}},
		{"time feel: the beat is divided too freely to measure", func(r *feel.Report) { r.Measured = false }},
	} {
		s := &analyse.Summary{Feel: report, Phrases: phrase.Report{Notes: 32}}
		c.change(&s.Feel)
		if s.Feel.OffsetMS == 10 && len(s.Feel.Sections) > 0 {
			s.Feel.Sections = s.Feel.Sections[1:]
		}
		require.Equal(t, c.want, strings.Join((block{told: timeFeel(s)}).rows(pageWidth), " "))
	}
	require.Empty(t, timeFeel(&analyse.Summary{Feel: feel.Report{Counted: true}, Phrases: phrase.Report{Notes: 31}}), "too few notes")
}
