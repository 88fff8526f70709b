package smf

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the most characters of a text that are kept: a name is one line.
const maxText = 200

// Text returns the text of a meta event, fit for one line of a terminal: every
// character that does not print is a space, and a long text is cut. Bytes that
// are no UTF-8 are read as ISO 8859-1 (common practice; the specification asks
// for ASCII and names nothing else).
func Text(data []byte) string {
	if most := maxText * utf8.UTFMax; len(data) > most {
		data = trimPartial(data[:most])
	}
	latin := !utf8.Valid(data)
	var line strings.Builder
	for i, n := 0, 0; i < len(data) && n < maxText; n++ {
		r, size := rune(data[i]), 1
		if !latin {
			r, size = utf8.DecodeRune(data[i:])
		}
		if !unicode.IsPrint(r) {
			r = ' '
		}
		line.WriteRune(r)
		i += size
	}
	return strings.TrimSpace(line.String())
}

// trimPartial takes off a last character that a cut went through.
func trimPartial(data []byte) []byte {
	for i := len(data) - 1; i >= 0 && i >= len(data)-utf8.UTFMax; i-- {
		if utf8.RuneStart(data[i]) {
			if !utf8.FullRune(data[i:]) {
				return data[:i]
			}
			break
		}
	}
	return data
}
