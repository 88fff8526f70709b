package display

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse/harmony"
)

// keyboard is a stretch of keys drawn in two rows: the white keys below, with
// an edge between each two, and the black keys above those edges. A pressed key
// is a dot in its place.
//
//	  ● ╷   ╷ ╷ ●   ╷ ╷
//	│_│_│●│_│_│_│_│●│_│_│
type keyboard struct {
	first, last uint8 // white keys
}

// keyboardOf returns the keys from the lowest to the highest of a family.
func keyboardOf(steps []harmony.Step) keyboard {
	first, last := steps[0].Keys[0], steps[0].Keys[0]
	for _, st := range steps {
		for _, k := range st.Keys {
			first, last = min(first, k), max(last, k)
		}
	}
	if black(first) {
		first--
	}
	if black(last) {
		last++
	}
	return keyboard{first: first, last: last}
}

// black reports whether a key is one of the five black ones of an octave.
func black(key uint8) bool { return strings.IndexByte(blackKeys, key%12) >= 0 }

// blackKeys are the pitch classes of the black keys.
const blackKeys = "\x01\x03\x06\x08\x0a"

// width returns how many cells a drawing takes.
func (b keyboard) width() int {
	cells := 1
	for k := b.first; k <= b.last; k++ {
		if !black(k) {
			cells += keyCells
		}
	}
	return cells
}

// keyCells is the width of a white key with its edge.
const keyCells = 2

// ruler names the Cs, each above its key. C4 is key 60.
func (b keyboard) ruler() string {
	row := ""
	at := 1
	for k := b.first; k <= b.last; k++ {
		if k%12 == 0 {
			row = pad(row, at) + fmt.Sprintf("C%d", int(k)/12-1)
		}
		if !black(k) {
			at += keyCells
		}
	}
	return row
}

// draw shows which keys are pressed, in two rows.
func (b keyboard) draw(keys []uint8, ascii bool) []string {
	edge, dark, dot := "│", "╷", "●"
	if ascii {
		edge, dark, dot = "|", "'", "O"
	}
	pressed := func(k uint8, otherwise string) string {
		if slices.Contains(keys, k) {
			return dot
		}
		return otherwise
	}
	upper, lower := " ", edge
	for k := b.first; k <= b.last; k++ {
		if black(k) {
			continue
		}
		lower += pressed(k, "_") + edge
		if k < b.last && black(k+1) {
			upper += " " + pressed(k+1, dark)
		} else {
			upper += "  "
		}
	}
	return []string{upper, lower}
}
