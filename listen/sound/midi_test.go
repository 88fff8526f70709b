package sound

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fakePort is an instrument that keeps what it is sent.
type fakePort struct {
	mu     sync.Mutex
	sent   []string
	times  []time.Duration
	begun  time.Time
	fail   error
	closed int
}

func (p *fakePort) open() (port, string, error) {
	if p.begun.IsZero() {
		p.begun = time.Now()
	}
	return p, "Synth", nil
}

func (p *fakePort) Send(b []byte) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.fail != nil {
		return p.fail
	}
	p.sent = append(p.sent, hex(b))
	p.times = append(p.times, time.Since(p.begun))
	return nil
}

func (p *fakePort) Leads() bool { return true }

func (p *fakePort) Close() { p.closed++ }

func hex(b []byte) string {
	const digits = "0123456789ABCDEF"
	out := make([]byte, 0, 3*len(b))
	for _, v := range b {
		out = append(out, digits[v>>4], digits[v&15], ' ')
	}
	return strings.TrimSpace(string(out))
}

func TestMIDI(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &fakePort{}
		s := start(t, func(begun time.Time, send reports) engine { return newMIDI(begun, send, p.open, channelsOf(Options{})) })
		s.send(
			Command{Kind: Volume, Velocity: MaxLevel},
			Command{Kind: Strike, Voice: Bass, Key: 40, Velocity: 80, At: 100 * time.Millisecond, For: 300 * time.Millisecond},
			Command{Kind: Strike, Voice: Click, Key: clickOneKey, Velocity: 100, At: 100 * time.Millisecond},
			Command{Kind: Strike, Voice: Bass, Key: 40, Velocity: 81, At: 200 * time.Millisecond, For: 10 * time.Second},
			Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 82, At: 300 * time.Millisecond, For: 10 * time.Second},
			Command{Kind: Strike, Voice: Piano, Key: 62, Velocity: 82, At: 700 * time.Millisecond, For: 10 * time.Second},
			Command{Kind: Forget, At: 600 * time.Millisecond},
			click(time.Second),
		)
		s.pass(1050 * time.Millisecond)
		s.send(Command{Kind: Strike, Voice: Piano, Key: 65, Velocity: 83, At: 1100 * time.Millisecond, For: time.Minute})
		s.pass(100 * time.Millisecond)
		assert.LessOrEqual(t, s.end(), 100*time.Millisecond)
		var got []string
		for i, m := range p.sent {
			if m != "FE" {
				got = append(got, p.times[i].Round(time.Millisecond).String()+" "+m)
			}
		}
		want := []string{
			"0s C1 20", "0s C2 04",
			"100ms 91 28 50", "100ms 99 4C 64", "130ms 89 4C 00",
			"200ms 81 28 00", "200ms 91 28 51", // struck again: let go first
			"300ms 92 3C 52",
			"600ms 81 28 00", "600ms 82 3C 00",
			"1s 99 4D 64", "1.03s 89 4D 00",
			"1.1s 92 41 53",
		}
		for _, at := range []string{"1.15s ", "1.195s "} { // the end, twice
			want = append(want, at+"82 41 00")
			for ch := range byte(midiChannels) {
				want = append(want, at+hex([]byte{control | ch, allNotesOff, 0}))
			}
		}
		assert.Equal(t, want, got)
		assert.Equal(t, 1, p.closed)
	})
}

// The band goes to the channels that were chosen, its instruments with it; the click
// stays on its own.
func TestMIDIOnChosenChannels(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &fakePort{}
		s := start(t, func(begun time.Time, send reports) engine {
			return newMIDI(begun, send, p.open, channelsOf(Options{Bass: 16, Piano: 1}))
		})
		s.send(
			Command{Kind: Volume, Velocity: MaxLevel},
			Command{Kind: Strike, Voice: Bass, Key: 40, Velocity: 80, At: 100 * time.Millisecond, For: 50 * time.Millisecond},
			Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 82, At: 100 * time.Millisecond, For: 50 * time.Millisecond},
			click(100*time.Millisecond),
		)
		s.pass(time.Second)
		got := slices.DeleteFunc(slices.Clone(p.sent), func(m string) bool { return m == "FE" })
		assert.ElementsMatch(t, []string{"CF 20", "C0 04", "9F 28 50", "90 3C 52", "99 4D 64", "8F 28 00", "80 3C 00", "89 4D 00"}, got)
		s.end()
	})
}

// Nobody's first sound is loud; + and - turn what is struck from then on, and what is
// turned while there is no instrument holds for the next. A step is three decibels
// where velocity is loudness as in DLS Level 1: 100, 84, 71, 60, ... by hand.
func TestTheVolumeOverMIDI(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &fakePort{}
		s := start(t, func(begun time.Time, send reports) engine { return newMIDI(begun, send, p.open, channelsOf(Options{})) })
		struck := func() (velocities []string) {
			s.send(Command{Kind: Strike, Voice: Bass, Key: 40, Velocity: 100, At: time.Since(s.epoch), For: time.Millisecond})
			s.pass(10 * time.Millisecond)
			for _, m := range p.sent {
				if velocity, ok := strings.CutPrefix(m, "91 28 "); ok {
					velocities = append(velocities, velocity)
				}
			}
			p.sent = nil
			return velocities
		}
		assert.Equal(t, []string{"23"}, struck(), "100 by 10 to the power of -18/40: 35, at the level of the beginning")
		for level, want := range map[uint8][]string{0: nil, 1: {"15"}, 9: {"54"}, 8: {"47"}, MaxLevel: {"64"}} {
			s.send(Command{Kind: Volume, Velocity: level})
			assert.Equal(t, want, struck(), "level %d", level)
		}
		p.fail = errors.New("gone")
		s.pass(time.Second)
		s.send(Command{Kind: Volume, Velocity: 9})
		p.fail = nil
		s.pass(2 * searchEvery)
		assert.Equal(t, []string{"54"}, struck())
		s.end()
	})
}

// MIDI 1.0, active sensing: something at least every 300 ms.
func TestMIDIIsNeverSilentForLong(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &fakePort{}
		s := start(t, func(begun time.Time, send reports) engine { return newMIDI(begun, send, p.open, channelsOf(Options{})) })
		s.pass(10 * time.Second)
		s.end()
		for i := 1; i < len(p.times); i++ {
			require.LessOrEqual(t, p.times[i]-p.times[i-1], 260*time.Millisecond)
		}
	})
}

func TestMIDIThatFailsIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &fakePort{}
		s := start(t, func(begun time.Time, send reports) engine { return newMIDI(begun, send, p.open, channelsOf(Options{})) })
		s.pass(time.Second)
		p.mu.Lock()
		p.fail = errors.New("gone")
		p.mu.Unlock()
		s.pass(5 * time.Second)
		p.mu.Lock()
		p.fail = nil
		p.mu.Unlock()
		s.pass(time.Minute)
		assert.Equal(t, "sounding, lost", s.news()[:14])
		assert.Equal(t, Sounding, s.reports[len(s.reports)-1].News)
		assert.LessOrEqual(t, s.end(), 100*time.Millisecond)
	})
}

// A send that never returns, as over a dead JACK server, holds up no end.
func TestMIDIThatHangs(t *testing.T) {
	hang := hangingPort{}
	s := start(t, func(begun time.Time, send reports) engine {
		return newMIDI(begun, send, func() (port, string, error) { return hang, "Synth", nil }, channelsOf(Options{}))
	})
	s.end()
}

type hangingPort struct{}

func (hangingPort) Send([]byte) error { select {} }
func (hangingPort) Leads() bool       { return true }
func (hangingPort) Close()            {}
