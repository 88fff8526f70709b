package main

import (
	"cmp"
	"encoding/json"
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

// A take says who played along, as far as anything sounded.
func TestATakeSaysWhoPlayedAlong(t *testing.T) {
	for _, test := range []struct {
		flags    []string
		sounding bool
		want     []string
	}{
		{nil, true, []string{"click"}},
		{[]string{"--chart", "blues", "--backing", "bass"}, true, []string{"click", "bass"}},
		{[]string{"--chart", "blues", "--backing", "full", "--click", "off"}, true, []string{"bass", "piano"}},
		{[]string{"--chart", "blues", "--backing", "full"}, false, nil},
		{[]string{"--chart", "blues", "--sync", "clock"}, false, []string{"clock"}},
		{[]string{"--chart", "blues", "--sync", "clock", "--backing", "bass", "--click", "2-4"}, true, []string{"clock", "click", "bass"}},
	} {
		c := listens(t, test.flags...)
		require.Equal(t, test.want, c.with(test.sounding), "%v", test.flags)
	}

	b := harbourBand(t)
	b.tune.With = []string{"click", "bass"}
	file := b.record(played(choruses(2, settled, settled, settled, settled)...))
	require.Contains(t, page(t, file), "with the click and a bass")
	out, _, err := reviewCall(t, &reviewCommand{Files: []string{file}, By: "chorus"})
	require.NoError(t, err)
	require.Contains(t, out, "every chorus at 120, with the click and a bass\n")
}

// Notes of an older shedlight, which do not say what the choruses were, are filled in from
// the take; what was told with it stays.
func TestNotesThatSayNothingOfTempi(t *testing.T) {
	b := harbourBand(t)
	bad := choruses(3, settled, slips, settled, oneSlip)
	first := b.record(played(bad...))
	page(t, first)
	beside := strings.TrimSuffix(first, ".mid") + ".notes.json"
	text, err := os.ReadFile(beside)
	require.NoError(t, err)
	var kept map[string]any
	require.NoError(t, json.Unmarshal(text, &kept))
	told := kept["suggested"]
	require.NotEmpty(t, told)
	require.NotEmpty(t, kept["played"])
	delete(kept, "played")
	text, err = json.Marshal(kept)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(beside, text, 0o600))

	second := page(t, b.record(played(choruses(3, settled, settled, settled, settled)...)))
	require.Contains(t, second, "since 1 earlier take: slips from")
	require.Contains(t, second, "met: bar 2, over F7")
	text, err = os.ReadFile(beside)
	require.NoError(t, err)
	kept = nil
	require.NoError(t, json.Unmarshal(text, &kept))
	require.Equal(t, told, kept["suggested"])
	require.NotEmpty(t, kept["played"])
}
