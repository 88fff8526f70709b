package backing_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/changes"
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

// meters are those that players meet; random makes up others beside them.
var meters = []string{"4/4", "3/4", "2/4", "5/4", "6/4", "7/4", "2/2", "3/2", "6/8", "9/8", "12/8", "3/8", "5/8", "7/8", "1/4", "4/16", "13/16"}

// voiced is what a pianist may strike of a chord (common practice), in semitones above
// its root: the guide tones, and the colours of which there is one at most. A chord
// without guide tones is struck whole. A dominant has no colour but what its symbol
// names.
type voiced struct{ guides, colours []int }

var kinds = map[string]voiced{
	"": {}, "m": {}, "+": {}, "5": {},
	"6": {[]int{4, 9}, []int{2, 7}}, "6/9": {[]int{4, 9}, []int{2, 7}},
	"maj7": {[]int{4, 11}, []int{2, 7}}, "maj9": {[]int{4, 11}, []int{2, 7}},
	"m6": {[]int{3, 9}, []int{2, 7}}, "m7": {[]int{3, 10}, []int{2, 7}}, "m9": {[]int{3, 10}, []int{2, 7}},
	"m7b5": {[]int{3, 10}, []int{6}}, "dim7": {[]int{3, 9}, []int{6}},
	"7": {[]int{4, 10}, nil}, "7b9": {[]int{4, 10}, []int{1}}, "9": {[]int{4, 10}, []int{2}},
	"13": {[]int{4, 10}, []int{2, 9}}, "7#11": {[]int{4, 10}, []int{6}}, "7alt": {[]int{4, 10}, []int{1, 3, 6, 8}},
	"7sus4": {[]int{5, 10}, []int{7}},
}

var roots = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// random writes a chart of twenty bars: chords of every kind on every root, from one in
// a bar to two on each beat, silences, slash chords, pedal points, chords that stay for
// bars, and other meters on the way.
func random(r *rand.Rand, meter, style string) string {
	names := slices.Sorted(func(yield func(string) bool) {
		for kind := range kinds {
			if !yield(kind) {
				return
			}
		}
	})
	var b strings.Builder
	fmt.Fprintf(&b, "title: Dry Run\nstyle: %s\nmeter: %s\n\n", style, meter)
	pedal := ""
	for bar := range 20 {
		b.WriteString("|")
		if bar > 0 && r.IntN(8) == 0 {
			meter = fmt.Sprintf("%d/%d", 1+r.IntN(15), 1<<(1+r.IntN(4)))
			if r.IntN(2) == 0 {
				meter = meters[r.IntN(len(meters))]
			}
			fmt.Fprintf(&b, " {meter %s}", meter)
		} else if bar > 0 && r.IntN(5) == 0 {
			b.WriteString(" % |\n")
			continue
		}
		var m timebase.Meter
		_, _ = fmt.Sscanf(meter, "%d/%d", &m.Num, &m.Den)
		chords := []int{1, 1, 1}
		for n := 2; n <= 2*m.Beats(); n++ {
			if m.Beats()%n == 0 || n == 2*m.Beats() {
				chords = append(chords, n)
			}
		}
		for range chords[r.IntN(len(chords))] {
			switch r.IntN(16) {
			case 0:
				b.WriteString(" N.C.")
				continue
			case 1:
				pedal = "/" + roots[r.IntN(len(roots))]
			case 2, 3, 4:
				pedal = ""
			}
			fmt.Fprintf(&b, " %s%s%s", roots[r.IntN(len(roots))], names[r.IntN(len(names))], pedal)
		}
		b.WriteString(" |\n")
	}
	return b.String()
}

// quarters are tempi in microseconds a quarter note: 60, 72, 90, 120, 160, 190, 200,
// 240 and 300 a minute.
var quarters = []int64{1_000_000, 833_333, 666_667, 500_000, 375_000, 315_789, 300_000, 250_000, 200_000}

// chorus is one that is played over a random chart.
type chorus struct {
	what  string
	line  *changes.Timeline
	stays []stay
	band  *backing.Band
	n     int
	tempo int64 // quarter notes a minute
	notes []backing.Note
}

// everyChorus calls f for choruses of random charts in every meter, at every tempo and
// in every style.
func everyChorus(t *testing.T, charts int, f func(c *chorus)) {
	for seed := range uint64(charts) {
		r := rand.New(rand.NewPCG(seed, 17))
		meter := meters[seed%uint64(len(meters))]
		style := "swing"
		if seed%5 == 4 {
			style = "bossa"
		}
		line := tune(t, random(r, meter, style))
		band := backing.New(line, seed)
		quarter := quarters[seed/uint64(len(meters))%uint64(len(quarters))]
		for n := range 2 {
			f(&chorus{
				what: fmt.Sprintf("chart %d, %s, %s, %d us, chorus %d", seed, meter, style, quarter, n), line: line, stays: staysOf(line),
				band: band, n: n, tempo: (60_000_000 + quarter/2) / quarter, notes: band.Chorus(n, quarter, true),
			})
		}
	}
}

// stay is the time on one chord, as a player counts it: written again it is no change.
type stay struct {
	changes.Slot
	pedal bool // a pedal point: the bass is that of the chord before or behind, and not the root of both
}

func staysOf(line *changes.Timeline) (out []stay) {
	for _, s := range line.Slots {
		if n := len(out); n > 0 && out[n-1].Chord == s.Chord {
			out[n-1].End = s.End
		} else {
			out = append(out, stay{Slot: s})
		}
	}
	for i := range out {
		for _, k := range []int{i - 1, i + 1} {
			if k < 0 || k == len(out) || out[i].Chord.None() || out[k].Chord.None() {
				continue
			}
			a, b := out[i].Chord, out[k].Chord
			if a.Bass.Class() == b.Bass.Class() && (a.Bass.Class() != a.Root.Class() || b.Bass.Class() != b.Root.Class()) {
				out[i].pedal = true
			}
		}
	}
	return out
}

// stayAt returns the index of the stay at a tick.
func (c *chorus) stayAt(tick int64) int {
	return slices.IndexFunc(c.stays, func(s stay) bool { return tick < s.End })
}

func of(notes []backing.Note, by backing.Player) (out []backing.Note) {
	for _, n := range notes {
		if n.By == by {
			out = append(out, n)
		}
	}
	return out
}

// above returns the pitch class some semitones above another.
func above(c tone.Class, semitones int) tone.Class {
	return tone.Class((int(c) + semitones) % tone.Octave)
}
