package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

func name(t testing.TB, text string) tone.Name {
	t.Helper()
	n, err := tone.ParseName(text)
	require.NoError(t, err)
	return n
}

// symbols lists the chart's chord symbols as written.
func symbols(c *Chart) string {
	var out []string
	for _, s := range c.Sections {
		for _, b := range s.Bars {
			for _, stay := range b.Stays {
				out = append(out, stay.Symbol)
			}
		}
	}
	return strings.Join(out, " ")
}

// Spelling as in printed parts of the key (common practice).
func TestTransposedSpelling(t *testing.T) {
	for _, c := range []struct{ key, bars, to, wantKey, want string }{
		{"C", "Dm7 G7 C6 C6", "Eb", "Eb", "Fm7 Bb7 Eb6 Eb6"},
		{"C", "Dm7 G7 C6 C6", "F#", "F#", "G#m7 C#7 F#6 F#6"},
		{"C", "Dm7 G7 C6 C6", "Gb", "Gb", "Abm7 Db7 Gb6 Gb6"},
		{"C", "Dm7 G7 C6 C6", "G#", "Ab", "Bbm7 Eb7 Ab6 Ab6"},
		{"C", "Bm7b5 E7 Fmaj7 Fm6", "Gb", "Gb", "Fm7b5 Bb7 Cbmaj7 Cbm6"},
		{"C", "Bm7b5 E7 Fmaj7 Fm6", "F#", "F#", "E#m7b5 A#7 Bmaj7 Bm6"},
		{"C", "C6 Ab7 Db7 C6", "Eb", "Eb", "Eb6 B7 E7 Eb6"},
		{"C", "C6 C#dim7 Dm7 Db7", "B", "B", "B6 Cdim7 C#m7 C7"},
		{"C", "C/E C/Bb G7/B Am7/G", "E", "E", "E/G# E/D B7/D# C#m7/B"},
		{"Bb", "Bb6 G7b9 Cm7 F7", "B", "B", "B6 G#7b9 C#m7 F#7"},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "F#", "F# minor", "G#m7b5 C#7b9 F#m6 F#m6"},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "Gb", "F# minor", "G#m7b5 C#7b9 F#m6 F#m6"},
		{"C minor", "Bdim7 Cm6 Bdim7 Cm6", "F#", "F# minor", "E#dim7 F#m6 E#dim7 F#m6"},
		{"F blues", "F7 Bb7 Bdim7 C7", "G", "G blues", "G7 C7 C#dim7 D7"},
		{"C", "C△7 C-7 CØ D7(G7)", "D", "D", "D△7 D-7 DØ E7"},
		{"C", "Dm7 G7 C6 C6", "C", "C", "Dm7 G7 C6 C6"},
	} {
		t.Run(c.bars+" to "+c.to, func(t *testing.T) {
			moved := mustParse(t, "key: "+c.key+"\n| "+c.bars+" |").Transpose(name(t, c.to))
			assert.Equal(t, c.want, symbols(moved))
			assert.Equal(t, c.wantKey, short(moved.Key))
			assert.Equal(t, withoutRemarks(moved), withoutRemarks(mustParse(t, moved.String())))
		})
	}
}

func TestOverridesMoveToo(t *testing.T) {
	moved := mustParse(t, "key: Bb\n{F minor} | Gm7b5 | C7 | {auto} Fm6 |").Transpose(name(t, "E"))
	assert.Equal(t, "B minor", moved.Sections[0].Bars[1].Stays[0].Centre.String())
	assert.False(t, moved.Sections[0].Bars[2].Stays[0].Forced)
}

func TestAChartWithoutAKeyMovesFromItsCentre(t *testing.T) {
	moved := mustParse(t, "| Fm7 | Bb7 | Eb6 | % |").Transpose(name(t, "D"))
	assert.Equal(t, "Em7 A7 D6 D6", symbols(moved))
	assert.Equal(t, "D", short(moved.Key))
}

// Every generic chart in every key: the tones move by the interval, no name is
// awkward, and the chart moved is left as it was.
func TestTransposeToEveryKey(t *testing.T) {
	for _, chart := range GenericNames() {
		c, _ := Generic(chart)
		before := c.String()
		was := mustUnroll(t, c)
		for _, to := range strings.Fields("C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B Cb") {
			moved := c.Transpose(name(t, to))
			up := int(name(t, to).Class()) - int(c.Key.Tonic.Class())
			line := mustUnroll(t, moved)
			for i, s := range line.Slots {
				require.Equal(t, was.Slots[i].Chord.Set().Transpose(up), s.Chord.Set(), "%s to %s: %s", chart, to, s.Symbol)
				require.Equal(t, was.Slots[i].Own.Set().Transpose(up), s.Own.Set(), "%s to %s: %s", chart, to, s.Symbol)
				require.Equal(t, was.Slots[i].Key.Set().Transpose(up), s.Key.Set())
				if root := s.Chord.Root; !inKey(moved.Key, root) {
					require.Equal(t, root.Easy(), root, "%s to %s: %s", chart, to, s.Symbol)
				}
			}
		}
		assert.Equal(t, before, c.String())
	}
}

// Keys as players read them: with the fewest accidentals, by their signatures; of those
// with as many the one that is usual (common practice).
func TestUpIntoTheUsualKey(t *testing.T) {
	for _, c := range []struct {
		from string
		up   int
		want string
	}{
		{"C major", 5, "F major"}, {"F major", 5, "Bb major"}, {"E major", 5, "A major"}, {"C major", 1, "Db major"},
		{"C major", 6, "F# major"}, {"Gb major", 5, "B major"}, {"B major", 1, "C major"}, {"C# major", 2, "Eb major"},
		{"C minor", 1, "C# minor"}, {"G minor", 1, "G# minor"}, {"D minor", 1, "Eb minor"}, {"F minor", 1, "F# minor"},
		{"A minor", 1, "Bb minor"}, {"Ab minor", 5, "C# minor"}, {"F blues", 5, "Bb blues"}, {"F blues", 1, "F# blues"},
	} {
		from, err := ParseCentre(c.from)
		require.NoError(t, err)
		assert.Equal(t, c.want, Up(from, c.up).String(), "%s, up %d", c.from, c.up)
	}
	chart, err := Parse(strings.NewReader("key: Cb\n| Dbm7 Gb7 | Cb6 |\n"))
	require.NoError(t, err)
	assert.Same(t, chart, chart.Up(0), "as it is written")
	up := chart.Up(5)
	assert.Equal(t, "E major", up.Key.String())
	assert.Equal(t, "F#m7 B7 E6", symbols(up))
}

// A chart without a key goes up from the centre that holds longest.
func TestUpWithoutAKey(t *testing.T) {
	chart, err := Parse(strings.NewReader("| Dm7 G7 | C6 | C6 | C6 |\n"))
	require.NoError(t, err)
	assert.Equal(t, "C major", chart.InKey().String())
	assert.Equal(t, "Gm7 C7 F6 F6 F6", symbols(chart.Up(5)))
}
