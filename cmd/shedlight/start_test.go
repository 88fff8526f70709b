package main

import (
	"context"
	"errors"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/beat"
	"shedlight/listen/take"
)

// questioned is a start screen that nobody sees: its frames come out of shown.
type questioned struct {
	*starting
	shown *display.Start
	ended bool
}

// asks is the start screen of a player with a file of settings, and what the last
// session was called with.
func asks(t *testing.T, file string, last ...string) *questioned {
	t.Helper()
	configured(t, file)
	if last != nil {
		_, said := asCalled(t, last...)
		said.Remember()
	}
	c, call := asCalled(t)
	call.AsLastTime()
	lines, err := settings.Read(commandLine(t))
	require.NoError(t, err)
	call.Under(lines, c.check)
	a := &questioned{}
	a.starting = &starting{
		command: c, call: call, charts: recentCharts(c), scout: &scout{changed: make(chan struct{}, 1)},
		post: func(f display.Frame) { a.shown = f.Start }, stop: func() { a.ended = true },
	}
	a.begin()
	return a
}

// keys presses some keys.
func (a *questioned) keys(keys string) {
	for _, key := range keys {
		a.press(key)
	}
}

// row is what is shown of a row: its value, and who said so.
func (a *questioned) row(t *testing.T, name string) [2]string {
	t.Helper()
	at := slices.IndexFunc(a.shown.Rows, func(r display.StartRow) bool { return r.Name == name })
	require.GreaterOrEqual(t, at, 0)
	return [2]string{a.shown.Rows[at].Value, a.shown.Rows[at].From}
}

// The rows show the values of the flags and who said them, and Enter is enough.
func TestStartShowsWhatIsInForce(t *testing.T) {
	a := asks(t, "view = \"chord\"\ntempo = 99\n", "--chart", "two-five-one", "--key", "Eb", "--sound", "off")
	require.Equal(t, [2]string{"Two-Five-One", "as last time"}, a.row(t, "chart"))
	require.Equal(t, [2]string{"E♭", "as last time"}, a.row(t, "key"))
	require.Equal(t, [2]string{"99", "settings"}, a.row(t, "tempo"))
	require.Equal(t, [2]string{"each chord", "settings"}, a.row(t, "view"))
	require.Equal(t, [2]string{"off", "as last time"}, a.row(t, "sound"))
	require.Equal(t, [][]string{{"Fm7"}, {"Bb7"}, {"Eb6"}, {"Eb6"}}, a.shown.Rows[1].Bars)
	a.keys("\r")
	require.True(t, a.play)
	require.True(t, a.ended)

	a = asks(t, "")
	require.Equal(t, [2]string{"none", ""}, a.row(t, "chart"))
	require.Equal(t, [2]string{"none", ""}, a.row(t, "key"), "the centre, without a chart")
	require.Equal(t, [2]string{"free", ""}, a.row(t, "tempo"))
	require.Equal(t, [2]string{"one key", ""}, a.row(t, "view"))
	require.Equal(t, [2]string{"off", ""}, a.row(t, "sound"))
	require.False(t, a.press('q'), "the screen's own")
	a.keys("\r")
	require.True(t, a.play)
}

