package smf_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

var update = flag.Bool("update", false, "write the files of testdata/midi and their table")

const specimenDir = "../../testdata/midi"

// The table of examples in Standard MIDI Files 1.0, "Variable-length
// quantities".
func TestVariableLengthNumbers(t *testing.T) {
	for _, c := range []struct {
		number uint32
		bytes  []byte
	}{
		{0x00000000, []byte{0x00}},
		{0x00000040, []byte{0x40}},
		{0x0000007F, []byte{0x7F}},
		{0x00000080, []byte{0x81, 0x00}},
		{0x00002000, []byte{0xC0, 0x00}},
		{0x00003FFF, []byte{0xFF, 0x7F}},
		{0x00004000, []byte{0x81, 0x80, 0x00}},
		{0x00100000, []byte{0xC0, 0x80, 0x00}},
		{0x001FFFFF, []byte{0xFF, 0xFF, 0x7F}},
		{0x00200000, []byte{0x81, 0x80, 0x80, 0x00}},
		{0x08000000, []byte{0xC0, 0x80, 0x80, 0x00}},
		{0x0FFFFFFF, []byte{0xFF, 0xFF, 0xFF, 0x7F}},
	} {
		assert.Equal(t, c.bytes, smf.AppendVarLen(nil, c.number), "write %#x", c.number)

		f, err := smf.Read(join(header(0, 1, 0x7F, 0xFF), chunk("MTrk", join(c.bytes, end[1:])...)))
		require.NoError(t, err)
		assert.Empty(t, f.Damage)
		assert.Equal(t, int64(c.number), f.Tracks[0].End, "read % x", c.bytes)
	}
}

func ExampleAppendVarLen() {
	fmt.Printf("% X\n", smf.AppendVarLen(nil, 0x4000))
	// Output: 81 80 00
}

func notes(events []analyse.Event) string {
	var list []string
	for _, e := range events {
		if e.Kind == analyse.NoteOn && e.Velocity > 0 {
			list = append(list, fmt.Sprintf("%d:%d", e.Tick, e.Key))
		}
	}
	return strings.Join(list, " ")
}

func TestSpecimens(t *testing.T) {
	for _, s := range specimens() {
		t.Run(s.name, func(t *testing.T) {
			f, err := smf.Read(s.data)
			require.NoError(t, err)
			assert.Equal(t, s.format, f.Format)
			assert.Equal(t, s.notes, notes(slices.Collect(f.Stream(smf.Selection{}))))
			require.Len(t, f.Damage, len(s.damage), "%v", f.Damage)
			for i, want := range s.damage {
				offset, text, _ := strings.Cut(want, ": ")
				assert.Equal(t, offset, fmt.Sprint(f.Damage[i].Offset), f.Damage[i].Text)
				assert.Contains(t, f.Damage[i].Text, text)
			}
		})
	}
}

// The files in testdata/midi are the specimens, and their table names each.
func TestSpecimenFiles(t *testing.T) {
	table := "# MIDI files for tests\n\nMade by `go test ./listen/smf -update` from `listen/smf/specimens_test.go`, where stands what a reader must make of each.\n" +
		"The first ones are as Standard MIDI Files 1.0 has them, those with a number in the last column are damaged there.\n\n" +
		"| file | what it is | bytes | damaged at |\n|---|---|---|---|\n"
	names := map[string]bool{"README.md": true}
	check := func(name string, want []byte) {
		path := filepath.Join(specimenDir, name)
		if *update {
			require.NoError(t, os.WriteFile(path, want, 0o644))
		}
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(want, got), "%s differs from the specimen: run with -update", name)
	}
	for _, s := range specimens() {
		var at []string
		for _, d := range s.damage {
			offset, _, _ := strings.Cut(d, ":")
			at = append(at, offset)
		}
		table += fmt.Sprintf("| %s.mid | %s | %d | %s |\n", s.name, s.about, len(s.data), strings.Join(at, ", "))
		names[s.name+".mid"] = true
		check(s.name+".mid", s.data)
	}
	check("README.md", []byte(table))
	there, err := os.ReadDir(specimenDir)
	require.NoError(t, err)
	for _, e := range there {
		assert.True(t, names[e.Name()], "%s is in no table", e.Name())
	}
}

