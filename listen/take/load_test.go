package take_test

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

const specimens = "../../testdata/midi/"

func TestLoadAnyFile(t *testing.T) {
	loaded, err := take.Load(specimens+"text-hostile.mid", smf.Selection{})
	require.NoError(t, err)
	assert.Nil(t, loaded.Settings)
	assert.Equal(t, "]0;owned  [2Jwaltz 31m", loaded.Title)
	assert.Equal(t, int64(1920), loaded.End)
	assert.Len(t, slices.Collect(loaded.Events), 4)

	loaded, err = take.Load(specimens+"track-truncated.mid", smf.Selection{})
	require.NoError(t, err)
	assert.Len(t, slices.Collect(loaded.Events), 2)
	assert.Len(t, loaded.Damage, 2)

	loaded, err = take.Load(specimens+"format-2.mid", smf.Selection{})
	require.NoError(t, err, "patterns need no choice")
	assert.Len(t, loaded.Tracks, 2)

	for _, path := range []string{specimens, specimens + "none.mid", specimens + "README.md"} {
		_, err = take.Load(path, smf.Selection{})
		assert.Error(t, err, path)
		assert.NotContains(t, err.Error(), "\n", path)
	}
}

func TestLoadAsksForATrack(t *testing.T) {
	path := specimens + "format-1.mid"
	_, err := take.Load(path, smf.Selection{})
	var choice *take.ChoiceError
	require.True(t, errors.As(err, &choice))
	assert.Len(t, choice.Tracks, 2)
	assert.Equal(t, path+" has several tracks with notes; choose one:\n  track 1 \"\": 2 notes on channel 1\n  track 2 \"\": 1 note on channel 1", err.Error())

	loaded, err := take.Load(path, smf.Selection{Tracks: []int{1}})
	require.NoError(t, err)
	assert.Equal(t, "Harbour Lights Waltz", loaded.Title)
	assert.Len(t, slices.Collect(loaded.Events), 6, "a tempo, a meter, two notes")
	_, err = take.Load(path, smf.Selection{Tracks: []int{3}})
	assert.EqualError(t, err, path+": no track 3, expected 0 to 2")
}

// A player on channel 10 is heard in a take of ours; the selection still rules.
func TestLoadATakeOnEveryChannel(t *testing.T) {
	r, _ := begin(t, t.TempDir(), take.Settings{}, nil)
	r.Add(analyse.Event{Kind: analyse.NoteOn, Channel: 9, Key: 60, Velocity: 9})
	r.Add(analyse.Event{Kind: analyse.NoteOn, Channel: 0, Key: 64, Velocity: 9})
	path, err := r.Close(10)
	require.NoError(t, err)
	assert.Len(t, slices.Collect(load(t, path).Events), 2)
	loaded, err := take.Load(path, smf.Selection{Channels: smf.NotDrums})
	require.NoError(t, err)
	assert.Len(t, slices.Collect(loaded.Events), 1)
}

// A second opinion on our takes: Debian's midicsv, which reads Standard MIDI
// Files and prints them line by line. SHEDLIGHT_REFERENCE=1 asks for it.
func TestAgainstMidicsv(t *testing.T) {
	program, err := exec.LookPath("midicsv")
	if err != nil && os.Getenv("SHEDLIGHT_REFERENCE") != "1" {
		t.Skip("midicsv is not installed")
	}
	require.NoError(t, err)
	events := append([]analyse.Event{{Kind: analyse.Meter, Value: 6<<8 | 8}, {Kind: analyse.Tempo, Value: 451_234}}, phrase(20)...)
	at := events[len(events)-1].Tick
	events = append(events,
		analyse.Event{Tick: at, Kind: analyse.NoteOff, Channel: 3, Key: 7, Velocity: 64},
		analyse.Event{Tick: at + 1, Kind: analyse.Control, Channel: 15, Key: 64, Velocity: 127},
		analyse.Event{Tick: at + 2, Kind: analyse.PolyPressure, Key: 60, Velocity: 99},
		analyse.Event{Tick: at + 3, Kind: analyse.Program, Channel: 1, Key: 12},
		analyse.Event{Tick: at + 4, Kind: analyse.ChannelPressure, Key: 33},
		analyse.Event{Tick: at + 5, Kind: analyse.PitchBend, Key: 1, Velocity: 64},
		analyse.Event{Tick: at + 5, Kind: analyse.Origin, Value: 0, Key: 1},
		analyse.Event{Tick: at + 3_000_000, Kind: analyse.NoteOn, Key: 127, Velocity: 127})
	r, _ := begin(t, t.TempDir(), take.Settings{Title: "Two Bridges", Chart: "[A]\n| C6 |\n"}, nil)
	addAll(r, events)
	path, err := r.Close(at + 4_000_000)
	require.NoError(t, err)

	output, err := exec.Command(program, path).CombinedOutput()
	require.NoError(t, err, "%s", output)
	var want, got []string
	for _, e := range events {
		line := fmt.Sprintf("%d, %d, %d", e.Channel, e.Key, e.Velocity)
		switch e.Kind {
		case analyse.NoteOn:
			line = "Note_on_c, " + line
		case analyse.NoteOff:
			line = "Note_off_c, " + line
		case analyse.Control:
			line = "Control_c, " + line
		case analyse.PolyPressure:
			line = "Poly_aftertouch_c, " + line
		case analyse.Program:
			line = fmt.Sprintf("Program_c, %d, %d", e.Channel, e.Key)
		case analyse.ChannelPressure:
			line = fmt.Sprintf("Channel_aftertouch_c, %d, %d", e.Channel, e.Key)
		case analyse.PitchBend:
			line = fmt.Sprintf("Pitch_bend_c, %d, %d", e.Channel, int(e.Velocity)<<7|int(e.Key))
		default:
			continue
		}
		want = append(want, fmt.Sprintf("2, %d, %s", e.Tick, line))
	}
	want = append(want, fmt.Sprintf("2, %d, End_track", at+4_000_000))
	for line := range strings.Lines(string(output)) {
		if strings.Contains(line, "_c, ") || strings.HasPrefix(line, "2, ") && strings.Contains(line, "End_track") {
			got = append(got, strings.TrimSpace(line))
		}
	}
	assert.Equal(t, want, got)
	for _, line := range []string{
		"0, 0, Header, 1, 2, 960", `1, 0, Title_t, "Two Bridges"`, "1, 0, Time_signature, 6, 3, 36, 8", "1, 0, Tempo, 451234",
	} {
		assert.Contains(t, string(output), line+"\n")
	}
}

