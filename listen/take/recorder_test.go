package take_test

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

var start = time.Date(2026, 11, 25, 8, 15, 30, 0, time.FixedZone("", 3600))

const startName = "2026-11-25_08-15-30"

// phrase is an invented line of n eighth notes, each released before the next.
func phrase(n int) []analyse.Event {
	keys := []uint8{60, 62, 64, 65, 67, 68, 69, 71}
	var events []analyse.Event
	for i := range n {
		at := int64(i) * timebase.Quarter / 2
		key := keys[i%len(keys)]
		events = append(events,
			analyse.Event{Tick: at, Kind: analyse.NoteOn, Key: key, Velocity: 80},
			analyse.Event{Tick: at + 400, Kind: analyse.NoteOn, Key: key})
	}
	return events
}

// second lets the recorder write once and returns when it has: the channel has
// no buffer, so that the second send waits until the first was dealt with.
func second(ticks chan<- time.Time) {
	ticks <- start
	ticks <- start
}

func begin(t require.TestingT, dir string, s take.Settings, files take.Files) (*take.Recorder, chan<- time.Time) {
	ticks := make(chan time.Time)
	r, err := take.Start(dir, s, start, take.Options{Ticks: ticks, Files: files})
	require.NoError(t, err)
	return r, ticks
}

func addAll(r *take.Recorder, events []analyse.Event) {
	for _, e := range events {
		r.Add(e)
	}
}

func load(t require.TestingT, path string) *take.Take {
	loaded, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	require.Empty(t, loaded.Damage)
	return loaded
}

func names(t require.TestingT, dir string) (list []string) {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

func isTiming(e analyse.Event) bool { return e.Kind == analyse.Tempo || e.Kind == analyse.Meter }

// timingFirst puts tempo and meter before everything else at their tick.
func timingFirst(events []analyse.Event) []analyse.Event {
	rank := func(e analyse.Event) int {
		if isTiming(e) {
			return 0
		}
		return 1
	}
	out := slices.Clone(events)
	slices.SortStableFunc(out, func(a, b analyse.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(rank(a), rank(b)))
	})
	return out
}

func anyEvent(t *rapid.T, tick int64) analyse.Event {
	e := analyse.Event{Tick: tick, Kind: analyse.Kind(rapid.IntRange(int(analyse.NoteOff), int(analyse.Advance)).Draw(t, "kind"))}
	seven := rapid.Uint8Range(0, 127)
	switch e.Kind {
	case analyse.Tempo:
		e.Value = rapid.Int64Range(timebase.MinTempo, timebase.MaxTempo).Draw(t, "tempo")
	case analyse.Meter:
		e.Value = rapid.Int64Range(1, 99).Draw(t, "beats")<<8 | 1<<rapid.IntRange(0, 6).Draw(t, "unit")
	case analyse.Origin, analyse.Release, analyse.Found, analyse.Lost:
		e.Value = rapid.Int64Range(-timebase.MaxTick, timebase.MaxTick).Draw(t, "value")
		e.Channel, e.Key, e.Velocity = rapid.Uint8Range(0, 15).Draw(t, "channel"), seven.Draw(t, "key"), seven.Draw(t, "velocity")
	case analyse.Advance:
	default:
		e.Channel, e.Key = rapid.Uint8Range(0, 15).Draw(t, "channel"), seven.Draw(t, "key")
		if e.Kind != analyse.Program && e.Kind != analyse.ChannelPressure {
			e.Velocity = seven.Draw(t, "velocity")
		}
	}
	return e
}

// A take gives back what went into it, whatever that was and whenever the
// journal was written; a journal that was left behind gives the same.
func TestRoundTrip(t *testing.T) {
	root := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "")
		require.NoError(t, err)
		events := []analyse.Event{{Kind: analyse.NoteOn, Key: 60, Velocity: 1}}
		r, ticks := begin(t, dir, take.Settings{}, &disk{room: -1})
		r.Add(events[0])
		tick := int64(0)
		for range rapid.IntRange(0, 60).Draw(t, "events") {
			tick += rapid.OneOf(rapid.Just(int64(0)), rapid.Int64Range(0, 3000), rapid.Int64Range(0, 2*smf.MaxVarLen)).Draw(t, "wait")
			e := anyEvent(t, tick)
			require.True(t, r.Add(e))
			if e.Kind != analyse.Advance {
				events = append(events, e)
			}
			if rapid.IntRange(0, 9).Draw(t, "write") == 0 {
				ticks <- start
			}
		}
		end := tick + rapid.Int64Range(0, 100_000).Draw(t, "rest")
		path, err := r.Close(end)
		require.NoError(t, err)
		require.Equal(t, []string{startName + ".mid"}, names(t, dir))

		loaded := load(t, path)
		require.Equal(t, timingFirst(events), slices.Collect(loaded.Events))
		require.Equal(t, end, loaded.End)
		require.Equal(t, take.Status{Path: path}, r.Status())
	})
}

