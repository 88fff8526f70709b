// Package script is the runner of timed text scripts: what was played, when, and
// what is to be said of it. testdata/scripts/README.md is the manual of the format.
package script

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

const (
	usualLength   = 240 // ticks a note lasts where none is written: a sixteenth
	usualVelocity = 80
	quietAtTheEnd = 4 * timebase.Quarter // ticks that time goes on behind the last event
)

// Script is one phrase of a script file.
type Script struct {
	Name   string          // of the file and of the phrase, "late.txt/on the limit"
	Setup  analyse.Setup   // what the headers say
	Chart  string          // the text of the chart, in the chart format; empty without one
	Events []analyse.Event // in order
	End    int64           // the tick at which the session is over

	lines   []string // as written, to be shown
	first   int      // the number of the first of them in its file
	key     string
	meter   timebase.Meter // of the bars to come, and of free time
	tempo   int64          // microseconds a quarter
	countIn int64          // bars before bar 1
	last    int64          // tick of the line above
	notes   []note         // in the order of their note-ons
}

// note is a note-on with what is wanted of it.
type note struct {
	line int    // in lines
	want string // as said prints it; "on" for home or dim
}

// Files reads every script of the files that a pattern names. That there are none
// is an error.
func Files(pattern string) (out []*Script, err error) {
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		return nil, fmt.Errorf("no scripts: %s (%v)", pattern, err)
	}
	for _, name := range files {
		file, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		found, err := Read(file)
		file.Close()
		if err != nil {
			return nil, fmt.Errorf("%s:%w", name, err)
		}
		for _, s := range found {
			s.Name = filepath.Base(name) + "/" + s.Name
		}
		out = append(out, found...)
	}
	return out, nil
}

// Play returns the findings and the ticks at which they were known. everyTick lets
// time go on tick by tick between the events, and not in one go.
func (s *Script) Play(everyTick bool) (found []analyse.Finding, known []int64, err error) {
	a, err := analyse.New(s.Setup)
	if err != nil {
		return nil, nil, err
	}
	take := func(tick int64, news []analyse.Finding) {
		for _, f := range news {
			found, known = append(found, f), append(known, tick)
		}
	}
	now := int64(0)
	advance := func(to int64) {
		for ; everyTick && now <= to; now++ {
			take(now, a.AdvanceTo(now))
		}
	}
	for _, e := range s.Events {
		advance(e.Tick)
		take(e.Tick, a.Add(e))
	}
	advance(s.End)
	take(s.End, a.Finish(s.End))
	return found, known, nil
}

// outcome is what became known of a note.
type outcome struct {
	analyse.Finding
	after int64  // ticks from its onset until its fate was settled, or it was known to fight its chord
	twice string // what was told of it a second time, which is a defect
}

func (s *Script) outcomes(found []analyse.Finding, known []int64) []outcome {
	notes := make([]outcome, len(s.notes))
	for i, f := range found {
		switch note := &notes[f.N]; {
		case f.Stage == analyse.Heard:
			note.Finding, note.By = f, -1
		case f.Stage == analyse.Sorted:
			note.Role = f.Role
		case f.Stage == analyse.Fought && note.Against != "": // to be seen: nothing is told twice
			note.twice = "told again to be against " + f.Against
		case f.Stage == analyse.Fought:
			note.Against, note.after = f.Against, known[i]-note.Tick
		case note.Fate != fate.Pending:
			note.twice = "settled again as " + f.Fate.String()
		default:
			note.Fate, note.By, note.HeardScale, note.Colour = f.Fate, f.By, f.HeardScale, f.Colour
			note.after = known[i] - note.Tick
		}
	}
	return notes
}

// said prints a finding as an expectation is written; onScale is the word for a note
// of the scale.
func said(f outcome, after bool, onScale string) string {
	var words []string
	switch f.Role {
	case analyse.Struck:
		words = append(words, "chord")
	case analyse.NoRole:
		words = append(words, "of no role:")
	}
	switch {
	case f.Place == song.NoPlace:
		words = append(words, "none")
	case f.Place != song.Outside:
		words = append(words, onScale)
	case f.Colour != "":
		words = append(words, f.Fate.String(), f.Colour)
	default:
		words = append(words, f.Fate.String())
	}
	if f.By >= 0 {
		words = append(words, fmt.Sprintf("by %+d", f.By-f.N))
	}
	if f.Against != "" {
		words = append(words, "against", f.Against)
	}
	if after {
		words = append(words, "after", strconv.FormatInt(f.after, 10))
	}
	if !f.HeardScale.None() {
		words = append(words, "in", f.HeardScale.String())
	}
	if f.twice != "" {
		words = append(words, f.twice)
	}
	return strings.Join(words, " ")
}

// Compare shows the phrase with the notes that went otherwise marked, or
// nothing if all went as written.
func (s *Script) Compare(found []analyse.Finding, known []int64) string {
	marks := map[int]string{}
	for i, f := range s.outcomes(found, known) {
		n := s.notes[i]
		after := strings.Contains(n.want, " after ")
		if got := said(f, after, f.Place.String()); got != n.want && said(f, after, "on") != n.want {
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
