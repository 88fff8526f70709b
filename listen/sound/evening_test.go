package sound

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/beat"
)

// A thousand choruses of a full band at a MIDI output, faster at every second top, with
// a count-off, a bar on, a bar back and a stop now and then: a key that is struck was let
// go, what is held is let go once the song stands, and nothing comes too late.
func TestTheBandLetsGoOfEveryKey(t *testing.T) {
	const choruses = 1000
	_, f, part := trio(t)
	clock, err := beat.New(beat.Setup{Form: f, Quarter: 200_000, CountIn: 2, Ahead: 150 * time.Millisecond, Rise: beat.Rise{By: 4, Every: 2}})
	require.NoError(t, err)
	conductor := NewConductor(part, Beats.Part(noGaps))
	var s score
	s.obey(Command{Kind: Volume, Velocity: DefaultLevel}, nil)
	down := map[[2]byte]bool{}
	struck := 0
	send := func(b ...byte) {
		key := [2]byte{b[0] & 0x0F, b[1]}
		switch b[0] &^ 0x0F {
		case noteOn:
			require.False(t, down[key], "a key is struck that is down")
			down[key] = true
			struck++
		case noteOff:
			require.True(t, down[key], "a key is let go that is up")
			delete(down, key)
		}
	}
	random := rand.New(rand.NewPCG(17, 4))
	now, stopped := time.Duration(0), time.Duration(0)
	most, stops := 0, 0
	for begun := int64(0); begun < choruses; {
		for _, c := range conductor.Tend(now, clock.Line()) {
			s.obey(c, send)
		}
		most = max(most, s.agenda.n)
		next := now + Every
		for at, ok := s.next(); ok && at <= next; at, ok = s.next() {
			s.play(max(at, now), send)
		}
		now = next
		clock.Pass(now)
		begun = clock.Begun(clock.Tick(now))
		switch n := random.IntN(400); {
		case stopped > 0 && now > stopped+time.Second:
			require.Empty(t, down, "the song stands")
			stops++
			stopped = 0
			clock.Do(beat.Again, now)
		case stopped > 0:
		case n < 8:
			clock.Do(beat.BarOn, now)
		case n < 16:
			clock.Do(beat.BarBack, now)
		case n == 16:
			clock.Do(beat.Again, now)
		case n == 17:
			clock.Do(beat.Stop, now)
			stopped = now
		}
	}
	assert.Greater(t, struck, 20*choruses)
	assert.Greater(t, stops, 10)
	assert.Zero(t, s.missed)
	assert.Less(t, most, agendaSize/4)
}