func TestSettings(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "there", "yet")
	s := take.Settings{
		Title: "Two Bridges", Chart: "title: Two Bridges\n[A]\n| Bb6 G7b9 | Cm7 F7 |\n", Centre: "Bb major", View: "chord",
		Split: 48, Bars: "5-8", Written: "Bb", LagMS: -3, Source: "Wind \x1b[31m Controller", Program: "0.1",
	}
	r, _ := begin(t, dir, s, nil)
	addAll(r, phrase(2))
	path, err := r.Close(5000)
	require.NoError(t, err)
	loaded := load(t, path)
	s.Version, s.Started = 1, "2026-11-25T08:15:30+01:00"
	assert.Equal(t, &s, loaded.Settings)
	assert.Equal(t, "Two Bridges", loaded.Title)
	assert.Equal(t, path, loaded.Path)
	assert.Equal(t, []smf.TrackNotes{{Index: 1, Name: "playing", Channels: 1, Notes: 2}}, loaded.Tracks)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(data), s.Chart, "any sequencer shows the chart")
	assert.NotContains(t, string(data), "\x1b", "nor does another program's terminal get escapes")
}

// No file is ever replaced: not a take of the same second, not one that
// appears while this one is played.
func TestNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	theirs := []byte("somebody else's file")
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".mid"), theirs, 0o644))

	r, _ := begin(t, dir, take.Settings{}, nil)
	assert.Equal(t, filepath.Join(dir, startName+"-2.mid"), r.Status().Path)
	other, _ := begin(t, dir, take.Settings{}, nil)
	assert.Equal(t, filepath.Join(dir, startName+"-3.mid"), other.Status().Path)
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+"-2.mid"), theirs, 0o644))
	addAll(r, phrase(1))
	addAll(other, phrase(2))
	path, err := r.Close(1000)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, startName+"-2-2.mid"), path)
	_, err = other.Close(1000)
	require.NoError(t, err)
	assert.Equal(t, []string{startName + "-2-2.mid", startName + "-2.mid", startName + "-3.mid", startName + ".mid"}, names(t, dir))
	for _, name := range []string{startName, startName + "-2"} {
		data, err := os.ReadFile(filepath.Join(dir, name+".mid"))
		require.NoError(t, err)
		assert.Equal(t, theirs, data)
	}
}

func TestNothingPlayedIsNotKept(t *testing.T) {
	dir := t.TempDir()
	r, ticks := begin(t, dir, take.Settings{}, nil)
	r.Add(analyse.Event{Kind: analyse.Tempo, Value: 500_000})
	r.Add(analyse.Event{Tick: 5, Kind: analyse.NoteOn, Key: 60})
	second(ticks)
	path, err := r.Close(10)
	assert.NoError(t, err)
	assert.Empty(t, path)
	assert.Empty(t, names(t, dir))
	assert.False(t, r.Add(analyse.Event{Kind: analyse.NoteOn, Key: 60, Velocity: 1}), "after the end")
	assert.Equal(t, take.Status{Unsaved: 1}, r.Status())
	path, err = r.Close(10)
	assert.NoError(t, err)
	assert.Empty(t, path)
}

func TestWhatATakeDoesNotHoldIsCounted(t *testing.T) {
	r, _ := begin(t, t.TempDir(), take.Settings{}, nil)
	addAll(r, phrase(1))
	for _, e := range []analyse.Event{
		{Tick: 500},
		{Tick: 500, Kind: analyse.NoteOn, Key: 128},
		{Tick: 500, Kind: analyse.Origin, Value: timebase.MaxTick + 1},
		{Tick: 500, Kind: analyse.Advance + 1},
	} {
		r.Add(e)
	}
	path, err := r.Close(500)
	require.NoError(t, err)
	assert.Equal(t, take.Status{Path: path, Unsaved: 4}, r.Status())
	assert.Equal(t, phrase(1), slices.Collect(load(t, path).Events))
}

