package take_test

import (
	"bytes"
	"os"
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

// abandoned returns the journal of a take that was never ended, and where its
// batches end. The last tick seen is 4,000 past the last event.
func abandoned(t require.TestingT, dir string, events []analyse.Event, batches int) (data []byte, ends []int) {
	r, ticks := begin(t, dir, take.Settings{Title: "Two Bridges"}, nil)
	path := strings.TrimSuffix(r.Status().Path, ".mid") + ".journal"
	for piece := range slices.Chunk(events, len(events)/batches) {
		addAll(r, piece)
		if len(ends) == batches-1 {
			r.Add(analyse.Event{Tick: events[len(events)-1].Tick + 4000, Kind: analyse.Advance})
		}
		second(ticks)
		var err error
		data, err = os.ReadFile(path)
		require.NoError(t, err)
		ends = append(ends, len(data))
	}
	_, err := r.Close(0)
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(dir))
	return data, ends
}

// leave puts a journal into a new folder, as a killed process leaves it.
func leave(t testing.TB, data []byte) (dir string) {
	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".journal"), data, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".lock"), nil, 0o644))
	return dir
}

func TestRecover(t *testing.T) {
	events := phrase(8)
	data, _ := abandoned(t, t.TempDir(), events, 2)
	dir := leave(t, data)
	paths, err := take.Recover(dir, func(_ take.Settings, _ []analyse.Event, end int64) []take.Marker {
		return []take.Marker{{Tick: end, Text: "F7"}}
	})
	require.NoError(t, err)
	assert.Equal(t, []string{filepath.Join(dir, startName+".mid")}, paths)
	assert.Equal(t, []string{startName + ".mid"}, names(t, dir))
	loaded := load(t, paths[0])
	assert.Equal(t, events, slices.Collect(loaded.Events))
	assert.Equal(t, "Two Bridges", loaded.Title)
	assert.Equal(t, events[len(events)-1].Tick+4000, loaded.End, "the silence at the end counts")
	written, err := os.ReadFile(paths[0])
	require.NoError(t, err)
	assert.Contains(t, string(written), "\x06\x02F7")

	paths, err = take.Recover(dir, nil)
	assert.NoError(t, err)
	assert.Empty(t, paths, "nothing is left to do")
	paths, err = take.Recover(filepath.Join(dir, "none"), nil)
	assert.NoError(t, err)
	assert.Empty(t, paths, "a missing folder")
}

// A journal that is being written is left alone.
func TestRecoverLeavesALiveJournal(t *testing.T) {
	dir := t.TempDir()
	r, ticks := begin(t, dir, take.Settings{}, nil)
	addAll(r, phrase(3))
	second(ticks)
	before := names(t, dir)
	paths, err := take.Recover(dir, nil)
	assert.NoError(t, err)
	assert.Empty(t, paths)
	assert.Equal(t, before, names(t, dir))
	path, err := r.Close(3000)
	require.NoError(t, err)
	assert.Equal(t, phrase(3), slices.Collect(load(t, path).Events))
}

// Cut anywhere, or with a tail of zeros or of old bytes, a journal gives the
// whole batches, and nothing that was not played.
func TestTornJournals(t *testing.T) {
	const sample = 7 // bytes: the less likely tails are tried at every seventh cut
	events := phrase(6)
	data, ends := abandoned(t, t.TempDir(), events, 3)
	whole := func(size int) (n int) { // the events in batches that end before
		for i, end := range ends {
			if size >= end {
				n = (i + 1) * len(events) / len(ends)
			}
		}
		return n
	}
	for size := range len(data) + 1 {
		for name, tail := range map[string][]byte{
			"cut": nil, "zeros": make([]byte, 4096), "a few zeros": make([]byte, 3),
			"text": []byte("old text!"), "statuses": bytes.Repeat([]byte{0xFF}, 16),
		} {
			if name != "cut" && name != "zeros" && (size%sample != 0 || size < 14+8) {
				continue // before byte 22 it is no journal any more: see TestUnreadableJournals
			}
			dir := leave(t, append(bytes.Clone(data[:size]), tail...))
			paths, err := take.RecoverWith(&disk{room: -1}, dir)
			require.NoError(t, err, "%s at %d", name, size)
			var got []analyse.Event
			if len(paths) > 0 {
				got = slices.Collect(load(t, paths[0]).Events)
			}
			require.Equal(t, events[:whole(size)], append([]analyse.Event{}, got...), "%s at %d", name, size)
		}
	}
}