func TestNoMIDIFile(t *testing.T) {
	for name, c := range map[string]struct{ data, want string }{
		"empty":         {"", "byte 0: an empty file, expected a MIDI file, which starts with MThd"},
		"text":          {"title: Two Bridges\n", `byte 0: "titl", expected a MIDI file, which starts with MThd`},
		"escapes":       {"\x1b[2J", `byte 0: "\x1b[2J", expected a MIDI file, which starts with MThd`},
		"header cut":    {"MThd\x00\x00\x00\x06\x00\x01", "byte 10: the file ends within the header, expected 14 bytes of it"},
		"riff no smf":   {"RIFF\x10\x00\x00\x00RMIDdata\x04\x00\x00\x00abcd", `byte 0: "RIFF", expected a MIDI file, which starts with MThd`},
		"riff data cut": {"RIFF\xff\xff\xff\xffRMIDLIST\xff\xff\xff\xff", `byte 0: "RIFF", expected a MIDI file, which starts with MThd`},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := smf.Read([]byte(c.data))
			assert.EqualError(t, err, c.want)
		})
	}
	_, err := smf.Read(make([]byte, smf.MaxSize+1))
	assert.EqualError(t, err, "more than 64 MiB: expected a MIDI file of at most that size")
	_, err = smf.ReadFile(t.TempDir())
	assert.Error(t, err, "a folder")
}

// Cut anywhere, a file gives the notes before the cut.
func TestTruncation(t *testing.T) {
	whole := one(twoNotes)
	for size := bodyAt; size < len(whole); size++ {
		f, err := smf.Read(whole[:size])
		require.NoError(t, err)
		assert.NotEmpty(t, f.Damage, "cut at %d", size)
		want := ""
		if size >= bodyAt+len(onC) {
			want = "0:60"
		}
		if size >= bodyAt+len(onC)+len(offC)+len(onE) {
			want = "0:60 960:64"
		}
		assert.Equal(t, want, notes(slices.Collect(f.Stream(smf.Selection{}))), "cut at %d", size)
	}
}

// A file of a few bytes costs a few bytes, whatever it claims.
func TestClaimsCostNothing(t *testing.T) {
	for _, name := range []string{"track-length-4gib", "tracks-fewer", "meta-length", "chunk-too-long"} {
		data, err := os.ReadFile(filepath.Join(specimenDir, name+".mid"))
		require.NoError(t, err)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		f, err := smf.Read(data)
		require.NoError(t, err)
		_ = slices.Collect(f.Stream(smf.Selection{}))
		runtime.ReadMemStats(&after)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(64<<10), name)
	}
}

func TestManyTracks(t *testing.T) {
	const count = 40_000 // more than a signed 16-bit number holds
	data := header(1, count, quarter96...)
	for range count {
		data = append(data, chunk("MTrk", end...)...)
	}
	f, err := smf.Read(data)
	require.NoError(t, err)
	assert.Len(t, f.Tracks, count)
	assert.Empty(t, f.Damage)
	assert.Empty(t, slices.Collect(f.Stream(smf.Selection{})))

	for range 1<<16 - count {
		data = append(data, chunk("MTrk", end...)...)
	}
	f, err = smf.Read(data)
	require.NoError(t, err)
	assert.Len(t, f.Tracks, 1<<16-1)
	assert.Equal(t, "more than 65535 tracks: the rest is left out", f.Damage[1].Text)
}

func TestDamageListIsBounded(t *testing.T) {
	f, err := smf.Read(one(bytes.Repeat([]byte{0, 0xF4}, 1000), end))
	require.NoError(t, err)
	require.Len(t, f.Damage, 101)
	assert.Equal(t, smf.Damage{Offset: bodyAt + 201, Text: "and 900 more"}, f.Damage[100])
}

func TestNamesAreHarmless(t *testing.T) {
	f, err := smf.ReadFile(filepath.Join(specimenDir, "text-hostile.mid"))
	require.NoError(t, err)
	assert.Equal(t, "]0;owned  [2Jwaltz 31m", f.Tracks[0].Name)
	assert.Equal(t, "Café", smf.Text([]byte("Caf\xe9")), "ISO 8859-1")
	assert.Equal(t, "Café", smf.Text([]byte("Café\n")), "UTF-8")
	assert.Equal(t, "a b", smf.Text([]byte("a\u202Eb")), "a change of direction")
	assert.Equal(t, strings.Repeat("é", 200), smf.Text([]byte(strings.Repeat("é", 5000))))
	assert.Equal(t, strings.Repeat("𝄞", 200), smf.Text([]byte(strings.Repeat("𝄞", 201))))
	assert.Equal(t, "x", smf.Text([]byte("x"+strings.Repeat("\x00", 5000)+"\xff")))
}

