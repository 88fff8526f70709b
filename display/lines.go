package display

import (
	"fmt"
	"io"
	"strings"

	"shedlight/analyse"
)

// Lines writes the playing as plain lines, for where there is no terminal:
//
//	12.345    3.2.50  (A♭4)    dim        ♭6   F7♭9       F6 dim
//
// the time in seconds; bar and beat, where there is a chart; the note, in a
// ring if it is a tone of the written chord; its place and degree; the chord
// that sounds and the active scale. What is found out about a note later is a
// line of its own that names the note again. It is not safe for use by several
// goroutines.
type Lines struct {
	w       io.Writer
	speller speller
	chorus  int
	open    map[int64]heard // notes that news may still come of
	status  Status
}

// heard is what a later line says of a note again.
type heard struct {
	time, name string
	unsorted   bool // its role is still to come
	pending    bool // its fate is still to come
}

// NewLines returns plain lines on w.
func NewLines(w io.Writer, o Options) *Lines {
	return &Lines{w: w, speller: newSpeller(o), open: map[int64]heard{}}
}

// The columns of a line, in cells. They hold what usually stands there; longer
// text pushes the rest of its line to the right and nothing is cut.
const (
	timeColumn   = 9
	placeColumn  = 8
	nameColumn   = 7
	wordColumn   = 9
	degreeColumn = 3
	chordColumn  = 9
)

// Add writes what a finding says. That a note belongs to the line is no news;
// that it belongs to a chord is.
func (l *Lines) Add(f analyse.Finding) error {
	switch f.Stage {
	case analyse.Heard:
		return l.heard(&f)
	case analyse.Sorted:
		note, known := l.open[f.N]
		note.unsorted = false
		l.keep(f.N, note)
		if known && f.Role == analyse.Struck {
			return l.news(note, "in a chord")
		}
	case analyse.Settled:
		note, known := l.open[f.N]
		note.pending = false
		l.keep(f.N, note)
		word := f.Fate.String()
		if f.HeardScale != "" {
			word += ", heard as " + l.speller.scaleNamed(f.HeardScale)
		}
		if known {
			return l.news(note, word)
		}
	}
	return nil
}

// keep remembers a note for as long as there is news to come of it.
func (l *Lines) keep(n int64, note heard) {
	if note.unsorted || note.pending {
		l.open[n] = note
		return
	}
	delete(l.open, n)
}

func (l *Lines) heard(f *analyse.Finding) error {
	if f.Chorus != l.chorus {
		l.chorus = f.Chorus
		if err := l.say(fmt.Sprintf("chorus %d", f.Chorus)); err != nil {
			return err
		}
	}
	note := heard{
		time: seconds(f.MS), name: l.speller.pitch(f.Name, f.Key),
		unsorted: f.Role == analyse.NoRole, pending: f.Fate == analyse.Pending,
	}
	l.keep(f.N, note)
	name, where := note.name, ""
	if f.ChordTone {
		name = "(" + name + ")"
	}
	if f.Bar > 0 {
		where = fmt.Sprintf("%d.%.2f", f.Bar, f.Beat)
	}
	scale, _ := findScale(f.Scale)
	return l.columns(
		note.time, padLeft(where, placeColumn), column(name, nameColumn), column(placeWord(f.Place, scale.Kind), wordColumn),
		column(l.speller.degree(f.Degree), degreeColumn), column(l.speller.symbol(f.Chord), chordColumn),
		l.speller.scaleNamed(f.Scale))
}

// Show writes what has changed in the status since the last one.
func (l *Lines) Show(s Status) error {
	was := l.status
	l.status = s
	var out []string
	source := l.speller.text(s.Source)
	switch {
	case s.Gone && !was.Gone:
		out = append(out, "instrument gone: "+source+", plug it in again")
	case was.Gone && !s.Gone:
		out = append(out, "instrument back: "+source)
	case s.Source != was.Source && s.Source != "":
		out = append(out, "listening to "+source)
	}
	if s.TakePath != was.TakePath && s.TakePath != "" {
		out = append(out, "take: "+l.speller.text(s.TakePath))
	}
	if s.Recovered > was.Recovered {
		out = append(out, recovered(&s)+l.speller.whole(s.RecoveredAt))
	}
	if s.SaveError != was.SaveError && s.SaveError != "" {
		out = append(out, "not saved: "+l.speller.text(s.SaveError))
	}
	if s.Unsaved > was.Unsaved {
		out = append(out, fmt.Sprintf("not saved: %d events", s.Unsaved))
	}
	if s.Lost > was.Lost {
		out = append(out, fmt.Sprintf("lost notes: %d messages", s.Lost))
	}
	if s.Message != was.Message && s.Message != "" {
		out = append(out, l.speller.text(s.Message))
	}
	for _, one := range out {
		if err := l.say(one); err != nil {
			return err
		}
	}
	return nil
}

// news is a line about a note that was heard before.
func (l *Lines) news(note heard, word string) error {
	return l.columns(note.time, strings.Repeat(" ", placeColumn), column(note.name, nameColumn), word)
}

func (l *Lines) say(text string) error {
	_, err := fmt.Fprintln(l.w, "--", text)
	return err
}

func (l *Lines) columns(all ...string) error {
	_, err := fmt.Fprintln(l.w, strings.TrimRight(strings.Join(all, "  "), " "))
	return err
}

// seconds writes milliseconds as seconds.
func seconds(ms int64) string {
	const thousand = 1000
	return padLeft(fmt.Sprintf("%d.%03d", ms/thousand, ms%thousand), timeColumn)
}

func column(s string, cells int) string {
	return s + strings.Repeat(" ", max(cells-width(s), 0))
}

func padLeft(s string, cells int) string {
	return strings.Repeat(" ", max(cells-width(s), 0)) + s
}
