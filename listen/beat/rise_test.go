package beat_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

// tempi are the quarter notes a minute that were told, in order, each with the chorus,
// from 1, and the tick in it at which it was.
type toldTempo struct {
	chorus, tick int64
	tempo        float64
}

func (p *player) tempi(length int64) (out []toldTempo) {
	var origin analyse.Event
	for _, e := range p.heard {
		switch e.Kind {
		case analyse.Origin:
			origin = e
		case analyse.Tempo:
			song := origin.Value + e.Tick - origin.Tick
			out = append(out, toldTempo{song/length + 1, song % length, 60e6 / float64(e.Value)})
		}
	}
	return out[1:] // but for the one at the beginning
}

// The tempo rises at the top of every second chorus and nowhere else, falls to the first
// where it is counted off again, and what is tapped meanwhile is the tempo.
func TestTheTempoRises(t *testing.T) {
	const minute = time.Minute
	form := plain(2)
	rising := func(by, every int64) *player {
		return newClock(t, beat.Setup{Form: form, Quarter: 500_000, Rise: beat.Rise{By: by, Every: every}})
	}
	near := func(want, got []toldTempo) {
		t.Helper()
		require.Len(t, got, len(want))
		for i := range want {
			require.Equal(t, want[i].chorus, got[i].chorus)
			require.Equal(t, want[i].tick, got[i].tick)
			require.InDelta(t, want[i].tempo, got[i].tempo, 0.001)
		}
	}
	step := func(p *player, d time.Duration) {
		for range d / (50 * ms) {
			p.pass(50 * ms)
		}
	}

	p := rising(4, 2)
	step(p, minute/2)
	near([]toldTempo{{3, 0, 124}, {5, 0, 128}, {7, 0, 132}}, p.tempi(form.Length))

	p = rising(-10, 1)
	step(p, minute/4)
	near([]toldTempo{{2, 0, 110}, {3, 0, 100}, {4, 0, 90}}, p.tempi(form.Length))

	p = rising(20, 1)
	step(p, 9*time.Second) // 4 s, then 3.4, and some of the third
	p.do(beat.Again)
	step(p, 5*time.Second)
	got := p.tempi(form.Length)
	require.Len(t, got, 4)
	require.InDelta(t, 120, got[2].tempo, 0.001, "counted off again")
	near([]toldTempo{{5, 0, 140}}, got[3:])

	form = plain(16)
	p = rising(20, 1)
	step(p, 40*time.Second) // at 140
	for range 8 {
		p.pass(600 * ms)
		p.do(beat.Tap)
	}
	step(p, time.Second)
	got = p.tempi(form.Length)
	require.InDelta(t, 100, got[len(got)-1].tempo, 0.2, "as tapped")
	step(p, minute/2)
	got = p.tempi(form.Length)
	last := got[len(got)-1]
	require.InDelta(t, 120, last.tempo, 0.2, "from there it rises")
	require.Equal(t, [2]int64{3, 0}, [2]int64{last.chorus, last.tick})
}

func TestARiseNeedsAChart(t *testing.T) {
	_, err := beat.New(beat.Setup{Quarter: 500_000, Rise: beat.Rise{By: 4, Every: 2}})
	require.Error(t, err)
	_, err = beat.New(beat.Setup{Form: plain(2), Quarter: 500_000, Rise: beat.Rise{By: 4, Every: -1}})
	require.Error(t, err)
}

// It rises as far as a player may set a tempo, 600 a minute, and falls to 10; one that is
// beyond already stays. What comes is told as long as it comes.
func TestARiseEnds(t *testing.T) {
	form := plain(1)
	for _, test := range []struct {
		by            int64
		first, second float64 // a minute, in the first chorus and in the second
	}{
		{90, 500, 590}, {90, 550, 600}, {90, 600, 600}, {90, 640, 640},
		{-90, 110, 20}, {-90, 90, 10}, {-90, 10, 10}, {-90, 8, 8},
	} {
		p := newClock(t, beat.Setup{Form: form, Quarter: int64(60e6 / test.first), Rise: beat.Rise{By: test.by, Every: 1}})
		line := p.clock.Line()
		left, tempo, comes := line.Rises(form.Length / 2)
		require.Equal(t, test.first != test.second, comes, "%v", test)
		if comes {
			require.Equal(t, form.Length/2, left)
			require.InDelta(t, test.second, tempo, 0.01, "%v", test)
		}
		bar := time.Duration(4 * 60e9 / test.first)
		p.pass(bar + 100*ms)
		told := 60e6 / float64(p.heard[0].Value)
		for _, e := range p.heard {
			if e.Kind == analyse.Tempo {
				told = 60e6 / float64(e.Value)
			}
		}
		require.InDelta(t, test.second, told, 0.01, "%v", test)
	}
}
