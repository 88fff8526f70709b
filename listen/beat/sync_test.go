package beat_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

// driven is a clock that follows a steady one at 120, a pulse at a time.
type driven struct {
	*player
	sent float64
}

const pulse120 = 60 * 1e6 / 120 / 24

func newDriven(t *testing.T) *driven {
	return &driven{player: newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, Follow: true})}
}

// pulses sends some.
func (d *driven) pulses(n int) {
	for range n {
		d.sent += pulse120
		d.now = time.Duration(d.sent) * time.Microsecond
		d.take(d.clock.Pulse(d.now))
		d.ticks()
	}
}

// silence lets time pass without any, in microseconds.
func (d *driven) silence(us float64) {
	d.sent += us
	for target := time.Duration(d.sent) * time.Microsecond; d.now < target; {
		d.pass(min(10*ms, target-d.now))
	}
}

// at returns the chorus, from 1, and the song tick in it, now; 0 where the song stands.
func (d *driven) at() (chorus, song int64) {
	if !d.running {
		return 0, 0
	}
	now := d.songAt(d.ticks())
	return now/(2*bar) + 1, now % (2 * bar)
}

// The song goes as MIDI 1.0 has it (system real time, song position pointer): a start
// counts from the next pulse, a stop halts, a continue goes on with the next pulse, and
// a position is counted in sixteenths. No number of a chorus comes twice.
func TestStartStopContinuePosition(t *testing.T) {
	type place struct{ chorus, song int64 }
	for _, c := range []struct {
		what string
		do   func(d *driven)
		want place
	}{
		{"pulses without a start", func(d *driven) { d.pulses(100) }, place{}},
		{"a start", func(d *driven) { d.take(d.clock.Start(d.now)); d.pulses(1) }, place{1, 0}},
		{"a start in the middle of pulses", func(d *driven) {
			d.pulses(50)
			d.take(d.clock.Start(d.now))
			d.pulses(25)
		}, place{1, 960}},
		{"stopped", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Halt(d.now))
			d.pulses(3)
		}, place{}},
		{"stopped and continued", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25) // the 26th would be pulse 25 of the song
			d.take(d.clock.Halt(d.now))
			d.pulses(30)
			d.take(d.clock.Continue(d.now))
			d.pulses(1)
		}, place{1, 1000}},
		{"started twice", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Start(d.now))
			d.pulses(13)
		}, place{2, 480}},
		{"positioned on the second bar", func(d *driven) {
			d.take(d.clock.Position(16, d.now))
			d.take(d.clock.Continue(d.now))
			d.pulses(1)
		}, place{1, bar}},
		{"positioned in the third chorus", func(d *driven) {
			d.take(d.clock.Position(4*16+4, d.now))
			d.take(d.clock.Continue(d.now))
			d.pulses(7)
		}, place{3, 960 + 240}},
		{"positioned back while it runs", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(24 * 9) // a beat into the second chorus
			d.take(d.clock.Position(8, d.now))
			d.pulses(1)
		}, place{3, 2 * 960}},
		{"a bar on, by the player", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.do(beat.BarOn)
			d.pulses(24)
		}, place{1, bar + 2*960}},
		{"one, tapped nearly a beat late by the pulses' count", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(20)
			d.do(beat.Tap)
			d.pulses(24)
		}, place{1, 960}},
		{"continued while it runs", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Continue(d.now))
			d.pulses(12)
		}, place{1, 960 + 480}},
		{"started after a silence", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Halt(d.now))
			d.silence(5 * second)
			d.take(d.clock.Start(d.now))
			d.pulses(1)
		}, place{2, 0}},
		{"started without a stop, after a silence", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(97)
			d.silence(5 * second)
			d.take(d.clock.Start(d.now))
			d.pulses(9) // it is decided then what the silence was
		}, place{3, 320}},
		{"stopped in a silence, and continued where that was", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.silence(second + pulse120/2) // 48 pulses: the last that was sent lies on four
			d.take(d.clock.Halt(d.now))
			d.silence(second)
			d.take(d.clock.Continue(d.now))
			d.pulses(1)
		}, place{1, 3*960 + 40}},
		{"one, tapped where the start was missed", func(d *driven) {
			d.pulses(50)
			d.do(beat.Tap)
			d.pulses(24)
		}, place{1, 960}},
		{"a tap without pulses", func(d *driven) { d.do(beat.Tap) }, place{}},
		{"again, by the player", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(60)
			d.do(beat.Again)
			d.pulses(1)
		}, place{2, 0}},
	} {
		t.Run(c.what, func(t *testing.T) {
			d := newDriven(t)
			c.do(d)
			chorus, song := d.at()
			assert.Equal(t, c.want.chorus, chorus)
			assert.InDelta(t, c.want.song, song, 1.5)
		})
	}
}

