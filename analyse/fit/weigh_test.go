package fit

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

// tablesOf makes the tables of a chart, one for each slot.
func tablesOf(t *testing.T, text string) (out []*table) {
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	f := newForm(&line)
	for i := range f.stays {
		out = append(out, f.stays[i].table)
	}
	return out
}

// read writes a table as a musician reads it: guide tones, other chord tones,
// tensions.
func (t *table) read() string {
	var parts []string
	for _, counts := range []int64{guideTone, chordTone, tension} {
		var s tone.Set
		for class, c := range t.counts {
			if c == counts {
				s |= tone.SetOf(tone.Class(class))
			}
		}
		parts = append(parts, s.String())
	}
	return strings.Join(parts, " ")
}

// What counts for a chord and what only a little against it (common practice; the
// colours of dominants are those of the fate).
func TestWhatToneIsWhat(t *testing.T) {
	for _, test := range []struct{ symbol, next, want string }{
		{"Cmaj7", "F6", "{E B} {C G} {D F# A}"},
		{"C6", "F6", "{E A} {C G} {D F# B}"},
		{"C", "F6", "{E} {C G} {D F# A B}"},
		{"Cm7", "F6", "{Eb Bb} {C G} {D F A}"},
		{"Cm9", "F6", "{Eb Bb} {C D G} {F A}"},
		{"Cm6", "F6", "{Eb A} {C G} {D F Bb B}"},
		{"Cm(maj7)", "F6", "{Eb B} {C G} {D F A Bb}"},
		{"Cm7b5", "F6", "{Eb Bb} {C F#} {D F Ab A}"},
		{"Cdim7", "F6", "{Eb A} {C F#} {D F Ab B}"},
		{"C7", "F6", "{E Bb} {C G} {Db D Eb F# Ab A}"}, // a fifth down
		{"C7", "B6", "{E Bb} {C G} {Db D Eb F# Ab A}"}, // a semitone down
		{"C7", "D6", "{E Bb} {C G} {D Eb F# A}"},
		{"C7", "N.C.", "{E Bb} {C G} {D Eb F# A}"},
		{"C7b9", "F6", "{E Bb} {C Db G} {Eb F# Ab A}"},
		{"C7b9", "D6", "{E Bb} {C Db G} {Eb F# A}"},
		{"C7#5", "F6", "{E Bb} {C Ab} {Db Eb F#}"},
		{"C7sus4", "F6", "{F Bb} {C G} {Db D E Ab A}"},
		{"C7sus4", "D6", "{F Bb} {C G} {D E Ab A}"},
		{"C+", "F6", "{E} {C Ab} {D F# A B}"},
		{"C/D", "F6", "{E} {C D G} {F# A B}"},
	} {
		tables := tablesOf(t, fmt.Sprintf("| %s | %s |", test.symbol, test.next))
		assert.Equal(t, test.want, tables[0].read(), "%s to %s", test.symbol, test.next)
	}
}

// Where a chord leads is asked past repeats of its root and past the end.
func TestResolving(t *testing.T) {
	resolves := func(text string) (out []bool) {
		chart, err := changes.Parse(strings.NewReader(text))
		require.NoError(t, err)
		line, err := chart.Unroll()
		require.NoError(t, err)
		return resolving(line.Slots)
	}
	assert.Equal(t, []bool{true, true, false}, resolves("| G7 | G7b9 | C6 |"))
	assert.Equal(t, []bool{false, true}, resolves("| C6 | G7 |"), "into the next chorus")
	assert.Equal(t, []bool{false, false, false}, resolves("| G7 | N.C. | C6 |"))
	assert.Equal(t, []bool{false, false}, resolves("| G7 | % |"))
	assert.Equal(t, []bool{true, false}, resolves("| Db7 | C6 |"), "a semitone below, and not back")
}

// A table moved is the table of the chord moved the other way.
func TestMovedTables(t *testing.T) {
	for _, symbol := range []string{"Cmaj7", "Cm7", "C7", "Cm7b5", "Cdim7", "C+", "C7sus4"} {
		c := tablesOf(t, "| "+symbol+" |")[0]
		for i := range pitchMoves {
			semitones := i + lowestMove
			for class := range classes {
				there := c.counts[tone.ClassOf(class+semitones)]
				assert.Equal(t, there-c.counts[class], c.moved[class][i])
			}
		}
	}
	assert.Equal(t, []int{-3, 3, 6}, movesAlike(tablesOf(t, "| Cdim7 |")[0]))
	assert.Equal(t, []int{-4, 4}, movesAlike(tablesOf(t, "| C+ |")[0]))
	assert.Empty(t, movesAlike(tablesOf(t, "| C7 |")[0]))
}

func movesAlike(t *table) (out []int) {
	for _, i := range t.alike {
		out = append(out, i+lowestMove)
	}
	return out
}

// Half a bar is a place only where the beats of a bar can be halved.
func TestPlacesOfAMeter(t *testing.T) {
	for _, test := range []struct {
		meter string
		want  []int
	}{
		{"4/4", []int{-2, 2, -4, 4, -8, 8}},
		{"3/4", []int{0, 0, -3, 3, -6, 6}},
		{"6/8", []int{-1, 1, -2, 2, -4, 4}}, // dotted beats
		{"9/8", []int{0, 0, -3, 3, -6, 6}},
		{"5/4", []int{0, 0, -5, 5, -10, 10}},
		{"2/2", []int{-1, 1, -2, 2, -4, 4}},
	} {
		chart, err := changes.Parse(strings.NewReader("meter: " + test.meter + "\n" + strings.Repeat("| C6 ", 9) + "|"))
		require.NoError(t, err)
		line, err := chart.Unroll()
		require.NoError(t, err)
		g := newForm(&line).grids[0]
		var got []int
		for i, m := range g.move {
			got = append(got, m.Beats)
			assert.Equal(t, mod(int64(m.Beats)*line.Bars[0].Meter.Beat(), line.Length), g.ahead[i])
		}
		assert.Equal(t, test.want, got, test.meter)
	}
}
