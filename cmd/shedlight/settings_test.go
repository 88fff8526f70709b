package main

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// commandLine is the model of the whole command line.
func commandLine(t *testing.T) *kong.Application {
	t.Helper()
	parser, err := kong.New(&commands{}, append(settings.Parsing(), kong.Vars{"topics": "", "version": ""})...)
	require.NoError(t, err)
	return parser.Model
}

// commandNamed returns a command of the model.
func commandNamed(program *kong.Application, name string) *kong.Node {
	return program.Children[slices.IndexFunc(program.Children, func(n *kong.Node) bool { return n.Name == name })]
}

// configured gives a test a file of settings.
func configured(t *testing.T, text string) (path string) {
	t.Helper()
	folder := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", folder)
	t.Setenv("XDG_STATE_HOME", folder)
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	path = filepath.Join(folder, "shedlight", "config.toml")
	require.NoError(t, os.Mkdir(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// under is a call of listen with the file of settings under it.
func under(t *testing.T, args ...string) (*listenCommand, *settings.Call) {
	t.Helper()
	c, call := asCalled(t, args...)
	file, err := settings.Read(commandLine(t))
	require.NoError(t, err)
	call.Under(file, c.check)
	return c, call
}

// ofThePlayer are the flags of other commands than listen that have a line in the file
// because they are a choice of the player's, each with why.
var ofThePlayer = map[string]string{}

// ofACall are the flags of listen that have no line, each with why.
var ofACall = map[string]string{"start": "a bar of the one file that is played"}

// Every flag of listen has its line in the file, with what its help says of it. A flag
// of another command has the line of listen's flag of the same name, or is told to be
// of a call.
func TestEveryFlagHasItsLine(t *testing.T) {
	program := commandLine(t)
	ofListen := map[string]*kong.Flag{}
	for _, flag := range commandNamed(program, "listen").Flags {
		ofListen[flag.Name] = flag
		require.Equal(t, ofACall[flag.Name] != "", flag.Tag.Get("settings") == "-", `listen --%s: every flag of listen has a line, or a word in ofACall`, flag.Name)
	}
	for _, command := range program.Children {
		for _, flag := range command.Flags {
			tag := flag.Tag.Get("settings")
			require.Regexp(t, `^(|-|live|of:[a-z,-]+)$`, tag, flag.Name)
			if owners, is := strings.CutPrefix(tag, "of:"); is {
				for owner := range strings.SplitSeq(owners, ",") {
					require.Contains(t, ofListen, owner, "settings tag of --%s", flag.Name)
				}
			}
			if tag == "-" {
				continue
			}
			same, is := ofListen[flag.Name]
			require.True(t, is || ofThePlayer[flag.Name] != "", "%s --%s: listen has no such flag, so say where it is from: "+
				`settings:"-" in its tags where it is of a call, or a word in ofThePlayer, here, where a player chooses it once`, command.Name, flag.Name)
			if is {
				require.Equal(t, same.Target.Type(), flag.Target.Type(), "%s --%s: one line for two kinds of value", command.Name, flag.Name)
			}
		}
	}

	text := string(settings.Commented(program))
	plain := strings.Join(strings.Fields(strings.ReplaceAll(text, "\n# ", " ")), " ")
	for _, flag := range settings.Flags(program) {
		require.Len(t, regexp.MustCompile(`(?m)^#`+flag.Name+` = \S.*$`).FindAllString(text, -1), 1, "lines of %s", flag.Name)
		require.Contains(t, plain, strings.Join(strings.Fields(flag.Help), " ")+" #"+flag.Name+" = ")
	}
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "# ") && len(strings.Fields(line)) > 2 { // a path may be longer
			require.LessOrEqual(t, len(line)-1, 80)
		}
		require.Regexp(t, `^(#.*)?\n$`, line, "the file says nothing yet")
	}
}

// What the written file shows as built in is so: taken in, it changes nothing.
func TestLinesShowWhatIsBuiltIn(t *testing.T) {
	program := commandLine(t)
	shown := 0
	for line := range strings.Lines(string(settings.Commented(program))) {
		name, value, is := strings.Cut(strings.TrimPrefix(strings.TrimSpace(line), "#"), " = ")
		if !is || strings.HasPrefix(name, " ") {
			continue
		}
		flag := commandNamed(program, "listen").Flags[slices.IndexFunc(commandNamed(program, "listen").Flags, func(f *kong.Flag) bool { return f.Name == name })]
		if strings.Contains(value, flag.PlaceHolder) && flag.PlaceHolder != "" {
			continue // no value stands for what is built in
		}
		shown++
		configured(t, name+" = "+value+"\n")
		c, _ := under(t)
		bare := listens(t)
		c.View, c.Written, c.Sound.Sound, c.Sync.Sync = "", "", "", "" // their first choice is what the empty word means
		require.Equal(t, bare, *c, line)
	}
	require.Greater(t, shown, 10)
}

// otherwise is another value for each setting than typed has; none for one that is on
// or off.
var otherwise = map[string]string{
	"in": "Other", "api": "alsa", "chart": "minor-blues", "key": "G", "centre": "D minor", "view": "key", "bars": "2-3",
	"voicing": "D4 F4 A4", "goal": "no slip", "gaps": "1/4", "trade": "2", "move": "5", "tempo": "99.5", "count-in": "0", "choruses": "7", "faster": "5/1", "split": "C3", "channel": "4", "hands": "3,4",
	"gate": "0", "written": "Eb", "lag": "0", "takes": "/elsewhere", "begin": "now", "map": "cc68=stop",
	"sound": "own", "click": "beats", "out": "Second", "speaker": "Loudspeaker", "backing": "full", "sync": "own", "clock": "Other drums",
}

// tomlLine is a setting as it stands in the file.
func tomlLine(name, value string) string {
	if value == "" {
		return name + " = true\n"
	}
	return name + " = " + strconv.Quote(value) + "\n"
}

// What is typed wins over a take, a take over the last time and the file, the last time
// over the file, and the file over what is built in: for every setting.
func TestWhatWinsOverWhat(t *testing.T) {
	const beside = "two-five-one" // some need a chart
	everySetting(t, func(t *testing.T, flag *kong.Flag, args []string) {
		name, chart := flag.Name, []string{"--chart", beside}
		if ofACall[name] != "" {
			return
		}
		text := tomlLine(name, typed[name])
		if name == "chart" {
			chart = nil
		} else {
			text += tomlLine("chart", beside)
		}
		of := func(c *listenCommand) any { return valueOf(t, c, name) }
		inFile, builtIn := listens(t, append(args, chart...)...), listens(t, chart...)
		configured(t, text)

		c, _ := under(t)
		require.Equal(t, of(&inFile), of(c), "the file over what is built in")
		require.NotEqual(t, of(&builtIn), of(c))

		other := []string{"--" + name, otherwise[name]}
		if typed[name] == "" {
			other = []string{"--" + name + "=false"}
		}
		alone := listens(t, other...)
		c, said := under(t, other...)
		require.Equal(t, of(&alone), of(c), "what is typed over the file")

		if flag.Tag.Get("last") != "-" {
			said.Remember()
			c, call := asCalled(t)
			require.NotEmpty(t, call.AsLastTime())
			file, err := settings.Read(commandLine(t))
			require.NoError(t, err)
			call.Under(file, c.check)
			require.Equal(t, of(&alone), of(c), "the last time over the file")
		}

		// A take of ours says what it was played under, with its silence too.
		c, call := under(t)
		call.OverFile(c, true)
		bare := listens(t)
		if flag.Tag.Has("take") {
			require.Equal(t, of(&bare), of(c), "a take that says nothing of it")
			kept, held := take.Settings{}, listens(t, other...)
			settings.Tell(&held, &kept)
			settings.Fill(c, &kept)
			if field, how, _ := strings.Cut(flag.Tag.Get("take"), ","); field != "-" && how != "done" {
				var again take.Settings
				settings.Tell(c, &again)
				require.Equal(t, reflect.ValueOf(kept).FieldByName(field).Interface(), reflect.ValueOf(again).FieldByName(field).Interface(), "a take over the file")
			}
		} else {
			require.Equal(t, of(&inFile), of(c), "a take holds nothing of it")
		}
	})
}

// valueOf returns the value of a setting.
func valueOf(t *testing.T, c *listenCommand, name string) any {
	t.Helper()
	parser, err := kong.New(c, append(settings.Parsing(), kong.NoDefaultHelp())...)
	require.NoError(t, err)
	at := slices.IndexFunc(parser.Model.Flags, func(f *kong.Flag) bool { return f.Name == name })
	value := parser.Model.Flags[at].Target.Interface()
	if note, is := value.(settings.Note); is {
		return note.Key
	}
	return value
}

// A setting of the file that does not go with what is typed stays away, and belongs to
// the chart beside it.
func TestSettingsGiveWay(t *testing.T) {
	for _, test := range []struct{ file, args, want string }{
		{`out = "Module"`, "--sound off", "--sound off"},
		{`out = "Module"`, "--sound midi", "--sound midi --out Module"},
		{`out = "Module"`, "--speaker Headphones", "--speaker Headphones"},
		{`speaker = "Headphones"`, "--out Module", "--out Module"},
		{`sound = "own"`, "--out Module", "--out Module"},
		{`sound = "off"`, "--speaker Headphones", "--speaker Headphones"},
		{"sound = \"own\"\nout = \"Module\"\nspeaker = \"Headphones\"", "", "--sound own --speaker Headphones"},
		{"sound = \"own\"\nout = \"Module\"\nspeaker = \"Headphones\"", "--sound midi", "--sound midi --out Module"},
		{"json = true", "--plain", "--plain"},
		{"plain = true", "--json", "--json"},
		{"choruses = 3", "", ""},
		{"choruses = 3", "--chart blues", "--chart blues --choruses 3"},
		{"key = \"Eb\"\nbars = \"1-2\"\nvoicing = \"C4 E4\"", "", ""},
		{`key = "Eb"`, "--chart blues", "--chart blues --key Eb"},
		{"chart = \"blues\"\nbars = \"1-2\"\ncentre = \"F major\"", "--chart turnaround", "--chart turnaround"},
		{"chart = \"blues\"\nbars = \"1-2\"", "--tempo 99", "--tempo 99 --chart blues --bars 1-2"},
		{"chart = \"blues\"\nvoicing = \"F4 A4\"", "--key Eb", "--chart blues --key Eb"},
		{"tempo = 99\nlag = 5\nclick = \"2-4\"\napi = \"jack\"\nbegin = \"note\"\nsound = \"own\"", "--in x.mid", "--in x.mid --click 2-4"},
		{`in = "x.mid"`, "--tempo 99", "--tempo 99"},
		{"channel = 1", "--hands 2,1", "--hands 2,1"},
		{`hands = "2,1"`, "--channel 3", "--channel 3"},
		{"hands = [2, 1]", "--split C4", "--split C4"},
		{"channel = [1, 10]", "", "--channel 1,10"},
		{`map = "cc67=again"`, "", "--map cc67=again"},
		{`map = ["cc67=again", "note21=tap"]`, "", "--map cc67=again --map note21=tap"},
		{`map = ["cc67=again", "note21=tap"]`, "--map cc68=stop", "--map cc68=stop"},
		{"in = 2", "", "--in 2"},
		{"choruses = 3\nchart = \"blues\"", "--key Eb", "--chart blues --key Eb --choruses 3"},
		{"tempo = 99", "--json --plain", "--json --plain --tempo 99"}, // a wrong call stays one
	} {
		configured(t, test.file)
		got, _ := under(t, strings.Fields(test.args)...)
		require.Equal(t, listens(t, strings.Fields(test.want)...), *got, "%s\n%s", test.file, test.args)
	}
}

// What a player wrote and cannot be meant is told with its line, and ends the call.
func TestWrongSettings(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"tempos = 99\n", "1: there is no setting tempos"},
		{"view = \"key\"\n\nfast = true\n", "3: there is no setting fast"},
		{"help = true", "1: there is no setting help"},
		{"# one\r\n\r\nview = \"key\"\r\ngate = 300\r\n", "4: gate 300: expected 0 to 127"},
		{"\xef\xbb\xbfgate = -1", "1: gate -1: expected 0 to 127"},
		{"gate = \"loud\"", "1: gate loud: expected 0 to 127"},
		{"gate = 1.5", "1: gate 1.5: expected 0 to 127"},
		{"tempo = inf", "1: tempo +Inf: expected 10 to 600 beats a minute"},
		{"view = \"shape\"", "1: view shape: expected one of key, chord"},
		{"view = [\"key\", \"chord\"]", "1: view key,chord: expected one of key, chord"},
		{"view = []", "1: view is empty: give it a value, or leave the line out"},
		{"chart = \"\"", "1: chart is empty: give it a value, or leave the line out"},
		{"view = 1979-05-27", "1: view: expected a value, or a list of values"},
		{"[listen]\nview = \"key\"", "1: there is no setting listen"},
		{"[view]\nkey = 1", "1: view: expected a value, or a list of values"},
		{"view.key = 1", "1: there is no setting view.key"},
		{"\ntop = \"yes\"", "2: top yes: expected true or false"},
		{"key = \"H\"", "1: key: \"H\" is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#"},
		{"centre = \"X\"", "1: centre: \"X\" is no key centre: expected a tonic and major, minor or blues, like Bb major"},
		{"bars = \"all\"", "1: bars all: expected two bar numbers, like 5-8"},
		{"hands = [1, 1]", "1: hands: expected two channels, the left hand's first, like 1,2"},
		{"channel = 17", "1: channel 17: expected 1 to 16, with commas between several"},
		{"api = \"none\"", "1: api none: expected one of alsa, jack, core, winmm"},
		{"gate = 9\ngate = 9", "2: key gate is already defined"},
		{"gate = 9 view", "1: expected newline but got U+0076 'v'"},
		{"gate = 9\n\nview = \"\xff\"", "3: invalid UTF-8 character in basic string"},
		{"gate =", "1: expected value, not end of input"},
	} {
		path := configured(t, test.text)
		for _, call := range []string{"settings", "ports", "changes blues"} {
			out, said, code := runHere(t, strings.Fields(call)...)
			require.Equal(t, exitUsage, code, test.text)
			require.Empty(t, out)
			require.Equal(t, "shedlight: "+path+":"+test.want+"\n", said, test.text)
		}
		_, _, code := runHere(t, "help", "changes")
		require.Equal(t, exitDone, code, "a page of help has no settings")
	}
}