// Tempo and meter go before everything else at their tick, whatever the track
// and whatever is selected; notes keep the order of tracks, then of arrival.
func TestOrder(t *testing.T) {
	timing := []byte{0x60, 0xFF, 0x58, 4, 3, 2, 24, 8, 0x00, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20}
	f, err := smf.Read(join(header(1, 2, quarter96...),
		chunk("MTrk", join([]byte{0x60, 0xB0, 64, 127, 0, 0xC1, 5, 0, 0xE1, 1, 2, 0, 0xD1, 9, 0, 0xA1, 60, 7}, end)...),
		chunk("MTrk", join(timing, []byte{0, 0x99, 36, 1, 0, 0x80, 1, 2}, end)...)))
	require.NoError(t, err)
	meter := analyse.Event{Tick: 960, Kind: analyse.Meter, Value: 3<<8 | 4}
	tempo := analyse.Event{Tick: 960, Kind: analyse.Tempo, Value: 500_000}
	pedal := analyse.Event{Tick: 960, Kind: analyse.Control, Key: 64, Velocity: 127}
	program := analyse.Event{Tick: 960, Kind: analyse.Program, Channel: 1, Key: 5}
	bend := analyse.Event{Tick: 960, Kind: analyse.PitchBend, Channel: 1, Key: 1, Velocity: 2}
	breath := analyse.Event{Tick: 960, Kind: analyse.ChannelPressure, Channel: 1, Key: 9}
	poly := analyse.Event{Tick: 960, Kind: analyse.PolyPressure, Channel: 1, Key: 60, Velocity: 7}
	drum := analyse.Event{Tick: 960, Kind: analyse.NoteOn, Channel: 9, Key: 36, Velocity: 1}
	off := analyse.Event{Tick: 960, Kind: analyse.NoteOff, Key: 1, Velocity: 2}
	assert.Equal(t, []analyse.Event{meter, tempo, pedal, program, bend, breath, poly, off}, slices.Collect(f.Stream(smf.Selection{})))
	assert.Equal(t, []analyse.Event{meter, tempo, pedal, program, bend, breath, poly, drum, off}, slices.Collect(f.Stream(smf.Selection{Channels: smf.AllChannels})))
	assert.Equal(t, []analyse.Event{meter, tempo, off}, slices.Collect(f.Stream(smf.Selection{Tracks: []int{1}})))
	assert.Equal(t, []analyse.Event{meter, tempo, pedal}, slices.Collect(f.Stream(smf.Selection{Tracks: []int{0}, Channels: 1})))
	assert.Equal(t, int64(960), f.End())
}

func TestNoteTracks(t *testing.T) {
	f, err := smf.ReadFile(filepath.Join(specimenDir, "format-1.mid"))
	require.NoError(t, err)
	assert.Equal(t, "Harbour Lights Waltz", f.Tracks[0].Name)
	assert.Equal(t, []smf.TrackNotes{{Index: 1, Channels: 1, Notes: 2}, {Index: 2, Channels: 1, Notes: 1}}, f.NoteTracks(0))
	assert.Empty(t, f.NoteTracks(1<<9))
	assert.Equal(t, `track 1 "": 2 notes on channel 1`, f.NoteTracks(0)[0].String())
}

// anyEvent draws an event that a file can hold, at a tick.
func anyEvent(t *rapid.T, tick int64) analyse.Event {
	kind := analyse.Kind(rapid.IntRange(int(analyse.NoteOff), int(analyse.Meter)).Draw(t, "kind"))
	e := analyse.Event{Tick: tick, Kind: kind}
	switch kind {
	case analyse.Tempo:
		e.Value = rapid.Int64Range(timebase.MinTempo, timebase.MaxTempo).Draw(t, "tempo")
	case analyse.Meter:
		e.Value = rapid.Int64Range(1, 99).Draw(t, "beats")<<8 | 1<<rapid.IntRange(0, 6).Draw(t, "unit")
	default:
		e.Channel = rapid.Uint8Range(0, 15).Draw(t, "channel")
		e.Key = rapid.Uint8Range(0, 127).Draw(t, "key")
		if kind != analyse.Program && kind != analyse.ChannelPressure {
			e.Velocity = rapid.Uint8Range(0, 127).Draw(t, "velocity")
		}
	}
	return e
}

