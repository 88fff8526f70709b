package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
)

// harbourSteps is a tune of four bars, for takes that are written out bar by
// bar.
const harbourSteps = "title: Harbour Steps\nkey: Eb\nmeter: 4/4\ntempo: 120\n\n| Eb6 | F7 | Cm7 | Bb7 |\n"

// Bars of eighths over it: one of tones of the sixth chord and the dim chord,
// with leaps to where they settle, and two with leaps to and from a semitone
// that belongs nowhere.
var (
	settled = []uint8{63, 67, 70, 72, 75, 72, 70, 67}
	oneSlip = []uint8{63, 67, 70, 57, 75, 72, 70, 67} // A over Bb7
	slips   = []uint8{67, 73, 63, 76, 72, 66, 60, 67} // Db, E, Gb over an F7 that does not resolve
)

// played writes bars of eighths out, one after the other.
func played(bars ...[]uint8) (events []analyse.Event) {
	const eighth = timebase.Quarter / 2
	for i, bar := range bars {
		for j, key := range bar {
			at := int64(i*len(bar)+j) * eighth
			events = append(events, analyse.Event{Tick: at, Kind: analyse.NoteOn, Key: key, Velocity: 80},
				analyse.Event{Tick: at + eighth - 1, Kind: analyse.NoteOff, Key: key})
		}
	}
	return events
}

func choruses(n int, chorus ...[]uint8) (bars [][]uint8) {
	for range n {
		bars = append(bars, chorus...)
	}
	return bars
}

func harbourBand(t *testing.T) *band {
	chart := filepath.Join(t.TempDir(), "harbour.chart")
	require.NoError(t, os.WriteFile(chart, []byte(harbourSteps), 0o600))
	return newBand(t, settings.Tune{Chart: chart})
}

// The same take into one folder again and again is told something each time:
// what had no effect twice gives way to what the slips have in common.
func TestTheSameTakeAgainAndAgain(t *testing.T) {
	b := harbourBand(t)
	same := choruses(3, settled, slips, settled, oneSlip)
	places := []string{"1. bar 2, over F7: 9 slips in 24 notes", "3. bar 4, over Bb7: 3 slips in 24 notes"}
	together := []string{"1. over dominant chords: 12 slips in 48 notes, bars 2, 4", "2. 1 of the 8 chords of the Ebmaj7 family played in 3 choruses,"}
	for i, want := range [][]string{places, places, together, together, places, places} {
		text := page(t, b.record(played(same...)))
		for _, line := range want {
			require.Contains(t, text, line, "take %d", i+1)
		}
	}
}

// A place that was cleared is told as met, once, even where the suggestion was
// resting.
func TestClearedWhileItRests(t *testing.T) {
	b := harbourBand(t)
	const met = " bar 2, over F7, 9 of 24 -> 0 of 24"
	for range 3 {
		text := page(t, b.record(played(choruses(3, settled, slips, settled, oneSlip)...)))
		require.NotContains(t, text, "met:")
	}
	cleared := choruses(3, settled, settled, settled, oneSlip)
	fourth := b.record(played(cleared...))
	require.Contains(t, page(t, fourth), met)
	require.Contains(t, page(t, fourth), met, "a second look says the same")
	require.NotContains(t, page(t, b.record(played(cleared...))), met)
}
