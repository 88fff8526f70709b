package display

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/fit"
)

// Lines writes the playing as plain lines, for where there is no terminal:
//
//	12.345    3.2.50  (A♭4)    dim        ♭6   F7♭9       F6 dim
//
// the time in seconds; bar and beat, where there is a chart; the note, in a
// ring if it is a tone of the written chord; its place and degree; the chord
// that sounds and the active scale. What is found out about a note later is a
// line of its own that names the note again. What is said of a phrase and of a
// chorus that is over is said in the words of the screen.
//
// Where the player wants it quiet, the notes are held back until their phrase is
// over and written then, each with what became of it; what comes of one later is
// written at once in a rest, else in the next. It is not safe for use by several
// goroutines.
type Lines struct {
	w       io.Writer
	cells   int // a line has at the most
	speller speller
	chorus  int
	open    map[int64]heard // notes that news may still come of
	status  Status

	held    []analyse.Finding // kept back
	playing bool              // a phrase is being played
	phrase  int64             // the last one that was told of
	over    string            // what is to be told of the chorus that is over
	claims  []fit.Verdict     // and of where the line would go better

	sentences bool // nothing is said of single notes
}

// mostHeld is how many findings are kept back at the most, a quarter of an hour of
// dense playing: without a rest, as where only chords are played, they are
// written then.
const mostHeld = 16_384

// heard is what a later line says of a note again.
type heard struct {
	time, name string
	unsorted   bool // its role is still to come
	pending    bool // its fate is still to come
	mayFight   bool // it can be found to be held against its chord
}

// NewLines returns plain lines on w, folded to the width of a page.
func NewLines(w io.Writer, o Options) *Lines {
	return &Lines{w: w, cells: o.width(), speller: newSpeller(o), open: map[int64]heard{}}
}

// OnlySentences has nothing said of single notes from now on: a sentence for each
// phrase and chorus is left, which a screen reader can follow.
func (l *Lines) OnlySentences() { l.sentences = true }

// roomyLine is how many cells a line needs for two blanks between its columns; with
// one less each most fit into sixty.
const roomyLine = 72

// The columns of a line, in cells. They hold what usually stands there; longer
// text pushes the rest of its line to the right and nothing is cut; what finds no room
// there stands below the note.
const (
	timeColumn   = 9
	placeColumn  = 8
	nameColumn   = 7
	wordColumn   = 9
	degreeColumn = 3
	chordColumn  = 9
)

// Add writes what a finding says, or keeps it back. That a note belongs to the
// line is no news; that it belongs to a chord is.
func (l *Lines) Add(f analyse.Finding) error {
	if l.sentences {
		return nil
	}
	if !l.status.Quiet {
		return l.write(&f)
	}
	if _, told := l.open[f.N]; told && !l.playing {
		return l.write(&f)
	}
	l.held = append(l.held, f)
	if len(l.held) < mostHeld {
		return nil
	}
	return l.release(math.MaxInt64)
}

// Follow takes the state of the playing. It is called at least whenever a phrase
// begins or is over and whenever the counts of the chorus that is over change.
func (l *Lines) Follow(s *analyse.Snapshot) error {
	text := l.speller.chorusOver(s)
	if text != "" {
		l.over = text // it is told when the bar is over: its last notes are settled then
	}
	l.playing = s.InPhrase
	if s.Phrase.Number > l.phrase {
		l.phrase = s.Phrase.Number
		if err := l.release(s.Phrase.Last); err != nil {
			return err
		}
		if err := errors.Join(l.say(l.speller.phrase(&s.Phrase)), l.tellClaims()); err != nil {
			return err
		}
		if s.Fits.Claims() {
			if err := l.say(youAre(&s.Fits)); err != nil {
				return err
			}
		}
	}
	if text != "" || l.over == "" || l.status.Quiet && l.playing {
		return nil
	}
	text, l.over = l.over, ""
	return errors.Join(l.release(math.MaxInt64), l.say(text))
}

// End writes all that is still held back.
func (l *Lines) End() error { return errors.Join(l.release(math.MaxInt64), l.tellClaims()) }

// release writes what is held back of the notes up to a number: each note with
// what is known of it by now.
func (l *Lines) release(last int64) error {
	var out, rest []analyse.Finding
	rows := map[int64]int{}
	for _, f := range l.held {
		row, heard := rows[f.N]
		switch {
		case f.N > last:
			rest = append(rest, f)
		case heard:
			out[row].Fold(&f)
		default:
			rows[f.N] = len(out)
			out = append(out, f)
		}
	}
	l.held = rest
	for i := range out {
		if err := l.write(&out[i]); err != nil {
			return err
		}
	}
	return nil
}

