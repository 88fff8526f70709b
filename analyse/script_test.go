package analyse_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// Timed text scripts: what was played, when, and what is to be said of it.
// testdata/scripts/README.md is the manual of the format.
const scriptFiles = "../testdata/scripts/*.txt"

const (
	usualLength   = 240 // ticks a note lasts where none is written: a sixteenth
	usualVelocity = 80
	quietAtTheEnd = 4 * timebase.Quarter // ticks that time goes on behind the last event
)

// script is one phrase of a script file.
type script struct {
	name    string
	lines   []string // as written, to be shown
	first   int      // the number of the first of them in its file
	setup   analyse.Setup
	key     string
	meter   timebase.Meter // of the bars to come, and of free time
	tempo   int64          // microseconds a quarter
	countIn int64          // bars before bar 1
	last    int64          // tick of the line above
	events  []analyse.Event
	notes   []scriptNote // in the order of their note-ons
}

type scriptNote struct {
	line int    // in lines
	want string // as said prints it; "on" for home or dim
}

func TestScripts(t *testing.T) {
	for _, s := range scripts(t) {
		t.Run(s.name, func(t *testing.T) {
			found, known := s.play(t, true)
			if wrong := s.compare(found, known); wrong != "" {
				t.Fatal(wrong)
			}
			again, _ := s.play(t, false)
			require.Equal(t, found, again, "how often time is advanced changes nothing")
		})
	}
}

// scripts reads every script there is.
func scripts(t *testing.T) []*script {
	files, err := filepath.Glob(scriptFiles)
	require.NoError(t, err)
	require.NotEmpty(t, files, scriptFiles)
	var out []*script
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		found, err := readScripts(strings.NewReader(string(text)))
		require.NoError(t, err, name)
		for _, s := range found {
			s.name = filepath.Base(name) + "/" + s.name
		}
		out = append(out, found...)
	}
	return out
}

// play returns the findings and the ticks at which they were known.
func (s *script) play(t *testing.T, everyTick bool) (found []analyse.Finding, known []int64) {
	a := analyser(t, s.setup)
	note := func(tick int64, news []analyse.Finding) {
		for _, f := range news {
			found, known = append(found, f), append(known, tick)
		}
	}
	now := int64(0)
	advance := func(to int64) {
		for ; everyTick && now <= to; now++ {
			note(now, a.AdvanceTo(now))
		}
	}
	for _, e := range s.events {
		advance(e.Tick)
		note(e.Tick, a.Add(e))
	}
	advance(s.last)
	note(s.last, a.Finish(s.last))
	return found, known
}

// outcome is what became known of a note.
type outcome struct {
	analyse.Finding
	after int64 // ticks from its onset until its fate was settled
}

func (s *script) outcomes(found []analyse.Finding, known []int64) []outcome {
	notes := make([]outcome, len(s.notes))
	for i, f := range found {
		switch note := &notes[f.N]; {
		case f.Stage == analyse.Heard:
			note.Finding, note.By = f, -1
		case f.Stage == analyse.Sorted:
			note.Role = f.Role
		case note.Fate != analyse.Pending: // to be seen: nothing is settled twice
			note.HeardScale = "settled again as " + f.Fate.String()
		default:
			note.Fate, note.By, note.HeardScale, note.after = f.Fate, f.By, f.HeardScale, known[i]-note.Tick
		}
	}
	return notes
}

// said prints a finding as an expectation is written.
func said(f outcome, after bool) string {
	var words []string
	switch f.Role {
	case analyse.Struck:
		words = append(words, "chord")
	case analyse.NoRole:
		words = append(words, "of no role:")
	}
	switch {
	case f.Place == analyse.NoPlace:
		words = append(words, "none")
	case f.Place != analyse.Outside:
		words = append(words, f.Place.String())
	default:
		words = append(words, f.Fate.String())
	}
	if f.By >= 0 {
		words = append(words, fmt.Sprintf("by %+d", f.By-f.N))
	}
	if after {
		words = append(words, "after", strconv.FormatInt(f.after, 10))
	}
	if f.HeardScale != "" {
		words = append(words, "in", f.HeardScale)
	}
	return strings.Join(words, " ")
}

// compare shows the phrase with the notes that went otherwise marked, or
// nothing if all went as written.
func (s *script) compare(found []analyse.Finding, known []int64) string {
	marks := map[int]string{}
	for i, f := range s.outcomes(found, known) {
		n := s.notes[i]
		got := said(f, strings.Contains(n.want, " after "))
		on := strings.TrimSuffix(n.want, "on")
		if got != n.want && (on == n.want || got != on+"home" && got != on+"dim") {
			marks[n.line] = fmt.Sprintf("      wanted  %s\n      got     %s\n", n.want, got)
		}
	}
	if len(marks) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("\n")
	for i, text := range s.lines {
		mark := ' '
		if marks[i] != "" {
			mark = '>'
		}
		fmt.Fprintf(&b, "%c %4d  %s\n%s", mark, s.first+i, text, marks[i])
	}
	return b.String()
}
