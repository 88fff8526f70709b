package main

import (
	"encoding/json"
	"fmt"
	"io"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// writeJSON writes a value as one line of JSON. Text from outside keeps every
// sign in it, but none that a terminal obeys: beyond what JSON itself escapes,
// all that does not print is escaped too, the C1 controls and the signs that
// turn the direction of writing among it.
func writeJSON(w io.Writer, value any) error {
	text, err := json.Marshal(value)
	if err != nil {
		return err
	}
	_, err = w.Write(append(escaped(text), '\n'))
	return err
}

// escaped returns JSON with all that does not print escaped. Outside strings
// there is nothing to escape.
func escaped(text []byte) []byte {
	out, done := []byte(nil), 0
	for i := 0; i < len(text); {
		if text[i] < unicode.MaxASCII {
			i++
			continue
		}
		r, size := utf8.DecodeRune(text[i:])
		if !unicode.IsPrint(r) {
			out = append(out, text[done:i]...)
			for _, unit := range utf16.AppendRune(nil, r) {
				out = fmt.Appendf(out, `\u%04x`, unit)
			}
			done = i + size
		}
		i += size
	}
	if out == nil {
		return text
	}
	return append(out, text[done:]...)
}
