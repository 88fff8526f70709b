package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/analysetest/script"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen"
	"shedlight/listen/take"
)

// What the program says, word for word: every script, chart and file of testdata
// and a thousand generated takes go through the commands, and what comes out is
// held by its hash. A change that is to change nothing leaves them alone; one that
// is to change something is looked at first: SHEDLIGHT_SAID names a folder for the
// texts, so that those of two commits can be compared. -update accepts.
const (
	saidHashes   = "../../testdata/said/hashes.txt"
	saidVariable = "SHEDLIGHT_SAID"
	saidTakes    = 1000 // generated ones
	saidTogether = 25   // of them share a hash
	hashLength   = 12   // bytes that are kept of a hash
	saidGarbage  = 500  // percent of what is in use
)

// TestSaysTheSameWords runs in one goroutine and one process, and collects garbage
// seldom, for speed.
func TestSaysTheSameWords(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(saidGarbage))
	root, err := filepath.Abs("../../testdata")
	require.NoError(t, err)
	hashes, err := filepath.Abs(saidHashes)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	t.Setenv("LC_ALL", "C.UTF-8")
	s := sayings{t: t, keep: os.Getenv(saidVariable), calls: map[string]*kong.Context{}}
	s.charts(root)
	s.files(root)
	s.scripts(root)
	s.generated(root)

	got := strings.Join(s.lines, "\n") + "\n"
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(hashes), 0o755))
		require.NoError(t, os.WriteFile(hashes, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(hashes)
	require.NoError(t, err)
	var differ []string
	was := strings.Split(strings.TrimSpace(string(want)), "\n")
	for _, line := range s.lines {
		if !slices.Contains(was, line) {
			differ = append(differ, line)
		}
	}
	require.Empty(t, differ, "said otherwise than before")
	require.Len(t, was, len(s.lines))
}

// sayings collects what was said.
type sayings struct {
	t     *testing.T
	keep  string // folder for the texts; empty for none
	lines []string
	text  bytes.Buffer
	calls map[string]*kong.Context // by what was typed
}

// say runs the program as typed and adds what it wrote.
func (s *sayings) say(args ...string) {
	out, err := os.Create("out")
	require.NoError(s.t, err)
	defer out.Close()
	fmt.Fprintf(&s.text, "$ %s\n", strings.Join(args, " "))
	var messages bytes.Buffer
	p := &program{in: os.Stdin, out: out, messages: &messages}
	s.wrote(s.run(p, args), messages.String())
}

// run is the program's own, but that it parses a call once: the same is typed over the
// takes of all scripts, and parsing takes longer than a review of some notes.
func (s *sayings) run(p *program, args []string) int {
	typed := strings.Join(args, " ")
	p.json = asksJSON(args)
	call := s.calls[typed]
	if call == nil {
		var code int
		if call, code = p.parse(args); call == nil {
			return code
		}
		s.calls[typed] = call
	}
	return p.exitCode(p.carryOut(call))
}

// wrote adds the end of a run, whose output is in the file out.
func (s *sayings) wrote(code int, messages string) {
	said, err := os.ReadFile("out")
	require.NoError(s.t, err)
	s.text.Write(said)
	fmt.Fprintf(&s.text, "%s(%d)\n", messages, code)
}

// live plays a take at once through a session, in plain lines or in JSON.
func (s *sayings) live(path string, json bool) {
	out, err := os.Create("out")
	require.NoError(s.t, err)
	defer out.Close()
	var messages bytes.Buffer
	p := &program{in: os.Stdin, out: out, messages: &messages}
	plan := &sessionPlan{plain: !json, json: json, noTake: true}
	c := listenCommand{In: path}
	require.NoError(s.t, c.openFile(plan, nil, listen.AtOnce))
	require.NoError(s.t, p.play(plan))
	fmt.Fprintf(&s.text, "$ live %s %v\n", path, json)
	s.wrote(0, messages.String())
}

// end closes a case: its hash, and its text where texts are kept.
func (s *sayings) end(name string) {
	sum := sha256.Sum256(s.text.Bytes())
	s.lines = append(s.lines, fmt.Sprintf("%x %s", sum[:hashLength], name))
	if s.keep != "" {
		path := filepath.Join(s.keep, strings.NewReplacer("/", "_", " ", "-").Replace(name))
		require.NoError(s.t, os.WriteFile(path, s.text.Bytes(), 0o644))
	}
	s.text.Reset()
}

func (s *sayings) copies(pattern string) (names []string) {
	files, err := filepath.Glob(pattern)
	require.NoError(s.t, err)
	require.NotEmpty(s.t, files, pattern)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(s.t, err)
		require.NoError(s.t, os.WriteFile(filepath.Base(file), data, 0o644))
		names = append(names, filepath.Base(file))
	}
	return names
}

func (s *sayings) charts(root string) {
	for _, pattern := range []string{"charts/*.chart", "demo/*.chart", "musicxml/*.m*xl"} {
		for _, name := range s.copies(filepath.Join(root, pattern)) {
			for _, key := range [][]string{nil, {"--key", "Eb"}, {"--key", "F#"}} {
				s.say(append([]string{"changes", name}, key...)...)
				s.say(append([]string{"changes", name, "--json"}, key...)...)
			}
			s.end("chart " + name)
		}
	}
	for _, name := range changes.GenericNames() {
		s.say("changes", name, "--key", "Ab", "--json")
		s.end("generic " + name)
	}
	for _, symbol := range []string{"C6", "Bbmaj7", "F#m7b5", "G7b9", "Abm6", "D7alt", "Ebdim7", "E9", "C13#11", "Gsus4"} {
		s.say("expand", symbol)
		s.say("expand", symbol, "--drop", "2", "--json")
		s.end("expand " + symbol)
	}
}

