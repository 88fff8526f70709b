package main

import (
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/take"
)

// ownState gives a test a state folder of its own.
func ownState(t *testing.T) {
	t.Cleanup(xdg.Reload) // after what is set below has been undone
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	xdg.Reload()
}

// A flag without a command is told with one that has it.
func TestFlagWithoutACommand(t *testing.T) {
	for call, want := range map[string]string{
		"--api":     "unknown flag --api. Try: shedlight listen --api\n",
		"--level":   "unknown flag --level. Try: shedlight lines --level\n",
		"--nothing": "unknown flag --nothing. Try: shedlight --help\n",
	} {
		_, said, code := typedIn(t, t.TempDir(), call, "jack")
		require.Equal(t, exitUsage, code)
		require.Equal(t, "shedlight: "+want, said)
	}
	_, said, _ := typedIn(t, t.TempDir(), "review", "--tempo", "90")
	require.Equal(t, "shedlight: unknown flag --tempo. Try: shedlight review --help\n", said, "behind a command it is that one's")
}

// A bare call does as last time, but for where the output went and that nothing
// was kept; it says every flag that it repeats, and finds files from anywhere.
func TestAsLastTime(t *testing.T) {
	ownState(t)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("mine.chart", []byte("| C6 |\n"), 0o600))

	last, said := asCalled(t, "--chart", "mine.chart", "--written", "Bb", "--gate", "9", "--lag", "12", "--top",
		"--takes", "not there yet", "--no-take", "--json")
	said.Remember()

	here, err := os.Getwd()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	now, bare := asCalled(t)
	require.True(t, bare.Bare())
	repeated := strings.Join(bare.AsLastTime(), " ")
	want := *last
	want.NoTake, want.JSON, want.Chart, want.Takes = false, false, filepath.Join(here, "mine.chart"), filepath.Join(here, "not there yet")
	require.Equal(t, want, *now)
	for _, flag := range []string{`--chart "` + want.Chart, `--written "Bb"`, `--gate "9"`, `--lag "12"`, "--top", `--takes "` + want.Takes} {
		require.Contains(t, repeated, flag)
	}
}

// listens is the command as typed.
func listens(t *testing.T, args ...string) listenCommand {
	t.Helper()
	c, _ := asCalled(t, args...)
	return *c
}

// asCalled is the command as typed, with who said what.
func asCalled(t *testing.T, args ...string) (*listenCommand, *settings.Call) {
	t.Helper()
	var c listenCommand
	parser, err := kong.New(&c, append(settings.Parsing(), kong.NoDefaultHelp())...)
	require.NoError(t, err)
	parsed, err := parser.Parse(args)
	require.NoError(t, err)
	return &c, settings.Called(parsed)
}

// typed is a value for each setting of listen, other than what is built in, fit for
// the chart two-five-one; empty for one that is on or off.
var typed = map[string]string{
	"in": "Keys", "api": "jack", "chart": "blues", "key": "Eb", "centre": "F minor", "view": "chord", "bars": "1-2",
	"goal": "no slip in 1-2", "gaps": "2/8", "trade": "4", "move": "-2", "voicing": "C4 E4 G4", "tempo": "132", "count-in": "2", "choruses": "3", "faster": "-4/2", "split": "Db4", "channel": "2,10", "hands": "2,1", "top": "", "legato": "",
	"gate": "9", "written": "Bb", "ascii": "", "quiet": "", "plain": "", "json": "", "lag": "-20", "takes": "mine",
	"no-take": "", "start": "3", "begin": "note", "map": "cc67=again",
	"sound": "off", "click": "2-4", "out": "Module", "speaker": "Headphones", "backing": "bass", "band-channels": "5,6", "sync": "clock", "clock": "Drums",
}

// notInATake is why a take does not hold a setting.
var notInATake = map[string]string{
	"in": "it holds the name that the instrument has", "api": "how it was heard is no matter later",
	"chart": "it holds the text", "key": "the text is in that key",
	"sound": "of the moment", "click": "of the moment", "out": "of the moment", "speaker": "of the moment", "backing": "of the moment", "band-channels": "of the moment",
	"sync": "it holds the events", "clock": "it holds the events",
	"begin": "it holds the events", "tempo": "it holds the events", "faster": "it holds the events", "count-in": "it holds the events", "choruses": "it is as long as it is",
	"ascii": "of the terminal", "quiet": "of the moment", "plain": "of the moment", "json": "of the moment",
	"takes": "it lies there", "no-take": "there is none", "start": "of the moment",
}

// ofTheChart are the settings that belong to the take's own chart, doneAlready those
// that were done while it was played.
var (
	ofTheChart  = map[string]bool{"centre": true, "bars": true, "goal": true}
	doneAlready = map[string]bool{"lag": true}
)

// notFromAFlag says who else fills in a field of a take's settings.
var notFromAFlag = map[string]string{
	"Version": "the recorder", "Started": "the recorder", "Title": "the tune", "Chart": "the tune",
	"Source": "the session", "Program": "the session", "With": "the session",
}

// everySetting calls a test for each flag of listen, with the flag as typed.
func everySetting(t *testing.T, check func(t *testing.T, flag *kong.Flag, args []string)) {
	parser, err := kong.New(&listenCommand{}, append(settings.Parsing(), kong.NoDefaultHelp())...)
	require.NoError(t, err)
	require.Len(t, parser.Model.Flags, len(typed))
	for _, flag := range parser.Model.Flags {
		t.Run(flag.Name, func(t *testing.T) {
			value, known := typed[flag.Name]
			require.True(t, known, "a setting that no test sets")
			args := []string{"--" + flag.Name}
			if value != "" {
				args = append(args, value)
			}
			check(t, flag, args)
		})
	}
}

