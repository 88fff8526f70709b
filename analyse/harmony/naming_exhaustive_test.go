package harmony

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

// eachCase calls f for all 4,095 sets over all 12 basses.
func eachCase(f func(set tone.Set, bass tone.Class)) {
	for set := tone.Set(1); set <= tone.All; set++ {
		for bass := range tone.Class(12) {
			f(set, bass)
		}
	}
}

// All 49,140 cases: a name holds the sounding tones and no others over the
// sounding bass, and its symbol reads back as the same chord.
func TestFirstNamesAreExactInEveryCase(t *testing.T) {
	cases, named := 0, 0
	eachCase(func(set tone.Set, bass tone.Class) {
		cases++
		c, ok := NameChord(set, bass)
		if !set.Has(bass) {
			require.False(t, ok, "the bass %d is not in the set %012b", bass, set)
		}
		if !ok {
			require.True(t, c.None())
			return
		}
		named++
		require.Equal(t, set, c.Set(), "%s", c.Symbol())
		require.Equal(t, bass, c.Bass.Class(), "%s", c.Symbol())
		back, err := ParseSymbol(c.Symbol())
		require.NoError(t, err)
		require.Equal(t, c, back.Chord, "%s", c.Symbol())
	})
	require.Equal(t, 49140, cases)
	t.Logf("%d of %d cases have a name", named, cases)
}

// In every key and case: exact names are exact and read back, silent tones are
// root, third or natural fifth, and the order is exact, then by claim.
func TestEveryNameIsTrueInEveryCase(t *testing.T) {
	keys := []RootSpelling{UsualRoots()}
	for class := range tone.Class(12) {
		keys = append(keys, RootsIn(NewScale(MajorSixth, usualRoots.major[class])))
	}
	eachCase(func(set tone.Set, bass tone.Class) {
		key := keys[int(set)%len(keys)]
		first, ok := NameChordIn(set, bass, key)
		names := NamesIn(set, bass, key)
		require.Equal(t, ok, len(names) > 0)
		if ok {
			require.Equal(t, first, names[0].Chord)
			require.Equal(t, ReadExact, names[0].Reading)
		}
		seen := map[Naming]bool{}
		exactOver := false
		for _, n := range names {
			require.False(t, seen[n], "%s twice", n.Chord.Symbol())
			seen[n] = true
			require.NotEmpty(t, n.Reason)
			back, err := ParseSymbol(n.Chord.Symbol())
			require.NoError(t, err)
			require.Equal(t, n.Chord, back.Chord, n.Chord.Symbol())
			if n.Reading == ReadExact {
				require.False(t, exactOver, "an exact name after a reading")
				require.Equal(t, set, n.Chord.Set())
				continue
			}
			exactOver = true
			requireHonest(t, set, n)
		}
		if !ok {
			for _, n := range Readings(set, bass, key) {
				requireHonest(t, set, n)
			}
		}
	})
}

// requireHonest checks that a reading holds every sounding tone and claims only
// a root, a natural fifth, or the third of a root and seventh.
func requireHonest(t *testing.T, set tone.Set, n Naming) {
	t.Helper()
	require.True(t, set.Within(n.Chord.Set()), n.Chord.Symbol())
	silent := n.Chord.Set() &^ set
	require.NotZero(t, silent)
	may := tone.SetOf(n.Chord.Root.Class(), n.Chord.Name(Five).Class())
	if n.Reading == ReadShell && set.Len() == 2 {
		may |= tone.SetOf(n.Chord.Name(Three).Class(), n.Chord.Name(FlatThree).Class())
	}
	require.True(t, silent.Within(may), "%s claims %012b", n.Chord.Symbol(), silent)
	require.Equal(t, n.Reading == ReadRootless, silent.Has(n.Chord.Root.Class()))
}

// A name moves with its chord: the same degrees and the same bass degree on
// every root (a property, arithmetic).
func TestNamesTranspose(t *testing.T) {
	for set := tone.Set(1); set <= tone.All; set += 2 {
		c, ok := NameChord(set, 0)
		for up := range 12 {
			moved, okMoved := NameChord(set.Transpose(up), tone.Class(up))
			require.Equal(t, ok, okMoved)
			require.Equal(t, c.Formula, moved.Formula)
			if ok {
				require.Equal(t, tone.ClassOf(int(c.Root.Class())+up), moved.Root.Class())
			}
		}
	}
}

// The allocation-free search against the slow, obvious one: write out every
// chord that the kinds of chord can make with any tensions on any root, weigh
// it, and keep the lightest that sounds the same.
func TestFastNamesAgreeWithEveryChordWrittenOut(t *testing.T) {
	lightest := map[tone.Set]int16{}
	for i := range qualities {
		q := &qualities[i]
		for chosen := tone.Set(0); chosen <= tone.All; chosen++ {
			if cost, ok := weigh(q, chosen); ok {
				set := q.core.intervals() | chosen
				if least, found := lightest[set]; !found || cost < least {
					lightest[set] = cost
				}
			}
		}
	}
	for set := range tone.All + 1 {
		want, ok := lightest[set]
		require.Equal(t, ok, entries[set].formula != 0, "%012b", set)
		if ok {
			require.Equal(t, want, entries[set].cost, "%012b", set)
			require.Equal(t, set, entries[set].formula.intervals())
		}
	}
}

func weigh(q *quality, chosen tone.Set) (cost int16, ok bool) {
	if chosen&q.core.intervals() != 0 || chosen.Len() > q.most {
		return 0, false
	}
	total := q.cost
	for interval := range 12 {
		if !chosen.Has(tone.Class(interval)) {
			continue
		}
		if q.adds[interval] == 0 {
			return 0, false
		}
		total += q.adds[interval]
		for other := range interval {
			if chosen.Has(tone.Class(other)) && clash(other, interval) {
				return 0, false
			}
		}
	}
	return int16(total), total <= highestCost
}

// clash as a musician says it: no 9 beside an altered 9, no 11 beside a sharp
// 11, no 13 beside a flat 13.
func clash(low, high int) bool {
	switch [2]int{low, high} {
	case [2]int{1, 2}, [2]int{2, 3}, [2]int{5, 6}, [2]int{8, 9}:
		return true
	}
	return false
}

func TestNameChordAllocatesNothing(t *testing.T) {
	key := RootsIn(NewScale(MajorSixth, usualRoots.major[5]))
	require.Zero(t, testing.AllocsPerRun(1000, func() {
		NameChord(tone.SetOf(0, 4, 7, 10), 4)
		NameChordIn(tone.SetOf(6, 10, 1, 4), 6, key)
	}))
}

// BenchmarkNameChord names all sets over all their basses; one operation is one
// name.
func BenchmarkNameChord(b *testing.B) {
	type sounded struct {
		set  tone.Set
		bass tone.Class
	}
	var all []sounded
	eachCase(func(set tone.Set, bass tone.Class) {
		if set.Has(bass) {
			all = append(all, sounded{set: set, bass: bass})
		}
	})
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		NameChord(all[i].set, all[i].bass)
		if i++; i == len(all) {
			i = 0
		}
	}
}
