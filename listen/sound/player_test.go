package sound

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	testRate   = 48000
	testFrames = 512
	testBuffer = 2 * testFrames * time.Second / testRate
)

// at returns when a device that runs true asks for the frames from one on.
func at(frame int) time.Duration { return time.Duration(frame) * time.Second / testRate }

// render runs a player over a true device and returns all it made. Frame 0 of it
// is heard a buffer after time 0.
func render(p *Player, frames int) []float32 {
	out := make([]float32, frames)
	for i := 0; i < frames; i += testFrames {
		p.Render(out[i:min(i+testFrames, frames)], at(i))
	}
	return out
}

// due returns when a frame of render is heard.
func due(frame int) time.Duration { return at(frame) + testBuffer }

func strike(v Voice, key uint8, frame int, d time.Duration) Command {
	return Command{Kind: Strike, Voice: v, Key: key, Velocity: 100, At: due(frame), For: d}
}

// Each click begins at its frame, wherever in a buffer that is, and between
// clicks there is nothing.
func TestClicksBeginAtTheirFrame(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	p := NewPlayer(testRate, testBuffer)
	var frames []int
	for frame := 100; frame < 30*testRate; frame += testRate/8 + random.IntN(testRate/4) {
		frames = append(frames, frame)
		require.True(t, p.Ask(strike(Click, 84, frame, 0)))
	}
	out := render(p, 30*testRate)
	next := 0
	loud := 0.0
	for i, x := range out {
		if next < len(frames) && i == frames[next] {
			require.Greater(t, math.Abs(float64(x)), 1e-3, "click %d at frame %d", next, i)
			next++
		}
		if next == 0 || i > frames[next-1]+testRate/10 {
			require.Less(t, math.Abs(float64(x)), 1e-5, "frame %d is silent", i)
		}
		loud = max(loud, math.Abs(float64(x)))
	}
	assert.Equal(t, len(frames), next)
	assert.InDelta(t, 0.05, loud, 0.01, "the usual volume is low: -26 dB")
	assert.Zero(t, p.missed.Load())
}

// Every voice at once, at full volume, on every key: nothing passes full scale.
func TestNothingClips(t *testing.T) {
	p := NewPlayer(testRate, testBuffer)
	p.Ask(Command{Kind: Volume, Velocity: MaxLevel})
	for i := range 200 {
		c := strike(Voice(i%4)+Click, uint8(28+i%60), 1000+i*50, 2*time.Second)
		c.Velocity = 127
		p.Ask(c)
	}
	loud := float32(0)
	for _, x := range render(p, 4*testRate) {
		require.False(t, math.IsNaN(float64(x)))
		loud = max(loud, x, -x)
	}
	assert.LessOrEqual(t, loud, float32(1))
	assert.Greater(t, loud, float32(0.8), "and it is loud")
	assert.LessOrEqual(t, p.playing, voices)
}

func TestLimit(t *testing.T) {
	for x := float32(-50); x <= 50; x += 0.01 {
		y := limit(x)
		require.LessOrEqual(t, max(y, -y), float32(1))
		require.GreaterOrEqual(t, y*x, float32(0))
		require.InDelta(t, math.Tanh(float64(x)), float64(y), 0.025, "%g", x)
	}
}

// Notes have the pitch of their key: counted turns of the wave, within 3 cents.
func TestPitch(t *testing.T) {
	for voice, keys := range map[Voice][]uint8{Bass: {28, 33, 40, 48}, Piano: {48, 60, 72}, Click: {84, 91}} {
		for _, key := range keys {
			p := NewPlayer(testRate, testBuffer)
			p.Ask(Command{Kind: Volume, Velocity: MaxLevel})
			p.Ask(strike(voice, key, 0, 3*time.Second))
			out := render(p, 2*testRate)
			from, to := testRate/4, 3*testRate/2 // the attack is over
			if voice == Click {
				from, to = 0, testRate/25
			}
			got := period(out[from:to], testRate/hertz(key))
			cents := 1200 * math.Log2(testRate/hertz(key)/got)
			assert.Less(t, math.Abs(cents), 3.0, "voice %d, key %d: a turn of %.2f frames, %.1f cents off", voice, key, got, cents)
		}
	}
}

