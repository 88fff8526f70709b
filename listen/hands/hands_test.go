package hands

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

func TestParse(t *testing.T) {
	m, err := Parse([]string{"cc67=again", "note21=tap", "program0=stop", "cc66=forward", "cc65=back"})
	require.NoError(t, err)
	require.Equal(t, Map{
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 67}, Action: beat.Again},
		{Ask: analyse.Ask{Kind: analyse.NoteOn, Key: 21}, Action: beat.Tap},
		{Ask: analyse.Ask{Kind: analyse.Program, Key: 0}, Action: beat.Stop},
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 66}, Action: beat.BarOn},
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 65}, Action: beat.BarBack},
	}, m)
	for _, wrong := range [][]string{
		{""}, {"cc67"}, {"cc=again"}, {"cc128=again"}, {"cc-1=again"}, {"67=again"}, {"pedal67=again"},
		{"cc67=loud"}, {"cc67="}, {"=again"}, {"cc64=again"}, {"cc120=stop"}, {"cc67=again", "cc67=tap"},
		{"note99999999999999999999=tap"},
		{"cc67=again/"}, {"cc67=again/loud"}, {"cc67=/again"}, {"cc67=tap/again"}, {"program5=again/stop"},
		{"cc67latching=again/stop"}, {"cc67backwards=again"}, {"note21reversed=again"}, {"cclatching67=again"},
	} {
		_, err := Parse(wrong)
		require.Error(t, err, "%q", wrong)
	}
}

// Each action has a name to ask for it by and a word that answers.
func TestEachActionHasItsWord(t *testing.T) {
	for name, a := range Actions() {
		require.NotEmpty(t, Word(a), name)
	}
	require.Len(t, Actions(), int(beat.PhraseBack-beat.Again)+1)
}

// A pedal is down from 64 on and up under 40; between them it stays what it is.
// For 30 ms after it has asked it asks for nothing.
func TestWhenAControlAsks(t *testing.T) {
	const ms = time.Millisecond
	pedal := func(value uint8) analyse.Event {
		return analyse.Event{Kind: analyse.Control, Channel: 3, Key: 67, Velocity: value}
	}
	key := func(kind analyse.Kind, velocity uint8) analyse.Event {
		return analyse.Event{Kind: kind, Key: 21, Velocity: velocity}
	}
	h := New(Map{
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 67}, Action: beat.Again},
		{Ask: analyse.Ask{Kind: analyse.NoteOn, Key: 21}, Action: beat.Tap},
		{Ask: analyse.Ask{Kind: analyse.Program, Key: 5}, Action: beat.Stop},
	})
	for _, step := range []struct {
		at             time.Duration
		event          analyse.Event
		asked, control bool
	}{
		{0, pedal(63), false, true},
		{0, pedal(64), true, true},
		{100 * ms, pedal(127), false, true},
		{100 * ms, pedal(40), false, true},
		{100 * ms, pedal(64), false, true},
		{100 * ms, pedal(39), false, true},
		{200 * ms, pedal(64), true, true},
		{210 * ms, pedal(0), false, true},
		{229 * ms, pedal(127), false, true}, // it bounces
		{229 * ms, pedal(0), false, true},
		{230 * ms, pedal(127), true, true},
		{300 * ms, key(analyse.NoteOn, 80), true, true},
		{310 * ms, key(analyse.NoteOff, 0), false, true},
		{320 * ms, key(analyse.NoteOn, 80), false, true},
		{330 * ms, key(analyse.NoteOn, 80), true, true},
		{340 * ms, key(analyse.NoteOn, 0), false, true},
		{400 * ms, analyse.Event{Kind: analyse.Program, Key: 5}, true, true},
		{400 * ms, analyse.Event{Kind: analyse.Program, Key: 6}, false, false},
		{400 * ms, analyse.Event{Kind: analyse.NoteOn, Key: 67, Velocity: 80}, false, false},
		{400 * ms, analyse.Event{Kind: analyse.Control, Key: 21, Velocity: 80}, false, false},
	} {
		_, asked, control := h.Hear(step.event, step.at)
		require.Equal(t, []bool{step.asked, step.control}, []bool{asked, control}, "%v %v", step.at, step.event)
	}
}

// A pedal may rest at 127 or keep its value, and a control that is held asks for
// something else: after 600 ms, or else, when it is let go, for the first.
func TestMannersAndHolding(t *testing.T) {
	const ms = time.Millisecond
	m, err := Parse([]string{"cc67reversed=again/forget", "cc66latching=mark", "note21=stop/louder", "cc65=again/back"})
	require.NoError(t, err)
	require.Equal(t, Binding{
		Ask: analyse.Ask{Kind: analyse.Control, Key: 67}, Manner: Reversed, Action: beat.Again, Held: beat.Forget,
	}, m[0])
	h := New(m)
	cc := func(number, value uint8) analyse.Event {
		return analyse.Event{Kind: analyse.Control, Key: number, Velocity: value}
	}
	key := func(kind analyse.Kind, velocity uint8) analyse.Event {
		return analyse.Event{Kind: kind, Key: 21, Velocity: velocity}
	}
	for _, step := range []struct {
		at    time.Duration
		event analyse.Event
		asked beat.Action // 0: nothing
		due   beat.Action // at that time, before
	}{
		{0, cc(67, 127), 0, 0}, // it rests
		{10 * ms, cc(67, 0), 0, 0},
		{500 * ms, cc(67, 127), beat.Again, 0},
		{600 * ms, cc(67, 0), 0, 0},
		{1200 * ms, cc(67, 127), 0, beat.Forget},
		{1300 * ms, cc(66, 127), beat.Mark, 0},
		{1400 * ms, cc(66, 127), 0, 0},
		{1500 * ms, cc(66, 50), 0, 0},
		{1600 * ms, cc(66, 0), beat.Mark, 0},
		{1700 * ms, cc(66, 127), beat.Mark, 0},
		{1710 * ms, cc(66, 0), 0, 0}, // it bounces
		{2000 * ms, key(analyse.NoteOn, 80), 0, 0},
		{2599 * ms, key(analyse.NoteOff, 0), beat.Stop, 0},
		{3000 * ms, key(analyse.NoteOn, 80), 0, 0},
		{3700 * ms, key(analyse.NoteOn, 0), 0, beat.Louder},
		{4000 * ms, cc(65, 127), 0, 0},
		{4010 * ms, cc(65, 0), beat.Again, 0},
		{4020 * ms, cc(65, 127), 0, 0}, // it bounces
		{4700 * ms, cc(65, 0), 0, 0},
	} {
		action, when, ok := h.Due(step.at)
		require.Equal(t, step.due, action, "%v", step.at)
		require.Equal(t, step.due != 0, ok, "%v", step.at)
		require.LessOrEqual(t, when, step.at)
		action, asked, control := h.Hear(step.event, step.at)
		require.True(t, control)
		require.Equal(t, step.asked != 0, asked, "%v", step.at)
		if asked {
			require.Equal(t, step.asked, action, "%v", step.at)
		}
	}
	h.Hear(cc(65, 127), 5*time.Second)
	h.Release()
	_, _, ok := h.Due(time.Minute)
	require.False(t, ok, "an instrument that is gone holds nothing")
}