// What is chosen is said in the call as if it were typed, and is what the next bare
// call repeats.
func TestStartSaysItInTheCall(t *testing.T) {
	const down, up = string(display.KeyDown), string(display.KeyUp)
	a := asks(t, "", "--chart", "blues", "--key", "Eb", "--tempo", "200", "--bars", "1-4", "--choruses", "2")
	a.keys(">")
	require.NotEqual(t, "blues", a.command.Chart, "the next chart")
	require.Equal(t, listens(t, "--chart", a.command.Chart, "--choruses", "2"), *a.command, "what belonged to the chart before is gone")
	require.Equal(t, "chosen now", a.row(t, "chart")[1])
	a.keys("<" + down + ">" + ">" + down + ">>" + down + ">" + down + ">>")
	want := listens(t, "--chart", "blues", "--key", "Db", "--tempo", "128", "--view", "chord", "--sound", "midi", "--choruses", "2")
	require.Equal(t, want, *a.command)
	a.call.Remember()
	next, call := asCalled(t)
	call.AsLastTime()
	require.Equal(t, want, *next)

	a.keys(up + up + "\b")
	require.Equal(t, [2]string{"the chart's, 120", ""}, a.row(t, "tempo"), "taken back")
	a.keys(up + up + "<\b")
	require.Equal(t, listens(t, "--view", "chord", "--sound", "midi"), *a.command, "without a chart no choruses")
	a.keys(down + ">")
	require.Equal(t, "C major", a.command.Centre)
	a.keys("\b" + down + down + down + down + ">")
	require.Equal(t, "--goal needs a --chart", a.shown.Wrong)
	a.keys(">")
	require.Empty(t, a.command.Goal, "round again")
}

// The goals to choose from are what can be met over the chart: its sections, and the tones
// of its scale.
func TestStartOffersTheGoals(t *testing.T) {
	file := filepath.Join(t.TempDir(), "quay.chart")
	require.NoError(t, os.WriteFile(file, []byte("key: F\nform: A B A\n[A]\n{F major} | F6 | Gm7 |\n[B]\n| Gm7 | C7 |\n"), 0o600))
	a := asks(t, "", "--chart", file)
	var all []string
	a.keys(strings.Repeat(string(display.KeyDown), len(choices())-2))
	for range 13 {
		a.keys(">")
		require.Empty(t, a.shown.Wrong)
		all = append(all, a.command.Goal)
	}
	require.Equal(t, []string{
		"no slip", "no slip in A", "no slip in B", "third on every change", "family of F", "family of G", "family of A", "family of Bb",
		"family of C", "family of Db", "family of D", "family of E", "",
	}, all)
}

// What is typed is read by the flag, whose own sentence says what is wrong; the value
// stays what it was until it is right.
func TestStartTypes(t *testing.T) {
	a := asks(t, "", "--chart", "blues")
	a.keys(string(display.KeyDown) + "eH\r")
	require.True(t, a.shown.Typing)
	require.Equal(t, `--key: "H" is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#`, a.shown.Wrong)
	require.Empty(t, a.command.Key)
	require.True(t, a.press('q'), "a letter while it is typed")
	a.keys("\b\bG\r")
	require.Equal(t, "G", a.command.Key)
	require.Empty(t, a.shown.Wrong)
	a.keys("eb\x1b")
	require.Equal(t, "G", a.command.Key, "left as it was")
	a.keys("e\b\r")
	require.Equal(t, [2]string{"the chart's, F blues", ""}, a.row(t, "key"))

	a.keys(string(display.KeyUp) + "eNone\r")
	require.Contains(t, a.shown.Wrong, "no chart file bluesNone")
	a.keys("\r")
	require.False(t, a.play, "it cannot begin so")
	a.keys("e\b\b\b\b\r\r")
	require.True(t, a.play)
}

// A value of the file that means nothing is told with its line.
func TestStartBlamesTheFile(t *testing.T) {
	a := asks(t, "\nchart = \"nowhere\"\n")
	require.Contains(t, a.shown.Wrong, "config.toml:2: chart: no chart file nowhere")
}