// period returns the length of a turn near to an expected one: where the wave is
// most like itself many turns later.
func period(x []float32, near float64) float64 {
	const turns = 20
	best, at := 0.0, 0.0
	for lag := int(near * turns * 0.98); lag <= int(near*turns*1.02)+1; lag++ {
		var both, one, other float64
		for i := range len(x) - lag {
			a, b := float64(x[i]), float64(x[i+lag])
			both, one, other = both+a*b, one+a*a, other+b*b
		}
		if like := both / math.Sqrt(one*other); like > best {
			best, at = like, float64(lag)
		}
	}
	return at / turns
}

func TestNotesEnd(t *testing.T) {
	for _, v := range []Voice{Click, Blip, Bass, Piano} {
		p := NewPlayer(testRate, testBuffer)
		p.Ask(strike(v, 45, 1000, 200*time.Millisecond))
		out := render(p, testRate)
		last := 0
		for i, x := range out {
			if max(x, -x) > 1e-4 {
				last = i
			}
		}
		assert.Less(t, last, 1000+testRate*3/10, "voice %d", v)
		assert.Greater(t, last, 1000+testRate/50, "voice %d", v)
		assert.Zero(t, p.playing, "voice %d", v)
	}
}

func TestForgetAndQuiet(t *testing.T) {
	loudFrom := func(c Command) (last int) {
		p := NewPlayer(testRate, testBuffer)
		p.Ask(strike(Piano, 60, 1000, time.Second))
		p.Ask(strike(Click, 84, 20_000, 0))
		p.Ask(strike(Click, 84, 30_000, 0))
		out := make([]float32, testRate)
		for i := 0; i < len(out); i += testFrames {
			if i == 20*testFrames {
				p.Ask(c)
			}
			p.Render(out[i:min(i+testFrames, len(out))], at(i))
		}
		for i, x := range out {
			if max(x, -x) > 1e-4 {
				last = i
			}
		}
		return last
	}
	assert.Greater(t, loudFrom(Command{Kind: Volume, Velocity: DefaultLevel}), 47_000, "the piano's second is not over")
	last := loudFrom(Command{Kind: Forget, At: due(25_000)})
	assert.Greater(t, last, 24_000, "what has begun lasts")
	assert.Less(t, last, 25_000+testRate/20, "to the moment, and no more begins")
	assert.Less(t, loudFrom(Command{Kind: Quiet}), 20*testFrames+testRate/20)
	assert.Less(t, loudFrom(Command{Kind: Volume}), 20*testFrames+testRate/10)
}

// A note that is forgotten and held on lasts as long as the second says.
func TestHold(t *testing.T) {
	ends := func(commands ...Command) (last int) {
		p := NewPlayer(testRate, testBuffer)
		p.Ask(strike(Piano, 60, 1000, time.Second))
		out := make([]float32, testRate)
		for i := 0; i < len(out); i += testFrames {
			if i == 10*testFrames {
				for _, c := range commands {
					p.Ask(c)
				}
			}
			p.Render(out[i:min(i+testFrames, len(out))], at(i))
		}
		for i, x := range out {
			if max(x, -x) > 1e-4 {
				last = i
			}
		}
		return last
	}
	forget := Command{Kind: Forget, At: due(15_000)}
	hold := Command{Kind: Hold, Voice: Piano, Key: 60, At: due(15_000), For: due(30_000) - due(15_000)}
	assert.InDelta(t, 30_000+testRate/40, ends(forget, hold), testRate/40)
	assert.Less(t, ends(forget), 15_000+testRate/20)
	hold.Key = 61
	assert.Less(t, ends(forget, hold), 15_000+testRate/20, "another key")
	hold.Key, hold.Voice = 60, Bass
	assert.Less(t, ends(forget, hold), 15_000+testRate/20, "another voice")
}

