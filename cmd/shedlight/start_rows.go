package main

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/take"
)

// choice is a row of the start screen.
type choice struct {
	name  string
	flag  func(*starting) string           // the flag of listen that it stands for
	next  func(s *starting, by int) string // the word so many further on; empty for what is built in
	shown func(*starting) string           // its value
}

// choices are the rows, from the top.
func choices() []choice {
	return []choice{
		{"instrument", always("in"), (*starting).nextInput, (*starting).shownInput},
		{"chart", always("chart"), among(func(s *starting) []string { return append(slices.Clone(s.charts), "") }), (*starting).shownChart},
		{"key", (*starting).keyFlag, among((*starting).keys), (*starting).shownKey},
		{"tempo", always("tempo"), (*starting).nextTempo, (*starting).shownTempo},
		{"view", always("view"), among(oneOf("key", "chord")), (*starting).shownView},
		{"sound", always("sound"), among(oneOf("", "own", "midi", "off")), (*starting).shownSound},
		{"goal", always("goal"), among((*starting).goals), (*starting).shownGoal},
	}
}

func always(flag string) func(*starting) string { return func(*starting) string { return flag } }

func oneOf(all ...string) func(*starting) []string { return func(*starting) []string { return all } }

// among goes round through some words. What is not one of them is before the first;
// where nothing is said that means the first.
func among(words func(*starting) []string) func(s *starting, by int) string {
	return func(s *starting, by int) string {
		said, _ := s.call.Said(s.flag())
		all := words(s)
		if said[0] == "" && !slices.Contains(all, "") {
			return further(all, all[0], by)
		}
		return further(all, said[0], by)
	}
}

// further goes round through some words from one of them.
func further(all []string, from string, by int) string {
	at := slices.Index(all, from)
	if at < 0 && by < 0 {
		at = 0
	}
	return all[((at+by)%len(all)+len(all))%len(all)]
}

// nextInput goes through the inputs there are from the one that is heard.
func (s *starting) nextInput(by int) string {
	var all []string
	for _, name := range s.seen.inputs {
		all = append(all, display.Clean(name))
	}
	if len(all) == 0 {
		return s.command.In
	}
	return further(all, display.Clean(cmp.Or(s.seen.name, s.command.In)), by)
}

func (s *starting) shownInput() string {
	wanted := s.command.In
	var several *listen.PortError
	switch {
	case isMIDIFile(wanted):
		return filepath.Base(wanted)
	case s.seen.wanted != wanted || s.seen.name == "" && s.seen.err == nil: // it is being opened
		return wanted
	case s.seen.name != "":
		return s.seen.name
	case wanted != "":
		return wanted + ", not there"
	case errors.As(s.seen.err, &several) && several.Reason == listen.ManyInstrument:
		return "several: choose one"
	}
	return "none yet"
}

func (s *starting) shownChart() string {
	switch {
	case s.command.Chart == "":
		return "none"
	case s.tune == nil || s.tune.Source == nil:
		return s.command.Chart
	}
	return cmp.Or(s.tune.Chart.Title, s.tune.Source.Name)
}

// keyFlag is the flag for a key: where the chart is moved to or, without a chart, the
// centre over everything.
func (s *starting) keyFlag() string {
	if s.command.Chart == "" {
		return "centre"
	}
	return "key"
}

// keys are the keys to choose from, up by half steps.
func (s *starting) keys() []string {
	names := strings.Fields("C Db D Eb E F F# G Ab A Bb B")
	if s.command.Chart != "" {
		return append([]string{""}, names...)
	}
	all := []string{""}
	for _, kind := range []string{" major", " minor"} {
		for _, name := range names {
			all = append(all, name+kind)
		}
	}
	return all
}

func (s *starting) shownKey() string {
	switch {
	case s.command.Chart == "":
		return cmp.Or(signed(s.command.Centre), "none")
	case s.command.Key != "":
		return signed(s.command.Key)
	case s.tune == nil || !s.tune.Chart.HasKey:
		return "the chart's"
	}
	return "the chart's, " + signed(s.tune.Chart.Key.String())
}

// signed writes what begins with the name of a note as the charts do: "E♭ major".
func signed(text string) string {
	name, rest, ok := tone.CutName(text)
	if !ok {
		return text
	}
	return name.Unicode() + rest
}

