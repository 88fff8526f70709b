package display

import (
	"fmt"
	"io"
	"strings"

	"shedlight/analyse"
)

// mostDamage is how many places of damage a review lists.
const mostDamage = 8

// Damage is one place where a file could not be read as it should.
type Damage struct {
	Offset int64 // bytes from the start of the file
	Text   string
}

// Review is what a review of one file shows.
type Review struct {
	File    string
	Summary analyse.Summary
	Damage  []Damage
}

// WriteReview writes the review page of a file: its name, the summary and
// where it was damaged. The error is the writer's.
func WriteReview(w io.Writer, r Review, o Options) error {
	sp := newSpeller(o)
	out := append([]string{sp.path(r.File, pageWidth), ""}, summaryLines(&r.Summary, sp)...)
	if len(r.Damage) > 0 {
		out = append(out, "", "Damage in the file; what could be read is above")
	}
	for i, d := range r.Damage {
		if i == mostDamage {
			out = append(out, fmt.Sprintf("  and %d more", len(r.Damage)-mostDamage))
			break
		}
		out = append(out, fmt.Sprintf("  byte %d: %s", d.Offset, sp.text(d.Text)))
	}
	_, err := io.WriteString(w, strings.Join(out, "\n")+"\n")
	return err
}

// fileCells is the column of file names in a list of reviews.
const fileCells = 32

// WriteReviews writes the reviews of several files, a line for each. The error
// is the writer's.
func WriteReviews(w io.Writer, all []Review, o Options) error {
	sp := newSpeller(o)
	for _, r := range all {
		s := &r.Summary
		file := sp.path(r.File, fileCells)
		line := fmt.Sprintf("%s %7s %6d notes", column(file, fileCells), clock(s.Seconds), s.Notes)
		if s.Place != (analyse.PlaceCounts{}) {
			line += fmt.Sprintf("  unresolved %d", s.Fate[analyse.Unresolved.String()])
		}
		if len(r.Damage) > 0 {
			line += "  damaged"
		}
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " ")); err != nil {
			return err
		}
	}
	return nil
}
