package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/feel"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

const viewBar = 4 * timebase.Quarter

// dominantInC is four bars of D7 in C major. By reason: the key's scale is C D E F G
// Ab A B, which has no F#; that chosen for D7, A minor sixth, has it in its home half,
// A C E F#.
func dominantInC(t *testing.T) *changes.Timeline {
	t.Helper()
	return unroll(t, "title: Second Gate\nkey: C\n\n{C major} | D7 | % | % | % |\n")
}

// turn asks for the other view at a tick.
func turn(tick int64) analyse.Event { return analyse.Event{Tick: tick, Kind: analyse.NextView} }

// What is heard from the turn on is heard in the view that holds; what was heard
// before stays as it was said. F# is outside in one key, a tone of the chord there, and
// at home in each chord.
func TestTheViewIsTurnedWhileItIsPlayed(t *testing.T) {
	const fSharp = 66
	a := analyser(t, analyse.Setup{Timeline: dominantInC(t)})
	events := []analyse.Event{
		{Kind: analyse.Tempo, Value: 500_000}, {Kind: analyse.Origin, Key: 1},
		on(0, fSharp), turn(0), // the first is struck before the turn, though at its tick
		off(400, fSharp), on(viewBar, fSharp), off(viewBar+400, fSharp), turn(2*viewBar - 1),
		on(2*viewBar, fSharp), off(2*viewBar+400, fSharp),
	}
	var places []song.Place
	var scales []string
	for _, f := range all(a, 4*viewBar, events...) {
		if f.Stage == analyse.Heard {
			places, scales = append(places, f.Place), append(scales, f.Scale.Short())
		}
	}
	require.Equal(t, []song.Place{song.Outside, song.Home, song.Outside}, places)
	require.Equal(t, scales[0], scales[2])
	require.Equal(t, "C6 dim", scales[0])
	require.Equal(t, "Am6 dim", scales[1])
	s := a.Summary()
	require.Equal(t, []analyse.ViewFrom{
		{View: song.KeyView}, {View: song.ChordView, From: 1, Chorus: 1, Bar: 1}, {View: song.KeyView, From: 2, Chorus: 1, Bar: 3},
	}, s.Views, "a turn a tick ahead of a bar is told as in it, as a note would be")
	require.Equal(t, song.KeyView, s.View)
	require.Equal(t, song.PlaceCounts{Home: 1, Outside: 2}, s.Place)
	require.EqualValues(t, 0, s.Slips())
	require.EqualValues(t, 3, s.Groups.Chord, "a tone of the chord is one in either view")
	// D7 has F# A D C. In one key its home half (C E G A) holds two of them and the other
	// (D F Ab B) one, so that home is to be on the beat, where F# is not; in each chord it is.
	require.Equal(t, []feel.OnBeat{
		{View: song.KeyView, ChordKind: s.OnBeat[0].ChordKind, Scored: 2, ChordTone: 2},
		{View: song.ChordView, ChordKind: s.OnBeat[0].ChordKind, Scored: 1, Home: 1, ChordTone: 1},
	}, s.OnBeat)
}

// The screen shows the view that holds, at once.
func TestTheSnapshotHasTheViewThatHolds(t *testing.T) {
	a := analyser(t, analyse.Setup{Timeline: dominantInC(t), View: song.ChordView})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	for _, want := range []string{"Am6 dim", "C6 dim", "Am6 dim", "C6 dim"} {
		s := a.Snapshot()
		require.Equal(t, want, s.Scale.Short())
		require.Equal(t, want == "Am6 dim", s.Scales)
		a.Add(turn(10))
	}
}

// Which turns count: one with notes on both sides of it.
func TestWhichTurnsOfTheViewCount(t *testing.T) {
	note := []analyse.Event{on(viewBar, 62), off(viewBar+100, 62)}
	later := []analyse.Event{on(2*viewBar, 62), off(2*viewBar+100, 62)}
	origin := []analyse.Event{{Kind: analyse.Origin, Key: 1, Value: -viewBar}}
	events := func(parts ...[]analyse.Event) (out []analyse.Event) {
		out = append(out, origin...)
		for _, part := range parts {
			out = append(out, part...)
		}
		return out
	}
	turns := func(ticks ...int64) (out []analyse.Event) {
		for _, tick := range ticks {
			out = append(out, turn(tick))
		}
		return out
	}
	for name, test := range map[string]struct {
		setup  analyse.Setup
		events []analyse.Event
		want   []song.View
	}{
		"none":                      {analyse.Setup{}, events(note, later), []song.View{song.KeyView}},
		"in the count-in":           {analyse.Setup{}, events(turns(5), note, later), []song.View{song.ChordView}},
		"there and back at once":    {analyse.Setup{}, events(note, turns(viewBar+500, viewBar+500), later), []song.View{song.KeyView}},
		"three times":               {analyse.Setup{}, events(note, turns(viewBar+500, viewBar+501, viewBar+502), later), []song.View{song.KeyView, song.ChordView}},
		"after the last note":       {analyse.Setup{}, events(note, later, turns(3*viewBar)), []song.View{song.KeyView}},
		"nothing played":            {analyse.Setup{}, events(turns(5)), []song.View{song.ChordView}},
		"in a take that is held to": {analyse.Setup{OneView: true}, events(note, turns(viewBar+500), later), []song.View{song.KeyView}},
	} {
		test.setup.Timeline = dominantInC(t)
		a := analyser(t, test.setup)
		all(a, 4*viewBar, test.events...)
		var got []song.View
		for _, v := range a.Summary().Views {
			got = append(got, v.View)
		}
		require.Equal(t, test.want, got, name)
		require.Equal(t, test.want[len(test.want)-1], a.Summary().View, name)
	}
	free := analyser(t, analyse.Setup{})
	free.Add(turn(0))
	_, is := free.View()
	require.False(t, is, "without a chart there is one view")
	require.Len(t, free.Summary().Views, 1)
}

// What is a slip is one in both views, so that turning costs nothing and helps
// nothing: random takes have the same slips without their turns.
func TestTurningTheViewChangesNoSlip(t *testing.T) {
	drawn := takes(chartsToJudge(t))
	turned := 0
	for seed := range 300 {
		take := drawn.Example(seed)
		take.setup.OneView = false
		slips := func(setup analyse.Setup) (out []int) {
			a := analyser(t, setup)
			for n, v := range judged(a, take.events[len(take.events)-1].Tick, take.events) {
				if v.slip() {
					out = append(out, n)
				}
			}
			turned += len(a.Summary().Views) - 1
			return out
		}
		held := take.setup
		held.OneView = true
		require.Equal(t, slips(held), slips(take.setup), "example %d", seed)
	}
	require.Greater(t, turned, 100)
}
