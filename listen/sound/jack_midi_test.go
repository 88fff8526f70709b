//go:build jack

package sound

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/jacktest"
)

// module is the instrument that is played over JACK.
const module = "Module"

// moduleProcess is a sound process that plays it.
func moduleProcess(t *testing.T) (*Process, func(News) []Report) {
	p, news := process(t, Options{MIDI: true, API: "jack", Out: module + ":in"})
	p.SetLevel(MaxLevel)
	return p, news
}

// struck returns when keys were struck on a channel.
func struck(m *jacktest.Module, channel uint8) (at []time.Time) {
	for _, h := range m.Heard() {
		if h.Bytes[0] == noteOn|channel {
			at = append(at, h.At)
		}
	}
	return at
}

// missed returns how many notes the process has said that it did not strike.
func missed(news func(News) []Report) int {
	list := news(Missed)
	if len(list) == 0 {
		return 0
	}
	return int(list[len(list)-1].Count)
}

// clicksOn has the conductor click for a while, and checks that each click came, once,
// but for those that are said to be missed, and none before it was due. When they came
// hangs on when a busy machine lets the process run: it goes on until a stretch was
// not held up, which misses none.
func clicksOn(t *testing.T, p *Process, news func(News) []Report, m *jacktest.Module, d time.Duration) {
	t.Helper()
	jacktest.Until(t, quietLimit, "clicks when they are due", func() bool {
		before, lost := len(struck(m, drumChannel)), missed(news)
		due := conducted(t, p, d)
		heard := struck(m, drumChannel)[before:]
		lost = missed(news) - lost
		require.Len(t, heard, len(due)-lost)
		if lost > 0 {
			t.Logf("%d of %d clicks missed", lost, len(due))
			return false
		}
		late := make([]time.Duration, len(due))
		for i := range due {
			late[i] = heard[i].Sub(due[i])
		}
		slices.Sort(late)
		t.Logf("%d clicks: %v to %v late, %v in the middle", len(due), late[0], late[len(late)-1], late[len(late)/2])
		// JACK sends what it was given with its next period; the stamps agree to less.
		require.Greater(t, late[0], -jacktest.Period)
		return late[len(late)/2] < 2*jacktest.Period
	})
}

// An instrument that is not there is waited for; it may go and come back; what sounds
// at the end is let go at once.
func TestMIDIOutOverJACK(t *testing.T) {
	jacktest.StartUrgent(t)
	p, news := moduleProcess(t)
	jacktest.Until(t, sessionLimit, "it is not there", func() bool { return len(news(Refused)) == 1 })
	assert.Equal(t, `no one MIDI output is called "Module:in": there is none`, news(Refused)[0].Text)

	m := jacktest.NewModule(t, module)
	waited := jacktest.Until(t, sessionLimit, "it is found", func() bool { return len(news(Sounding)) == 1 })
	assert.Less(t, waited, searchEvery+time.Second)
	clicksOn(t, p, news, m, 2*time.Second)

	m.Vanish()
	waited = jacktest.Until(t, sessionLimit, "its loss is said", func() bool { return len(news(LostSound)) == 1 })
	t.Logf("lost: said after %v", waited)
	m = jacktest.NewModule(t, module)
	waited = jacktest.Until(t, sessionLimit, "it is found again", func() bool { return len(news(Sounding)) == 2 })
	t.Logf("found: said after %v", waited)
	clicksOn(t, p, news, m, time.Second)

	zero := time.Now()
	p.Begin(zero)
	jacktest.Until(t, sessionLimit, "a note sounds", func() bool {
		lost := missed(news)
		p.Send(Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 90, At: time.Since(zero) + soon, For: time.Minute})
		jacktest.Until(t, sessionLimit, "it is struck or missed", func() bool { return len(struck(m, pianoChannel)) == 1 || missed(news) > lost })
		return len(struck(m, pianoChannel)) == 1
	})
	before := len(m.Heard())
	begun := time.Now()
	require.NoError(t, p.Close())
	assert.True(t, p.command.ProcessState.Success())
	heard := slices.DeleteFunc(m.Heard()[before:], func(h jacktest.Heard) bool { return h.Bytes[0] == sensing })
	var messages []string
	for _, h := range heard {
		messages = append(messages, hex(h.Bytes))
	}
	once := append([]string{"82 3C 00"}, letGo()...)
	assert.Equal(t, append(once, once...), messages, "all is let go, twice")
	last := heard[len(once)-1].At.Sub(begun)
	t.Logf("all let go after %v, ended after %v", last, time.Since(begun))
	assert.Less(t, last, 100*time.Millisecond)
}
