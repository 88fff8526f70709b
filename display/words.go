package display

import (
	"fmt"
	"strings"
)

// count writes a number with its word: "1 note", "2 choruses".
func count(n int64, word string) string {
	switch {
	case n == 1:
	case strings.HasSuffix(word, "s"), strings.HasSuffix(word, "ch"):
		word += "es"
	case strings.HasSuffix(word, "y"):
		word = strings.TrimSuffix(word, "y") + "ies"
	default:
		word += "s"
	}
	return fmt.Sprintf("%d %s", n, word)
}

func times(n int64) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// clock writes a time in seconds as minutes and seconds: "3:12".
func clock(s float64) string {
	const minute = 60
	return fmt.Sprintf("%d:%02d", int64(s)/minute, int64(s)%minute)
}

const percent = 100

// nothing is a share that rounds to nothing.
const nothing = "0 %"

func share(part, whole int64) string {
	if whole == 0 {
		return nothing
	}
	return fmt.Sprintf("%d %%", (part*percent+whole/2)/whole)
}