// runHere runs the program with the files that the test has set up.
func runHere(t *testing.T, args ...string) (out, said string, code int) {
	t.Helper()
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	var messages strings.Builder
	code = (&program{out: file, messages: &messages}).run(args)
	text, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	return string(text), messages.String(), code
}

// A value that only what is played over can refuse is told with its line where it is
// used, and among the settings; one that was typed is not.
func TestSettingsThatDoNotFit(t *testing.T) {
	for _, test := range []struct{ text, want, typed string }{
		{"\nchart = \"nowhere\"", "2: chart: no chart file nowhere, and no built-in chart", "--chart nowhere"},
		{"chart = \"blues\"\nbars = \"30-40\"", "2: bars: bars 30-40 are not in the form", "--bars 30-40"},
		{"chart = \"blues\"\nvoicing = \"B3 Gb4\"", "2: voicing: ", "--voicing Db4,E4"},
		{"map = [\n  \"cc67=again\",\n  \"cc67=jump\",\n]", "1: map ", "--map cc900=stop"},
	} {
		path := configured(t, test.text)
		out, said, code := runHere(t, "settings")
		require.Equal(t, exitUsage, code, test.text)
		require.Contains(t, out, "line ")
		require.Contains(t, said, "shedlight: "+path+":"+test.want)
		_, said, code = runHere(t, "listen", "--plain", "--no-take")
		require.Equal(t, exitUsage, code)
		require.Contains(t, said, "shedlight: "+path+":"+test.want)
		_, said, code = runHere(t, append([]string{"listen"}, strings.Fields(test.typed)...)...)
		require.Equal(t, exitUsage, code)
		require.NotContains(t, said, path)
	}
}

