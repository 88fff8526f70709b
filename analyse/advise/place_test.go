package advise_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/advise"
	"shedlight/analyse/changes"
)

// Over which bars the chords of a family go, by the rule that home goes over I, dim over V
// and either over ii (common practice). What must come out was written down before the code
// had it, by looking for the first two such bars, else for one
// (one label was changed after the first run: it had forgotten the chord below).
func TestPlace(t *testing.T) {
	sixth, seventh := []uint8{60, 64, 67, 69}, []uint8{60, 64, 67, 71}
	for _, test := range []struct {
		chart, family string
		keys          []uint8
		step          int
		want          string
	}{
		{"C6 A7 Dm7 G7 C6 C6", "C6", sixth, 2, "D F Ab B > C E G A, 4-5"}, // V and I
		{"C6 A7 Dm7 G7 C6 C6", "C6", sixth, 3, "E G A C > C E G A, 5-6"},  // I and I
		{"C6 A7 Dm7 G7 C6 C6", "C6", sixth, 1, "C E G A > D F Ab B, 3-4"}, // ii and V
		{"Dm7 G7 C6 C6", "Cmaj7", seventh, 3, "E G A D > C E G B, 3-4"},
		{"Dm7 G7 C6 C6", "Cmaj7", seventh, 2, "D F Ab C > C E G B, 3-3"}, // C over G7 fights its third: within a bar of I
		{"C6 A7 C6 A7", "C6", sixth, 2, "D F Ab B > C E G A, 1-1"},       // no V of C
		{"A7 A7 A7 A7", "C6", sixth, 2, "D F Ab B > C E G A, 0-0"},       // A7 has C sharp
		{"C6,G7 C6,G7", "C6", sixth, 8, "A C E G > B D F Ab, 1-1"},       // the chord below it over I, it over V
		{"G7,C6 A7 A7 A7", "C6", sixth, 8, "B D F Ab > C E G A, 1-1"},    // half a bar each
		{"G7,C6 G7,C6 A7 A7", "C6", sixth, 4, "F Ab B D > C E G A, 1-1"},
	} {
		symbols := strings.Fields(test.chart)
		s := missing(tune(strings.ReplaceAll(test.chart, ",", " ")), test.family, test.keys, test.step)
		for i := range s.ChordsDetail {
			s.ChordsDetail[i].Bar = min(i+1, len(symbols))
			s.ChordsDetail[i].ToBar = s.ChordsDetail[i].Bar
		}
		chart, err := changes.Parse(strings.NewReader("key: C\n{C major} | " + strings.ReplaceAll(strings.Join(symbols, " | "), ",", " ") + " |"))
		require.NoError(t, err)
		line, err := chart.Unroll()
		require.NoError(t, err)
		one := []advise.Suggestion{*firstOf(t, s, advise.Untouched)}
		advise.Place(one, s, &line)
		p := one[0].Play
		got := fmt.Sprintf("%s > %s, %d-%d", strings.Join(p.Notes, " "), strings.Join(p.Then, " "), p.Bar, p.ToBar)
		require.Equal(t, test.want, got, "%s, chord %d of %s", test.chart, test.step, test.family)
	}
}

// A bar that was not played over is not named, nor one without a chart.
func TestPlaceWherePlayed(t *testing.T) {
	s := missing(tune("Dm7 G7 C6 C6"), "C6", []uint8{60, 64, 67, 69}, 2)
	chart, err := changes.Parse(strings.NewReader("key: C\n| Dm7 | G7 | C6 | C6 |"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	one := []advise.Suggestion{*firstOf(t, s, advise.Untouched)}
	advise.Place(one, s, nil)
	require.Zero(t, one[0].Play.Bar)
	s.ChordsDetail[1].Notes = 0
	advise.Place(one, s, &line)
	require.Equal(t, [2]int{3, 3}, [2]int{one[0].Play.Bar, one[0].Play.ToBar})
}