func (s *sayings) files(root string) {
	for _, name := range s.copies(filepath.Join(root, "midi/*.mid")) {
		s.say("review", name, "--centre", "C major")
		s.say("review", name, "--chart", "two-five-one", "--json")
		s.end("file " + name)
	}
	s.say("demo", "--fast")
	s.say("demo", "--fast", "--json")
	s.end("demo")
}

// tables are what a review can tell in place of its page.
func tables() []string { return []string{"chord", "centre", "chorus", "bar", "phrase", "habit"} }

// review says everything about the take of a folder.
func (s *sayings) review(path string) {
	for _, view := range []string{"key", "chord"} {
		s.say("review", path, "--view", view)
		s.say("review", path, "--view", view, "--json")
		for _, by := range tables() {
			s.say("review", path, "--view", view, "--by", by)
		}
	}
	s.live(path, false)
	s.live(path, true)
}

// scripts makes a take of each phrase of the timed scripts.
func (s *sayings) scripts(root string) {
	found, err := script.Files(filepath.Join(root, "scripts/*.txt"))
	require.NoError(s.t, err)
	file := ""
	for _, sc := range found {
		name, _, _ := strings.Cut(sc.Name, "/")
		if file != "" && name != file {
			s.end("script " + file)
		}
		file = name
		settings := take.Settings{
			Chart: sc.Chart, View: sc.Setup.View.String(), Split: sc.Setup.Split, Top: sc.Setup.Top, Gate: sc.Setup.Gate, Legato: sc.Setup.Legato,
		}
		if sc.Setup.Centre != nil && sc.Setup.Timeline == nil {
			settings.Centre = sc.Setup.Centre.String()
		}
		s.review(s.record(settings, sc.Events, sc.End))
	}
	s.end("script " + file)
}

// record keeps a take in a folder of its own, so that it has no neighbours.
func (s *sayings) record(settings take.Settings, events []analyse.Event, end int64) (path string) {
	start := time.Date(2026, time.April, 2, 19, 0, 0, 0, time.UTC)
	dir, err := os.MkdirTemp(".", "take")
	require.NoError(s.t, err)
	r, err := take.Start(dir, settings, start, take.Options{})
	require.NoError(s.t, err)
	for _, e := range events {
		require.True(s.t, r.Add(e))
	}
	path, err = r.Close(end)
	require.NoError(s.t, err)
	require.NoError(s.t, os.RemoveAll("under-test"))
	require.NoError(s.t, os.Rename(dir, "under-test"))
	return filepath.Join("under-test", filepath.Base(path))
}

// generated makes a thousand takes: over every chart, in both views, right, half a
// step off, spoilt, with a left hand, with a pedal.
func (s *sayings) generated(root string) {
	var flags []settings.Tune
	for _, pattern := range []string{"charts/*.chart", "demo/*.chart"} {
		for _, name := range s.copies(filepath.Join(root, pattern)) {
			flags = append(flags, settings.Tune{Chart: name})
		}
	}
	keys := []string{"C", "Eb", "F#", "A"}
	for i, name := range changes.GenericNames() {
		flags = append(flags, settings.Tune{Chart: name, Key: keys[i%len(keys)]})
	}
	for i := range uint64(saidTakes) {
		f := flags[i%uint64(len(flags))]
		if i%2 == 1 {
			f.View = "chord"
		}
		tune, err := tunes.Of(f, settings.Hand{}, nil)
		require.NoError(s.t, err)
		events := s.play(tune, i)
		var under take.Settings
		tune.Tell(&under)
		path := s.record(under, events, events[len(events)-1].Tick+timebase.Quarter)
		s.say("review", path, "--json")
		s.say("review", path)
		if i%saidTogether == 0 {
			s.review(path)
		}
		if (i+1)%saidTogether == 0 {
			s.end(fmt.Sprintf("generated %03d", i/saidTogether))
		}
	}
}

// play improvises take number i.
func (s *sayings) play(tune *tunes.Tune, i uint64) []analyse.Event {
	const (
		spoiltShare = 0.15
		leftHand    = 48 // C3
		pedalEvery  = 3 * timebase.Quarter
	)
	r := rand.New(rand.NewPCG(i, 0))
	line := linegen.Line(tune.Setup.Timeline, tune.Setup.View, i, 1+int(i%2))
	if i%3 == 1 {
		line = linegen.Spoil(line, spoiltShare, i)
	}
	if i%7 == 3 {
		for n := range line {
			line[n].Key++
		}
	}
	events := linegen.Events(line)
	end := events[len(events)-1].Tick
	if i%5 == 2 { // voicings, struck a little apart
		for at := int64(0); at < end; at += 2 * timebase.Quarter {
			for _, class := range [...]uint8{0, 4, 7, 11} {
				key := leftHand + (class+uint8(r.IntN(3)))%12
				tick := at + r.Int64N(40)
				events = append(events,
					analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: key, Velocity: 60},
					analyse.Event{Tick: tick + timebase.Quarter, Kind: analyse.NoteOff, Key: key})
			}
		}
	}
	if i%11 == 4 {
		for at := int64(0); at < end; at += pedalEvery {
			events = append(events, analyse.Event{Tick: at, Kind: analyse.Control, Key: 64, Velocity: uint8(127 * (at / pedalEvery % 2))})
		}
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	return append(opening(s.t, tune, 0), events...)
}
