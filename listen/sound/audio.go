package sound

import (
	"sync/atomic"
	"time"
)

// device is an open audio device. Its calls may hang, and are made where that
// hurts nobody.
type device interface {
	facts() facts
	// start makes it ask for frames. render is called on a thread of the sound
	// system, one call at a time; stopped once it has stopped by itself.
	start(render func(frames []float32), stopped func()) error
	// close stops it for good; no call of render begins after it returns.
	close()
}

// facts are what is known of a device.
type facts struct {
	name   string
	rate   int           // frames a second
	buffer time.Duration // how long what has been rendered lasts
	fixed  bool          // the buffer is a server's: it tells by what it asks for, and no other can be had
}

// opener opens the device, with a buffer some times the usual one.
type opener func(times int) (device, error)

const (
	// Three underruns in ten seconds double the buffer, to eight times the usual
	// one at most: a sixth of a second, over which nobody can play with a click.
	underrunsMost = 3
	underrunsIn   = 10 * time.Second
	timesMost     = 8
	// stalled is how long a device may ask for nothing: its server hangs. It has
	// beginning to begin with.
	stalled   = time.Second
	beginning = 5 * time.Second
	// closeLimit is how long a close is waited for.
	closeLimit = 2 * time.Second
	// tooFast is the multiple of the wall clock that no device reaches.
	tooFast = 2
	// fastSlack is what a device may take at once to fill itself.
	fastSlack = time.Second
)

// audio is the engine that renders. Its fields belong to the supervisor but for
// what is atomic.
type audio struct {
	begun   time.Time
	send    reports
	open    opener
	player  atomic.Pointer[Player] // of the open device; nil: nobody renders
	level   atomic.Uint32
	kept    *Player // of a device that was closed, to go on with
	device  device
	facts   facts
	opening chan opened  // nil: nothing is being opened
	closing chan *Player // nil: nothing is being closed
	stopped chan device
	retry   retry
	times   int  // the buffer, in usual ones
	gaveUp  bool // there is no device

	opened    time.Time
	told      bool  // that it sounds
	frames    int64 // when it was opened
	underruns int64 // that were reported
	recent    []time.Time
	missed    int64
}

// opened is what became of an attempt to open.
type opened struct {
	device device
	player *Player
	err    error
}

func newAudio(begun time.Time, send reports, open opener) *audio {
	a := &audio{begun: begun, send: send, open: open, times: 1, stopped: make(chan device, 1)}
	a.level.Store(DefaultLevel)
	return a
}

// ask implements engine.
func (a *audio) ask(c Command) {
	if c.Kind == Volume {
		a.level.Store(uint32(c.Velocity))
	}
	if p := a.player.Load(); p != nil {
		p.Ask(c)
	}
}

// look implements engine.
func (a *audio) look() {
	now := time.Now()
	select {
	case d := <-a.stopped:
		if d == a.device {
			a.lose(now, "the device has stopped")
		}
	default:
	}
	switch {
	case a.closing != nil:
		select {
		case a.kept = <-a.closing:
			a.closing = nil
		default:
		}
	case a.gaveUp:
	case a.opening != nil:
		select {
		case o := <-a.opening:
			a.opening = nil
			a.ready(now, o)
		default:
		}
	case a.device == nil:
		if a.retry.due(now) {
			a.begin()
		}
	default:
		a.watch(now)
	}
}

// begin opens the device, on a goroutine of its own: it may take long, or hang.
func (a *audio) begin() {
	result := make(chan opened, 1)
	a.opening = result
	kept, times := a.kept, a.times
	a.kept = nil
	go func() {
		d, err := a.open(times)
		if err != nil {
			result <- opened{err: err, player: kept}
			return
		}
		f := d.facts()
		p := kept
		if p == nil || int(p.rate) != f.rate {
			p = NewPlayer(f.rate, f.buffer)
		}
		p.adapt(f.buffer, f.fixed)
		render := func(frames []float32) { p.Render(frames, time.Since(a.begun)) }
		stopped := func() {
			select {
			case a.stopped <- d:
			default:
			}
		}
		if err := d.start(render, stopped); err != nil {
			d.close()
			result <- opened{err: err}
			return
		}
		result <- opened{device: d, player: p}
	}()
}

