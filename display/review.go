package display

import (
	"fmt"
	"io"
	"strings"

	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// mostDamage is how many places of damage a review lists.
const mostDamage = 8

// Damage is one place where a file could not be read as it should.
type Damage struct {
	Offset int64 // bytes from the start of the file
	Text   string
}

// Slip is one note that slipped.
type Slip struct {
	Bar   int
	Place string // as --meant takes it: "3/13:2.5"
	Name  string
}

// Review is what a review of one file shows.
type Review struct {
	File string
	Outcome
	Slips   []Slip          // in order
	Phrases []phrase.Phrase // all of them, where they are to be shown
	Damage  []Damage
}

// WriteReview writes the review page of a file: its name and the summary, on
// one screen, and below it where the file was damaged. The error is the
// writer's.
func WriteReview(w io.Writer, r Review, o Options) error {
	sp := newSpeller(o)
	out := append([]string{sp.path(r.File, o.width())}, summaryLines(&r.Outcome, sp, pageRows-1, o.width())...)
	if len(r.Damage) > 0 {
		out = append(out, "", "Damage in the file; what could be read is above")
	}
	return writeRows(w, append(out, damageRows(&r, sp)...), o.width())
}

func damageRows(r *Review, sp speller) (out []string) {
	for i, d := range r.Damage {
		if i == mostDamage {
			return append(out, fmt.Sprintf("  and %d more", len(r.Damage)-mostDamage))
		}
		out = append(out, fmt.Sprintf("  byte %d: %s", d.Offset, sp.text(d.Text)))
	}
	return out
}

// writeRows writes rows, folded to so many cells.
func writeRows(w io.Writer, rows []string, cells int) error {
	if len(rows) == 0 {
		return nil
	}
	_, err := io.WriteString(w, strings.Join(folded(rows, cells), "\n")+"\n")
	return err
}

const (
	// fileCells is the column of file names in a list of reviews, playedCells
	// that of notes and times.
	fileCells   = 32
	playedCells = 21
)

// WriteReviewLine writes one of several reviews, in a line and, where the file
// was damaged, what was wrong with it below; on a narrow page its name has a line of
// its own. The error is the writer's.
func WriteReviewLine(w io.Writer, r Review, o Options) error {
	sp := newSpeller(o)
	s := &r.Summary
	file := sp.path(r.File, fileCells)
	line := column(count(s.Notes, "note")+" in "+clock(s.Seconds), playedCells)
	if s.Place != (song.PlaceCounts{}) {
		n := s.Slips()
		line += fmt.Sprintf(" slips %d (%s)", n, share(n, s.Notes))
	}
	if s.Meant > 0 {
		line += fmt.Sprintf(", meant %d", s.Meant)
	}
	rows := []string{strings.TrimRight(column(file, fileCells)+" "+line, " ")}
	if width(rows[0]) > o.width() {
		rows = []string{file, strings.Repeat(" ", foldIndent) + strings.TrimRight(line, " ")}
	}
	return writeRows(w, append(rows, damageRows(&r, sp)...), o.width())
}