func (l *Lines) write(f *analyse.Finding) error {
	switch f.Stage {
	case analyse.Heard:
		return l.heard(f)
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
		if known {
			return l.news(note, l.fate(f))
		}
	case analyse.Fought:
		note, known := l.open[f.N]
		note.mayFight = false
		l.keep(f.N, note)
		if known {
			return l.news(note, against(f.Against))
		}
	}
	return nil
}

// against says that a note is held against its chord, and what it is over it.
func against(is string) string { return "held against the chord: " + is }

// fate says what became of a note.
func (l *Lines) fate(f *analyse.Finding) string {
	if f.HeardScale.None() {
		return fateWord(f.Fate, l.speller.degree(f.Colour))
	}
	return f.Fate.String() + ", heard as " + l.speller.short(f.HeardScale)
}

// keep remembers a note for as long as there is news to come of it.
func (l *Lines) keep(n int64, note heard) {
	if note.unsorted || note.pending || note.mayFight {
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
		unsorted: f.Role == analyse.NoRole, pending: f.Fate == fate.Pending, mayFight: f.Open() && f.Fate != fate.Pending,
	}
	l.keep(f.N, note)
	if old := l.open[f.N-analyse.FarBack]; old.mayFight && !old.pending && !old.unsorted {
		delete(l.open, f.N-analyse.FarBack)
	}
	name, where := note.name, ""
	if f.ChordTone {
		name = "(" + name + ")"
	}
	if f.Bar > 0 {
		where = fmt.Sprintf("%d.%.2f", f.Bar, f.Beat)
	}
	word := placeWord(f.Place, f.Scale.Kind)
	if f.Fate > fate.Pending {
		word = l.fate(f)
	}
	err := l.columns(
		note.time, padLeft(where, placeColumn), column(name, nameColumn), column(word, wordColumn),
		column(l.speller.degree(f.Degree), degreeColumn), column(l.speller.symbol(f.Chord), chordColumn),
		l.speller.short(f.Scale))
	if err == nil && f.Role == analyse.Struck {
		err = l.news(note, "in a chord")
	}
	if err == nil && f.Against != "" {
		err = l.news(note, against(f.Against))
	}
	return err
}

// Fit takes a verdict on a section, a chorus or the take that claims something; it is
// told in a rest.
func (l *Lines) Fit(v fit.Verdict) error {
	if l.playing {
		l.claims = append(l.claims, v)
		return nil
	}
	return l.say(claimed(&v))
}

// tellClaims tells the verdicts that came while a phrase was played.
func (l *Lines) tellClaims() (err error) {
	for i := range l.claims {
		err = errors.Join(err, l.say(claimed(&l.claims[i])))
	}
	l.claims = l.claims[:0]
	return err
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
	switch {
	case s.TakeAnew > was.TakeAnew:
		out = append(out, writtenAnew+l.speller.whole(s.TakePath))
	case s.TakePath != was.TakePath && s.TakePath != "":
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
	switch {
	case s.ClockLost && !was.ClockLost:
		out = append(out, clockLost)
	case was.ClockLost && !s.ClockLost:
		out = append(out, "clock back")
	}
	if s.NoSound != was.NoSound && s.NoSound != "" {
		out = append(out, "no sound: "+l.speller.whole(s.NoSound))
	}
	if s.Notice != was.Notice && s.Notice != "" {
		out = append(out, l.speller.whole(s.Notice))
	}
	if s.Key != was.Key && s.Key != "" {
		out = append(out, "in "+l.speller.centre(s.Key))
	}
	if coming := l.speller.coming(&s); coming != l.speller.coming(&was) && coming != "" {
		out = append(out, coming)
	}
	if s.Lost > was.Lost {
		out = append(out, fmt.Sprintf("lost notes: %d messages", s.Lost))
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
	const mark = "-- "
	words := strings.Split(text, " ")
	long := len(words) // where a path begins that has no room in any line
	for i, word := range words {
		if width(word) > l.cells-len(mark) {
			long = i
			break
		}
	}
	rows := wrap(mark+strings.Join(words[:long], " "), 0, len(mark), l.cells)
	rows[len(rows)-1] = strings.Join(append(rows[len(rows)-1:], words[long:]...), " ")
	_, err := fmt.Fprintln(l.w, strings.Join(rows, "\n"))
	return err
}

func (l *Lines) columns(all ...string) error {
	gap := "  "
	if l.cells < roomyLine {
		gap = " "
	}
	rows := []string{all[0]}
	for _, one := range all[1:] {
		last := len(rows) - 1
		if width(rows[last])+len(gap)+width(strings.TrimRight(one, " ")) <= l.cells {
			rows[last] += gap + one
		} else {
			rows = append(rows, strings.Repeat(" ", timeColumn+placeColumn+2*len(gap))+one) // below the note
		}
	}
	for i := range rows {
		rows[i] = strings.TrimRight(rows[i], " ")
	}
	return writeRows(l.w, rows, l.cells)
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
