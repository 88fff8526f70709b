package backing_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// How tunes end (common practice): on the tonic chord, held. Where the last bars turn
// round to the top, it comes on the first beat after them and is held for a bar.
func TestEndings(t *testing.T) {
	const bar = 4 * timebase.Quarter
	for _, c := range []struct {
		what, chart string
		from        int64 // the last chord is struck, in bars
		until       int64 // it sounds, at most
		bass        tone.Class
		piano       []tone.Class // what it may strike: guide tones and a colour
	}{
		{"at home in the last bar", "key: C\n| Dm7 | G7 | C6 | C6 |", 3, 4, 0, []tone.Class{4, 9, 2, 7}},
		{"at home in half of it", "key: C\n| Dm7 | G7 | Dm7 G7 | G7 C6 |", -1, 4, 0, []tone.Class{4, 9, 2, 7}},
		{"a turnaround", "key: C\n| C6 | Am7 | Dm7 | G7 |", 4, 5, 0, []tone.Class{4, 9, 2, 7}},
		{"a turnaround behind a ii V at the top", "key: C\n| Dm7 | G7 | C6 A7 | Dm7 G7 |", 4, 5, 0, []tone.Class{4, 9, 2, 7}},
		{"a blues, its tonic with a seventh", "key: F blues\n| F7 | Bb7 | F7 | Cm7 F7 |\n| Bb7 | Bdim7 | F7 | D7b9 |\n| Gm7 | C7 | F7 D7b9 | Gm7 C7 |", 12, 13, 5, []tone.Class{9, 3}},
		{"a blues that stays", "key: F blues\n| F7 | Bb7 | F7 | F7 |\n| Bb7 | Bb7 | F7 | F7 |\n| C7 | Bb7 | F7 | F7 |", 11, 12, 5, []tone.Class{9, 3}},
		{"in minor", "key: C minor\n| Cm6 | Fm6 | Cm6 | Dm7b5 G7b9 |", 4, 5, 0, []tone.Class{3, 9, 2, 7}},
		{"a last bar of silence", "key: C\n| Dm7 | G7 | C6 | N.C. |", 2, 3, 0, []tone.Class{4, 9, 2, 7}},
		{"nowhere at home", "{C major} | Dm7 | G7 | Dm7 | G7 |", 4, 5, 2, []tone.Class{5, 0, 4, 9}},
	} {
		for _, tempo := range []int64{60, 120, 240} {
			for seed := range uint64(8) {
				line := tune(t, c.chart)
				band := backing.New(line, seed)
				ends := func(piano bool) []backing.Note {
					notes := band.Last(2, 60_000_000/tempo, piano)
					for _, n := range notes {
						require.Less(t, n.Tick, line.Length, c.what)
					}
					for _, n := range band.After(2, 60_000_000/tempo, piano) {
						n.Tick += line.Length
						notes = append(notes, n)
					}
					return notes
				}
				notes := ends(true)
				from := c.from * bar
				if c.from < 0 {
					from = 3*bar + bar/2
				}
				at := map[backing.Player]int{}
				for _, n := range notes {
					require.LessOrEqual(t, n.Tick, from, "%s: nothing is struck while the last chord is held", c.what)
					require.LessOrEqual(t, n.Tick+n.Length, c.until*bar, "%s: nor held beyond it", c.what)
					if n.Tick != from {
						require.LessOrEqual(t, n.Tick+n.Length, from+bar/8, "%s: the chords before are let go", c.what)
						continue
					}
					at[n.By]++
					assert.Greater(t, n.Length, (c.until*bar-from)*9/10, "%s: held", c.what)
					if class := tone.Class(n.Key % 12); n.By == backing.Bass {
						assert.Equal(t, c.bass, class, c.what)
					} else {
						assert.Contains(t, c.piano, class, c.what)
					}
				}
				assert.Equal(t, 1, at[backing.Bass], c.what)
				assert.Contains(t, []int{2, 3}, at[backing.Piano], c.what)
				bass := of(notes, backing.Bass)
				step := tone.Apart(int(bass[len(bass)-1].Key), int(bass[len(bass)-2].Key))
				assert.LessOrEqual(t, step, 12, c.what)
				assert.Equal(t, bass, ends(false), "the bass alone ends as with the piano")
			}
		}
	}
}

// A tune in which nothing sounds has no end to play.
func TestSilenceHasNoEnding(t *testing.T) {
	assert.Empty(t, backing.New(tune(t, "| N.C. | N.C. |"), 1).Last(0, 500_000, true))
	assert.Empty(t, backing.New(tune(t, "| N.C. | N.C. |"), 1).After(0, 500_000, true))
}