func BenchmarkLoad36000Notes(b *testing.B) {
	r, ticks := begin(b, b.TempDir(), take.Settings{Title: "Two Bridges"}, nil)
	events := phrase(36_000)
	for minute := range slices.Chunk(events, len(events)/60) {
		addAll(r, minute)
		second(ticks)
	}
	path, err := r.Close(0)
	require.NoError(b, err)
	require.Zero(b, r.Status().Unsaved)
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		loaded, err := take.Load(path, smf.Selection{})
		if err != nil || len(slices.Collect(loaded.Events)) != len(events) {
			b.Fatal(err, len(slices.Collect(loaded.Events)))
		}
	}
}

// BenchmarkRecord is all that an event costs: the queue, its encoding, and its
// part of a write.
func BenchmarkRecord(b *testing.B) {
	const (
		aSecond = 10_000    // events: the flood of the design
		aTake   = 1_000_000 // events: a journal has room for more than ten times that
	)
	r, ticks := begin(b, b.TempDir(), take.Settings{}, nil)
	finish := func(tick int64) {
		_, err := r.Close(tick)
		require.NoError(b, err)
		require.Zero(b, r.Status().Unsaved)
	}
	tick := int64(0)
	b.ReportAllocs()
	for b.Loop() {
		if tick++; tick%aSecond == 0 {
			second(ticks)
		}
		r.Add(analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: 60, Velocity: 80})
		if tick == aTake {
			b.StopTimer()
			finish(tick)
			r, ticks = begin(b, b.TempDir(), take.Settings{}, nil)
			tick = 0
			b.StartTimer()
		}
	}
	finish(tick)
}

// BenchmarkFinish36000Notes is the end of an hour of dense playing: from its
// journal to its take.
func BenchmarkFinish36000Notes(b *testing.B) {
	data, _ := abandoned(b, b.TempDir(), phrase(36_000), 36)
	b.ReportAllocs()
	for b.Loop() {
		dir := leave(b, data)
		paths, err := take.Recover(dir, nil)
		if err != nil || len(paths) != 1 || filepath.Dir(paths[0]) != dir {
			b.Fatal(err, paths)
		}
	}
}

// Tracks that all play in one zone are one piece: a track for each channel, as some
// programs write it. MIDI Polyphonic Expression 1.0, MPE Configuration Message.
func TestTracksOfOneZoneNeedNoChoice(t *testing.T) {
	conductor, first, second := &smf.TrackWriter{}, &smf.TrackWriter{}, &smf.TrackWriter{}
	for _, control := range [][2]uint8{{101, 0}, {100, 6}, {6, 15}} {
		conductor.Event(analyse.Event{Kind: analyse.Control, Key: control[0], Velocity: control[1]})
	}
	first.Event(analyse.Event{Kind: analyse.NoteOn, Channel: 1, Key: 60, Velocity: 70})
	second.Event(analyse.Event{Kind: analyse.NoteOn, Channel: 9, Key: 64, Velocity: 70})
	data := smf.AppendHeader(nil, 1, 3)
	for _, track := range []*smf.TrackWriter{conductor, first, second} {
		track.End(960)
		data = append(smf.AppendTrackHeader(data, uint32(len(track.Bytes))), track.Bytes...)
	}
	loaded, err := take.Read(data, "zone.mid", smf.Selection{})
	require.NoError(t, err)
	assert.Len(t, loaded.Tracks, 2)
	assert.Len(t, slices.Collect(loaded.Events), 5)
	assert.Empty(t, loaded.LeftOut)

	loaded, err = take.Read(data, "zone.mid", smf.Selection{Tracks: []int{0, 1}})
	require.NoError(t, err)
	assert.Equal(t, []string{`track 2 "": 1 note on channel 10 left out`}, loaded.LeftOut)
}

// A choice among more tracks than a screen has rows is one line.
func TestChoiceAmongMany(t *testing.T) {
	err := &take.ChoiceError{Path: "many.mid"}
	for i := range 65_535 {
		err.Tracks = append(err.Tracks, smf.TrackNotes{Index: i, Notes: 2, Channels: 1})
	}
	require.NotContains(t, err.Error(), "\n")
	require.Contains(t, err.Error(), "many.mid has 65535 tracks with notes, from track 0 ")
	err.Tracks = err.Tracks[:3]
	require.Equal(t, 3, strings.Count(err.Error(), "\n"))
}