// The charts are in the order in which they were played, each once: that of the last
// time, those of the newest takes, the player's own, those that come with the program.
func TestRecentChartsComeFirst(t *testing.T) {
	configured(t, "")
	data, here := t.TempDir(), t.TempDir()
	t.Chdir(here)
	require.NoError(t, os.WriteFile("quay.chart", []byte("title: Lanterns on the Quay\n| F6 |\n"), 0o600))
	require.NoError(t, os.WriteFile("harbour.chart", []byte("title: Harbour Steps\n| C6 |\n"), 0o600))
	require.NoError(t, os.WriteFile("broken.chart", []byte("| H? |\n"), 0o600))
	require.NoError(t, os.Mkdir("folder.chart", 0o700))
	takes := filepath.Join(data, "takes")
	for i, chart := range []string{"title: Harbour Steps\n| C6 |\n", "title: Blues\n| F7 |\n", "title: Harbour Steps\n| C6 |\n"} {
		r, err := take.Start(takes, take.Settings{Title: strings.TrimPrefix(strings.Split(chart, "\n")[0], "title: "), Chart: chart}, time.Date(2026, time.April, 2, 19, i, 0, 0, time.UTC), take.Options{})
		require.NoError(t, err)
		r.Add(analyse.Event{Tick: 1, Kind: analyse.NoteOn, Key: 60, Velocity: 64})
		_, err = r.Close(10)
		require.NoError(t, err)
	}
	c := listens(t, "--takes", takes, "--chart", filepath.Join(here, "quay.chart"))
	all := recentCharts(&c)
	require.Equal(t, []string{filepath.Join(here, "quay.chart"), "harbour", "blues"}, all[:3])
	require.Len(t, all, 2+len(changes.GenericNames()))
}

// instrumentFake is a port whose events a test plays.
type instrumentFake struct {
	events chan analyse.Event
	closed chan struct{}
}

func (f *instrumentFake) Name() string     { return "Stage Keys" }
func (f *instrumentFake) Inputs() []string { return []string{"Stage Keys", "Drum Pads"} }
func (f *instrumentFake) Close() error     { close(f.closed); return nil }

func (f *instrumentFake) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		for goOn := true; goOn; {
			select {
			case e := <-f.events:
				goOn = yield(e, nil)
			case <-wake:
				goOn = yield(analyse.Event{Kind: analyse.Advance}, nil)
			case <-ctx.Done():
				return
			}
		}
	}
}

// The scout hears the chosen instrument until another is chosen, tells what is played,
// and leaves no port open.
func TestScout(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	told, opened := make(chan sighting), make(chan *instrumentFake, 1)
	s := newScout(&listenCommand{}, func(seen sighting) { told <- seen })
	s.list = func() ([]string, error) { return []string{"Stage Keys", "Drum Pads"}, nil }
	s.open = func(wanted string) (scouted, error) {
		if wanted == "Nothing" {
			return nil, &listen.PortError{Wanted: wanted, Reason: listen.NoSuchPort}
		}
		f := &instrumentFake{events: make(chan analyse.Event), closed: make(chan struct{})}
		opened <- f
		return f, nil
	}
	s.choose("", "")
	ended := make(chan struct{})
	go func() { defer close(ended); s.run(ctx) }()
	first := <-opened
	require.Equal(t, "Stage Keys", (<-told).name)
	first.events <- analyse.Event{Kind: analyse.NoteOn, Key: 63, Velocity: 127}
	seen := <-told
	require.Equal(t, "Eb", seen.note)
	require.Equal(t, display.HeardSteps, seen.level)
	first.events <- analyse.Event{Kind: analyse.Advance} // nothing new
	first.events <- analyse.Event{Kind: analyse.NoteOff, Key: 63}
	require.Zero(t, (<-told).level)
	first.events <- analyse.Event{Kind: analyse.Asked, Value: int64(beat.Again)}
	require.Equal(t, beat.Again, (<-told).asked)
	first.events <- analyse.Event{Kind: analyse.NoteOn, Key: 63, Velocity: 127}
	require.NotZero(t, (<-told).level)
	first.events <- analyse.Event{Kind: analyse.Release, Value: int64(analyse.SensingTimedOut)}
	seen = <-told
	require.Zero(t, seen.level)
	require.Equal(t, "Stage Keys", seen.name, "it is still there")
	first.events <- analyse.Event{Kind: analyse.Release, Value: int64(analyse.Unplugged)}
	<-first.closed
	again := <-opened
	require.Equal(t, "Stage Keys", (<-told).name, "looked for anew")

	s.choose("Nothing", "")
	<-again.closed
	var missing *listen.PortError
	require.ErrorAs(t, (<-told).err, &missing)
	s.choose("take.mid", "")
	require.Equal(t, sighting{wanted: "take.mid", inputs: []string{"Stage Keys", "Drum Pads"}}, <-told, "a file is not opened")
	s.choose("Drum Pads", "")
	second := <-opened
	<-told
	cancel()
	<-second.closed
	<-ended
}

