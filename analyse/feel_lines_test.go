package analyse_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// feltLine is a line of testdata/feel/lines.txt: what is played, and the swing that
// is to be told of it.
type feltLine struct {
	meter, division               string
	tempo, ratio                  float64
	offset, scatter, drift, swing float64 // swing: 0 for none
	doubtful                      bool    // two readings are equally near: nothing is to be told
}

// toldFeel is what the review says of it.
type toldFeel struct {
	Offset   float64 `json:"offset_ms"`
	Swing    float64 `json:"swing"`
	Spread   float64 `json:"scatter_ms"`
	Drift    float64 `json:"drift_ms_per_minute"`
	Onsets   int     `json:"onsets"`
	Measured bool    `json:"measured"`
}

func feltLines(t *testing.T) (lines []feltLine) {
	text, err := os.ReadFile("../testdata/feel/lines.txt")
	require.NoError(t, err)
	for row := range strings.Lines(string(text)) {
		if strings.HasPrefix(row, "#") {
			continue
		}
		row = strings.ReplaceAll(row, "-\n", "0\n")
		l := feltLine{doubtful: strings.Contains(row, "?")}
		_, err := fmt.Sscan(strings.ReplaceAll(row, "?", "0"), &l.meter, &l.tempo, &l.division, &l.ratio, &l.offset, &l.scatter, &l.drift, &l.swing)
		require.NoError(t, err, row)
		lines = append(lines, l)
	}
	return lines
}

// onsets returns where in its beat the line has notes, as parts of it.
func (l *feltLine) onsets(beat int) []float64 {
	switch l.division {
	case "quarters":
		return []float64{0}
	case "pairs":
		return []float64{0, l.ratio / (l.ratio + 1)}
	case "triplets":
		return even(3)
	case "sixteenths":
		return even(4)
	case "quintuplets":
		return even(5)
	case "sextuplets":
		return even(6)
	case "thirty-seconds":
		return even(8)
	case "crossed":
		return [][]float64{{0, 2. / 3}, {1. / 3}}[beat%2]
	case "figures":
		return []float64{0, []float64{0.5, 0.5, 0.5, 0.75, 0.5, 0.5, 0.5, 2. / 3}[beat%8]}
	}
	panic(l.division)
}

// even divides a beat into n.
func even(n int) (parts []float64) {
	for i := range n {
		parts = append(parts, float64(i)/float64(n))
	}
	return parts
}

// played returns what is told of the line once it has been played.
func (l *feltLine) played(t *testing.T, random *rand.Rand) (told toldFeel) {
	line := unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+l.meter+"\n\n| C6 | C6 | C6 | C6 |\n")
	meter := line.Bars[0].Meter
	beatMS := 60_000 / l.tempo
	ticks := float64(meter.Beat()) / beatMS // a millisecond
	const bars, absent = 128, 0.1
	beats := meter.Beats()
	var at []int64
	for beat := beats; beat < (bars+1)*beats; beat++ {
		for _, part := range l.onsets(beat) {
			ms := (float64(beat) + part) * beatMS
			ms += l.offset + l.scatter*random.NormFloat64() + l.drift*(ms-float64(beats)*beatMS)/60_000
			if random.Float64() >= absent {
				at = append(at, int64(ms*ticks))
			}
		}
	}
	slices.Sort(at)
	a := analyser(t, analyse.Setup{Timeline: line})
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: int64(beatMS * 1000 * timebase.Quarter / float64(meter.Beat()))})
	a.Add(startsAt(0))
	for i, tick := range at {
		key := uint8(60 + i%12)
		a.Add(on(tick, key))
		a.Add(off(tick+5, key))
	}
	a.Finish(at[len(at)-1] + timebase.Quarter)
	report, err := json.Marshal(a.Summary().Feel)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(report, &told))
	return told
}

// What is told of time feel is what was played, at every tempo, in every division.
func TestFeelIsToldAsPlayed(t *testing.T) {
	for i, l := range feltLines(t) {
		name := fmt.Sprintf("%s %g %s %g %g %g %g", l.meter, l.tempo, l.division, l.ratio, l.offset, l.scatter, l.drift)
		t.Run(name, func(t *testing.T) {
			got := l.played(t, rand.New(rand.NewPCG(12, uint64(i))))
			t.Logf("%-46s told: offset %g scatter %g drift %g swing %g, of %d", name, got.Offset, got.Spread, got.Drift, got.Swing, got.Onsets)
			if assert.Equal(t, !l.doubtful, got.Measured, "measured"); l.doubtful {
				return
			}
			assert.InDelta(t, l.offset, got.Offset, 5, "offset")
			assert.InDelta(t, l.scatter, got.Spread, 5, "scatter")
			assert.InDelta(t, l.drift, got.Drift, 10, "drift")
			within := 0.1
			if l.swing >= 2 {
				within = 0.2
			}
			assert.InDelta(t, l.swing, got.Swing, within+1e-9, "swing")
		})
	}
}
