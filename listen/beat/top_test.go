package beat_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// judgedTop is the number of the chorus that was last counted off to, as the judge has it
// from the events.
func judgedTop(heard []analyse.Event, length int64) int {
	s := song.Song{Timeline: &changes.Timeline{Length: length, Bars: []changes.Bar{{Meter: timebase.Common}}}}
	for _, e := range heard {
		if e.Kind == analyse.Origin {
			s.Origin(e.Tick, e.Value, e.Key == 1)
		}
	}
	return s.Top()
}

// The judge and the band count the choruses from the same top, by which the key changes:
// whatever the player asks for, and whatever the clock does that is followed. Stopping and
// going on in the same chorus is no top. A bar on from exactly the downbeat of the last bar
// cannot be told from counting off without a count-in; it comes once in 3,840.
func TestTheJudgeKnowsTheTop(t *testing.T) {
	const length = 4 * bar
	same := func(p *player, what any) {
		tick := p.ticks()
		if at, state := p.clock.Line().Song(tick); state == beat.Running && at >= 0 {
			require.Equal(t, p.clock.Line().Top(tick)/length+1, int64(judgedTop(p.heard, length)), "%v\n%s", what, told(p.heard))
		}
	}
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 8))
		p := newClock(t, beat.Setup{Form: plain(4), Quarter: 500_000, CountIn: int(seed % 3)})
		var asked []beat.Action
		for range 12 {
			p.pass(time.Duration(r.IntN(9_000_000)) * time.Microsecond)
			same(p, asked)
			asked = append(asked, []beat.Action{beat.Again, beat.BarOn, beat.BarBack, beat.Stop, beat.Tap}[r.IntN(5)])
			p.do(asked[len(asked)-1])
			p.pass(time.Duration(r.IntN(9_000_000)) * time.Microsecond)
			same(p, asked)
		}
	}
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 6))
		d := &driven{player: newClock(t, beat.Setup{Form: plain(4), Quarter: 500_000, Follow: true})}
		d.pulses(24)
		var asked []string
		for range 8 {
			what := []string{"start", "stop and go on", "stop and start"}[r.IntN(3)]
			asked = append(asked, what)
			if what != "start" {
				d.take(d.clock.Halt(d.now))
				d.pulses(r.IntN(50))
			}
			if what == "stop and go on" {
				d.take(d.clock.Continue(d.now))
			} else {
				d.take(d.clock.Start(d.now))
			}
			d.pulses(2 + 24*16*r.IntN(3) + r.IntN(24*11)) // into the third bar of some chorus: see song.Song.Origin
			same(d.player, asked)
		}
	}
}
