package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
)

// twoSlips is a take with two unresolved notes over the tonic of a two-five-one in
// C, in bar 3 of each of two choruses: C sharp on beat 2, G flat on the second half
// of 3, each far from any tone that could resolve it.
func twoSlips(t testing.TB) (b *band, path string) {
	b = newBand(t, settings.Tune{Chart: "two-five-one"})
	var events []analyse.Event
	line := b.tune.Setup.Timeline
	for chorus := range int64(2) {
		for _, n := range []struct {
			at  int64 // ticks in bar 3
			key uint8
		}{{0, 67}, {timebase.Quarter, 73}, {2*timebase.Quarter + timebase.Quarter/2, 54}, {3 * timebase.Quarter, 65}} {
			tick := chorus*line.Length + line.Bars[2].Start + n.at
			events = append(events,
				analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: n.key, Velocity: 80},
				analyse.Event{Tick: tick + timebase.Quarter/4, Kind: analyse.NoteOff, Key: n.key})
		}
	}
	return b, b.record(events)
}

// A verdict that was marked counts no more, anywhere, until the mark is taken
// back.
func TestMeant(t *testing.T) {
	_, path := twoSlips(t)
	meant := func(meant, not []string) (slips, marked int64) {
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, Meant: meant, NotMeant: not, JSON: true})
		require.NoError(t, err)
		o := readObject(t, out)
		n := o.slips()
		require.Equal(t, [5]int64{n, n, n, n, n}, o.slipsInTables())
		require.Len(t, o.MeantNotes, o.Meant)
		return n, int64(o.Meant)
	}
	expect := func(wantSlips, wantMeant int64) func(slips, marked int64) {
		return func(slips, marked int64) {
			t.Helper()
			require.Equal(t, [2]int64{wantSlips, wantMeant}, [2]int64{slips, marked})
		}
	}
	expect(4, 0)(meant(nil, nil))
	expect(2, 2)(meant([]string{"3:2"}, nil))
	expect(2, 2)(meant(nil, nil))
	expect(1, 3)(meant([]string{"2/3:3.5"}, nil))
	expect(1, 3)(meant([]string{"2/3:3.5"}, nil))
	expect(3, 1)(meant(nil, []string{"3:2"}))
	expect(0, 4)(meant([]string{"3"}, nil))

	text := page(t, path)
	require.Contains(t, text, "Slipped     meant: 4 notes, in no count\n")
	list, _, err := reviewCall(t, &reviewCommand{Files: []string{path, path}})
	require.NoError(t, err)
	require.Contains(t, list, "slips 0 (0 %), meant 4")
}

// Where there is nothing to mark, what is there is said, and nothing is kept.
func TestNothingToMark(t *testing.T) {
	_, path := twoSlips(t)
	for _, test := range []struct{ place, want string }{
		{"1/3:1", "--meant 1/3:1: no slip there, only G (six); slips: C# at 1/3:2, Gb at 1/3:3.5, C# at 2/3:2, and 1 more"},
		{"3:4", "--meant 3:4: no slip there, only F (dim); slips: C# at 1/3:2, Gb at 1/3:3.5, C# at 2/3:2, and 1 more"},
		{"1", "--meant 1: no note there; slips: C# at 1/3:2, Gb at 1/3:3.5, C# at 2/3:2, and 1 more"},
		{"3/3", "--meant 3/3: no note there; slips: C#"},
	} {
		_, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{test.place}})
		require.Error(t, err)
		said := strings.NewReplacer("Db", "C#", "F#", "Gb").Replace(err.Error())
		require.True(t, strings.HasPrefix(said, test.want), said)
		require.NotContains(t, said, "home")
	}
	_, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, NotMeant: []string{"3:2"}})
	require.ErrorContains(t, err, "--not-meant 3:2: not marked; marked: none")
	require.NoFileExists(t, notesPath(path))

	free := newBand(t, settings.Tune{Centre: "C major"})
	path = free.record([]analyse.Event{{Tick: 10, Kind: analyse.NoteOn, Key: 61, Velocity: 80}})
	_, _, err = reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"1"}})
	require.ErrorContains(t, err, "--meant 1: places are bars of a chart, and this was played without one")
}

