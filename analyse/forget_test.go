package analyse_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

const forgetBar = 4 * timebase.Quarter

// twelveBars is a chart of twelve bars.
func twelveBars(t *testing.T) *changes.Timeline {
	t.Helper()
	return generic(t, "blues", "C")
}

// Which chorus is meant, by when it is said: at awkward moments too.
func TestWhichChorusIsForgotten(t *testing.T) {
	line := twelveBars(t)
	chorus := line.Length
	top := func(n int64) analyse.Event {
		return analyse.Event{Kind: analyse.Origin, Key: 1, Value: (n - 1) * chorus}
	}
	countIn := analyse.Event{Kind: analyse.Origin, Key: 1, Value: -2 * forgetBar}
	stop := func(at int64) analyse.Event { return analyse.Event{Kind: analyse.Origin, Value: at} }
	forget := analyse.Event{Kind: analyse.Forget}
	at := func(tick int64, e analyse.Event) analyse.Event { e.Tick = tick; return e }
	for name, test := range map[string]struct {
		events []analyse.Event
		want   []int
		said   int
		anew   bool
	}{
		"before anything is counted":      {[]analyse.Event{forget}, []int{}, 0, false},
		"in the first count-in":           {[]analyse.Event{countIn, at(forgetBar, forget)}, []int{}, 0, false},
		"in the first bar of all":         {[]analyse.Event{top(1), at(forgetBar-1, forget)}, []int{1}, 1, true},
		"while it waits for a note":       {[]analyse.Event{stop(0), at(forgetBar, forget)}, []int{}, 0, false},
		"it waited, and is counted in":    {[]analyse.Event{stop(0), at(forgetBar, countIn), at(2*forgetBar, forget)}, []int{}, 0, false},
		"in the middle":                   {[]analyse.Event{top(1), at(5*forgetBar, forget)}, []int{1}, 1, true},
		"at the last tick":                {[]analyse.Event{top(1), at(chorus-1, forget)}, []int{1}, 1, true},
		"at the top of the next":          {[]analyse.Event{top(1), at(chorus, forget)}, []int{1}, 1, true},
		"in the first bar of the next":    {[]analyse.Event{top(1), at(chorus+forgetBar-1, forget)}, []int{1}, 1, true},
		"behind the first bar":            {[]analyse.Event{top(1), at(chorus+forgetBar, forget)}, []int{2}, 2, true},
		"twice":                           {[]analyse.Event{top(1), at(chorus, forget), at(chorus+1, forget)}, []int{1}, 1, false},
		"twice, a bar apart":              {[]analyse.Event{top(1), at(chorus, forget), at(chorus+forgetBar, forget)}, []int{1, 2}, 2, true},
		"counted in again":                {[]analyse.Event{top(1), at(5*forgetBar, countIn), at(6*forgetBar, forget)}, []int{1}, 1, true},
		"again from the next first bar":   {[]analyse.Event{top(1), at(chorus+10, countIn), at(chorus+forgetBar, forget)}, []int{1}, 1, true},
		"a false start":                   {[]analyse.Event{top(1), at(5*forgetBar, countIn), at(7*forgetBar, top(2)), at(7*forgetBar+100, forget)}, []int{2}, 2, true},
		"a false start, counted in again": {[]analyse.Event{top(1), at(5*forgetBar, countIn), at(7*forgetBar, top(2)), at(7*forgetBar+100, countIn), at(8*forgetBar, forget)}, []int{2}, 2, true},
		"in the chorus after a false start": {[]analyse.Event{
			top(1), at(5*forgetBar, countIn), at(7*forgetBar, top(2)), at(7*forgetBar+chorus+5, forget),
		}, []int{2}, 2, true},
		"while it stands": {[]analyse.Event{top(1), at(5*forgetBar, stop(5*forgetBar)), at(6*forgetBar, forget)}, []int{1}, 1, true},
		"a bar back":      {[]analyse.Event{top(1), at(chorus+5, analyse.Event{Kind: analyse.Origin, Key: 1, Value: chorus + 5 - forgetBar}), at(chorus+6, forget)}, []int{1}, 1, true},
	} {
		a, err := analyse.New(analyse.Setup{Timeline: line})
		require.NoError(t, err)
		for _, e := range test.events {
			a.Add(e)
		}
		said, anew := a.Forgotten()
		require.Equal(t, test.said, said, name)
		require.Equal(t, test.anew, anew, name)
		require.Equal(t, test.want, a.Summary().Forgotten, name)
	}
	free, err := analyse.New(analyse.Setup{})
	require.NoError(t, err)
	free.Add(forget)
	require.Empty(t, free.Summary().Forgotten, "without a chart there is no chorus")
}

