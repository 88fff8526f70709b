package changes

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/timebase"
)

// Markers as sequencers keep the changes, ticks in quarters (common practice).
func TestChartsOfMarks(t *testing.T) {
	mark := func(quarter float64, text string) Mark {
		return Mark{Tick: int64(quarter * timebase.Quarter), Text: text}
	}
	waltz := []MeterAt{{Tick: 0, Meter: timebase.Meter{Num: 3, Den: 4}}, {Tick: 3 * timebase.Quarter, Meter: timebase.Common}}
	for _, c := range []struct {
		name   string
		marks  []Mark
		meters []MeterAt
		end    float64
		want   string // empty: no changes
		said   string
	}{
		{"chords", []Mark{mark(0, "Dm7"), mark(2, "G7"), mark(4, "Cmaj7")}, nil, 12, "Dm7:2 G7:2 | Cmaj7:4 | Cmaj7:4", ""},
		{"a count-in before them", []Mark{mark(4, "Dm7"), mark(8, "G7")}, nil, 12, "N.C.:4 | Dm7:4 | G7:4", ""},
		{"meters of the file", []Mark{mark(0, "Dm7"), mark(3, "G7")}, waltz, 7, "Dm7:3 | G7:4", ""},
		{"set by hand, a little early", []Mark{mark(0, "Dm7"), mark(3.9, "G7"), mark(6.05, "C6")}, nil, 8, "Dm7:4 | G7:2 C6:2", ""},
		{"names of parts among them", []Mark{mark(0, "Verse"), mark(0, "Dm7"), mark(4, "G7")}, nil, 8, "Dm7:4 | G7:4", "1 text of the file that is no chord symbol: passed over"},
		{"the letters of a form", []Mark{mark(0, "A"), mark(4, "B"), mark(8, "A")}, nil, 12, "", ""},
		{"one chord", []Mark{mark(0, "Dm7")}, nil, 8, "", ""},
		{"mostly words", []Mark{mark(0, "Dm7"), mark(0, "take it"), mark(1, "easy"), mark(2, "now"), mark(4, "G7")}, nil, 8, "", ""},
		{"without end", []Mark{mark(0, "Dm7"), mark(1e7, "G7")}, nil, 8, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart, ok := FromMarks(c.marks, c.meters, int64(c.end*timebase.Quarter))
			require.Equal(t, c.want != "", ok)
			if !ok {
				return
			}
			assert.Equal(t, c.want, playedBars(t, chart))
			said := ""
			for _, r := range chart.Remarks {
				said += r.String()
			}
			assert.Equal(t, c.said, said)
			assert.Equal(t, withoutRemarks(chart), withoutRemarks(mustParse(t, chart.String())))
		})
	}
}
