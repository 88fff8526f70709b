package backing_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// tune reads a chart.
func tune(t testing.TB, text string) *changes.Timeline {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err, text)
	line, err := chart.Unroll()
	require.NoError(t, err, text)
	return &line
}

var meters = []string{"4/4", "3/4", "2/4", "5/4", "6/4", "7/4", "2/2", "3/2", "6/8", "9/8", "12/8", "3/8", "5/8", "7/8", "1/4", "4/16", "13/16"}

// random writes a chart of twenty bars: chords of every kind on every root, one, two
// or four in a bar, silences and slash chords among them.
func random(r *rand.Rand, meter string) string {
	roots := []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}
	kinds := []string{"", "m", "6", "m6", "maj7", "m7", "7", "7b9", "9", "13", "7alt", "7#11", "m7b5", "dim7", "7sus4", "m9", "maj9", "+", "5", "6/9", "m7/G", "7/F#"}
	var b strings.Builder
	fmt.Fprintf(&b, "title: Dry Run\nmeter: %s\n\n", meter)
	for range 20 {
		n := 1
		if meter == "4/4" || meter == "12/8" {
			n = []int{1, 1, 2, 4}[r.IntN(4)]
		}
		b.WriteString("|")
		for range n {
			if r.IntN(16) == 0 {
				b.WriteString(" N.C.")
				continue
			}
			fmt.Fprintf(&b, " %s%s", roots[r.IntN(len(roots))], kinds[r.IntN(len(kinds))])
		}
		b.WriteString(" |\n")
	}
	return b.String()
}

// quarters are tempi in microseconds a quarter note: 60, 72, 90, 120, 160, 190, 200,
// 240 and 300 a minute.
var quarters = []int64{1_000_000, 833_333, 666_667, 500_000, 375_000, 315_789, 300_000, 250_000, 200_000}

// everyChorus calls f for choruses of random charts in every meter and at every tempo.
func everyChorus(t *testing.T, charts int, f func(what string, line *changes.Timeline, band *backing.Band, n int, notes []backing.Note)) {
	for seed := range uint64(charts) {
		r := rand.New(rand.NewPCG(seed, 17))
		meter := meters[seed%uint64(len(meters))]
		line := tune(t, random(r, meter))
		band := backing.New(line, seed)
		quarter := quarters[seed/uint64(len(meters))%uint64(len(quarters))]
		for n := range 2 {
			f(fmt.Sprintf("chart %d, %s, %d us, chorus %d", seed, meter, quarter, n), line, band, n, band.Chorus(n, quarter, true))
		}
	}
}

func of(notes []backing.Note, by backing.Player) (out []backing.Note) {
	for _, n := range notes {
		if n.By == by {
			out = append(out, n)
		}
	}
	return out
}

// The rules are the trade's (common practice); they are counted here by the notes and
// the chart alone.
func TestBassKeepsTheRules(t *testing.T) {
	count := 0
	everyChorus(t, 520, func(what string, line *changes.Timeline, band *backing.Band, n int, notes []backing.Note) {
		bass := of(notes, backing.Bass)
		count += len(bass)
		next := of(band.Chorus(n+1, 500_000, false), backing.Bass)
		struck := map[int]int{}
		for _, note := range bass {
			struck[line.SlotAt(note.Tick, 0)]++
		}
		for i, slot := range line.Slots {
			require.Equal(t, !slot.Chord.None(), struck[i] > 0, "%s: chord %d is struck, or silent", what, i)
		}
		for i, note := range bass {
			slot := line.SlotAt(note.Tick, 0)
			chord := line.Slots[slot].Chord
			class := tone.Class(note.Key % 12)
			where := here{what, i, note, line.Slots[slot].Symbol}
			require.True(t, 28 <= note.Key && note.Key <= 48, "%v: E1 to C3", where)
			require.Positive(t, note.Length, "%v", where)
			require.LessOrEqual(t, note.Tick+note.Length, line.Slots[slot].End, "%v: held over the change", where)
			first := i == 0 || line.SlotAt(bass[i-1].Tick, 0) != slot
			if first {
				require.Equal(t, line.Slots[slot].Start, note.Tick, "%v", where)
				require.Equal(t, chord.Bass.Class(), class, "%v", where)
			}
			following, last := backing.Note{}, false // the chord's last note, and another chord comes at once
			switch {
			case i+1 < len(bass):
				following = bass[i+1]
				last = line.SlotAt(following.Tick, 0) == slot+1
			case len(next) > 0 && next[0].Tick == 0 && slot == len(line.Slots)-1:
				following, last = next[0], true
			default:
				continue
			}
			leap := tone.Apart(int(note.Key), int(following.Key))
			step := leap == 1 || leap == 2
			thirdOrFifth := chord.Own().Set().Has(class) && class != chord.Root.Class()
			switch {
			case first:
			case !last:
				require.True(t, chord.Set().Has(class), "%v: a tone of the chord", where)
			case struck[slot] == 2:
				require.True(t, step || thirdOrFifth, "%v", where)
			default:
				require.True(t, step, "%v leads to key %d", where, following.Key)
			}
			if i+1 < len(bass) || last {
				require.LessOrEqual(t, leap, 12, "%v", where)
			}
			if leap == 0 { // only where no other octave is in the range
				root := line.Slots[line.SlotAt(following.Tick, 0)].Chord.Bass.Class()
				require.Equal(t, class, root, "%v", where)
				require.True(t, following.Key < 28+12 && following.Key > 48-12, "%v", where)
			}
		}
	})
	t.Logf("%d notes", count)
	assert.Greater(t, count, 50_000)
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

func TestPianoKeepsTheRules(t *testing.T) {
	chords, hits, wide := 0, 0, 0
	everyChorus(t, 400, func(what string, line *changes.Timeline, _ *backing.Band, n int, notes []backing.Note) {
		piano := of(notes, backing.Piano)
		for len(piano) > 0 {
			end := slices.IndexFunc(piano, func(x backing.Note) bool { return x.Tick != piano[0].Tick })
			if end < 0 {
				end = len(piano)
			}
			struck := piano[:end]
			piano = piano[end:]
			hits++
			chords += len(struck)
			bar := line.BarAt(struck[0].Tick, 0)
			require.NotEqual(t, 7, bar%8, "%s: the eighth bar is its rest", what)
			var set tone.Set
			for _, note := range struck {
				require.True(t, 48 <= note.Key && note.Key <= 72, "%s: C3 to C5", what)
				require.Positive(t, note.Length)
				set |= tone.SetOf(tone.Class(note.Key % 12))
			}
			now := line.SlotAt(struck[0].Tick, 0)
			next := (now + 1) % len(line.Slots)
			if line.Slots[next].Chord.None() {
				next = now
			}
			fits := func(slot int) bool { // a ninth may be added to all but a dominant
				c := line.Slots[slot].Chord
				may := c.Set()
				if c.Kind() != harmony.KindDominant {
					may |= tone.SetOf((c.Root.Class() + 2) % 12)
				}
				return set&^may == 0
			}
			soon := line.Slots[now].End-struck[0].Tick <= timebase.Quarter/2
			require.True(t, fits(now) || soon && fits(next), "%s: %v over %s", what, set, line.Slots[now].Symbol)
			if struck[len(struck)-1].Key-struck[0].Key > 14 {
				wide++
			}
		}
	})
	t.Logf("%d chords of %d notes, %d wider than a hand", hits, chords, wide)
	assert.Greater(t, hits, 3_000)
	assert.Zero(t, wide)
}