// A clock that is silent while the song runs is lost, until its pulses come again; the
// beat goes on meanwhile.
func TestALostClockFreeWheels(t *testing.T) {
	d := newDriven(t)
	d.take(d.clock.Start(0))
	d.pulses(97)
	require.False(t, d.clock.Lost())
	_, before := d.at()
	d.pass(50 * ms)
	require.False(t, d.clock.Lost())
	d.pass(450 * ms)
	require.True(t, d.clock.Lost())
	_, after := d.at()
	require.InDelta(t, before+960, after, 2)
	d.sent += 500_000 - pulse120 // 24 pulses are lost
	d.pulses(7)
	require.True(t, d.clock.Lost(), "not yet decided")
	d.pulses(1)
	require.False(t, d.clock.Lost())
	_, song := d.at()
	require.InDelta(t, (before+960+7*40)%(2*bar), song, 2)
	d.take(d.clock.Halt(d.now))
	d.pass(time.Second)
	require.False(t, d.clock.Lost(), "a stopped clock may be silent")
}

// Without a chart the bars are counted from the start, and the tempo is told as soon as
// there are pulses.
func TestFollowsWithoutAChart(t *testing.T) {
	d := &driven{player: newClock(t, beat.Setup{Follow: true})}
	d.pulses(24)
	require.NotEmpty(t, d.heard)
	require.Equal(t, analyse.Tempo, d.heard[0].Kind)
	require.InDelta(t, 500_000, d.heard[0].Value, 100)
	before := len(d.heard)
	d.take(d.clock.Start(d.now))
	d.pulses(30)
	meters := 0
	for _, e := range d.heard[before:] {
		if e.Kind == analyse.Meter {
			meters++
			require.InDelta(t, 25*40, e.Tick, 5, "on the pulse after the start")
		}
	}
	require.Equal(t, 1, meters)
}

// Clocks go as slowly as a beat can be told, 3.6 a minute, and as fast as any; what is
// slower is none.
func TestTheSlowestAndTheFastestClock(t *testing.T) {
	for _, c := range []struct{ tempo, told float64 }{{1, 120}, {4, 4}, {20, 20}, {400, 400}, {1000, 1000}} {
		p := newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, Follow: true})
		p.take(p.clock.Start(0))
		for k := range 200 {
			p.now = time.Duration(float64(k) * 60 / 24 / c.tempo * float64(time.Second))
			p.take(p.clock.Pulse(p.now))
			p.ticks()
		}
		tempo := 60e6 / float64(p.tempo.Quarter(p.ticks()))
		assert.InDelta(t, c.told, tempo, c.told/50, "at %v", c.tempo)
		origins := 0
		for _, e := range p.heard {
			if e.Kind == analyse.Origin {
				origins++
			}
		}
		assert.LessOrEqual(t, origins, 4, "at %v the song does not stutter", c.tempo)
	}
}

// A heap of so many pulses that it might be another tempo, all at one moment, is counted
// too, once pulses come at a tempo again.
func TestALongHeap(t *testing.T) {
	d := newDriven(t)
	d.take(d.clock.Start(0))
	d.pulses(97)
	const late = 24 * 12
	d.silence(late * pulse120)
	for range late {
		d.take(d.clock.Pulse(d.now))
		d.ticks()
	}
	d.pulses(24)
	require.False(t, d.clock.Lost())
	_, song := d.at()
	require.InDelta(t, (96+late+24)*40%(2*bar), song, 2)
}

// A clock gone mad, with ten thousand pulses a second, is survived.
func TestAFloodOfPulses(t *testing.T) {
	d := newDriven(t)
	d.take(d.clock.Start(0))
	d.pulses(48)
	for range 100_000 { // a clock gone mad
		d.sent += 100
		d.now = time.Duration(d.sent) * time.Microsecond
		d.take(d.clock.Pulse(d.now))
		d.ticks()
	}
	d.pulses(24 * 8)
	require.False(t, d.clock.Lost())
	tempi := 0
	for _, e := range d.heard {
		if e.Kind == analyse.Tempo {
			tempi++
			require.GreaterOrEqual(t, e.Value, int64(beat.Fastest))
		}
	}
	require.Less(t, tempi, 100_000/3)
}

// A pulse of an outside clock, with what its owner asks for then. 120 come a second at 300
// quarter notes a minute.
func BenchmarkPulse(b *testing.B) {
	s := steady(1, 600, 2, always(300))
	p := newClock(b, beat.Setup{Form: plain(formBars), Quarter: 200_000, Follow: true})
	p.clock.Start(0)
	round := time.Duration(0)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		if i == len(s.came) {
			i, round = 0, p.now
		}
		p.now = round + time.Duration(s.came[i])*time.Microsecond
		p.clock.Pulse(p.now)
		p.clock.Tick(p.now)
		p.clock.Line()
		i++
	}
}