func file(events []analyse.Event, end int64) []byte {
	w := smf.TrackWriter{}
	for _, e := range events {
		w.Event(e)
	}
	w.End(end)
	return append(smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(w.Bytes))), w.Bytes...)
}

// What is written is what is read, waits longer than a delta time included.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var events []analyse.Event
		tick := int64(0)
		for range rapid.IntRange(0, 40).Draw(t, "events") {
			// At least one tick apart, so that tempo and meter keep their place.
			tick += rapid.OneOf(rapid.Int64Range(1, 2000), rapid.Int64Range(smf.MaxVarLen-1, 3*smf.MaxVarLen)).Draw(t, "wait")
			events = append(events, anyEvent(t, tick))
		}
		f, err := smf.Read(file(events, tick+5))
		require.NoError(t, err)
		require.Empty(t, f.Damage)
		require.Equal(t, tick+5, f.End())
		require.Equal(t, append([]analyse.Event{}, events...), slices.AppendSeq([]analyse.Event{}, f.Stream(smf.Selection{Channels: smf.AllChannels})))
	})
}

func TestWhatAFileCannotHold(t *testing.T) {
	for name, e := range map[string]analyse.Event{
		"tempo 0":           {Kind: analyse.Tempo},
		"tempo too slow":    {Kind: analyse.Tempo, Value: timebase.MaxTempo + 1},
		"meter 4/3":         {Kind: analyse.Meter, Value: 4<<8 | 3},
		"meter too large":   {Kind: analyse.Meter, Value: 1<<16 | 4<<8 | 4},
		"channel 17":        {Kind: analyse.NoteOn, Channel: 16, Key: 60, Velocity: 1},
		"key 128":           {Kind: analyse.NoteOn, Key: 128, Velocity: 1},
		"velocity 128":      {Kind: analyse.NoteOn, Key: 60, Velocity: 128},
		"two-byte program":  {Kind: analyse.Program, Key: 1, Velocity: 1},
		"an origin":         {Kind: analyse.Origin},
		"nothing":           {},
		"before the start":  {Tick: -1, Kind: analyse.NoteOn, Key: 60, Velocity: 1},
		"after the last":    {Tick: timebase.MaxTick + 1, Kind: analyse.NoteOn, Key: 60, Velocity: 1},
		"a tempo much late": {Tick: timebase.MaxTick + 1, Kind: analyse.Tempo, Value: 1},
	} {
		w := smf.TrackWriter{}
		assert.False(t, w.Event(e), name)
		assert.Empty(t, w.Bytes, name)
	}
}

// SMPTE: the tick of the house at which a file's tick lies, against the time in
// seconds by the definition of each rate (SMPTE 12M: rate 29 stands for
// 30000/1001 frames a second) at 1,920 ticks a second.
func TestDivisions(t *testing.T) {
	for _, c := range []struct {
		division smf.Division
		tick     int64
		want     int64
	}{
		{smf.Division{PerQuarter: 960}, 123_456, 123_456},
		{smf.Division{PerQuarter: 480}, 481, 962},
		{smf.Division{PerQuarter: 1}, 7, 6720},
		{smf.Division{PerQuarter: 32767}, 32767, 960},
		{smf.Division{PerQuarter: 32767}, 32766, 959},
		{smf.Division{Frames: 24, PerFrame: 8}, 24 * 8 * 10, 19_200},
		{smf.Division{Frames: 25, PerFrame: 40}, 1000, 1920},
		{smf.Division{Frames: 29, PerFrame: 100}, 30_000 * 100, 1920 * 1001},
		{smf.Division{Frames: 30, PerFrame: 80}, 30 * 80, 1920},
	} {
		assert.Equal(t, c.want, c.division.Ticks(c.tick), "%+v", c.division)
	}
}
