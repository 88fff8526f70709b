package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/material"
)

// A number outside its limits, or none at all, is refused with one line that
// says what was expected, however it is written; a limit itself is not.
func TestNumbers(t *testing.T) {
	for _, test := range []struct{ args, want string }{
		{"listen --tempo 0", "--tempo 0: expected 10 to 600 beats a minute"},
		{"listen --tempo 9.9", "--tempo 9.9: expected 10 to 600 beats a minute"},
		{"listen --tempo nan", "--tempo nan: expected 10 to 600 beats a minute"},
		{"listen --tempo fast", "--tempo fast: expected 10 to 600 beats a minute"},
		{"listen --choruses 0", "--choruses 0: expected 1 to 1000"},
		{"listen --choruses=0", "--choruses 0: expected 1 to 1000"},
		{"listen --choruses -1", "--choruses -1: expected 1 to 1000"},
		{"listen --choruses 1001", "--choruses 1001: expected 1 to 1000"},
		{"listen --choruses 2.5", "--choruses 2.5: expected 1 to 1000"},
		{"listen --count-in -1", "--count-in -1: expected 0 to 8 bars"},
		{"listen --count-in=-1", "--count-in -1: expected 0 to 8 bars"},
		{"listen --count-in 9", "--count-in 9: expected 0 to 8 bars"},
		{"listen --lag -501", "--lag -501: expected -500 to 500 milliseconds"},
		{"listen --lag=501", "--lag 501: expected -500 to 500 milliseconds"},
		{"listen --lag --plain", "--lag --plain: expected -500 to 500 milliseconds"},
		{"listen --lag", "--lag: expected -500 to 500 milliseconds"},
		{"listen --gate -1", "--gate -1: expected 0 to 127"},
		{"listen --gate 300", "--gate 300: expected 0 to 127"},
		{"review x.mid --start 0", "--start 0: expected 1 or more"},
		{"review x.mid --channel -1", "--channel -1: expected 1 to 16, with commas between several"},
		{"review x.mid --channel 1,17", "--channel 1,17: expected 1 to 16, with commas between several"},
		{"review x.mid --track 1,-2", "--track -2: expected 0 or more"},
		{"expand C6 --inversion -1", "--inversion -1: expected 0 or more"},
		{"lines C6 --level 6", "--level 6: expected 1 to 5"},
		{"lines C6 --count 101", "--count 101: expected 1 to 100"},
		{"lines C6 --seed 0", "--seed 0: expected 1 or more"},
		{"lines C6 --range C4-C5", "the range C4-C5 is too narrow: expected an octave and a fifth or more"},
		{"lines C6 --range C4", "--range C4: expected the lowest and the highest note, like Bb3-F6, or one of: " + strings.Join(material.Instruments(), ", ")},
		{"lines N.C.", "N.C. is no chord to make lines of: expected a chord symbol, like C6"},
		{"lines - --level 3", "what is read is not made: it goes with --key, --midi, --musicxml, --json and --play alone"},
		{"listen --in take.mid --sound own", "--sound: to be left out beside a MIDI file, for take.mid is played in its own time, without a sound"},
		{"listen --in take.mid --lag 5 --tempo 90", "--tempo, --lag: to be left out beside a MIDI file, for take.mid is played in its own time, without a sound"},
		// These are numbers: what comes next is refused.
		{"listen --lag -500 --json --plain", "--json and --plain: choose one"},
		{"listen --lag=500 --json --plain", "--json and --plain: choose one"},
		{"listen --tempo 10 --json --plain", "--json and --plain: choose one"},
		{"listen --tempo 600 --json --plain", "--json and --plain: choose one"},
		{"listen --count-in 0 --json --plain", "--json and --plain: choose one"},
		{"listen --choruses 1", "--choruses needs a --chart"},
		{"listen --gate 127 --json --plain", "--json and --plain: choose one"},
	} {
		var said bytes.Buffer
		p := &program{messages: &said}
		require.Equal(t, exitUsage, p.run(strings.Fields(test.args)), test.args)
		want := "shedlight: " + test.want
		if strings.Contains(test.args, "--json") {
			want = fmt.Sprintf(`{"schema":1,"error":%q}`, test.want)
		}
		require.Equal(t, want+"\n", said.String(), test.args)
	}
}
