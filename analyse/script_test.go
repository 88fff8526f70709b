package analyse_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/analysetest/script"
)

// Timed text scripts: what was played, when, and what is to be said of it.
const scriptFiles = "../testdata/scripts/*.txt"

// scripts reads every script there is.
func scripts(t *testing.T) []*script.Script {
	out, err := script.Files(scriptFiles)
	require.NoError(t, err)
	return out
}

func TestScripts(t *testing.T) {
	for _, s := range scripts(t) {
		t.Run(s.Name, func(t *testing.T) {
			found, known, err := s.Play(true)
			require.NoError(t, err)
			if wrong := s.Compare(found, known); wrong != "" {
				t.Fatal(wrong)
			}
			again, _, err := s.Play(false)
			require.NoError(t, err)
			require.Equal(t, found, again, "how often time is advanced changes nothing")
		})
	}
}

// A slip of the pen in a script is told with its line, never passed over.
func TestScriptsAreReadStrictly(t *testing.T) {
	const head = "centre: C major\nphrase: one\n"
	for text, want := range map[string]string{
		"colour: red":                           `1: "colour: red" before the first phrase`,
		"1.1 C4":                                `1: "1.1 C4" before the first phrase`,
		"phrase: one\n1.1 C4":                   "2: the phrase has neither bars nor a centre",
		head:                                    "2: no notes",
		head + "tempo 60":                       `3: the time "tempo"`,
		head + "1 C4":                           `3: the time "1"`,
		head + "1.1 H4":                         `3: "H4" is not a pitch`,
		head + "1.1 C4 loud":                    `3: "C4 loud": expected a pitch`,
		head + "1.1 C4 : home dim":              `3: "home dim": expected`,
		head + "1.1 C#4 : late by":              `3: "late by": expected`,
		head + "1.1 C4 : on by +1":              `3: "on by +1": expected`,
		head + "1.2 C4\n1.1 C4":                 "4: comes before the line above",
		head + "1.1 C4\nview: chord":            "4: a header after a note",
		head + "view: round":                    `3: the view "round"`,
		head + "legato: often":                  `3: "often": expected yes or no`,
		head + "gate: soft":                     `3: "soft": expected N`,
		head + "1.1 tempo fast":                 `3: the tempo "fast"`,
		head + "1.1 start":                      `3: the time ""`,
		head + "1.1 sustain half":               `3: sustain "half": expected down or up`,
		head + "1.1 bend far":                   `3: "far": expected N`,
		"phrase: one\nbars: | X7 |":             "2: the bars: ",
		"phrase: one\ncentre: C round":          "2: ",
		"phrase: one\ncolour: red\nbars: | C |": `2: the phrase has neither`,
	} {
		_, err := script.Read(strings.NewReader(text))
		require.ErrorContains(t, err, want, text)
	}
}

// The reference judge says of the scripts what they say themselves.
func TestReferenceKnowsTheScripts(t *testing.T) {
	for _, s := range scripts(t) {
		t.Run(s.Name, func(t *testing.T) {
			require.Equal(t, reference(s.Setup, s.Events), judged(analyser(t, s.Setup), s.End, s.Events))
		})
	}
}