func TestMarkers(t *testing.T) {
	origin := analyse.Event{Tick: 960, Kind: analyse.Origin, Key: 1}
	meter := analyse.Event{Kind: analyse.Meter, Value: 3<<8 | 4}
	var given []analyse.Event
	r, err := take.Start(t.TempDir(), take.Settings{Title: "Two Bridges"}, start, take.Options{
		Ticks: make(chan time.Time),
		Markers: func(s take.Settings, times []analyse.Event, end int64) []take.Marker {
			assert.Equal(t, "Two Bridges", s.Title)
			assert.Equal(t, int64(4000), end)
			given = times
			return []take.Marker{{Tick: 2400, Text: "F7\x1b"}, {Tick: 960, Text: "Cm7"}, {Tick: 4001, Text: "behind"}, {Tick: -1, Text: "before"}}
		},
	})
	require.NoError(t, err)
	events := append([]analyse.Event{meter}, phrase(1)...)
	addAll(r, append(events, origin))
	path, err := r.Close(4000)
	require.NoError(t, err)
	assert.Equal(t, []analyse.Event{meter, origin}, given)
	f, err := smf.ReadFile(path)
	require.NoError(t, err)
	var got []take.Marker
	for e := range f.Events(&f.Tracks[0]) {
		if e.Type == smf.MetaMarker {
			got = append(got, take.Marker{Tick: e.Tick, Text: string(e.Data)})
		}
	}
	assert.Equal(t, []take.Marker{{Tick: 960, Text: "Cm7"}, {Tick: 2400, Text: "F7"}}, got)
}

// disk is a file system that takes so many bytes and no more. It makes nothing
// durable, which would take most of the time of these tests.
type disk struct {
	mu      sync.Mutex
	room    int           // bytes left; negative: no end
	link    error         // what Link gives, if not nil
	blocked chan struct{} // writes wait until it is closed, if not nil
}

type diskFile struct {
	*os.File
	disk *disk
}

func (d *disk) Create(path string) (take.File, error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	return diskFile{File: file, disk: d}, err
}

func (d *disk) Link(from, to string) error {
	if d.link != nil {
		return &os.LinkError{Op: "link", Old: from, New: to, Err: d.link}
	}
	return os.Link(from, to)
}

func (d *disk) SyncDir(string) {}

func (f diskFile) Sync() error { return nil }

func (d *disk) setRoom(n int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.room = n
}

func (f diskFile) Write(p []byte) (int, error) {
	if f.disk.blocked != nil {
		<-f.disk.blocked
	}
	f.disk.mu.Lock()
	defer f.disk.mu.Unlock()
	if f.disk.room < 0 {
		return f.File.Write(p)
	}
	n, err := f.File.Write(p[:min(len(p), f.disk.room)])
	f.disk.room -= n
	if n < len(p) && err == nil {
		err = &fs.PathError{Op: "write", Path: f.Name(), Err: syscall.ENOSPC}
	}
	return n, err
}

// Wherever the disk gets full, playing goes on, the state says so, and once
// there is room again nothing is missing.
func TestDiskFullForAWhile(t *testing.T) {
	events := phrase(4)
	for room := 0; room < 200; room += 7 {
		dir := t.TempDir()
		d := &disk{room: room}
		r, ticks := begin(t, dir, take.Settings{}, d)
		addAll(r, events[:5])
		second(ticks)
		addAll(r, events[5:])
		second(ticks)
		assert.ErrorIs(t, r.Status().Err, syscall.ENOSPC, "room for %d bytes", room)
		assert.Zero(t, r.Status().Unsaved)
		d.setRoom(-1)
		second(ticks)
		assert.Equal(t, take.Status{Path: filepath.Join(dir, startName+".mid")}, r.Status())
		path, err := r.Close(9000)
		require.NoError(t, err)
		assert.Equal(t, events, slices.Collect(load(t, path).Events))
		assert.Equal(t, int64(9000), load(t, path).End)
	}
}

