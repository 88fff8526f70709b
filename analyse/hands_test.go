package analyse_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// melody plays beats of a right hand between two keys.
func melody(low, high int) func(r *rand.Rand, beat int64) []analyse.Event {
	return func(r *rand.Rand, beat int64) (events []analyse.Event) {
		for half := range int64(2) {
			events = append(events, struck(0, low+r.IntN(high-low+1), beat*timebase.Quarter+half*eighth+7, eighth-20)...)
		}
		return events
	}
}

func chords(every int64, apart int64, keys ...int) func(r *rand.Rand, beat int64) []analyse.Event {
	return func(_ *rand.Rand, beat int64) (events []analyse.Event) {
		if beat%every != 0 {
			return nil
		}
		for i, key := range keys {
			events = append(events, struck(0, key, beat*timebase.Quarter+int64(i)*apart, every*timebase.Quarter-300)...)
		}
		return events
	}
}

func walk(low, high int) func(r *rand.Rand, beat int64) []analyse.Event {
	return func(r *rand.Rand, beat int64) []analyse.Event {
		return struck(0, low+r.IntN(high-low+1), beat*timebase.Quarter, timebase.Quarter-20)
	}
}

// every plays only in the bars that leave a remainder by two.
func every(remainder int64, voice func(*rand.Rand, int64) []analyse.Event) func(*rand.Rand, int64) []analyse.Event {
	return func(r *rand.Rand, beat int64) []analyse.Event {
		if beat/4%2 != remainder {
			return nil
		}
		return voice(r, beat)
	}
}

// Where a split would part the hands is told from the keys alone.
func TestASplitIsFound(t *testing.T) {
	type voice = func(r *rand.Rand, beat int64) []analyse.Event
	for name, test := range map[string]struct {
		setup  analyse.Setup
		beats  int64
		voices []voice
		want   uint8
	}{
		"voicings that reach C4":            {analyse.Setup{}, 64, []voice{chords(4, 5, 48, 52, 57, 60), melody(64, 84)}, 61},
		"voicings that are rolled":          {analyse.Setup{}, 64, []voice{chords(4, 200, 48, 52, 57, 60), melody(64, 84)}, 61},
		"shells":                            {analyse.Setup{}, 64, []voice{chords(2, 5, 46, 56), melody(62, 81)}, 57},
		"a walking bass":                    {analyse.Setup{}, 64, []voice{walk(33, 50), melody(58, 79)}, 51},
		"voicings high, then a line as low": {analyse.Setup{}, 64, []voice{every(0, chords(4, 5, 55, 58, 65)), every(0, melody(72, 84)), every(1, melody(60, 72))}, 0},
		"voicings low, then a line above":   {analyse.Setup{}, 64, []voice{every(0, chords(4, 5, 48, 52, 57)), every(0, melody(72, 84)), every(1, melody(60, 72))}, 58},
		"one hand":                          {analyse.Setup{}, 64, []voice{melody(48, 84)}, 0},
		"one hand with chords":              {analyse.Setup{}, 64, []voice{chords(1, 5, 60, 64, 69, 72)}, 0},
		"two hands for a moment":            {analyse.Setup{}, 3, []voice{walk(33, 50), melody(58, 79)}, 0},
		"nothing is looked for: a split":    {analyse.Setup{Split: 60}, 64, []voice{walk(33, 50), melody(58, 79)}, 0},
		"nothing is looked for: channels":   {analyse.Setup{LeftHand: 2}, 64, []voice{walk(33, 50), melody(58, 79)}, 0},
	} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(3, 0))
			var events []analyse.Event
			for beat := range test.beats {
				for _, voice := range test.voices {
					events = append(events, voice(r, beat)...)
				}
			}
			_, summary := heardAndSettled(t, test.setup, events)
			assert.Equal(t, test.want, summary.SplitFound)
		})
	}
}