// An empty file says nothing, and one that cannot be read is told.
func TestFilesOfSettings(t *testing.T) {
	for _, text := range []string{"", "\n\n", "# nothing\r\n", "\xef\xbb\xbf"} {
		configured(t, text)
		c, _ := under(t)
		require.Equal(t, listens(t), *c)
	}
	path := configured(t, "")
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Mkdir(path, 0o700))
	_, said, code := runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Equal(t, "shedlight: "+path+": a folder, expected a file\n", said)

	path = configured(t, strings.Repeat("#", 1<<20)+"\n")
	_, said, code = runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Contains(t, said, path+": longer than")
}

// The file is written once, for the player alone, and never over another.
func TestSettingsAreWrittenOnce(t *testing.T) {
	path := configured(t, "")
	folder := filepath.Dir(path)
	require.NoError(t, os.RemoveAll(folder))
	first, said, code := runHere(t, "settings")
	require.Equal(t, exitDone, code, said)
	require.Equal(t, "written: "+path+"\n", said)
	for name, want := range map[string]os.FileMode{path: 0o600, folder: 0o700} {
		info, err := os.Stat(name)
		require.NoError(t, err)
		require.Equal(t, want, info.Mode().Perm(), name)
	}
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, toml.Unmarshal(text, &map[string]any{}))
	again, said, code := runHere(t, "settings")
	require.Equal(t, exitDone, code, said)
	require.Empty(t, said)
	require.Equal(t, first, again)

	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, _, code = runHere(t, "settings")
	require.Equal(t, exitDone, code)
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Empty(t, text, "a file that is there is left alone")

	require.NoError(t, os.RemoveAll(folder))
	require.NoError(t, os.WriteFile(folder, nil, 0o600)) // no folder can be made there
	_, said, code = runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Contains(t, said, folder)
	_, said, code = runHere(t, "changes", "blues")
	require.Equal(t, exitDone, code, said)
}

