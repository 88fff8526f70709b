package hands

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

// said is a message and how long after the one before it comes.
type said struct {
	after time.Duration
	event analyse.Event
}

// moves is a pedal that goes through values, 10 ms apart, after a while.
func moves(after time.Duration, controller uint8, values ...uint8) (out []said) {
	for i, value := range values {
		if i > 0 {
			after = 10 * time.Millisecond
		}
		out = append(out, said{after, analyse.Event{Kind: analyse.Control, Key: controller, Velocity: value}})
	}
	return out
}

// taught is what a lesson makes of messages; looks come every 10 ms, as a source that
// is idle lets time pass. presses is how many it took to be over.
func taught(t *testing.T, lesson *Lesson, all []said) (control string, ok bool) {
	t.Helper()
	at := time.Duration(0)
	look := func(until time.Duration) {
		for ; at < until && !lesson.Done(); at += 10 * time.Millisecond {
			lesson.Pressed(at)
		}
	}
	next := time.Duration(0)
	for _, one := range all {
		next += one.after
		look(next)
		if lesson.Done() {
			break
		}
		lesson.Hear(one.event, next)
	}
	look(next + longest + halfway)
	require.True(t, lesson.Done(), "two presses were enough")
	return lesson.Control()
}

// What is learnt of a pedal that is pressed and let go twice, by how pedals behave: a
// switch sends its two ends, a pedal with a potentiometer its way (MIDI 1.0 has both,
// 64 and more is on), one wired the other way round rests at 127, one that latches
// sends one message for each press.
func TestWhatIsLearntOfAPedal(t *testing.T) {
	const soon, second = 500 * time.Millisecond, 3 * time.Second
	foot := func(down, up []uint8) (out []said) {
		for _, wait := range []time.Duration{soon, second} {
			out = append(append(out, moves(wait, 67, down...)...), moves(300*time.Millisecond, 67, up...)...)
		}
		return out
	}
	key := func(n uint8) []said {
		strike := func(wait time.Duration) []said {
			return []said{
				{wait, analyse.Event{Kind: analyse.NoteOn, Key: n, Velocity: 70}},
				{90 * time.Millisecond, analyse.Event{Kind: analyse.NoteOff, Key: n}},
			}
		}
		return append(strike(soon), strike(second)...)
	}
	program := func(n uint8) []said {
		change := func(wait time.Duration) []said {
			return append(append(moves(wait, 0, 0), moves(0, 32, 0)...), said{0, analyse.Event{Kind: analyse.Program, Key: n}})
		}
		return append(change(soon), change(second)...)
	}
	join := func(parts ...[]said) (out []said) {
		for _, part := range parts {
			out = append(out, part...)
		}
		return out
	}
	var breath []said
	for i := range 900 { // all the time, up and down
		breath = append(breath, moves(10*time.Millisecond, 2, uint8(60+30*(i%2)))...)
	}
	for name, test := range map[string]struct {
		all  []said
		want string // empty: it is not understood
	}{
		"a switch":                              {foot([]uint8{127}, []uint8{0}), "cc67"},
		"a potentiometer":                       {foot([]uint8{3, 30, 70, 127}, []uint8{90, 50, 20, 0}), "cc67"},
		"the other way round":                   {foot([]uint8{0}, []uint8{127}), "cc67reversed"},
		"one of these with its way":             {foot([]uint8{120, 80, 30, 0}, []uint8{20, 60, 100, 127}), "cc67reversed"},
		"latching, off at first":                {join(moves(soon, 67, 127), moves(second, 67, 0)), "cc67latching"},
		"latching, on at first":                 {join(moves(soon, 67, 0), moves(second, 67, 127)), "cc67latching"},
		"a trembling foot":                      {foot([]uint8{127, 60, 70, 50, 127}, []uint8{45, 55, 0}), "cc67"},
		"half pressed only":                     {foot([]uint8{20, 50}, []uint8{10, 0}), ""},
		"held for three seconds":                {join(moves(soon, 67, 127), moves(second, 67, 0), moves(soon, 67, 127), moves(300*time.Millisecond, 67, 0)), ""},
		"another one the second time":           {join(moves(soon, 67, 127, 0), moves(second, 66, 127, 0)), ""},
		"the sustain pedal":                     {join(moves(soon, 64, 127, 0), moves(second, 64, 127, 0)), "cc64sustaining"},
		"a low key":                             {key(21), "note21"},
		"two keys":                              {join(key(21)[:2], key(23)[2:]), ""},
		"a program":                             {program(5), "program5"},
		"programs one after another":            {join(program(5)[:3], program(6)[3:]), ""},
		"a key amid breath":                     {nil, "note21"},
		"a switch that switches the instrument": {join(moves(soon, 122, 127, 0), moves(second, 122, 127, 0), foot([]uint8{127}, []uint8{0})), "cc67"},
	} {
		if name == "a key amid breath" {
			test.all = append([]said{}, breath[:20]...)
			test.all = append(test.all, said{0, analyse.Event{Kind: analyse.NoteOn, Key: 21, Velocity: 70}})
			test.all = append(test.all, breath[20:450]...) // the press is over after four seconds
			test.all = append(test.all, said{0, analyse.Event{Kind: analyse.NoteOn, Key: 21, Velocity: 70}})
			test.all = append(test.all, breath[450:]...)
		}
		var lesson Lesson
		got, ok := taught(t, &lesson, test.all)
		if test.want == "" {
			require.False(t, ok, "%s: %s", name, got)
			continue
		}
		require.True(t, ok, name)
		require.Equal(t, test.want, got, name)
		_, err := Parse([]string{got + "=again"})
		require.NoError(t, err, "it can be typed")
	}
}

// A pedal that was learnt asks at each press, and not when it is let go: once for a
// press of one that is held, and for each of one that latches. The sustain pedal still
// sustains, so the analyser is not to pass over it.
func TestALearntPedalAsks(t *testing.T) {
	for control, test := range map[string]struct {
		values []uint8
		want   int
	}{
		"cc67":           {[]uint8{127, 0, 127, 0}, 2},
		"cc67reversed":   {[]uint8{127, 0, 127, 0, 127}, 2},
		"cc67latching":   {[]uint8{127, 0, 127}, 3},
		"cc64sustaining": {[]uint8{127, 0, 127, 0}, 2},
	} {
		m, err := Parse([]string{control + "=mark"})
		require.NoError(t, err)
		h, asked := New(m), 0
		for i, value := range test.values {
			e := analyse.Event{Kind: analyse.Control, Key: m[0].Ask.Key, Velocity: value}
			if action, is, _ := h.Hear(e, time.Duration(i)*time.Second); is {
				require.Equal(t, beat.Mark, action)
				asked++
			}
		}
		require.Equal(t, test.want, asked, control)
		require.Equal(t, control != "cc64sustaining", len(m.Asks()) == 1, control)
	}
}

// What a text to be learnt asks for is looked at before the pedal is pressed.
func TestWhatIsToBeLearnt(t *testing.T) {
	asked, is, err := ToLearn("learn=again/forget")
	require.NoError(t, err)
	require.True(t, is)
	require.Equal(t, "again/forget", asked)
	_, is, err = ToLearn("cc67=again")
	require.NoError(t, err)
	require.False(t, is)
	for _, wrong := range []string{"learn=", "learn=dance", "learn=tap/again"} {
		_, _, err := ToLearn(wrong)
		require.Error(t, err, wrong)
	}
	for _, wrong := range []string{"learn=again", "cc64=again", "cc64latching=again", "cc67sustaining=again"} {
		_, err := Parse([]string{wrong})
		require.Error(t, err, wrong)
	}
}