// Where it stays full the journal stays, the error says where, and the next
// start makes a take of what was written.
func TestDiskFullToTheEnd(t *testing.T) {
	events := phrase(40)
	longest := 0
	for room := 0; room < 600; room += 7 {
		dir := t.TempDir()
		d := &disk{room: room}
		r, ticks := begin(t, dir, take.Settings{}, d)
		for i := range events {
			r.Add(events[i])
			if i%10 == 0 {
				second(ticks)
			}
		}
		journal := filepath.Join(dir, startName+".journal")
		path, err := r.Close(20_000)
		assert.Empty(t, path)
		got := recovered(t, dir)
		if len(got) == 0 { // not one note was written, so that there was no take to write
			continue
		}
		assert.ErrorIs(t, err, syscall.ENOSPC)
		assert.ErrorContains(t, err, "the take stays in "+journal+": ")
		assert.Equal(t, events[:len(got)], got)
		assert.Equal(t, len(events), len(got)+int(r.Status().Unsaved), "what is not in the take was counted")
		longest = max(longest, len(got))
	}
	assert.Greater(t, longest, 20)
}

// recovered returns the events of the one take that recovery makes, or none.
func recovered(t require.TestingT, dir string) []analyse.Event {
	paths, err := take.Recover(dir, nil)
	require.NoError(t, err)
	require.Equal(t, len(paths), len(names(t, dir)), "takes only: %v", names(t, dir))
	if len(paths) == 0 {
		return nil
	}
	require.Len(t, paths, 1)
	return slices.Collect(load(t, paths[0]).Events)
}

// What waits for a full disk is bounded; what is beyond it is counted.
func TestWaitingIsBounded(t *testing.T) {
	d := &disk{}
	r, ticks := begin(t, t.TempDir(), take.Settings{}, d)
	events := phrase(250_000) // some two megabytes
	for piece := range slices.Chunk(events, 50_000) {
		addAll(r, piece)
		second(ticks)
	}
	assert.ErrorIs(t, r.Status().Err, syscall.ENOSPC)
	d.setRoom(-1)
	second(ticks)
	assert.NoError(t, r.Status().Err)
	path, err := r.Close(0)
	require.NoError(t, err)
	loaded := load(t, path)
	assert.Equal(t, len(events), len(slices.Collect(loaded.Events))+int(r.Status().Unsaved))
	assert.InDelta(t, 1<<20, len(slices.Collect(loaded.Events))*9/2, 1<<18, "about a megabyte, at four to five bytes an event")
	assert.Equal(t, events[len(events)-1].Tick, loaded.End, "the length is right all the same")
}

// A disk that does not answer holds nobody up: the queue takes 65,536 events,
// the rest is counted.
func TestDiskDoesNotAnswer(t *testing.T) {
	d := &disk{room: -1, blocked: make(chan struct{})}
	r, _ := begin(t, t.TempDir(), take.Settings{}, d)
	events := phrase(40_000)
	lost := 0
	for _, e := range events {
		if !r.Add(e) {
			lost++
		}
	}
	assert.Equal(t, len(events)-65_536, lost)
	assert.Equal(t, int64(lost), r.Status().Unsaved)
	close(d.blocked)
	path, err := r.Close(0)
	require.NoError(t, err)
	assert.Equal(t, events[:65_536], slices.Collect(load(t, path).Events))
}

// Any goroutine may ask for the state.
func TestStatusFromAnywhere(t *testing.T) {
	r, ticks := begin(t, t.TempDir(), take.Settings{}, &disk{room: 200})
	var asking sync.WaitGroup
	stop := make(chan struct{})
	asking.Go(func() {
		for {
			select {
			case <-stop:
				return
			default:
				if s := r.Status(); s.Err != nil && !errors.Is(s.Err, syscall.ENOSPC) {
					t.Error(s.Err)
					return
				}
			}
		}
	})
	for _, e := range phrase(100) {
		r.Add(e)
		if e.Velocity == 0 {
			ticks <- start
		}
	}
	_, err := r.Close(0)
	assert.Error(t, err)
	close(stop)
	asking.Wait()
	assert.True(t, strings.HasSuffix(r.Status().Path, ".mid") || r.Status().Path == "")
}