// A chorus that is forgotten is in no count: a recount of the findings of the others
// gives every row, whenever it is said, and what is counted of the line is what it
// would be had nothing been played in that chorus.
func TestForgottenIsAsIfNotPlayed(t *testing.T) {
	line := twelveBars(t)
	const choruses = 5
	// The last two bars of each are rests, so that nothing reaches over its end.
	resting := func(e analyse.Event) bool { return e.Tick%line.Length >= line.Length-2*forgetBar }
	for seed := range uint64(6) {
		notes := linegen.Spoil(linegen.Line(line, song.KeyView, seed, choruses), 0.2, seed)
		events := slices.DeleteFunc(linegen.Events(notes), func(e analyse.Event) bool { return e.Kind == analyse.NoteOn && resting(e) })
		start := []analyse.Event{{Kind: analyse.Tempo, Value: 400_000}, {Kind: analyse.Origin, Key: 1}}
		judge := func(without int64, forget ...int64) (analyse.Summary, []analyse.Finding) {
			a, err := analyse.New(analyse.Setup{Timeline: line})
			require.NoError(t, err)
			var found []analyse.Finding
			for _, e := range start {
				a.Add(e)
			}
			for _, e := range events {
				for len(forget) > 0 && forget[0] <= e.Tick {
					found = append(found, a.Add(analyse.Event{Tick: forget[0], Kind: analyse.Forget})...)
					forget = forget[1:]
				}
				if e.Tick/line.Length+1 != without {
					found = append(found, a.Add(e)...)
				}
			}
			found = append(found, a.Finish(choruses*line.Length)...)
			return a.Summary(), found
		}
		silent, _ := judge(3)
		for name, at := range map[string]int64{
			"early in it":  2*line.Length + 3*forgetBar,
			"late in it":   3*line.Length - 1,
			"just after":   3 * line.Length,
			"a bar behind": 3*line.Length + forgetBar - 1,
		} {
			s, found := judge(0, at)
			require.Equal(t, []int{3}, s.Forgotten, name)
			var want recount
			chorusNotes := map[int]int64{}
			for _, f := range together(found) {
				if f.Chorus != 3 {
					want.add(recountOf(&f))
					chorusNotes[f.Chorus]++
				}
			}
			require.Equal(t, want.notes, s.Notes, name)
			require.Equal(t, want.outside, s.Place.Outside, name)
			require.Equal(t, want.unresolved, s.Fate["unresolved"], name)
			require.Equal(t, want.against, s.Against, name)
			require.Len(t, s.ChorusesDetail, choruses-1, name)
			for _, c := range s.ChorusesDetail {
				require.Equal(t, chorusNotes[c.Chorus], c.Notes, name)
			}
			require.Equal(t, silent.Place, s.Place, name)
			require.Equal(t, silent.Groups, s.Groups, name)
			require.Equal(t, silent.Fate, s.Fate, name)
			require.Equal(t, silent.Centres, s.Centres, name)
			require.Equal(t, silent.BarsDetail, s.BarsDetail, name)
			require.Equal(t, silent.ChordsDetail, s.ChordsDetail, name)
			require.Equal(t, silent.Figures, s.Figures, name)
			require.Equal(t, silent.Links.Shared, s.Links.Shared, name)
			require.Equal(t, silent.HalfSteps, s.HalfSteps, name)
			require.Equal(t, silent.Family, s.Family, name)
			require.Equal(t, silent.OnBeat, s.OnBeat, name)
			require.Equal(t, silent.LeftHanging, s.LeftHanging, name)
			require.Equal(t, silent.Habits, s.Habits, name)
			require.Equal(t, silent.Feel.Onsets, s.Feel.Onsets, name)
			require.Equal(t, silent.Feel.Pairs, s.Feel.Pairs, name)
			require.Equal(t, silent.Phrases.Phrases, s.Phrases.Phrases, name)
			require.Equal(t, silent.Phrases.Landings, s.Phrases.Landings, name)
			require.Equal(t, silent.Phrases.Lengths, s.Phrases.Lengths, name)
			requireSameFit(t, silent.Fit, s.Fit, name)
		}
	}
}

// requireSameFit compares verdicts but for the numbers of their notes.
func requireSameFit(t *testing.T, want, got []fit.Verdict, name string) {
	t.Helper()
	require.Len(t, got, len(want), name)
	for i := range want {
		a, b := want[i], got[i]
		a.FromN, a.ToN, b.FromN, b.ToN = 0, 0, 0, 0
		require.Equal(t, a, b, "%s: %d", name, i)
	}
}

// A mark tells where it was set: in the song, and by which phrase; a chorus before or
// after it that is forgotten changes nothing in that.
func TestMarks(t *testing.T) {
	line := twelveBars(t)
	a, err := analyse.New(analyse.Setup{Timeline: line})
	require.NoError(t, err)
	add := func(tick int64, e analyse.Event) { e.Tick = tick; a.Add(e) }
	add(0, analyse.Event{Kind: analyse.Tempo, Value: 500_000})
	add(0, analyse.Event{Kind: analyse.Origin, Key: 1, Value: -forgetBar})
	add(timebase.Quarter, analyse.Event{Kind: analyse.Mark})
	for i := range int64(4) {
		tick := 2*forgetBar + i*timebase.Quarter/2
		add(tick, analyse.Event{Kind: analyse.NoteOn, Key: uint8(60 + 2*i), Velocity: 80})
		add(tick+timebase.Quarter/2, analyse.Event{Kind: analyse.NoteOff, Key: uint8(60 + 2*i)})
	}
	add(2*forgetBar+2*timebase.Quarter, analyse.Event{Kind: analyse.Mark})
	add(4*forgetBar+timebase.Quarter/2, analyse.Event{Kind: analyse.Mark})
	a.Finish(6 * forgetBar)
	require.Equal(t, []analyse.MarkAt{
		{Tick: timebase.Quarter, MS: 500, Beat: 2},
		{Tick: 2*forgetBar + 2*timebase.Quarter, MS: 5000, Chorus: 1, Bar: 2, Beat: 3, Phrase: 1},
		{Tick: 4*forgetBar + timebase.Quarter/2, MS: 8250, Chorus: 1, Bar: 4, Beat: 1.5, Phrase: 1},
	}, slices.Clip(a.Summary().Marks))
}
