package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"slices"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// schema is the version of all that is written as JSON: it grows where a field goes
// away or means something else, and stays where one is added. Each object that
// stands on a line of its own begins with it.
const schema = 1

// errorJSON is what went wrong, where JSON was asked for.
type errorJSON struct {
	Error string `json:"error"`
}

// asksJSON reports whether a call asks for JSON. It is read off the words of the
// call, so that what cannot be parsed is told as JSON too.
func asksJSON(args []string) bool {
	if end := slices.Index(args, "--"); end >= 0 {
		args = args[:end]
	}
	return slices.Contains(args, "--json")
}

// begun is the text of an object with the schema put in front. The object has at
// least one field.
func begun(object []byte) []byte {
	return append(fmt.Appendf(nil, `{"schema":%d,`, schema), object[len("{"):]...)
}

// writeJSON writes an object as one line of JSON. Text from outside keeps every
// sign in it, but none that a terminal obeys: beyond what JSON itself escapes,
// all that does not print is escaped too, the C1 controls and the signs that
// turn the direction of writing among it.
func writeJSON(w io.Writer, value any) error {
	text, err := json.Marshal(value)
	if err != nil {
		return err
	}
	_, err = w.Write(append(begun(escaped(text)), '\n'))
	return err
}

// jsonList is a list in an object, by the name of its field.
type jsonList struct {
	name     string
	elements iter.Seq[any]
}

func listOf[T any](name string, all iter.Seq[*T]) jsonList {
	return jsonList{name: name, elements: func(yield func(any) bool) {
		for element := range all {
			if !yield(element) {
				return
			}
		}
	}}
}

// each is the elements of a list in their place.
func each[T any](all []T) iter.Seq[*T] {
	return func(yield func(*T) bool) {
		for i := range all {
			if !yield(&all[i]) {
				return
			}
		}
	}
}

// mostAside is how much of a list is held until its turn comes, in bytes: the phrases
// of an hour of dense playing take 3.1 million.
const mostAside = 4 << 20

// aside is the elements of a list as JSON, found while the list before it is written.
// Of a list that is longer nothing is held.
type aside[T any] struct {
	texts []json.RawMessage
	size  int
	full  bool
}

func (a *aside[T]) add(element *T) {
	if a.full {
		return
	}
	text, err := encoded(element)
	if a.size += len(text); err != nil || a.size > mostAside {
		*a = aside[T]{full: true}
		return
	}
	a.texts = append(a.texts, text)
}

// list is the list that was put aside, or all of it where that is not held.
func (a *aside[T]) list(name string, all iter.Seq[*T]) jsonList {
	return jsonList{name: name, elements: func(yield func(any) bool) {
		if a.full {
			listOf(name, all).elements(yield)
			return
		}
		for _, text := range a.texts {
			if !yield(text) {
				return
			}
		}
	}}
}

// writeLong writes, as writeJSON does, an object of the fields of head and of
// lists behind them that may be long: element by element, so that their text is
// never in memory as a whole. head has at least one field of its own.
func writeLong(w io.Writer, head any, lists ...jsonList) error {
	text, err := json.Marshal(head)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w) // it keeps an error: the next call returns it too
	out.Write(begun(escaped(text[:len(text)-len("}")])))
	for _, list := range lists {
		fmt.Fprintf(out, ",%q:[", list.name)
		between := ""
		for element := range list.elements {
			if text, err = encoded(element); err != nil {
				return err
			}
			out.WriteString(between)
			if _, err = out.Write(escaped(text)); err != nil {
				return err
			}
			between = ","
		}
		out.WriteByte(']')
	}
	out.WriteString("}\n")
	return out.Flush()
}

// encoded is json.Marshal, which would read again what an element has written
// itself: that is a third of the time that an hour of playing takes.
func encoded(element any) ([]byte, error) {
	if own, ok := element.(json.Marshaler); ok {
		return own.MarshalJSON()
	}
	return json.Marshal(element)
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