// The list has every setting, with its value and where that is from.
func TestListOfSettings(t *testing.T) {
	path := configured(t, "gate = 9\n\nmap = [\"cc67=again\", \"note21=tap\"]\n")
	_, said := asCalled(t, "--gate", "20", "--tempo", "99")
	said.Remember()
	out, _, code := runHere(t, "settings")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "settings in "+path+"\n\n")
	for _, row := range []string{
		`gate +9 +line 1; bare listen, as last time: 20`, `map +cc67=again, note21=tap +line 3`,
		`tempo +- +built in; bare listen, as last time: 99`, `view +key +built in`, `click +beats +built in`, `top +false +built in`,
	} {
		require.Regexp(t, `(?m)^`+row+`$`, out)
	}

	out, _, code = runHere(t, "settings", "--json")
	require.Equal(t, exitDone, code)
	var got struct {
		Schema int
		settingsJSON
	}
	require.NoError(t, json.Unmarshal([]byte(out), &got))
	require.Equal(t, 1, got.Schema)
	require.Equal(t, path, got.File)
	names := []string{}
	for _, one := range got.Settings {
		names = append(names, one.Name)
	}
	for name := range ofACall {
		require.NotContains(t, names, name)
		names = append(names, name)
	}
	require.ElementsMatch(t, slices.Collect(maps.Keys(typed)), names)
	require.Contains(t, got.Settings, settingJSON{Name: "gate", Value: []string{"9"}, From: "file", Line: 1, LastTime: []string{"20"}})
	require.Contains(t, got.Settings, settingJSON{Name: "map", Value: []string{"cc67=again", "note21=tap"}, From: "file", Line: 3, LastTime: []string{}})
	require.Contains(t, got.Settings, settingJSON{Name: "key", Value: []string{}, From: "built in", LastTime: []string{}})
}

