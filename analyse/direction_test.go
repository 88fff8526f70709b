package analyse_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
)

// The sharp nine of a dominant and, without a chart, every tone outside: sharp in a
// line that rises to it, flat in one that falls. What else is outside is a degree of
// the written chord, whichever way the line goes. All of it is common practice.
func TestTheLineSpellsWhatHasTwoNames(t *testing.T) {
	chart, err := changes.Parse(strings.NewReader("key: C\n{C major} | G7 | G7 | G7 | G7 |"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	over := analyse.Setup{Timeline: &line}
	left := over
	left.Split = 60
	free := analyse.Setup{Centre: centre(t, "C", changes.Major)}
	for _, c := range []struct {
		why   string
		setup analyse.Setup
		keys  []uint8
		want  string
	}{
		{"up to the sharp nine", over, []uint8{69, 70, 71}, "A A# B"},
		{"down to the flat third", over, []uint8{71, 70, 69}, "B Bb A"},
		{"nothing before it", over, []uint8{70}, "Bb"},
		{"struck again", over, []uint8{69, 70, 70}, "A A# A#"},
		{"the flat nine, the flat thirteen and the sharp eleven", over, []uint8{67, 68, 75, 73, 74, 73}, "G Ab Eb C# D C#"},
		{"what the left hand strikes is not the line", left, []uint8{72, 48, 70, 58}, "C C Bb Bb"},
		{"nobody wrote the home chord", free, []uint8{65, 66, 67, 66, 68}, "F F# G Gb Ab"},
	} {
		a := analyser(t, c.setup)
		var names []string
		for i, key := range c.keys {
			for _, f := range heard(a.Add(on(int64(i)*480, key))) {
				names = append(names, f.Name)
			}
			held := a.Snapshot().Held
			require.Equal(t, names[i], held[len(held)-1].Name, "%s: the held key is written as the note", c.why)
			a.Add(off(int64(i)*480+240, key))
		}
		assert.Equal(t, c.want, strings.Join(names, " "), c.why)
	}
}
