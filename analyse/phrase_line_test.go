package analyse_test

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// How lines are written down in these tests, one word after the other:
//
//	D4       a note that lasts an eighth
//	D4.3     a note of three eighths
//	D4.3+96  96 ticks longer, D4.3-1 a tick shorter; what follows stays where it is
//	-  -.4   a rest of an eighth, of four
//	@+5 @-5  what follows comes so many ticks later or earlier
//	[C3,E3]  keys struck together, under the line: what follows starts with them
//	|        a bar line, for the eye
//
// An eighth is half of 960 ticks, whatever the meter.
const eighth = timebase.Quarter / 2

var writtenNote = regexp.MustCompile(`^([A-G][b#]*-?\d)(?:\.(\d+))?([+-]\d+)?$`)

// performed reads a line that starts at a tick.
func performed(t testing.TB, from int64, line string) []analyse.Event {
	number := func(s string, missing int64) int64 {
		if s == "" {
			return missing
		}
		n, err := strconv.ParseInt(s, 10, 64)
		require.NoError(t, err, line)
		return n
	}
	key := func(s string) uint8 {
		p, err := tone.ParsePitch(s)
		require.NoError(t, err, line)
		return uint8(p.Key())
	}
	var events []analyse.Event
	at := from
	for word := range strings.FieldsSeq(line) {
		switch word[0] {
		case '|':
		case '@':
			at += number(word[1:], 0)
		case '-':
			at += eighth * number(strings.TrimPrefix(word[1:], "."), 1)
		case '[':
			for name := range strings.SplitSeq(strings.Trim(word, "[]"), ",") {
				events = append(events, on(at, key(name)), off(at+eighth, key(name)))
			}
		default:
			m := writtenNote.FindStringSubmatch(word)
			require.NotNil(t, m, "%q is no note: expected one like D4, D4.3 or D4.3-1", word)
			length := eighth * number(m[2], 1)
			events = append(events, on(at, key(m[1])), off(at+length+number(m[3], 0), key(m[1])))
			at += length
		}
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(a.Kind, b.Kind))
	})
	return events
}

// unroll reads a chart.
func unroll(t testing.TB, chart string) *changes.Timeline {
	read, err := changes.Parse(strings.NewReader(chart))
	require.NoError(t, err)
	out, err := read.Unroll()
	require.NoError(t, err)
	return &out
}

// startsAt says that the song begins with bar 1 at a tick.
func startsAt(tick int64) analyse.Event {
	return analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1}
}

// inChords is the setup over a chart of C, in the chord view.
func inChords(t testing.TB, bars string) analyse.Setup {
	return analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n"+bars+"\n"), View: song.ChordView}
}

// review plays a whole session, from tick 0 of the song, and returns what it
// came to and every phrase as it stood when the next one was over.
func review(t testing.TB, s analyse.Setup, events []analyse.Event) (analyse.Summary, []phrase.Phrase) {
	const silence = 8 * timebase.Quarter
	a := analyser(t, s)
	a.Add(startsAt(0))
	var phrases []phrase.Phrase
	look := func() {
		p := a.Snapshot().Phrase
		switch last := len(phrases) - 1; {
		case p.Number == 0:
		case last >= 0 && phrases[last].Number == p.Number:
			phrases[last] = p
		default:
			phrases = append(phrases, p)
		}
	}
	for _, e := range events {
		a.Add(e)
		look()
	}
	a.Finish(events[len(events)-1].Tick + silence)
	look()
	return a.Summary(), phrases
}

// names writes what a phrase is under its chords: "Dm7: D F A C | G7: B".
func names(p phrase.Phrase) string {
	var parts []string
	for _, c := range p.Chords {
		parts = append(parts, fmt.Sprintf("%s: %s", c.Chord, strings.Join(c.Notes, " ")))
	}
	return strings.Join(parts, " | ")
}

// lengths lists how many notes each phrase has.
func lengths(phrases []phrase.Phrase) []int {
	out := []int{}
	for _, p := range phrases {
		out = append(out, p.Notes)
	}
	return out
}
