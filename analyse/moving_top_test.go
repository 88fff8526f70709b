package analyse_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

const movedBar = 4 * timebase.Quarter

// fourths is a setup over bars of C that goes up a fourth each chorus.
func fourths(t testing.TB, bars string) analyse.Setup {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader("title: Slow Ferry\nkey: C\n\n" + bars + "\n"))
	require.NoError(t, err)
	keys := inKeys(t, chart, 5)
	return analyse.Setup{Timeline: keys[0].Timeline, Keys: keys, View: song.ChordView}
}

// The keys are counted from the top that was last counted off to: it is the first key's
// again, whatever was played before. A bar on goes over into the next key and a bar back
// into the one before. While it is counted off the first chord is shown.
func TestKeysAreCountedFromTheTop(t *testing.T) {
	origin := func(tick, song int64) analyse.Event {
		return analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: song}
	}
	stop := func(tick, song int64) analyse.Event {
		return analyse.Event{Tick: tick, Kind: analyse.Origin, Value: song}
	}
	const chorus = 2 * movedBar
	for name, test := range map[string]struct {
		events []analyse.Event
		want   []string // the chord in each bar of the take, in its second beat
	}{
		"played through": {[]analyse.Event{origin(0, 0)}, []string{"C6", "G7", "F6", "C7", "Bb6", "F7", "Eb6"}},
		"counted in":     {[]analyse.Event{origin(0, -movedBar)}, []string{"C6", "C6", "G7", "F6", "C7"}},
		"counted off again in the second": {
			[]analyse.Event{origin(0, 0), origin(3*movedBar, -movedBar), origin(4*movedBar, 2*chorus)},
			[]string{"C6", "G7", "F6", "C6", "C6", "G7", "F6", "C7"},
		},
		"again without a count-in": {
			[]analyse.Event{origin(0, 0), origin(3*movedBar, 2*chorus)}, []string{"C6", "G7", "F6", "C6", "G7", "F6"},
		},
		"a bar on over the top": {
			[]analyse.Event{origin(0, 0), origin(movedBar+timebase.Quarter/2, chorus+timebase.Quarter/2)},
			[]string{"C6", "F6", "C7", "Bb6"},
		},
		"a bar back over the top": {
			[]analyse.Event{origin(0, 0), origin(2*movedBar+timebase.Quarter/2, movedBar+timebase.Quarter/2)},
			[]string{"C6", "G7", "G7", "F6"},
		},
		"stopped, and on": {
			[]analyse.Event{origin(0, 0), stop(2*movedBar+10, chorus+10), origin(4*movedBar, chorus+10)},
			[]string{"C6", "G7", "F6", "F6", "F6", "C7", "Bb6"},
		},
		"stopped, and started anew a little late": {
			[]analyse.Event{origin(0, 0), stop(2*movedBar+10, chorus+10), origin(4*movedBar+10, 2*chorus+10)},
			[]string{"C6", "G7", "F6", "F6", "C6", "G7", "F6"},
		},
	} {
		a := analyser(t, fourths(t, "| C6 | G7 |"))
		var got []string
		events := test.events
		for bar := range test.want {
			now := int64(bar)*movedBar + timebase.Quarter
			for len(events) > 0 && events[0].Tick <= now {
				a.Add(events[0])
				events = events[1:]
			}
			a.AdvanceTo(now)
			got = append(got, a.Snapshot().Chord)
		}
		require.Equal(t, test.want, got, name)
	}
}

// What is shown of a chorus is in its key, and what comes in the next one's: the chords of
// the lines ahead, the next chord over the top, and the names of the keys.
func TestWhatComesIsShownInItsKey(t *testing.T) {
	a := analyser(t, fourths(t, "| C6 | G7 |"))
	a.Add(startsAt(0))
	a.AdvanceTo(3*movedBar + timebase.Quarter)
	s := a.Snapshot()
	symbols := func(line *analyse.PageLine) (out []string) {
		for _, one := range line.Symbols {
			out = append(out, one.Symbol)
		}
		return out
	}
	require.Equal(t, []string{"F6", "C7"}, symbols(&s.Page.PageLine))
	require.Equal(t, []string{"Bb6", "F7"}, symbols(&s.Page.Ahead[0]))
	require.Equal(t, []string{"Eb6", "Bb7"}, symbols(&s.Page.Ahead[1]))
	require.Equal(t, []string{"C7", "Bb6", "F major"}, []string{s.Chord, s.NextChord, s.Centre})
	now, next, left := a.Keys()
	require.Equal(t, "F major Bb major 1", fmt.Sprint(now, " ", next, " ", left))

	one := analyser(t, fourths(t, "| C6 |"))
	one.Add(startsAt(0))
	one.AdvanceTo(movedBar + 10)
	require.Equal(t, "Bb6", one.Snapshot().NextChord, "a chart of one chord has a next one")

	still := analyser(t, inChords(t, "| C6 | G7 |"))
	still.Add(startsAt(0))
	now, next, _ = still.Keys()
	require.Empty(t, now+next, "where the key stays")
}