// Notes hold for the tune they were made under; those that cannot be read or
// written stop a mark, and nothing else.
func TestNotesOfAnother(t *testing.T) {
	_, path := twoSlips(t)
	_, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"3"}})
	require.NoError(t, err)
	kept, err := os.ReadFile(notesPath(path))
	require.NoError(t, err)
	otherView := reviewCommand{Files: []string{path}, Tune: settings.Tune{View: "chord"}}
	text, said, err := reviewCall(t, &otherView)
	require.NoError(t, err)
	require.Empty(t, said)
	require.NotContains(t, text, "meant")
	marking := otherView
	marking.Meant = []string{"3"}
	_, _, err = reviewCall(t, &marking)
	require.ErrorContains(t, err, "holds for another chart or view")

	for content, want := range map[string]string{
		`{"version":2}`: "written by a later shedlight", `{"version":`: "unexpected end of JSON input",
		`{"version":1,"tune":"` + noteTune(t, kept) + `","meant":["x"]}`: `"x": expected BAR`,
	} {
		require.NoError(t, os.WriteFile(notesPath(path), []byte(content), 0o600))
		_, said, err := reviewCall(t, &reviewCommand{Files: []string{path}})
		require.NoError(t, err, content)
		require.Contains(t, said, want)
		_, _, err = reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"3"}})
		require.ErrorContains(t, err, want)
		after, err := os.ReadFile(notesPath(path))
		require.NoError(t, err)
		require.Equal(t, content, string(after), "what cannot be read is left alone")
	}
	require.NoError(t, os.Remove(notesPath(path)))
	require.NoError(t, os.Mkdir(notesPath(path), 0o700))
	_, said, err = reviewCall(t, &reviewCommand{Files: []string{path}})
	require.NoError(t, err)
	require.Contains(t, said, "no notes of a take")
}

func noteTune(t testing.TB, kept []byte) string {
	_, after, ok := strings.Cut(string(kept), `"tune": "`)
	require.True(t, ok)
	id, _, _ := strings.Cut(after, `"`)
	return id
}

// A file in a folder that takes no other, read through a descriptor, is
// reviewed; a mark on it is refused.
func TestFolderThatTakesNothing(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	file, err := os.Open(b.beginner(1, 2))
	require.NoError(t, err)
	defer file.Close()
	path := fmt.Sprintf("/proc/self/fd/%d", file.Fd())
	if _, err := os.Stat(path); err != nil {
		t.Skip("this system has no /proc")
	}
	require.Contains(t, page(t, path), "notes in")
	place := ""
	out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, JSON: true})
	require.NoError(t, err)
	for _, f := range readObject(t, out).Findings {
		if f.slip() {
			place = fmt.Sprint(f.Bar)
		}
	}
	_, _, err = reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{place}})
	require.Error(t, err)
}

// A slip that is early on a downbeat is told, tabled and marked in the bar that
// it was meant for.
func TestMeantEarlyOnADownbeat(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: "two-five-one"})
	at := b.tune.Setup.Timeline.Bars[1].Start - timebase.Quarter/20
	path := b.record([]analyse.Event{
		{Tick: at, Kind: analyse.NoteOn, Key: 66, Velocity: 80}, {Tick: at + timebase.Quarter, Kind: analyse.NoteOff, Key: 66},
		{Tick: at + timebase.Quarter, Kind: analyse.NoteOn, Key: 72, Velocity: 80}, {Tick: at + 2*timebase.Quarter, Kind: analyse.NoteOff, Key: 72},
	})
	page, _, err := reviewCall(t, &reviewCommand{Files: []string{path}})
	require.NoError(t, err)
	require.Contains(t, page, "bar 2, over G7: F# (1 of 2 notes)")
	table, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, By: "bar"})
	require.NoError(t, err)
	require.Contains(t, table, "(--meant 1/2:1)\n")
	_, _, err = reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"2:1"}})
	require.NoError(t, err)
}

