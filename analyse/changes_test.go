package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/analyse/tone"
)

// The crossings are told by the change of chord too, with the bar in which its second
// chord begins, over all choruses.
func TestChangesOfChord(t *testing.T) {
	sum, _ := review(t, inChords(t, "| Dm7 | G7 | % | C6 |"), performed(t, 0, "-.7 D5 B4.2 -.13 A4 G4.2 -.13 C5 B4.2"))
	require.Equal(t, []phrase.Change{
		{Bar: 2, From: "Dm7", To: "G7", Times: 2, Leaps: 1},
		{Bar: 4, From: "G7", To: "C6", Times: 1},
	}, sum.Phrases.Changes)
}

// What was played over each chord is counted by its tones, and the tempo is told in
// beats of the chart.
func TestTonesOverAChord(t *testing.T) {
	sum, _ := review(t, inChords(t, "| C6 | G7 |"), performed(t, 0, "C4 E4 G4 -.5 B3 -.7 C4 D4"))
	of := func(row int, classes ...tone.Class) int64 {
		return sum.ChordsDetail[row].Tones.Of(tone.SetOf(classes...))
	}
	require.Equal(t, int64(5), of(0, 0, 2, 4, 7))
	require.Equal(t, int64(2), of(0, 0))
	require.Equal(t, int64(1), of(1, 11))
	waltz := inChords(t, "| C6 |")
	waltz.Timeline.Bars[0].Meter.Num, waltz.Timeline.Bars[0].Meter.Den = 6, 8
	for setup, want := range map[*analyse.Setup]float64{{Timeline: waltz.Timeline}: 80, {}: 120} {
		a, err := analyse.New(*setup)
		require.NoError(t, err)
		a.Add(analyse.Event{Kind: analyse.Tempo, Value: 500_000})
		s := a.Summary()
		require.Equal(t, want, s.Tempo)
	}
}