// Over the only chord of a chart a note that is simply early is the next key's, and so is
// what comes of it: its stay, and the change that it goes over.
func TestAnEarlyNoteIsOfTheNextKey(t *testing.T) {
	a := analyser(t, fourths(t, "| Cm7 |"))
	found := heard(all(a, 2*movedBar, startsAt(0), on(0, 60), off(400, 60), on(movedBar-timebase.Quarter/20, 68), off(movedBar+800, 68)))
	require.Equal(t, "Cm7 Fm7", found[0].Chord+" "+found[1].Chord)
	require.Equal(t, []int{2, 1}, []int{found[1].Chorus, found[1].Bar})
	require.True(t, found[1].ChordTone, "A flat over Fm7")
	s := a.Summary()
	require.Equal(t, "F major", s.ChorusesDetail[1].Key)
}

// Whoever forgets to move is told so, by how much; whoever moves is not.
func TestWhoForgetsToMoveIsTold(t *testing.T) {
	keys := inKeys(t, movedTune(t, "blues"), 5)
	setup := analyse.Setup{Timeline: keys[0].Timeline, Keys: keys}
	inC := linegen.Line(keys[0].Timeline, song.KeyView, 3, 1)
	inBFlat := linegen.Shift(inC, -2)
	_, s := playMoved(t, setup, 0, inC, inC, inBFlat, inBFlat) // over C, F, B flat, E flat
	var told []string
	for _, v := range s.Fit {
		if v.Span == fit.Chorus {
			says := v.Says.String()
			if v.Claims() {
				says += fmt.Sprint(", up ", v.Elsewhere.Semitones)
			}
			told = append(told, says)
		}
	}
	require.Equal(t, []string{"fits", "elsewhere, up 5", "fits", "elsewhere, up 5"}, told)
}

// What is played in a key that another part of the chart is in anyhow is counted where the
// chart has it: the home chord of F, which is C's up a fourth, is no chord of the bridge.
func TestFamiliesAreCountedAsCharted(t *testing.T) {
	setup := fourths(t, "{C major} | C6 | % |\n{F major} | F6 | % |")
	struck := func(tick int64) (events []analyse.Event) {
		for _, key := range []uint8{65, 69, 72, 74} { // F6
			events = append(events, on(tick, key))
		}
		for _, key := range []uint8{65, 69, 72, 74} {
			events = append(events, off(tick+800, key))
		}
		return events
	}
	a := analyser(t, setup)
	all(a, 12*movedBar, append(append([]analyse.Event{startsAt(0)}, struck(2*movedBar)...), struck(4*movedBar)...)...)
	times := map[string]int64{}
	for _, f := range a.Summary().Family {
		times[f.Centre+" "+f.Name] += f.Times
	}
	require.Equal(t, []int64{1, 1}, []int64{times["C major C6"], times["F major F6"]})
	require.Zero(t, times["Bb major Bb6"])
}

// Slips that were meant are taken out of every count, in whichever key they were played.
func TestWhatWasMeantIsTakenOutOfAllKeys(t *testing.T) {
	keys := inKeys(t, movedTune(t, "../testdata/charts/two-bridges.chart"), 5)
	a := analyser(t, analyse.Setup{Timeline: keys[0].Timeline, Keys: keys})
	told := []analyse.Finding{}
	events := []analyse.Event{startsAt(0)}
	for n := range int64(3) {
		line := linegen.Spoil(linegen.Line(keys[n].Timeline, song.KeyView, uint64(n), 1), 0.5, uint64(n))
		for _, e := range linegen.Events(within(keys[n].Timeline, line)) {
			e.Tick += n * keys[n].Timeline.Length
			events = append(events, e)
		}
	}
	for _, f := range all(a, 3*keys[0].Timeline.Length, events...) {
		if f.Stage == analyse.Heard {
			told = append(told, f)
		} else {
			told[f.N].Fold(&f)
		}
	}
	s := a.Summary()
	require.Greater(t, s.Slips(), int64(30))
	require.NotEmpty(t, s.Fights)
	for _, f := range told {
		if f.Slip() {
			s.TakeMeant(f)
		}
	}
	require.Zero(t, s.Slips())
	require.Empty(t, s.Fights)
	for _, c := range s.Centres {
		require.Equal(t, []int64{0, 0}, []int64{c.Unresolved, c.Against}, c.Centre)
	}
	for _, c := range s.ChordsDetail {
		require.Zero(t, c.Slips(), c.Symbol)
	}
}

// A chart in other keys has to have the same form.
func TestKeysOfAnotherChartAreRefused(t *testing.T) {
	setup := fourths(t, "| C6 | G7 |")
	setup.Keys[1].Timeline = inChords(t, "| F6 | F7 Bb7 |").Timeline
	_, err := analyse.New(setup)
	require.EqualError(t, err, "the chart in another key is another chart")
	_, err = analyse.New(analyse.Setup{Keys: setup.Keys})
	require.Error(t, err, "without a chart there are no keys")
}