// The instrument's row follows what the scout tells; pedals start, and go through the
// values of the chosen row; what cannot be opened is said and keeps it from beginning.
func TestStartHearsTheInstrument(t *testing.T) {
	a := asks(t, "", "--chart", "blues")
	require.Equal(t, "", a.row(t, "instrument")[0])
	a.sighted(sighting{inputs: []string{"Stage Keys", "Drum Pads"}, err: &listen.PortError{Candidates: []string{"Stage Keys", "Drum Pads"}, Reason: listen.ManyInstrument}})
	require.Equal(t, "several: choose one", a.row(t, "instrument")[0])
	require.Contains(t, a.shown.Wrong, "several instruments are connected", "unasked")
	a.keys("\r")
	require.False(t, a.play)
	a.keys(string(display.KeyUp) + ">>>>")
	require.Equal(t, "Drum Pads", a.command.In)
	require.Equal(t, "Drum Pads", *a.scout.wanted.Load())
	a.sighted(sighting{wanted: "Drum Pads", name: "Drum Pads", note: "Eb", level: 3})
	require.Equal(t, &display.Heard{Name: "Eb", Level: 3}, a.shown.Rows[0].Heard)
	a.keys(string(display.KeyDown))
	a.sighted(sighting{wanted: "Drum Pads", name: "Drum Pads", asked: beat.BarOn})
	require.NotEqual(t, "blues", a.command.Chart)
	a.sighted(sighting{wanted: "Drum Pads", name: "Drum Pads", asked: beat.BarBack})
	require.Equal(t, "blues", a.command.Chart)
	a.sighted(sighting{wanted: "Drum Pads", name: "Drum Pads", asked: beat.Again})
	require.True(t, a.play)

	a = asks(t, "")
	a.sighted(sighting{err: errors.New("no sound system")})
	require.Equal(t, "none yet", a.row(t, "instrument")[0])
	require.Equal(t, "no sound system", a.shown.Wrong, "why there is none")
	a.keys("\r")
	require.False(t, a.play)
	a.keys(string(display.KeyUp) + "e/takes/one.mid\r\r")
	require.Equal(t, "one.mid", a.row(t, "instrument")[0])
	require.True(t, a.play, "a file needs no sound system")
}

// What the file says of an instrument alone goes with no MIDI file: it is left out while
// one is played, and there again once that is taken back.
func TestStartComesBackToTheInstrument(t *testing.T) {
	a := asks(t, "api = \"jack\"\ntempo = 99\nsound = \"midi\"\n", "--in", "take.mid")
	require.Empty(t, a.command.API)
	a.keys(string(display.KeyUp) + string(display.KeyErase))
	require.Empty(t, a.command.In)
	require.Equal(t, "jack", a.command.API)
	require.Equal(t, "jack", *a.scout.api.Load())
	require.Equal(t, [2]string{"99", "settings"}, a.row(t, "tempo"))
	a.keys(string(display.KeyDown) + string(display.KeyDown) + string(display.KeyDown) + string(display.KeyErase))
	require.Equal(t, [2]string{"free", ""}, a.row(t, "tempo"), "taken back, it is not said again")
	a.keys("\r")
	require.True(t, a.play, a.wrong)
}