// heldAgainst is a take over a chart with a dominant on the tonic of its key: a B is
// held over C7 in each of two choruses, in the scale of the centre, and in the second
// a D flat lies over C6, far from any tone that resolves it.
func heldAgainst(t *testing.T) (path string) {
	chart := filepath.Join(t.TempDir(), "landing.chart")
	require.NoError(t, os.WriteFile(chart, []byte("title: Landing Stage\nkey: C\ntempo: 120\n\n{C major} | C6 | C7 | Fmaj7 | C6 |\n"), 0o600))
	b := newBand(t, settings.Tune{Chart: chart})
	var events []analyse.Event
	line := b.tune.Setup.Timeline
	add := func(chorus int64, bar int, beat int64, key uint8, length int64) {
		at := chorus*line.Length + line.Bars[bar-1].Start + (beat-1)*timebase.Quarter
		events = append(events, analyse.Event{Tick: at, Kind: analyse.NoteOn, Key: key, Velocity: 80},
			analyse.Event{Tick: at + length, Kind: analyse.NoteOff, Key: key})
	}
	for chorus := range int64(2) {
		add(chorus, 1, 1, 67, timebase.Quarter)
		add(chorus, 2, 1, 71, 2*timebase.Quarter)
		add(chorus, 2, 4, 64, timebase.Quarter/2)
		if chorus == 1 {
			add(chorus, 4, 2, 73, timebase.Quarter/4)
		}
		add(chorus, 4, 4, 67, timebase.Quarter/4)
	}
	return b.record(events)
}

// A note in the scale that is held against its chord is a slip like others, and can be
// marked as meant like them.
func TestMeantAgainstTheChord(t *testing.T) {
	path := heldAgainst(t)
	read := func(meant, not []string) reviewObject {
		t.Helper()
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, Meant: meant, NotMeant: not, JSON: true})
		require.NoError(t, err)
		o := readObject(t, out)
		n := o.slips()
		require.Equal(t, [5]int64{n, n, n, n, n}, o.slipsInTables())
		return o
	}
	table := func() string {
		t.Helper()
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, By: "bar"})
		require.NoError(t, err)
		return out
	}
	o := read(nil, nil)
	require.Equal(t, [2]int64{1, 2}, [2]int64{o.Fate["unresolved"], o.Against})
	for _, f := range o.Findings {
		if f.Bar == 2 && f.Beat == 1 {
			require.NotEqual(t, "outside", f.Place)
			require.Equal(t, "maj7", f.Against)
		}
	}
	text := page(t, path)
	require.Contains(t, text, "against the chord: B over C7 twice: its seventh is Bb")
	require.Contains(t, text, "3 slips in 9 notes")
	require.Contains(t, table(), "B (--meant 1/2:1), B (--meant 2/2:1)")

	o = read([]string{"2/2:1"}, nil)
	require.Equal(t, [3]int64{1, 1, 1}, [3]int64{o.Fate["unresolved"], o.Against, int64(o.Meant)})
	require.Len(t, o.Fights, 1)
	require.Equal(t, int64(1), o.Fights[0].Times)
	require.Contains(t, page(t, path), "against the chord: B over C7 once")
	require.Contains(t, table(), "B (--meant 1/2:1)\n")

	o = read([]string{"2"}, nil)
	require.Equal(t, [3]int64{1, 0, 2}, [3]int64{o.Fate["unresolved"], o.Against, int64(o.Meant)})
	require.Empty(t, o.Fights)
	text = page(t, path)
	require.NotContains(t, text, "against the chord")
	require.Contains(t, text, "1 slip in 9 notes")
	require.Contains(t, text, "meant: 2 notes, in no count\n")

	o = read(nil, []string{"2", "2/2:1"})
	require.Equal(t, [3]int64{1, 2, 0}, [3]int64{o.Fate["unresolved"], o.Against, int64(o.Meant)})
	require.Equal(t, int64(2), o.Fights[0].Times)
}

// What the slips have in common is said of those alone that were not meant.
func TestMeantAheadOfAChange(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: "two-five-one"})
	var events []analyse.Event
	line := b.tune.Setup.Timeline
	for chorus := range int64(4) {
		bar := chorus*line.Length + line.Bars[1].Start
		for _, n := range []struct {
			at  int64
			key uint8
		}{{0, 67}, {3 * timebase.Quarter, 54}} { // F sharp over G7, a beat before C6
			events = append(events, analyse.Event{Tick: bar + n.at, Kind: analyse.NoteOn, Key: n.key, Velocity: 80},
				analyse.Event{Tick: bar + n.at + timebase.Quarter/4, Kind: analyse.NoteOff, Key: n.key})
		}
	}
	path := b.record(events)
	require.Contains(t, page(t, path), "4 of 4 slips come in the beat before a change")
	_, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"2/2:4"}})
	require.NoError(t, err)
	require.Contains(t, page(t, path), "3 of 3 slips come in the beat before a change")
	_, _, err = reviewCall(t, &reviewCommand{Files: []string{path}, Meant: []string{"3/2:4"}})
	require.NoError(t, err)
	require.NotContains(t, page(t, path), "before a change", "two can be chance")
}