// Every setting is repeated by the next bare call, in its words, or said to hold
// for one call.
func TestEverySettingIsRepeated(t *testing.T) {
	once := map[string]bool{"plain": true, "json": true, "no-take": true, "start": true}
	everySetting(t, func(t *testing.T, flag *kong.Flag, args []string) {
		ownState(t)
		last, typed := asCalled(t, args...)
		now, bare := asCalled(t)
		require.NotEqual(t, *last, *now, "typed, it says nothing")
		typed.Remember()
		said := bare.AsLastTime()
		if once[flag.Name] {
			require.Empty(t, said)
			require.Equal(t, listens(t), *now)
			return
		}
		require.Equal(t, *last, *now)
		if len(args) > 1 {
			if flag.Name == "takes" { // a folder, by its whole path
				whole, err := filepath.Abs(args[1])
				require.NoError(t, err)
				args[1] = whole
			}
			args = []string{args[0] + ` "` + args[1] + `"`}
		}
		require.Equal(t, args, said)
	})
}

// Every setting is in the take, or it is said why not; from there it fills what the
// command line leaves open, and nothing that it says. Every field of a take's
// settings has one source.
func TestEverySettingIsKeptInATake(t *testing.T) {
	sources := map[string]int{}
	everySetting(t, func(t *testing.T, flag *kong.Flag, args []string) {
		field, _, _ := strings.Cut(flag.Tag.Get("take"), ",")
		field = strings.TrimPrefix(field, "-") // in a form of its own
		require.NotEqual(t, field == "", notInATake[flag.Name] == "", "in a take, or not?")
		if field == "" {
			return
		}
		sources[field]++
		typed := listens(t, args...)
		var kept take.Settings
		settings.Tell(&typed, &kept)
		require.False(t, reflect.ValueOf(kept).FieldByName(field).IsZero(), "not told")

		filled, bare := listens(t), listens(t)
		settings.Fill(&filled, &kept)
		if doneAlready[flag.Name] {
			require.Equal(t, bare, filled)
			return
		}
		require.NotEqual(t, bare, filled, "not filled in")
		var again take.Settings
		settings.Tell(&filled, &again)
		require.Equal(t, kept, again)

		over := listens(t, "--chart", "blues")
		settings.Fill(&over, &kept)
		require.Equal(t, ofTheChart[flag.Name], reflect.DeepEqual(over, listens(t, "--chart", "blues")), "over another chart")

		// What is typed stays: a take that says otherwise changes nothing.
		other := kept
		if value := reflect.ValueOf(&other).Elem().FieldByName(field); value.Kind() == reflect.String {
			value.SetString("another")
		}
		before := typed
		settings.Fill(&typed, &other)
		require.Equal(t, before, typed)
	})
	kept := reflect.TypeFor[take.Settings]()
	for i := range kept.NumField() {
		name := kept.Field(i).Name
		if notFromAFlag[name] == "" {
			sources[name]--
		}
	}
	for name, left := range sources {
		require.Zero(t, left, "%s has no source, or more than one", name)
	}
}

// The take of a session says everything that it was played under.
func TestTheTakeOfASessionHoldsEverySetting(t *testing.T) {
	var args []string
	for flag, value := range typed {
		if args = append(args, "--"+flag); value != "" {
			args = append(args, value)
		}
	}
	c := listens(t, args...)
	c.Chart, c.Takes = "two-five-one", t.TempDir()
	over, err := tunes.Of(c.Tune, c.Hand, nil)
	require.NoError(t, err)
	over.With = c.with(true)
	var s session
	(&program{messages: io.Discard}).startTake(&s, &sessionPlan{command: &c, tune: over, name: "Keys", takes: c.Takes})
	require.True(t, s.recorder.Add(analyse.Event{Kind: analyse.NoteOn, Key: 60, Velocity: 80}))
	require.NoError(t, s.closeTake(1))
	kept, err := take.SettingsOf(s.recorder.Status().Path)
	require.NoError(t, err)
	fields := reflect.ValueOf(*kept)
	for i := range fields.NumField() {
		require.False(t, fields.Field(i).IsZero(), fields.Type().Field(i).Name)
	}
	again := *kept
	settings.Tell(&c, &again)
	require.Equal(t, *kept, again)
}

// Every setting of what is played over, and on what, changes how it is judged; every
// one of how it looks changes that.
func TestEverySettingTakesEffect(t *testing.T) {
	parts := 0
	everySetting(t, func(t *testing.T, flag *kong.Flag, args []string) {
		c, bare := listens(t, append(args, "--chart", "two-five-one")...), listens(t, "--chart", "two-five-one")
		if flag.Name == "chart" {
			c = listens(t, args...)
		}
		switch {
		case c.Tune != bare.Tune, !reflect.DeepEqual(c.Hand, bare.Hand):
			with, err := tunes.Of(c.Tune, c.Hand, nil)
			require.NoError(t, err)
			without, err := tunes.Of(bare.Tune, bare.Hand, nil)
			require.NoError(t, err)
			require.NotEqual(t, without.Setup, with.Setup)
		case c.Look != bare.Look:
			require.NotEqual(t, bare.Options(), c.Options())
		default:
			return
		}
		parts++
	})
	fields := reflect.TypeFor[settings.Tune]().NumField() + reflect.TypeFor[settings.Hand]().NumField() + reflect.TypeFor[settings.Look]().NumField()
	require.Equal(t, fields, parts)
}
