package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/advise"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/settings"
)

// faultOfWeek is a row of testdata/week.txt.
type faultOfWeek struct {
	name, kind, bars, chord, notes string
	plays                          *changes.Timeline // what he has in mind
	outlines                       int               // the bar in which he outlines it; 0: he improvises over all
}

var faultsByName = map[string]linegen.Fault{
	"hanging": linegen.Hanging, "norest": linegen.NoRests, "leaps": linegen.Leaps, "dim": linegen.DimOnBeat,
}

// play improvises with the fault over a tune.
func (f *faultOfWeek) play(tune *changes.Timeline, seed uint64, choruses int) []linegen.Note {
	if f.outlines == 0 {
		return linegen.Faulty(f.plays, song.ChordView, seed, choruses, faultsByName[f.name])
	}
	wrong := &f.plays.Slots[f.plays.SlotAt(f.plays.Bars[f.outlines-1].Start, 0)]
	return linegen.Outlined(tune, linegen.Line(tune, song.ChordView, seed, choruses), f.outlines, wrong.Chord.Set())
}

// week reads the tune and the faults of testdata/week.txt.
func week(t *testing.T) (chart string, faults []faultOfWeek) {
	text, err := os.ReadFile(filepath.Join("testdata", "week.txt"))
	require.NoError(t, err)
	rows := false
	for line := range strings.Lines(string(text)) {
		columns := regexp.MustCompile(` {2,}`).Split(strings.TrimSpace(line), -1)
		switch {
		case strings.HasPrefix(line, "    "):
			chart += strings.TrimSpace(line) + "\n"
		case columns[0] == "fault":
			rows = true
		case rows && len(columns) == 6:
			f := faultOfWeek{name: columns[0], kind: columns[2], bars: columns[3], chord: columns[4], notes: columns[5]}
			f.plays = unrolled(t, inMind(t, chart, columns[1]))
			if words := strings.Fields(columns[1]); len(words) == 2 {
				f.outlines = barNumber(t, words[0])
			}
			faults = append(faults, f)
		case rows && line == "\n":
			rows = false
		}
	}
	require.Len(t, faults, 7)
	return chart, faults
}

// inMind is the chart as the player has it: "2 Bb7" is another chord in bar 2, "9-16"
// other chords from bar 9 on, "-" the chart.
func inMind(t *testing.T, chart, plays string) string {
	if plays == "-" {
		return chart
	}
	words := strings.Fields(plays)
	from, _, _ := strings.Cut(words[0], "-")
	head, body, _ := strings.Cut(chart, "|")
	bars := strings.FieldsFunc(body, func(r rune) bool { return r == '|' || r == '\n' })
	bars = slices.DeleteFunc(bars, func(s string) bool { return strings.TrimSpace(s) == "" })
	copy(bars[barNumber(t, from)-1:], words[1:])
	return head + "|" + strings.Join(bars, "|") + "|\n"
}

func barNumber(t *testing.T, text string) int {
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

func unrolled(t *testing.T, chart string) *changes.Timeline {
	c, err := changes.Parse(strings.NewReader(chart))
	require.NoError(t, err)
	line, err := c.Unroll()
	require.NoError(t, err)
	return &line
}

// A week of takes with one fault: the first suggestion names it by the second take, none
// comes more than twice in a row, and it goes when the fault goes.
func TestAWeekWithOneFault(t *testing.T) {
	const takes, faulty, choruses = 7, 4, 3
	chart, faults := week(t)
	path := filepath.Join(t.TempDir(), "ropewalk.chart")
	require.NoError(t, os.WriteFile(path, []byte(chart), 0o600))
	for number, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			b := newBand(t, settings.Tune{Chart: path})
			var told [][]advise.Suggestion
			met := 0
			for take := range takes {
				seed := uint64(100*number + take)
				notes := linegen.Line(b.tune.Setup.Timeline, song.ChordView, seed, choruses)
				if take < faulty {
					notes = f.play(b.tune.Setup.Timeline, seed, choruses)
				}
				file := b.record(linegen.Events(notes))
				out, _, err := reviewCall(t, &reviewCommand{Files: []string{file}, JSON: true})
				require.NoError(t, err)
				var report struct {
					Met         []advise.Met        `json:"met"`
					Suggestions []advise.Suggestion `json:"suggestions"`
				}
				require.NoError(t, json.Unmarshal([]byte(out), &report))
				told = append(told, report.Suggestions)
				met += len(report.Met)
				t.Log("\n" + nextTimeOf(page(t, file)))
			}
			f.named(t, told[:2])
			for i := 2; i < takes; i++ {
				for _, s := range told[i] {
					same := func(o advise.Suggestion) bool { return o.Subject == s.Subject }
					require.False(t, slices.ContainsFunc(told[i-1], same) && slices.ContainsFunc(told[i-2], same), "%v in takes %d to %d", s.Subject, i-1, i+1)
				}
			}
			for i, suggestions := range told[faulty:] {
				for _, s := range suggestions {
					require.NotEqual(t, f.kind, string(s.Kind), "take %d", faulty+i+1)
				}
			}
			require.NotZero(t, met)
		})
	}
}

// named checks that the first suggestion of one of some takes is what was written down.
func (f faultOfWeek) named(t *testing.T, told [][]advise.Suggestion) {
	for _, all := range told {
		if len(all) == 0 || string(all[0].Kind) != f.kind {
			continue
		}
		first := &all[0]
		if f.bars != "-" {
			require.Equal(t, f.bars, fmt.Sprintf("%d-%d", first.Bar, first.ToBar))
		}
		if f.chord != "-" {
			require.Equal(t, f.chord, first.Chord)
			notes, into, _ := strings.Cut(f.notes, " > ")
			require.Equal(t, strings.Fields(notes), first.Play.Notes)
			require.Equal(t, strings.Fields(into), append([]string{}, first.Play.Then...))
		}
		return
	}
	require.Fail(t, "not told by the second take")
}

// nextTimeOf cuts out of a page what was met and what is suggested.
func nextTimeOf(page string) string {
	_, next, _ := strings.Cut(page, "Next time")
	met := ""
	if i := strings.Index(page, "met: "); i >= 0 {
		met, _, _ = strings.Cut(page[i:], "Next time")
	}
	return met + next
}
