package backing_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The rules are the trade's (common practice), as beside kinds.
func TestPianoKeepsTheRules(t *testing.T) {
	chords, far := 0, 0
	everyChorus(t, 200, func(c *chorus) {
		var before []backing.Note
		for struck := range chordsOf(c.notes) {
			chords++
			tick := struck[0].Tick
			bar := c.line.BarAt(tick, 0)
			require.NotEqual(t, 7, bar%8, "%s: the eighth bar is its rest", c.what)
			var set tone.Set
			for _, note := range struck {
				require.True(t, 48 <= note.Key && note.Key <= 72, "%s: C3 to C5", c.what)
				require.Positive(t, note.Length)
				set |= tone.SetOf(tone.Class(note.Key % 12))
			}
			require.LessOrEqual(t, struck[len(struck)-1].Key-struck[0].Key, uint8(14), "%s: a hand", c.what)
			now := c.stayAt(tick)
			require.False(t, c.stays[now].Chord.None(), "%s: struck in a silence, at %d", c.what, tick)
			next := c.stays[(now+1)%len(c.stays)]
			soon := c.stays[now].End-tick <= timebase.Quarter/2 && tick > c.stays[now].Start
			require.True(t, fits(set, c.stays[now].Symbol, c.stays[now].Chord.Root.Class()) ||
				soon && fits(set, next.Symbol, next.Chord.Root.Class()), "%s: %v over %s", c.what, set, c.stays[now].Symbol)
			if move(before, keysOf(struck)) > 5 {
				far++
				for _, other := range layouts(set.Classes()) {
					require.Greater(t, move(before, other), 5, "%s: at %d to %v, not to %v", c.what, tick, keysOf(struck), other)
				}
			}
			before = struck
		}
	})
	t.Logf("%d chords; %d are more than a fourth away", chords, far)
	assert.Greater(t, chords, 3_000)
}

// chordsOf are the piano's notes that are struck together.
func chordsOf(notes []backing.Note) func(func([]backing.Note) bool) {
	return slices.Values(slices.Collect(func(yield func([]backing.Note) bool) {
		piano := of(notes, backing.Piano)
		for len(piano) > 0 {
			end := slices.IndexFunc(piano, func(x backing.Note) bool { return x.Tick != piano[0].Tick })
			if end < 0 {
				end = len(piano)
			}
			if !yield(piano[:end]) {
				return
			}
			piano = piano[end:]
		}
	}))
}

// fits reports whether some tones are what is struck of a chord.
func fits(set tone.Set, symbol string, root tone.Class) bool {
	name := ""
	for _, r := range roots {
		if strings.HasPrefix(symbol, r) && len(r) > len(name) {
			name = r
		}
	}
	kind := strings.TrimPrefix(symbol, name)
	if at := strings.LastIndex(kind, "/"); at >= 0 && kind != "6/9" {
		kind = kind[:at]
	}
	want, known := kinds[kind]
	if !known {
		return false
	}
	whole := map[string][]int{"": {0, 4, 7}, "m": {0, 3, 7}, "+": {0, 4, 8}, "5": {0, 7}}[kind]
	if whole != nil {
		want.guides = whole
	}
	for _, semitones := range want.guides {
		if !set.Has(above(root, semitones)) {
			return false
		}
		set &^= tone.SetOf(above(root, semitones))
	}
	colours := tone.Set(0)
	for _, semitones := range want.colours {
		colours |= tone.SetOf(above(root, semitones))
	}
	return set&^colours == 0 && set.Len() <= 1
}

func keysOf(notes []backing.Note) (keys []uint8) {
	for _, n := range notes {
		keys = append(keys, n.Key)
	}
	return keys
}

// move returns how far the voice goes that goes farthest, from the lowest up; of other
// numbers of voices each comes from the nearest.
func move(from []backing.Note, to []uint8) (most int) {
	for i, key := range to {
		way := 99
		for k, before := range from {
			if k == i || len(from) != len(to) {
				way = min(way, tone.Apart(int(before.Key), int(key)))
			}
		}
		if len(from) > 0 {
			most = max(most, way)
		}
	}
	return most
}

// layouts are the ways to play some tones between C3 and C5 with a hand, without what
// jars: a minor second or ninth, and any second lowest under F3.
func layouts(classes []tone.Class) (out [][]uint8) {
	var choose func(keys []uint8, left []tone.Class)
	choose = func(keys []uint8, left []tone.Class) {
		if len(left) > 0 {
			for key := uint8(48); key <= 72; key++ {
				if tone.Class(key%12) == left[0] {
					choose(append(slices.Clone(keys), key), left[1:])
				}
			}
			return
		}
		slices.Sort(keys)
		for i := range keys {
			for k := range i {
				if d := keys[i] - keys[k]; d == 13 || d > 14 || d < 2 || k == 0 && i == 1 && keys[0] < 53 && d < 3 {
					return
				}
			}
		}
		out = append(out, keys)
	}
	choose(nil, classes)
	return out
}