func TestLateAndTooLate(t *testing.T) {
	p := NewPlayer(testRate, testBuffer)
	out := make([]float32, testFrames)
	p.Render(out, at(48_000))
	c := strike(Click, 84, 48_000+testFrames, 0)
	c.At -= 50 * time.Millisecond
	p.Ask(c)
	p.Render(out, at(48_000+testFrames))
	assert.NotZero(t, out[0], "late, and heard at once")
	c.At -= 50 * time.Millisecond
	p.Ask(c)
	p.Render(out, at(48_000+2*testFrames))
	assert.EqualValues(t, 1, p.missed.Load(), "too late")
}

func TestFullIsCounted(t *testing.T) {
	p := NewPlayer(testRate, testBuffer)
	for i := range ringSize {
		require.True(t, p.Ask(strike(Click, 84, 100_000+i, 0)))
	}
	assert.False(t, p.Ask(strike(Click, 84, 0, 0)))
	render(p, testFrames)
	assert.EqualValues(t, 1+ringSize-agendaSize, p.missed.Load())
}

func TestUnderrunsAreCounted(t *testing.T) {
	p := NewPlayer(testRate, testBuffer)
	out := make([]float32, testFrames)
	now := time.Duration(0)
	for i := range 100 {
		now += 10 * time.Millisecond
		if i == 30 || i == 60 {
			now += 30 * time.Millisecond
		}
		p.Render(out, now)
	}
	assert.EqualValues(t, 2, p.underruns.Load())
}

// The wall clock is master: whatever the device's crystal, its scatter and its
// gaps, a frame's time is known.
func TestLoop(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	for _, rate := range []float64{48000, 48000 * 1.0005, 48000 * 0.9995} {
		l := loop{rate: 48000}
		now, worst := 1.0, 0.0
		for i := range 3000 {
			late := math.Abs(random.NormFloat64()) * 0.0005
			first, _ := l.update(time.Duration((now+late)*1e9), testFrames)
			if i > 600 {
				worst = max(worst, math.Abs(first-now-0.0004)) // half a normal: 0.4 ms late in the mean
			}
			now += testFrames / rate
		}
		assert.Less(t, worst, 0.0003, "rate %g", rate)
	}
	// After a gap of a device that made nothing it is there again at once.
	l := loop{rate: 48000}
	now := 0.0
	for range 500 {
		l.update(time.Duration(now*1e9), testFrames)
		now += testFrames / 48000.0
	}
	now += 0.120
	for range 10 {
		first, _ := l.update(time.Duration(now*1e9), testFrames)
		assert.InDelta(t, now, first, 1e-6)
		now += testFrames / 48000.0
	}
}

func busy() (*Player, func(now time.Duration)) {
	p := NewPlayer(testRate, testBuffer)
	out := make([]float32, testFrames)
	n := uint8(0)
	return p, func(now time.Duration) {
		for range 3 {
			n++
			p.Ask(Command{Kind: Strike, Voice: Voice(n%4) + Click, Key: 30 + n%60, Velocity: 100, At: now + 2*testBuffer, For: 300 * time.Millisecond})
		}
		p.Ask(Command{Kind: Forget, At: now + 10*testBuffer})
		p.Render(out, now)
	}
}

func TestRenderAllocatesNothing(t *testing.T) {
	_, step := busy()
	now := time.Duration(0)
	assert.Zero(t, testing.AllocsPerRun(2000, func() {
		step(now)
		now += at(testFrames)
	}))
}

// BenchmarkRender renders 512 frames, 10.7 ms, with every voice sounding.
func BenchmarkRender(b *testing.B) {
	p, step := busy()
	now := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		step(now)
		now += at(testFrames)
	}
	if p.playing < voices-4 {
		b.Errorf("%d voices sound", p.playing)
	}
}
