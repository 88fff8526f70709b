package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen/smf"
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

// The same take into one folder again and again is told the worst place twice in a row,
// and nothing lesser in its stead while it rests: kinds take turns.
func TestTheSameTakeAgainAndAgain(t *testing.T) {
	b := harbourBand(t)
	same := choruses(3, settled, slips, settled, oneSlip)
	const place = "1. F7, bar 2: "
	for i, told := range []bool{true, true, false, true, true, false, true, true} {
		text := page(t, b.record(played(same...)))
		t.Log(nextTimeOf(text))
		require.Equal(t, told, strings.Contains(text, place), "take %d", i+1)
		require.NotContains(t, text, ". Bb7, bar 4: ")
		require.Contains(t, text, "Next time", "something is said each time")
	}
}

// A place that was cleared is told as met, once, even where the suggestion was
// resting.
func TestClearedWhileItRests(t *testing.T) {
	b := harbourBand(t)
	const met = " bar 2, over F7, from 9 of 24 to 0 of 24"
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

// Files that are no takes of ours take turns too, over the chart that was named; over
// another one their notes are begun anew.
func TestPlainFilesTakeTurns(t *testing.T) {
	dir := t.TempDir()
	chart := filepath.Join(dir, "harbour.chart")
	require.NoError(t, os.WriteFile(chart, []byte(harbourSteps), 0o600))
	var track smf.TrackWriter
	events := played(choruses(3, settled, slips, settled, oneSlip)...)
	for _, e := range events {
		track.Event(e)
	}
	track.End(events[len(events)-1].Tick)
	data := append(smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes))), track.Bytes...)
	for i, told := range []bool{true, true, false} {
		file := filepath.Join(dir, []string{"1.mid", "2.midi", "3.mid"}[i])
		require.NoError(t, os.WriteFile(file, data, 0o600))
		for range 2 {
			out, _, err := reviewCall(t, &reviewCommand{Files: []string{file}, Tune: settings.Tune{Chart: "blues"}})
			require.NoError(t, err)
			require.NotContains(t, out, "earlier take")
			out, _, err = reviewCall(t, &reviewCommand{Files: []string{file}, Tune: settings.Tune{Chart: chart}})
			require.NoError(t, err)
			require.Equal(t, told, strings.Contains(out, "1. F7, bar 2: "), "file %d", i+1)
		}
	}
}
