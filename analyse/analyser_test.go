package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// centre returns a centre by the name of its tonic.
func centre(t testing.TB, tonic string, mode changes.Mode) *changes.Centre {
	name, err := tone.ParseName(tonic)
	require.NoError(t, err)
	return &changes.Centre{Tonic: name, Mode: mode}
}

func analyser(t testing.TB, s analyse.Setup) *analyse.Analyser {
	a, err := analyse.New(s)
	require.NoError(t, err)
	return a
}

func on(tick int64, key uint8) analyse.Event {
	return analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: key, Velocity: 80}
}

func off(tick int64, key uint8) analyse.Event {
	return analyse.Event{Tick: tick, Kind: analyse.NoteOff, Key: key}
}

// all plays events and returns every finding, copied.
func all(a *analyse.Analyser, end int64, events ...analyse.Event) []analyse.Finding {
	var out []analyse.Finding
	for _, e := range events {
		out = append(out, a.Add(e)...)
	}
	return append(out, a.Finish(end)...)
}

func heard(findings []analyse.Finding) []analyse.Finding {
	var out []analyse.Finding
	for _, f := range findings {
		if f.Stage == analyse.Heard {
			out = append(out, f)
		}
	}
	return out
}

// The scale of F major as a player reads it (common practice): F G A Bb C Db D
// E, the home chord F6 on the odd places.
func TestNotesOfACentre(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: centre(t, "F", changes.Major)})
	want := []struct {
		key          uint8
		name, degree string
		place        song.Place
		chordTone    bool
	}{
		{65, "F", "1", song.Home, true},
		{67, "G", "2", song.Dim, false},
		{69, "A", "3", song.Home, true},
		{70, "Bb", "4", song.Dim, false},
		{72, "C", "5", song.Home, true},
		{73, "Db", "b6", song.Dim, false},
		{74, "D", "6", song.Home, true},
		{76, "E", "7", song.Dim, false},
		{66, "Gb", "", song.Outside, false},
		{68, "G#", "", song.Outside, false},
		{71, "B", "", song.Outside, false},
		{75, "D#", "", song.Outside, false},
	}
	for i, w := range want {
		found := a.Add(on(int64(i)*480, w.key))
		f := found[len(found)-1]
		require.Equal(t, analyse.Heard, f.Stage)
		require.Equal(t, int64(i), f.N)
		require.Equal(t, w.name, f.Name, "key %d", w.key)
		require.Equal(t, w.degree, f.Degree, w.name)
		require.Equal(t, w.place, f.Place, w.name)
		require.Equal(t, w.chordTone, f.ChordTone, w.name)
		require.Equal(t, "F major", f.Centre)
		require.Equal(t, "F major sixth-diminished", f.Scale.String())
		require.Equal(t, "F6", f.Chord)
		require.Zero(t, f.Chorus+f.Bar)
		require.Zero(t, f.Beat)
	}
	a.Finish(10 * timebase.Quarter)
	s := a.Summary()
	require.Equal(t, song.PlaceCounts{Home: 4, Dim: 4, Outside: 4}, s.Place)
	require.Equal(t, int64(2), s.Fate["unresolved"], "Gb, and B: the flat fifth passes, it does not stand")
	require.Equal(t, int64(2), s.Fate["blue"], "Ab and Eb are the blue notes of F")
	require.Equal(t, []analyse.CentreCount{{Centre: "F major", Tally: analyse.Tally{Notes: 12, Outside: 4, Unresolved: 2}}}, s.Centres)
}

func TestMinorCentre(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: centre(t, "C", changes.Minor)})
	for _, w := range []struct {
		key   uint8
		name  string
		place song.Place
	}{{63, "Eb", song.Home}, {68, "Ab", song.Dim}, {69, "A", song.Home}, {64, "E", song.Outside}} {
		found := a.Add(on(0, w.key))
		require.Equal(t, w.name, found[0].Name)
		require.Equal(t, w.place, found[0].Place)
	}
}

func TestWithoutACentreNothingIsJudged(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	f := a.Add(on(0, 61))[0]
	require.Equal(t, song.NoPlace, f.Place)
	require.Equal(t, fate.None, f.Fate)
	require.Empty(t, f.Scale.String()+f.Degree+f.Centre)
	require.NotEmpty(t, f.Name)
}

// MIDI 1.0 Detailed Specification: a note-on with velocity 0 is a note-off.
func TestVelocityZeroReleases(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	a.Add(on(0, 60))
	require.Len(t, a.Snapshot().Held, 1)
	found := a.Add(analyse.Event{Tick: 10, Kind: analyse.NoteOn, Key: 60})
	require.Empty(t, found, "no note is heard")
	require.Empty(t, a.Snapshot().Held)
}

func control(tick int64, number, value uint8) analyse.Event {
	return analyse.Event{Tick: tick, Kind: analyse.Control, Key: number, Velocity: value}
}