func isPrefix(part, whole []analyse.Event) bool {
	return len(part) <= len(whole) && slices.Equal(part, whole[:len(part)])
}

// A watermark that does not stand at its own tick shows that something before
// it was misread.
func TestWatermarkMustFit(t *testing.T) {
	events := phrase(12)
	data, ends := abandoned(t, t.TempDir(), events, 3)
	mark := []byte(`{"watermark":3760}`)
	at := bytes.Index(data, mark)
	require.Equal(t, ends[1]-len(mark), at)
	for _, other := range []string{`{"watermark":3761}`, `{"watermark":0760}`, `{"watermarks:3760}`} {
		dir := leave(t, append(append(bytes.Clone(data[:at]), other...), data[ends[1]:]...))
		paths, err := take.Recover(dir, nil)
		require.NoError(t, err)
		require.Len(t, paths, 1)
		assert.Equal(t, events[:8], slices.Collect(load(t, paths[0]).Events), other)
		assert.Equal(t, []string{startName + ".damaged", startName + ".mid"}, names(t, dir), "what is behind it is not thrown away")
	}
}

func TestUnreadableJournals(t *testing.T) {
	for name, data := range map[string][]byte{
		"text": []byte("title: Two Bridges\n"), "another header": []byte("MThd\x00\x00\x00\x06\x00\x01\x00\x01\x03\xC0"),
		"another division": append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60"), "MTrk\x00\x00\x00\x04\x00\xFF\x2F\x00"...),
	} {
		dir := leave(t, data)
		paths, err := take.Recover(dir, nil)
		assert.ErrorContains(t, err, "the take stays in "+filepath.Join(dir, startName+".damaged")+": ", name)
		assert.Empty(t, paths)
		assert.Equal(t, []string{startName + ".damaged"}, names(t, dir), name)
		_, err = take.Recover(dir, nil)
		assert.NoError(t, err, "said once: %s", name)
	}
	for name, data := range map[string][]byte{"empty": nil, "never filled in": make([]byte, 100)} {
		dir := leave(t, data)
		paths, err := take.Recover(dir, nil)
		assert.NoError(t, err, name)
		assert.Empty(t, paths)
		assert.Empty(t, names(t, dir), name)
	}
}

// Cut off between the placing of the take and the removal of its journal,
// recovery finds the take there and makes no second one.
func TestRecoverTwice(t *testing.T) {
	data, _ := abandoned(t, t.TempDir(), phrase(8), 2)
	dir := leave(t, data)
	_, err := take.Recover(dir, nil)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".journal"), data, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".part"), data[:50], 0o644))
	_, err = take.Recover(dir, nil)
	require.NoError(t, err)
	assert.Equal(t, []string{startName + ".mid"}, names(t, dir))
}

// FuzzRecover: whatever lies there as a journal, recovery ends, leaves no
// journal behind, and what it makes is a whole take of events in order.
func FuzzRecover(f *testing.F) {
	data, ends := abandoned(f, f.TempDir(), append(phrase(3),
		analyse.Event{Tick: 5000, Kind: analyse.Origin, Value: -960, Key: 1},
		analyse.Event{Tick: 5000, Kind: analyse.Release, Value: int64(analyse.Unplugged)}), 2)
	f.Add(data)
	f.Add(data[:ends[0]+5])
	f.Add(append(bytes.Clone(data), make([]byte, 64)...))
	f.Add(append(bytes.Clone(data[:ends[0]]), data[ends[0]+9:]...))
	specimens, err := filepath.Glob("../../testdata/midi/*.mid")
	require.NoError(f, err)
	require.NotEmpty(f, specimens)
	for _, path := range specimens {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		dir := leave(t, data)
		paths, err := take.RecoverWith(&disk{room: -1}, dir)
		require.LessOrEqual(t, len(paths), 1)
		left := names(t, dir)
		require.NotContains(t, left, startName+".journal")
		require.NotContains(t, left, startName+".part")
		require.NotContains(t, left, startName+".lock")
		if err != nil {
			require.Equal(t, []string{startName + ".damaged"}, left)
		}
		for _, path := range paths {
			loaded := load(t, path)
			require.True(t, slices.IsSortedFunc(slices.Collect(loaded.Events), func(a, b analyse.Event) int { return int(a.Tick - b.Tick) }))
			require.NotNil(t, loaded.Settings)
			require.NotEmpty(t, loaded.Tracks)
			f, err := smf.ReadFile(path)
			require.NoError(t, err)
			require.Len(t, f.Tracks, 2)
		}
	})
}
