package sound

import "math"

// A voice is one sounding note. All are made of the same few numbers, so that a
// voice needs no memory of its own but a string's.
type voice struct {
	kind  Voice
	key   uint8
	age   int // frames since it began; the first is 0
	held  int // frames after which it is let go
	level float32
	fade  float32 // what it falls to with each frame once let go
	gone  float32 // what is left of it after that; 1 until then

	phase, step         float32 // of the carrier, in turns
	modPhase, modStep   float32
	envelope, decay     float32
	modEnvelope, modEnd float32

	str *str // Bass
}

const (
	silence = 1e-4 // -80 dB: nobody hears what is under it
	// fadeSeconds is how long a note that is let go takes to be silent.
	fadeSeconds = 0.03
	// The loudness of each voice, so that a band of all keeps under full scale.
	clickLoud, blipLoud, bassLoud, pianoLoud = 0.5, 0.25, 0.45, 0.22
	// The fall by 60 dB, in seconds.
	clickFall, blipFall, pianoFall, modFall = 0.05, 0.12, 3.0, 0.7
	// The electric piano: two operators, one octave-and-more of brightness when
	// struck hard (frequency modulation, common practice).
	modRatio = 1.0
	modDepth = 1.6 / (2 * math.Pi) // turns
)

// hertz returns a key's frequency: A4, key 69, is 440 Hz (ISO 16).
func hertz(key uint8) float64 { return 440 * math.Exp2((float64(key)-69)/12) }

// fall returns the factor for each frame that falls by 60 dB in some seconds.
func fall(seconds, rate float64) float32 {
	return float32(math.Pow(0.001, 1/(seconds*rate)))
}

// begin makes the voice a new note. It keeps its string.
func (v *voice) begin(c *Command, rate float64) {
	loud := float32(c.Velocity) / 127
	hz := hertz(c.Key)
	step := float32(min(hz/rate, 0.45))
	// The first frame is a step into the wave: a note is there with its frame.
	*v = voice{
		kind: c.Voice, key: c.Key, str: v.str, held: int(c.For.Seconds() * rate), fade: fall(fadeSeconds, rate), gone: 1,
		phase: step, step: step, envelope: 1,
	}
	switch c.Voice {
	case Click:
		v.level, v.decay = clickLoud*loud, fall(clickFall, rate)
		v.held = math.MaxInt
	case Blip:
		v.level, v.decay = blipLoud*loud, fall(blipFall, rate)
		v.held = math.MaxInt
	case Bass:
		v.level = bassLoud * loud
		v.str.pluck(hz, rate)
	case Piano:
		v.level, v.decay = pianoLoud*loud, fall(pianoFall, rate)
		v.modStep = min(step*modRatio, 0.45)
		v.modEnvelope, v.modEnd = modDepth*loud, fall(modFall, rate)
	}
}

// mix adds the voice to the frames. It reports whether there is more of it.
func (v *voice) mix(out []float32, s *sine) bool {
	for i := range out {
		var x float32
		switch v.kind {
		case Bass:
			x = v.str.next()
		case Piano:
			x = s.at(v.phase+v.modEnvelope*s.at(v.modPhase)) * v.envelope
			v.modPhase += v.modStep
			if v.modPhase >= 1 {
				v.modPhase--
			}
			v.modEnvelope *= v.modEnd
			v.envelope *= v.decay
		default:
			x = s.at(v.phase) * v.envelope
			v.envelope *= v.decay
		}
		v.phase += v.step
		if v.phase >= 1 {
			v.phase--
		}
		if v.age >= v.held {
			v.gone *= v.fade
		}
		v.age++
		out[i] += x * v.level * v.gone
	}
	left := v.envelope
	if v.kind == Bass {
		left = v.str.energy()
	}
	return left*v.gone > silence
}

// letGo lets the voice fade from now on.
func (v *voice) letGo() { v.held = min(v.held, v.age) }

// sine is a table of one turn: the callback has no time for the real one.
type sine [sineSize + 1]float32

// sineSize makes the error of the straight lines between 7e-7, under the 16 bits
// of most devices.
const sineSize = 2048

func newSine() *sine {
	s := &sine{}
	for i := range s {
		s[i] = float32(math.Sin(2 * math.Pi * float64(i) / sineSize))
	}
	return s
}

// at returns the sine of some turns, from -8 on.
func (s *sine) at(turns float32) float32 {
	x := (turns + 8) * sineSize
	i := int(x)
	part := x - float32(i)
	i %= sineSize
	return s[i] + part*(s[i+1]-s[i])
}

// str is a plucked string: a delay as long as a turn of the wave, filled with
// noise, softened a little on each turn. Method: K. Karplus and A. Strong,
// "Digital Synthesis of Plucked-String and Drum Timbres" (1983), tuned by an
// all-pass filter after D. Jaffe and J. Smith (1983), from memory.
type str struct {
	delay    []float32
	n, at    int
	last     float32 // the softening filter's
	allIn    float32
	allOut   float32
	all      float32 // the all-pass filter's coefficient
	loudness float32
}

// lowest is the lowest tone a string has room for: B0, under a bass of five
// strings.
const lowest = 30.0

func newStr(rate float64) *str { return &str{delay: make([]float32, int(rate/lowest)+2)} }

// loss is what a string loses on each turn beside its brightness.
const loss = 0.996

func (s *str) pluck(hz, rate float64) {
	turn := rate/hz - 0.5 // the softening delays by half a frame
	whole := int(turn - 0.1)
	whole = min(max(whole, 2), len(s.delay))
	part := turn - float64(whole)
	s.all = float32((1 - part) / (1 + part))
	s.n, s.at, s.last, s.allIn, s.allOut = whole, 0, 0, 0, 0
	// Noise of a fixed seed, softened: a finger, no plectrum.
	noise, soft := uint32(1), float32(0)
	mean := float32(0)
	for i := range s.delay[:whole] {
		noise = noise*1664525 + 1013904223
		white := float32(int32(noise)) / (1 << 31)
		soft += 0.25 * (white - soft)
		s.delay[i] = soft
		mean += soft
	}
	mean /= float32(whole)
	peak := float32(silence)
	for i := range s.delay[:whole] {
		s.delay[i] -= mean // no push to one side
		peak = max(peak, s.delay[i], -s.delay[i])
	}
	for i := range s.delay[:whole] {
		s.delay[i] /= peak
	}
	s.loudness = 1
}

func (s *str) next() float32 {
	x := s.delay[s.at]
	soft := loss * (x + s.last) / 2
	s.last = x
	tuned := s.all*(soft-s.allOut) + s.allIn
	s.allIn, s.allOut = soft, tuned
	s.delay[s.at] = tuned
	if s.at++; s.at == s.n {
		s.at = 0
		s.loudness *= loss
	}
	return x
}

// energy bounds what is left of the string.
func (s *str) energy() float32 { return s.loudness }