// ready takes what was opened into use.
func (a *audio) ready(now time.Time, o opened) {
	if o.err != nil {
		a.kept = o.player
		if a.retry.pause == 0 { // said once, not at each try
			a.send.send(Report{News: Refused, Text: o.err.Error()})
		}
		a.retry.failed(now)
		return
	}
	a.retry.worked()
	a.device, a.facts = o.device, o.device.facts()
	a.opened, a.told, a.recent = now, false, a.recent[:0]
	a.frames, a.underruns = o.player.frames.Load(), o.player.underruns.Load()
	o.player.Ask(Command{Kind: Volume, Velocity: uint8(a.level.Load())})
	a.player.Store(o.player)
}

// watch looks after an open device.
func (a *audio) watch(now time.Time) {
	p := a.player.Load()
	since := now.Sub(a.opened)
	frames := p.frames.Load() - a.frames
	if frames > tooFast*int64((since+fastSlack).Seconds()*float64(a.facts.rate)) {
		a.gaveUp = true
		a.drop()
		a.send.send(Report{News: NoDevice, Name: a.facts.name})
		return
	}
	if called := a.begun.Add(time.Duration(p.called.Load())); since > beginning && now.Sub(called) > stalled {
		a.lose(now, "the device asks for nothing")
		return
	}
	if frames > 0 && !a.told {
		a.told = true
		a.facts.buffer = time.Duration(p.held.Load())
		a.send.send(Report{News: Sounding, Name: a.facts.name, Rate: a.facts.rate, Buffer: a.facts.buffer})
	}
	if missed := p.missed.Load(); missed != a.missed {
		a.missed = missed
		a.send.send(Report{News: Missed, Count: missed})
	}
	a.count(now, p.underruns.Load())
}

// count notes underruns, and opens with a larger buffer after too many.
func (a *audio) count(now time.Time, underruns int64) {
	if underruns == a.underruns {
		return
	}
	for range min(underruns-a.underruns, underrunsMost) {
		a.recent = append(a.recent, now)
	}
	a.underruns = underruns
	a.send.send(Report{News: Underrun, Count: underruns})
	for len(a.recent) > 0 && now.Sub(a.recent[0]) > underrunsIn {
		a.recent = a.recent[1:]
	}
	if len(a.recent) < underrunsMost || a.facts.fixed || a.times >= timesMost {
		return
	}
	a.times *= 2
	a.drop()
	a.send.send(Report{News: Enlarged, Buffer: 2 * a.facts.buffer})
}

// lose says that the device is gone, and has it tried again.
func (a *audio) lose(now time.Time, why string) {
	a.drop()
	a.send.send(Report{News: LostSound, Name: a.facts.name, Text: why})
	a.retry.failed(now)
}

// drop closes the device, on a goroutine of its own. The player goes on with the
// next one, unless the close hangs, and with it perhaps a call of Render.
func (a *audio) drop() {
	d, p := a.device, a.player.Swap(nil)
	a.device = nil
	result := make(chan *Player, 1)
	a.closing = result
	go func() {
		if !within(closeLimit, d.close) {
			p = nil
		}
		result <- p
	}()
}

// finish implements engine. What sounds fades; then the device is closed, which a
// server that is left without a word would wait for.
func (a *audio) finish() {
	if a.device == nil {
		return
	}
	if p := a.player.Load(); p != nil {
		p.Ask(Command{Kind: Quiet})
	}
	<-time.After(min(fadeTime+a.facts.buffer, endLimit/2))
	within(endLimit/2, a.device.close)
}

// fadeTime is how long what is let go needs.
const fadeTime = fadeSeconds * 1000 * time.Millisecond
