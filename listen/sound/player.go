package sound

import (
	"math"
	"sync/atomic"
	"time"
)

// voices bounds how many notes sound at once: what a band of three plays, twice.
const voices = 24

// Player makes the sound of what it is asked for. Ask is called by one goroutine,
// Render by the audio callback; between them is a ring, and nothing waits. Render
// allocates nothing.
//
// Times are since whatever its owner counts from, the same for both.
type Player struct {
	ring    ring
	rate    float64
	buffer  time.Duration
	server  bool    // the buffer is as many periods as serverPeriods
	asked   int     // frames of a server's period
	delay   float64 // seconds from a frame's request to when it is heard
	loop    loop
	agenda  agenda
	voices  [voices]voice
	playing int // of voices, the first that many
	sine    *sine
	gain    float32
	target  float32
	glide   float32
	last    time.Duration // when Render was called last
	calls   int           // so far, up to settling

	// Counts that other goroutines read.
	frames    atomic.Int64
	called    atomic.Int64 // when Render was called last, in nanoseconds
	held      atomic.Int64 // how long the buffer lasts, in nanoseconds
	underruns atomic.Int64
	missed    atomic.Int64 // strikes that came too late, or for which there was no room
}

// NewPlayer returns a player for a device of so many frames a second, whose
// buffer lasts so long. The volume is DefaultLevel.
func NewPlayer(rate int, buffer time.Duration) *Player {
	p := &Player{
		rate: float64(rate), sine: newSine(), loop: loop{rate: float64(rate)}, gain: gain(DefaultLevel), target: gain(DefaultLevel),
		glide: float32(1 / (glideSeconds * float64(rate))),
	}
	for i := range p.voices {
		p.voices[i].str = newStr(p.rate)
	}
	p.setBuffer(buffer)
	return p
}

const (
	// stepDecibels is what one step of the volume makes: half as loud takes three.
	stepDecibels = 3
	// glideSeconds is how long the volume takes for its whole range, so that a
	// step does not crackle.
	glideSeconds = 0.05
)

// gain returns what a level multiplies by.
func gain(level uint8) float32 {
	if level == 0 {
		return 0
	}
	return float32(math.Pow(10, (float64(level)-MaxLevel)*stepDecibels/20))
}

// adapt makes the player one for another device of the same rate: its buffer lasts
// so long, or is a server's, which tells by what it asks for. It is called while
// nobody renders.
func (p *Player) adapt(buffer time.Duration, server bool) {
	p.server, p.asked, p.calls = server, 0, 0
	p.setBuffer(buffer)
	p.loop = loop{rate: p.rate}
}

// serverPeriods is how many periods of a sound server lie between it and the
// loudspeaker: two, as servers are usually started.
const serverPeriods = 2

func (p *Player) setBuffer(buffer time.Duration) {
	p.buffer, p.delay = buffer, buffer.Seconds()
	p.held.Store(int64(buffer))
}

// Ask hands the player a command. It reports whether there was room.
func (p *Player) Ask(c Command) bool {
	if p.ring.push(c) {
		return true
	}
	p.missed.Add(1)
	return false
}

// Render fills the frames that a device asked for at a time: one channel, full
// scale is 1, which no frame passes.
func (p *Player) Render(out []float32, now time.Duration) {
	if p.server && len(out) != p.asked {
		p.asked = len(out)
		p.setBuffer(time.Duration(serverPeriods*len(out)) * time.Second / time.Duration(p.rate))
	}
	if p.calls < settling {
		p.calls++
	} else if now-p.last > p.buffer+lateCallback {
		p.underruns.Add(1)
	}
	p.last = now
	p.called.Store(int64(now))
	p.frames.Add(int64(len(out)))
	for c, ok := p.ring.pop(); ok; c, ok = p.ring.pop() {
		p.obey(c)
	}
	clear(out)
	if len(out) == 0 {
		return
	}
	first, frame := p.loop.update(now, len(out))
	first += p.delay // when the first frame is heard
	done := 0
	for c := p.agenda.first(); c != nil; c = p.agenda.first() {
		at := int(math.Round((c.At.Seconds() - first) / frame))
		if at >= len(out) {
			break
		}
		switch {
		case c.At.Seconds() < first-late.Seconds():
			p.missed.Add(1)
		default:
			at = max(at, done)
			p.mix(out[done:at])
			done = at
			p.strike(c)
		}
		p.agenda.drop()
	}
	p.mix(out[done:])
	for i := range out {
		if p.gain != p.target {
			p.gain += min(max(p.target-p.gain, -p.glide), p.glide)
		}
		out[i] = limit(out[i] * p.gain)
	}
}

// lateCallback is by how much a callback may be later than the buffer lasts
// before the device must have run dry.
const lateCallback = 2 * time.Millisecond

// settling is how many callbacks a device has to begin with: a sound server fills
// its buffer at once and then asks for nothing for half a second.
const settling = 8

// obey carries out a command.
func (p *Player) obey(c Command) {
	switch c.Kind {
	case Strike:
		if !p.agenda.add(c) {
			p.missed.Add(1)
		}
	case Forget:
		p.agenda.forget(c)
		for i := range p.voices[:p.playing] {
			v := &p.voices[i]
			v.held = min(v.held, v.age+p.left(c.At))
		}
	case Hold:
		p.agenda.hold(c)
		for i := range p.voices[:p.playing] {
			if v := &p.voices[i]; v.kind == c.Voice && v.key == c.Key && v.gone == 1 {
				v.held = v.age + p.left(c.At+c.For)
			}
		}
	case Quiet:
		p.agenda.n = 0
		for i := range p.voices[:p.playing] {
			p.voices[i].letGo()
		}
	case Volume:
		p.target = gain(c.Velocity)
	}
}

// left returns how many frames there are until a time.
func (p *Player) left(at time.Duration) int { return max(0, int((at-p.last).Seconds()*p.rate)) }

// strike begins a note, on the voice that sounds longest where all do.
func (p *Player) strike(c *Command) {
	i := p.playing
	if i == voices {
		i = 0
		for k := range p.voices {
			if p.voices[k].age > p.voices[i].age {
				i = k
			}
		}
	} else {
		p.playing++
	}
	p.voices[i].begin(c, p.rate)
}

// mix adds what sounds to the frames.
func (p *Player) mix(out []float32) {
	if len(out) == 0 {
		return
	}
	for i := 0; i < p.playing; {
		if p.voices[i].mix(out, p.sine) {
			i++
			continue
		}
		p.playing--
		p.voices[i], p.voices[p.playing] = p.voices[p.playing], p.voices[i]
	}
}

// limit bends what is loud so that nothing passes full scale: straight through 0,
// flat at 1 (a rational approximation of the hyperbolic tangent).
func limit(x float32) float32 {
	x = min(max(x, -3), 3)
	return x * (27 + x*x) / (27 + 9*x*x)
}
