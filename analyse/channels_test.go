package analyse_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

const (
	leftChannel, rightChannel = 2, 0
	rolled                    = 230                    // ticks from key to key, 120 ms
	long                      = 100 * timebase.Quarter // after everything
)

// right is a line of eighths in the right hand, low enough for a left hand to reach,
// with rests between its phrases.
func right(r *rand.Rand) (events []analyse.Event) {
	key := 60
	for i := range 120 {
		if i%17 > 13 {
			continue
		}
		key = min(max(key+r.IntN(9)-4, 52), 76)
		events = append(events, struck(rightChannel, key, int64(i)*eighth, eighth-40)...)
	}
	return events
}

func struck(channel uint8, key int, at, long int64) []analyse.Event {
	return []analyse.Event{
		{Tick: at, Kind: analyse.NoteOn, Channel: channel, Key: uint8(key), Velocity: 80},
		{Tick: at + long, Kind: analyse.NoteOff, Channel: channel, Key: uint8(key), Velocity: 64},
	}
}

func heardAndSettled(t *testing.T, setup analyse.Setup, events []analyse.Event) ([]analyse.Finding, analyse.Summary) {
	t.Helper()
	centre, err := changes.ParseCentre("C major")
	require.NoError(t, err)
	setup.Centre = &centre
	a, err := analyse.New(setup)
	require.NoError(t, err)
	events = slices.Clone(events)
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: timebase.Nominal})
	var all []analyse.Finding
	for _, e := range events {
		all = append(all, a.Add(e)...)
	}
	all = append(all, a.Finish(long)...)
	return all, a.Summary()
}

// verdicts says of each note on a channel, by its onset and key, what became of it.
func verdicts(channel uint8, findings []analyse.Finding) map[[2]int64]analyse.Finding {
	at, all := map[int64][2]int64{}, map[[2]int64]analyse.Finding{}
	for _, f := range findings {
		if f.Stage == analyse.Heard {
			if f.Channel != channel {
				continue
			}
			at[f.N] = [2]int64{f.Tick, int64(f.Key)}
			f.N = 0
			all[[2]int64{f.Tick, int64(f.Key)}] = f
			continue
		}
		where, known := at[f.N]
		if !known {
			continue
		}
		note := all[where]
		if f.Stage == analyse.Sorted {
			note.Role = f.Role
		} else {
			note.Fate = f.Fate
		}
		all[where] = note
	}
	return all
}

// What a left hand on a channel of its own plays, however high and however it is
// struck, changes nothing that is said of the right hand.
func TestAHandWithAChannelOfItsOwn(t *testing.T) {
	for name, left := range map[string]func(r *rand.Rand) []analyse.Event{
		"chords": func(*rand.Rand) (events []analyse.Event) {
			for bar := range int64(15) {
				for i, key := range []int{48, 52, 57, 60} {
					events = append(events, struck(leftChannel, key, bar*8*eighth+int64(i)*8, 6*eighth)...)
				}
			}
			return events
		},
		"chords that are rolled": func(*rand.Rand) (events []analyse.Event) {
			for bar := range int64(15) {
				for i, key := range []int{48, 52, 57, 60} {
					events = append(events, struck(leftChannel, key, bar*8*eighth+int64(i)*rolled, 6*eighth)...)
				}
			}
			return events
		},
		"a walking bass that comes up": func(r *rand.Rand) (events []analyse.Event) {
			key := 45
			for beat := range int64(60) {
				key = min(max(key+r.IntN(7)-3, 36), 64)
				events = append(events, struck(leftChannel, key, beat*2*eighth, 2*eighth-20)...)
			}
			return events
		},
		"the same line at the same time, an octave lower": func(*rand.Rand) (events []analyse.Event) {
			for _, e := range right(rand.New(rand.NewPCG(1, 0))) {
				e.Channel, e.Key = leftChannel, e.Key-12
				events = append(events, e)
			}
			return events
		},
	} {
		t.Run(name, func(t *testing.T) {
			alone, aloneSummary := heardAndSettled(t, analyse.Setup{}, right(rand.New(rand.NewPCG(1, 0))))
			both := append(right(rand.New(rand.NewPCG(1, 0))), left(rand.New(rand.NewPCG(2, 0)))...)
			together, summary := heardAndSettled(t, analyse.Setup{LeftHand: leftChannel + 1}, both)
			want := verdicts(rightChannel, alone)
			assert.Greater(t, len(want), 90)
			assert.Equal(t, want, verdicts(rightChannel, together))
			assert.Equal(t, aloneSummary.Phrases.Phrases, summary.Phrases.Phrases)
			assert.Equal(t, aloneSummary.Figures.Run, summary.Figures.Run)
			assert.Equal(t, aloneSummary.Figures.Arpeggio, summary.Figures.Arpeggio)

			only, onlySummary := heardAndSettled(t, analyse.Setup{Channels: 1 << rightChannel}, both)
			assert.Equal(t, alone, only, "as if the other channel were not there")
			assert.Equal(t, aloneSummary, onlySummary)
		})
	}
}

// Without a hand of its own the same left hand is heard in the line.
func TestWithoutHandsTheLineIsAnother(t *testing.T) {
	line := right(rand.New(rand.NewPCG(1, 0)))
	alone, _ := heardAndSettled(t, analyse.Setup{}, line)
	both := append(line, struck(leftChannel, 53, 3*eighth+100, eighth)...)
	together, _ := heardAndSettled(t, analyse.Setup{}, both)
	assert.NotEqual(t, verdicts(leftChannel, alone), verdicts(leftChannel, together))
}