// tempo is what is played at, in beats a minute, and 0 in free time.
func (s *starting) tempo() float64 {
	switch {
	case s.command.Tempo > 0:
		return s.command.Tempo
	case s.tune == nil || s.tune.Chart == nil:
		return 0
	case s.tune.Chart.Tempo > 0:
		return float64(s.tune.Chart.Tempo)
	}
	const minute = 60_000_000 // microseconds
	return float64(minute / timebase.Nominal)
}

// tempoStep is how far a key moves the tempo, in beats a minute: the least that is felt.
const tempoStep = 4

func (s *starting) nextTempo(by int) string {
	tempo := s.tempo()
	if tempo == 0 {
		const first = 120 // where nothing was said
		return strconv.Itoa(first)
	}
	return strconv.Itoa(int(tempo) + by*tempoStep)
}

func (s *starting) shownTempo() string {
	tempo := strconv.FormatFloat(s.tempo(), 'f', -1, 64)
	switch {
	case isMIDIFile(s.command.In):
		return "the file's"
	case s.command.Follows():
		return "the clock's"
	case s.command.Tempo > 0:
		return tempo
	case s.tempo() == 0:
		return "free"
	}
	return "the chart's, " + tempo
}

func (s *starting) shownView() string {
	if s.command.View == "chord" {
		return "each chord"
	}
	return "one key"
}

func (s *starting) shownSound() string {
	sound := &s.command.Sound
	switch {
	case isMIDIFile(s.command.In), sound.Silent(s.tempo() > 0):
		return "off"
	case sound.MIDI():
		return strings.TrimSpace("MIDI " + sound.Out)
	}
	return strings.TrimSpace("this machine " + sound.Speaker)
}

// goals are those to choose from: none, no slip in the whole chorus and in each section,
// the thirds, and the family's chord on each tone of the first scale.
func (s *starting) goals() []string {
	all := []string{"", settings.NoSlip}
	if s.tune == nil || s.tune.Setup.Timeline == nil {
		return all
	}
	for _, bar := range s.tune.Setup.Timeline.Bars {
		if goal := settings.NoSlip + settings.GoalIn + bar.Section; bar.Section != "" && !slices.Contains(all, goal) {
			all = append(all, goal)
		}
	}
	all = append(all, settings.ThirdOnChange)
	for _, name := range s.tune.FirstTones() {
		all = append(all, settings.FamilyOf+name.String())
	}
	return all
}

func (s *starting) shownGoal() string { return cmp.Or(s.command.Goal, "none") }

// mostRecent is how many takes back it is looked at what was played.
const mostRecent = 20

// recentCharts are the charts to choose from, as --chart names them: that of the last
// time, then those that the newest takes were played over, then the player's own and
// those that come with the program.
func recentCharts(c *listenCommand) []string {
	rank := map[string]int{} // of a title
	for i, title := range recentTitles(cmp.Or(c.Takes, settings.TakesFolder())) {
		if _, known := rank[title]; !known && title != "" {
			rank[title] = i - mostRecent
		}
	}
	all := append(library.Here(), library.List()...)
	slices.SortStableFunc(all, func(a, b library.Entry) int { return cmp.Compare(rank[a.Title], rank[b.Title]) })
	names, paths := []string{}, map[string]bool{}
	add := func(name string) {
		path := cmp.Or(library.Path(name), name) // one by two names
		if name != "" && !paths[path] {
			names, paths[path] = append(names, name), true
		}
	}
	add(c.Chart)
	for _, one := range all {
		add(one.Name)
	}
	return names
}

// recentTitles are the titles of the newest takes in a folder, the newest first.
func recentTitles(folder string) (titles []string) {
	entries, err := os.ReadDir(folder) // by name, which begins with the time
	if err != nil {
		return nil
	}
	for _, e := range slices.Backward(entries) {
		if len(titles) == mostRecent {
			break
		}
		if !isMIDIFile(e.Name()) {
			continue
		}
		title := ""
		if under, err := take.SettingsOf(filepath.Join(folder, e.Name())); err == nil && under != nil {
			title = under.Title
		}
		titles = append(titles, title)
	}
	return titles
}
