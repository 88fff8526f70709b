package beat_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// The tempo keys: two beats a minute each, whole ones, of the beat that is counted. A
// minute has 60,000,000 microseconds; a beat of 6/8 is a dotted quarter, so that 90 of
// them are 60,000,000 / 90 * 2 / 3 microseconds a quarter note.
func TestTheTempoKeys(t *testing.T) {
	const faster, slower = beat.Faster, beat.Slower
	six := &beat.Form{Bars: []beat.Bar{{Meter: timebase.Meter{Num: 6, Den: 8}}}, Length: 3 * timebase.Quarter}
	waltz := &beat.Form{Bars: []beat.Bar{{Meter: timebase.Meter{Num: 3, Den: 4}}}, Length: 3 * timebase.Quarter}
	for name, test := range map[string]struct {
		form    *beat.Form
		quarter int64
		keys    []beat.Action
		want    []int64 // microseconds a quarter note after each
	}{
		"120, faster":            {plain(1), 500_000, []beat.Action{faster, faster}, []int64{60_000_000 / 122, 60_000_000 / 124}},
		"there and back":         {plain(1), 500_000, []beat.Action{faster, slower, slower, faster}, []int64{491_803, 500_000, 60_000_000 / 118, 500_000}},
		"in 3/4":                 {waltz, 60_000_000 / 180, []beat.Action{slower}, []int64{60_000_000 / 178}},
		"in 6/8, by its beat":    {six, 444_444, []beat.Action{faster, slower}, []int64{40_000_000 / 92, 40_000_000 / 90}},
		"133.7 counts as 134":    {plain(1), 448_766, []beat.Action{faster}, []int64{60_000_000 / 136}},
		"no faster than it goes": {plain(1), beat.Fastest, []beat.Action{faster}, []int64{beat.Fastest}},
		"no slower than it goes": {plain(1), 60_000_000 / 4, []beat.Action{slower, slower, slower}, []int64{beat.Slowest, beat.Slowest, beat.Slowest}},
		"and up again":           {plain(1), beat.Slowest, []beat.Action{faster}, []int64{60_000_000 / 6}}, // 3.6 a minute count as 4
	} {
		p := newClock(t, beat.Setup{Form: test.form, Quarter: test.quarter})
		p.pass(time.Second)
		for i, key := range test.keys {
			before := p.songAt(p.last)
			p.do(key)
			p.pass(20 * ms) // at the slowest a tick takes 17
			require.Equal(t, test.want[i], p.tempo.Quarter(p.last+1), "%s, key %d", name, i+1)
			require.GreaterOrEqual(t, p.songAt(p.last), before, "%s: no tick is lost", name)
			p.pass(100 * ms)
			p.agrees()
		}
		origins := 0
		for _, e := range p.heard {
			if e.Kind == analyse.Origin {
				origins++
			}
		}
		require.Equal(t, 1, origins, "%s: the song is where it was", name)
	}
}

// Where a chart has tempos of its own, the keys change that of bar 1, and the others
// with it: mixed has 400, 300 and 410 ms, which are 4:3:4.1.
func TestTheTempoKeysKeepTheTemposOfAChart(t *testing.T) {
	form := mixed()
	p := newClock(t, beat.Setup{Form: form, Quarter: 400_000})
	p.pass(0)
	for p.songAt(p.last) < 8000 { // in the third bar, which has 300 ms: 200 quarters a minute
		p.pass(10 * ms)
	}
	require.EqualValues(t, 300_000, p.tempo.Quarter(p.last))
	p.do(beat.Faster) // bar 1 has 150 quarters a minute, and then 152
	p.pass(ms)
	const first = 60_000_000 / 152
	assert.EqualValues(t, (first*3+2)/4, p.tempo.Quarter(p.last))
	for p.songAt(p.last) < form.Length+10 {
		p.pass(10 * ms)
	}
	assert.EqualValues(t, first, p.tempo.Quarter(p.last))
	p.agrees()
}

// What the keys do where the song does not run, and where there is no beat.
func TestTheTempoKeysAtAwkwardMoments(t *testing.T) {
	waits := newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, Begin: beat.OnNote})
	waits.pass(time.Second)
	waits.do(beat.Faster)
	waits.pass(ms)
	require.False(t, waits.running, "it goes on waiting")
	waits.note()
	require.True(t, waits.running)
	require.EqualValues(t, 491_803, waits.tempo.Quarter(waits.last))

	stands := newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000})
	stands.pass(time.Second)
	stands.do(beat.Stop)
	stands.pass(time.Second)
	at := stands.songAt(stands.last)
	stands.do(beat.Slower)
	stands.pass(time.Second)
	require.Equal(t, at, stands.songAt(stands.last), "it goes on standing")
	require.EqualValues(t, 508_474, stands.tempo.Quarter(stands.last))

	counted := newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, CountIn: 2})
	counted.pass(time.Second)
	counted.do(beat.Faster)
	counted.pass(7 * 500 * ms) // 1.5 beats are left at 122
	require.Positive(t, counted.songAt(counted.last), "the rest of the count-in is faster too")
	counted.agrees()

	free := newClock(t, beat.Setup{})
	free.pass(time.Second)
	free.do(beat.Faster)
	free.pass(ms)
	require.Empty(t, free.heard, "there is no tempo to change")
}
