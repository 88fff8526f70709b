package main

import (
	"cmp"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
)

// takeOfWeek is a row of testdata/alike.txt.
type takeOfWeek struct {
	week, key, plays, says string
	tempi                  []int
}

func takesOfWeeks(t *testing.T) (all []takeOfWeek) {
	text, err := os.ReadFile(filepath.Join("testdata", "alike.txt"))
	require.NoError(t, err)
	_, rows, _ := strings.Cut(string(text), "says\n")
	for line := range strings.Lines(rows) {
		columns := regexp.MustCompile(` {2,}`).Split(strings.TrimRight(line, "\n"), 6)
		require.Len(t, columns, 6, line)
		row := takeOfWeek{week: columns[0], key: columns[2], plays: columns[4], says: columns[5]}
		for _, tempo := range strings.Fields(columns[3]) {
			row.tempi = append(row.tempi, barNumber(t, tempo))
		}
		all = append(all, row)
	}
	return all
}

// events are those of the take: a fault in all choruses or, with *, in those at 160.
func (w *takeOfWeek) events(t *testing.T, b *band, faults []faultOfWeek, seed uint64) []analyse.Event {
	line := b.tune.Setup.Timeline
	notes := linegen.Line(line, song.ChordView, seed, len(w.tempi))
	name, some := strings.CutSuffix(w.plays, "*")
	if k := slices.IndexFunc(faults, func(f faultOfWeek) bool { return f.name == name }); k >= 0 {
		wrong := faults[k].play(line, seed, len(w.tempi))
		at := func(n linegen.Note) int { return w.tempi[min(int(n.Tick/line.Length), len(w.tempi)-1)] }
		if some {
			notes = slices.DeleteFunc(notes, func(n linegen.Note) bool { return at(n) == 160 })
			wrong = slices.DeleteFunc(wrong, func(n linegen.Note) bool { return at(n) != 160 })
			wrong = append(notes, wrong...)
		}
		notes = wrong
	}
	events := linegen.Events(notes)
	if name == "up5" {
		for i := range events {
			events[i].Key += 5
		}
	}
	for i, tempo := range w.tempi {
		events = append(events, analyse.Event{Tick: int64(i) * line.Length, Kind: analyse.Tempo, Value: int64(60 * timebase.Micro / tempo)})
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(b.Kind, a.Kind)) // a tempo before a note
	})
	return events
}

// A take is held against what it is like: see analyse.Was.
func TestWeeksAtOtherTempiAndInOtherKeys(t *testing.T) {
	chart, faults := week(t)
	path := filepath.Join(t.TempDir(), "ropewalk.chart")
	require.NoError(t, os.WriteFile(path, []byte(chart), 0o600))
	takes := takesOfWeeks(t)
	require.Len(t, takes, 12)
	for i := 0; i < len(takes); {
		first, week := i, takes[i].week
		for i < len(takes) && takes[i].week == week {
			i++
		}
		t.Run(week, func(t *testing.T) {
			b := newBand(t, settings.Tune{Chart: path})
			for n := range takes[first:i] {
				w := &takes[first+n]
				b.tune = newBand(t, settings.Tune{Chart: path, Key: w.key}).tune
				text := page(t, b.record(w.events(t, b, faults, uint64(700+first+n))))
				t.Log("\n" + text)
				flat := strings.Join(strings.Fields(text), " ")
				for _, says := range strings.Split(w.says, " | ") {
					if without, not := strings.CutPrefix(says, "not "); not {
						require.NotContains(t, flat, strings.TrimSpace(without), "take %d", n+1)
					} else {
						require.Contains(t, flat, says, "take %d", n+1)
					}
				}
			}
		})
	}
}
