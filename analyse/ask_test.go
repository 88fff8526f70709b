package analyse_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// What is over is what the snapshot of the same moment says, at every event.
func TestOverIsTheSnapshots(t *testing.T) {
	file, err := os.Open("../testdata/charts/two-bridges.chart")
	require.NoError(t, err)
	defer file.Close()
	chart, err := changes.Parse(file)
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	const choruses = 3
	notes := linegen.Spoil(linegen.Line(&line, song.KeyView, 1, choruses), 0.2, 1)
	for _, setup := range []analyse.Setup{{Timeline: &line}, {}} {
		a, err := analyse.New(setup)
		require.NoError(t, err)
		over := map[analyse.Over]bool{}
		check := func() {
			s := a.Snapshot()
			o := a.Over()
			require.Equal(t, analyse.Over{Phrase: s.Phrase.Number, InPhrase: s.InPhrase, Choruses: s.Choruses}, o)
			over[o] = true
		}
		check()
		a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
		for _, e := range linegen.Events(notes) {
			a.Add(e)
			check()
		}
		a.Finish(choruses*line.Length + 4*timebase.Quarter)
		check()
		require.Greater(t, len(over), 2*choruses, "phrases ended, and choruses with a chart")
	}
}