// A take is judged as it was played, whatever the file says now; any other MIDI file
// under what the file says of the player, and not of what is played over. How it is
// shown is the player's choice in both.
func TestSettingsAndFiles(t *testing.T) {
	const text = "chart = \"blues\"\nbars = \"1-4\"\nvoicing = \"F4 A4\"\nview = \"chord\"\ntop = true\nwritten = \"Eb\"\n" +
		"channel = 5\ntempo = 99\nlag = 9\nsound = \"own\"\nchoruses = 1\n"
	folder := t.TempDir()
	taken, other := filepath.Join(folder, "taken.mid"), filepath.Join(folder, "other.mid")
	require.NoError(t, os.WriteFile(taken, demoTake, 0o600))
	require.NoError(t, os.WriteFile(other, marked(smf.MetaMarker, "Dm7", "G7", "Cmaj7"), 0o600))
	said := func(text string, args ...string) string {
		configured(t, text)
		out, messages, code := runHere(t, args...)
		require.Equal(t, exitDone, code, messages)
		return out
	}
	for _, call := range [][]string{{"review", taken}, {"review", taken, "--json"}, {"review", taken, "--centre", "C minor"}} {
		require.Equal(t, said("", call...), said(text+"gate = 127\nmap = \"note62=tap\"\n", call...), call)
	}
	require.Contains(t, said("", "review", taken), "♭")
	require.NotContains(t, said("ascii = true", "review", taken), "♭")
	require.Contains(t, said("ascii = true", "review", taken, "--ascii=false"), "♭")

	var page struct {
		View  string
		Bars  int
		Place map[string]int
	}
	require.NoError(t, json.Unmarshal([]byte(said(text, "review", other, "--json")), &page))
	require.Equal(t, "chord", page.View)
	require.Equal(t, 3, page.Bars, "the file's own changes")
	require.NoError(t, json.Unmarshal([]byte(said("gate = 127", "review", other, "--json")), &page))
	require.Zero(t, page.Place["home"]+page.Place["dim"]+page.Place["outside"])

	configured(t, text+"gate = 9\n")
	played := func(file string) analyse.Setup {
		c, call := under(t, "--in", file)
		plan := &sessionPlan{}
		require.NoError(t, c.openFile(plan, call, listen.AtOnce))
		return plan.tune.Setup
	}
	require.Equal(t, uint8(9), played(other).Gate)
	require.Equal(t, song.ChordView, played(other).View)
	require.Len(t, played(other).Timeline.Bars, 3)
	require.Zero(t, played(other).Channels)
	require.Zero(t, played(taken).Gate)

	// What is typed to be nothing wins over a take too.
	own, err := take.Read(demoTake, "taken", smf.Selection{})
	require.NoError(t, err)
	own.Settings.Gate, own.Settings.Top = 20, true
	c, call := asCalled(t, "--gate", "0", "--view", "chord")
	left := call.Silence(c, own.Settings)
	require.Zero(t, left.Gate)
	require.True(t, left.Top)
	require.Equal(t, uint8(20), own.Settings.Gate)
	c, call = asCalled(t, "--top=false")
	require.False(t, call.Silence(c, own.Settings).Top)
	c, call = asCalled(t, "--gate", "30", "--tempo", "99")
	require.Same(t, own.Settings, call.Silence(c, own.Settings))
	require.Equal(t, song.KeyView, played(taken).View)
}