// MIDI 1.0 Detailed Specification: controller 64 holds from 64 up; All Notes
// Off (123) leaves what the pedal holds; All Sound Off (120) does not.
func TestPedalAndAllNotesOff(t *testing.T) {
	held := func(events ...analyse.Event) int {
		a := analyser(t, analyse.Setup{})
		for _, e := range events {
			a.Add(e)
		}
		return len(a.Snapshot().Held)
	}
	require.Equal(t, 1, held(control(0, 64, 64), on(1, 60), off(2, 60)), "pedal holds")
	require.Equal(t, 0, held(control(0, 64, 63), on(1, 60), off(2, 60)), "63 is up")
	require.Equal(t, 0, held(control(0, 64, 127), on(1, 60), off(2, 60), control(3, 64, 0)), "pedal up releases")
	require.Equal(t, 0, held(on(1, 60), on(1, 64), control(2, 123, 0)))
	require.Equal(t, 0, held(on(1, 60), control(2, 124, 0)), "omni off implies all notes off")
	require.Equal(t, 1, held(control(0, 64, 127), on(1, 60), control(2, 123, 0)), "all notes off respects the pedal")
	require.Equal(t, 0, held(control(0, 64, 127), on(1, 60), control(2, 120, 0)), "all sound off does not")
	require.Equal(t, 0, held(control(0, 64, 127), on(1, 60), off(2, 60), control(3, 121, 0)), "reset lifts the pedal")
	require.Equal(t, 0, held(on(1, 60), control(2, 64, 127), off(3, 60),
		analyse.Event{Tick: 4, Kind: analyse.Release, Value: int64(analyse.Unplugged)}), "an unplugged instrument is silent")
}

func TestOneStringAChannel(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	e := on(0, 64)
	a.Add(e)
	e.Channel = 1
	a.Add(e)
	require.Len(t, a.Snapshot().Held, 2, "two strings on one pitch are two notes")
	e = off(5, 64)
	a.Add(e)
	require.Equal(t, uint8(1), a.Snapshot().Held[0].Channel)
}

// A chord is three keys struck within 50 ms of the first and sounding together
// at the end of it: 96 ticks at the nominal tempo.
func TestRoles(t *testing.T) {
	const window = 96 // ticks in 50 ms at 500 ms a quarter
	roles := func(split uint8, events ...analyse.Event) []analyse.Role {
		a := analyser(t, analyse.Setup{Split: split})
		out := map[int64]analyse.Role{}
		for _, f := range all(a, 5000, events...) {
			if f.Stage == analyse.Sorted {
				_, twice := out[f.N]
				require.False(t, twice, "one role a note")
				out[f.N] = f.Role
			}
		}
		list := make([]analyse.Role, len(out))
		for n, r := range out {
			list[n] = r
		}
		return list
	}
	line, chord := analyse.Line, analyse.Struck
	require.Equal(t, []analyse.Role{chord, chord, chord}, roles(0, on(0, 60), on(50, 64), on(window, 67)))
	require.Equal(t, []analyse.Role{line, line, line}, roles(0, on(0, 60), on(50, 64), on(window+1, 67)))
	require.Equal(t, []analyse.Role{line, line}, roles(0, on(0, 60), on(0, 64)), "two keys are a line")
	require.Equal(t, []analyse.Role{chord, chord}, roles(60, on(0, 48), on(0, 55)), "but a chord below the split")
	require.Equal(t, []analyse.Role{line, line}, roles(50, on(0, 48), on(0, 55)), "one on each side of it")
	require.Equal(t, []analyse.Role{chord, chord, line}, roles(60, on(0, 48), on(0, 55), on(10, 72)),
		"a melody note over two below the split")
}

func TestRolesNeedKeysSoundingTogether(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	// A fast run: each key is up before the next one goes down.
	found := all(a, 5000, on(0, 60), off(20, 60), on(30, 62), off(50, 62), on(60, 64))
	for _, f := range found {
		if f.Stage == analyse.Sorted {
			require.Equal(t, analyse.Line, f.Role)
		}
	}
	require.Zero(t, a.Summary().Figures.Chord)
}

// The window is in milliseconds: a slower tempo inside it makes it shorter in
// ticks.
func TestChordWindowFollowsTempo(t *testing.T) {
	slow := analyse.Event{Kind: analyse.Tempo, Value: 2 * timebase.Nominal}
	a := analyser(t, analyse.Setup{})
	found := all(a, 5000, slow, on(0, 60), on(20, 64), on(48, 67))
	require.Equal(t, analyse.Struck, found[len(found)-1].Role)
	a = analyser(t, analyse.Setup{})
	found = all(a, 5000, slow, on(0, 60), on(20, 64), on(49, 67))
	require.Equal(t, analyse.Line, found[len(found)-1].Role)
}

// An outside note settles two beats after it, at the tick after that and not
// before.
func TestFateSettlesAfterTwoBeats(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: centre(t, "C", changes.Major)})
	f := a.Add(on(100, 61))[0]
	require.Equal(t, fate.Pending, f.Fate)
	due := int64(100 + 2*timebase.Quarter)
	a.AdvanceTo(due - 1)
	require.Empty(t, a.AdvanceTo(due), "due strictly before the tick")
	found := a.AdvanceTo(due + 1)
	require.Equal(t, []analyse.Finding{{Stage: analyse.Settled, N: 0, Fate: fate.Unresolved, By: -1}}, found)
	require.Equal(t, int64(1), a.Summary().Fate["unresolved"])
}

func TestTicksNeverGoBack(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	a.Add(on(500, 60))
	f := a.Add(on(400, 62))[0]
	require.Equal(t, int64(500), f.Tick, "an earlier tick counts as now")
}

func TestMillisecondsFollowTheTempoMap(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: 400_000})
	a.Add(analyse.Event{Tick: 960, Kind: analyse.Tempo, Value: 1_000_000})
	found := a.Add(on(960+480, 60))
	require.Equal(t, int64(900), found[0].MS)
}

// The top note of a struck chord is the melody where the player says so.
func TestTopNoteOfAChord(t *testing.T) {
	a := analyser(t, analyse.Setup{Top: true})
	var roles []analyse.Role
	for _, f := range all(a, 5000, on(0, 72), on(5, 60), on(9, 64), on(20, 67)) {
		if f.Stage == analyse.Sorted {
			roles = append(roles, f.Role)
		}
	}
	require.Equal(t, []analyse.Role{analyse.Line, analyse.Struck, analyse.Struck, analyse.Struck}, roles)
}
