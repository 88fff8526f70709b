package backing_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/tone"
)

// The rules are the trade's (common practice); they are counted here by the notes and
// the chart alone.
func TestBassKeepsTheRules(t *testing.T) {
	count, evenly := 0, 0
	everyChorus(t, 320, func(c *chorus) {
		bass := of(c.notes, backing.Bass)
		count += len(bass)
		next := of(c.band.Chorus(c.n+1, 500_000, false), backing.Bass)
		struck := make([]int, len(c.stays))
		for _, note := range bass {
			struck[c.stayAt(note.Tick)]++
		}
		for i, s := range c.stays {
			require.Equal(t, !s.Chord.None(), struck[i] > 0, "%s: chord %d is struck, or silent", c.what, i)
		}
		for i, note := range bass {
			at := c.stayAt(note.Tick)
			over := &c.stays[at]
			class := tone.Class(note.Key % 12)
			where := here{c.what, i, note, over.Symbol}
			require.True(t, 28 <= note.Key && note.Key <= 48, "%v: E1 to C3", where)
			require.Positive(t, note.Length, "%v", where)
			require.LessOrEqual(t, note.Tick+note.Length, over.End, "%v: held over the change", where)
			first := i == 0 || c.stayAt(bass[i-1].Tick) != at
			if first {
				require.Equal(t, over.Start, note.Tick, "%v", where)
				require.Equal(t, over.Chord.Bass.Class(), class, "%v", where)
			}
			following, last := backing.Note{}, false // the chord's last note, and another chord comes at once
			switch {
			case i+1 < len(bass):
				following = bass[i+1]
				last = c.stayAt(following.Tick) == at+1
			case len(next) > 0 && next[0].Tick == 0 && at == len(c.stays)-1:
				following, last = next[0], true
			default:
				continue
			}
			leap := tone.Apart(int(note.Key), int(following.Key))
			require.LessOrEqual(t, leap, 12, "%v", where)
			if i+1 < len(bass) {
				require.LessOrEqual(t, note.Tick+note.Length, following.Tick, "%v: two at once", where)
			}
			root := over.Chord.Root.Class()
			chordTone := over.Chord.Set().Has(class)
			fifth := class == root || chordTone && (class == above(root, 7) || class == above(root, 6) || class == above(root, 8)) || class == over.Chord.Bass.Class()
			opens := following.Tick == c.line.Bars[c.line.BarAt(following.Tick, 0)].Start
			step := leap == 1 || leap == 2
			switch {
			case over.pedal:
				require.Equal(t, over.Chord.Bass.Class(), class, "%v: a pedal point lies still", where)
				continue
			case c.line.Straight:
				evenly++
				require.True(t, fifth, "%v: root and fifth", where)
				continue
			case first:
			case !last:
				require.True(t, chordTone || opens && step, "%v: a tone of the chord, or a step over the bar line", where)
			case struck[at] == 2:
				require.True(t, step || chordTone && class != root, "%v", where)
			default:
				require.True(t, step, "%v leads to key %d", where, following.Key)
			}
			if leap == 0 { // only where no other octave is in the range
				to := c.stays[c.stayAt(following.Tick)].Chord.Bass.Class()
				require.Equal(t, class, to, "%v", where)
				require.True(t, following.Key < 28+12 && following.Key > 48-12, "%v %v %v %d %d", where, bass[max(0, i-3):min(len(bass), i+3)], c.stays[max(0, at-2):min(len(c.stays), at+3)], len(bass), len(c.stays))
			}
		}
	})
	t.Logf("%d notes, %d of them in even eighths", count, evenly)
	assert.Greater(t, count, 50_000)
	assert.Greater(t, evenly, 2_000)
}

// here is a note of the bass, as a failing test names it.
type here struct {
	what string
	n    int
	note backing.Note
	over string
}

func (h here) String() string {
	return fmt.Sprintf("%s: note %d at %d, key %d over %s", h.what, h.n, h.note.Tick, h.note.Key, h.over)
}
