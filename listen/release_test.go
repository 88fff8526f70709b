package listen

import (
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
)

// Whatever is held when the instrument goes is let go of in messages that any
// program knows: each key once, on its channel, and each pedal.
func TestUnpluggedLetsGoOfEveryKey(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			for _, message := range [][]byte{
				{0x90, 60, 70}, {0x90, 64, 70}, {0x90, 64, 70}, {0x93, 60, 70}, {0x9F, 127, 1}, {0x90, 0, 1}, // held
				{0xB3, 64, 127},               // a pedal
				{0x90, 61, 70}, {0x80, 61, 0}, // let go
				{0x90, 62, 70}, {0x90, 62, 0}, // let go as well (MIDI 1.0)
				{0x95, 70, 70}, {0xB5, 64, 127}, {0xB5, 123, 0}, // under the pedal, by All Notes Off
				{0x93, 66, 70}, {0x83, 66, 0}, // under the pedal
				{0xB6, 64, 127}, {0xB6, 64, 0}, {0xB7, 64, 63}, // pedals that are up
			} {
				system.send(0, message...)
			}
			system.unplug("Keys")
			pass(time.Second)
		})
		at := slices.IndexFunc(got, func(e analyse.Event) bool { return e.Kind == analyse.Release })
		require.GreaterOrEqual(t, at, 0)
		var wire [][]byte
		for _, e := range got[at+1:] {
			assert.Equal(t, got[at].Tick, e.Tick)
			wire = append(wire, Wire(e))
		}
		assert.Equal(t, [][]byte{
			{0x80, 0, 64}, {0x80, 60, 64}, {0x80, 64, 64},
			{0x83, 60, 64}, {0xB3, 64, 0},
			{0xB5, 64, 0},
			{0x8F, 127, 64},
		}, wire)
	})
}

// Nothing is let go of twice.
func TestReleasesAreWrittenOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			for range 5 {
				system.send(0, 0x90, 60, 70)
				system.unplug("Keys")
				pass(2 * time.Second)
				system.plug("Keys")
				pass(2 * time.Second)
			}
		})
		var kinds []analyse.Kind
		for range 5 {
			kinds = append(kinds, analyse.NoteOn, analyse.Release, analyse.NoteOff, analyse.Found)
		}
		for i, e := range got {
			assert.Equal(t, kinds[i], e.Kind, "event %d", i)
		}
		assert.Len(t, got, len(kinds))
	})
}

// To the analyser they say nothing that the Release has not said.
func TestReleasesChangeNoFinding(t *testing.T) {
	split := analyse.Setup{Split: 60}
	played := []analyse.Event{
		{Tick: 0, Kind: analyse.Tempo, Value: 480_000},
		{Tick: 10, Kind: analyse.Control, Key: 64, Velocity: 127},
		{Tick: 20, Kind: analyse.NoteOn, Key: 48, Velocity: 70},
		{Tick: 25, Kind: analyse.NoteOn, Key: 52, Velocity: 70},
		{Tick: 200, Kind: analyse.NoteOn, Key: 67, Velocity: 70},
		{Tick: 400, Kind: analyse.NoteOn, Key: 69, Velocity: 70},
		{Tick: 500, Kind: analyse.NoteOff, Key: 67, Velocity: 64},
		{Tick: 600, Kind: analyse.Release, Value: int64(analyse.Unplugged)},
		{Tick: 600, Kind: analyse.NoteOff, Key: 48, Velocity: 64},
		{Tick: 600, Kind: analyse.NoteOff, Key: 52, Velocity: 64},
		{Tick: 600, Kind: analyse.NoteOff, Key: 69, Velocity: 64},
		{Tick: 600, Kind: analyse.Control, Key: 64},
		{Tick: 9000, Kind: analyse.Found},
		{Tick: 9600, Kind: analyse.NoteOn, Key: 72, Velocity: 70},
		{Tick: 9900, Kind: analyse.NoteOff, Key: 72, Velocity: 64},
	}
	bare := slices.Concat(played[:8], played[12:])
	with, withSummary := judge(t, split, played)
	without, withoutSummary := judge(t, split, bare)
	assert.NotEmpty(t, with)
	assert.Equal(t, without, with)
	assert.Equal(t, withoutSummary, withSummary)
}

func judge(t *testing.T, setup analyse.Setup, events []analyse.Event) (all []analyse.Finding, end analyse.Summary) {
	t.Helper()
	a, err := analyse.New(setup)
	require.NoError(t, err)
	for _, e := range events {
		all = append(all, a.Add(e)...)
	}
	all = append(all, a.Finish(events[len(events)-1].Tick)...)
	return all, a.Summary()
}
