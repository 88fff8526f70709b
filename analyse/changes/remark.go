package changes

import "fmt"

// Remark is one line about how a chart was read where it could be read in more
// than one way, or where something in it was passed over. Its text has no
// control characters, whatever the file holds.
type Remark struct {
	Line, Column int    // from 1, or 0 for no place; the column counts characters, not bytes
	Place        string // in a lead sheet: "part P1, measure 12"; else empty
	Text         string
}

// String says it in one line.
func (r Remark) String() string {
	if r.Line == 0 {
		return r.Text
	}
	return position(r.Place, r.Line, r.Column) + ": " + r.Text
}

// position says where something stands.
func position(place string, line, column int) string {
	at := fmt.Sprintf("line %d, column %d", line, column)
	if place != "" {
		at = place + " (" + at + ")"
	}
	return at
}
