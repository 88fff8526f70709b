package take

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"iter"
	"os"
	"regexp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

// Marker is a chord symbol at a tick of the take.
type Marker struct {
	Tick int64
	Text string
}

// Markers returns the chord symbols of a take for its first track. It is given
// the settings, the events that are no channel messages (tempo, meter, origins
// and the like), and the tick at which the take ends; what it puts behind that
// is left out.
type Markers func(s Settings, times []analyse.Event, end int64) []Marker

// journalStart returns what every journal starts with.
func journalStart() []byte {
	return smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), smf.OpenLength)
}

// openJournal encodes what goes before the events of a journal.
func openJournal(w *smf.TrackWriter, s Settings) {
	w.Bytes = append(w.Bytes, journalStart()...)
	w.Meta(0, smf.MetaSpecific, entry{Settings: &s}.encode())
}

// add encodes any event of a take; false for what a take does not hold.
func add(w *smf.TrackWriter, e analyse.Event) bool {
	if w.Event(e) {
		return true
	}
	data, ok := encodeEvent(e)
	if ok {
		w.Meta(e.Tick, smf.MetaSpecific, data)
	}
	return ok
}

func watermark(w *smf.TrackWriter, tick int64) {
	tick = max(tick, w.Tick())
	w.Meta(tick, smf.MetaSpecific, entry{Watermark: &tick}.encode())
}

// journal is a journal that was read.
type journal struct {
	settings Settings
	end      int64 // the tick of its last watermark
	played   bool  // there is a note in it
	damaged  bool  // more than one torn batch is left out

	file *smf.File
	cut  int64 // the end of its last whole batch; what is behind is left out
}

// wholeWatermark shows, behind the last batch that could be read, that there is
// another, and not only a torn one.
var wholeWatermark = regexp.MustCompile(`\{"watermark":\d+\}`)

// readJournal makes of any bytes what can be made of them as a journal.
func readJournal(data []byte) (*journal, error) {
	f, err := smf.Read(data)
	if err != nil {
		return nil, err
	}
	if len(f.Tracks) == 0 || f.Division.PerQuarter != timebase.Quarter {
		return nil, errors.New("a MIDI file, but no journal of a take")
	}
	j := &journal{file: f}
	j.findCut()
	for e := range j.events() {
		j.played = j.played || e.Kind == analyse.NoteOn && e.Velocity > 0
	}
	j.damaged = wholeWatermark.Match(data[j.cut:])
	return j, nil
}

// findCut finds the end of the last whole batch, which is that of the last
// watermark, and on the way the settings. It stops at the first thing that the
// recorder cannot have written: damage, foreign data, a watermark that stands at
// another tick than its own, and running status, as which bytes that were never
// filled in are read.
func (j *journal) findCut() {
	track := &j.file.Tracks[0]
	damage := track.Offset + int64(smf.MaxSize)
	for _, d := range j.file.Damage {
		if d.Offset >= track.Offset { // what is before it is the open length
			damage = min(damage, d.Offset)
		}
	}
	j.cut = track.Offset
	for e := range j.file.Events(track) {
		if e.Running || e.Offset >= damage {
			return
		}
		if e.Status != smf.StatusMeta || e.Type != smf.MetaSpecific {
			continue
		}
		own, ok := decode(e.Data)
		switch {
		case !ok || own.Watermark != nil && *own.Watermark != e.Tick:
			return
		case own.Watermark != nil:
			j.cut, j.end = e.End, e.Tick
		case own.Settings != nil:
			j.settings = *own.Settings
		}
	}
}

// events walks the whole batches of the journal, in the order of arrival.
func (j *journal) events() iter.Seq[analyse.Event] {
	return func(yield func(analyse.Event) bool) {
		for e := range j.file.Events(&j.file.Tracks[0]) {
			if e.Offset >= j.cut {
				return
			}
			if out, ok := j.file.Convert(e, event); ok && !yield(out) {
				return
			}
		}
	}
}

// untitled is the name of a take without a title.
const untitled = "shedlight take"

// render returns the take that a journal becomes.
func (j *journal) render(markers Markers) []byte {
	playing := &smf.TrackWriter{}
	playing.Meta(0, smf.MetaTrackName, []byte("playing"))
	if j.settings.Source != "" {
		playing.Meta(0, smf.MetaInstrument, []byte(smf.Text([]byte(j.settings.Source))))
	}
	var times []analyse.Event
	for e := range j.events() {
		if e.Kind > analyse.PitchBend {
			times = append(times, e)
		}
		if e.Kind != analyse.Tempo && e.Kind != analyse.Meter {
			add(playing, e)
		}
	}
	playing.End(j.end)
	conductor := j.conductor(times, markers)

	data := smf.AppendHeader(make([]byte, 0, len(conductor)+len(playing.Bytes)+64), 1, 2)
	for _, track := range [][]byte{conductor, playing.Bytes} {
		data = append(smf.AppendTrackHeader(data, uint32(len(track))), track...)
	}
	return data
}

// conductor returns the events of the first track.
func (j *journal) conductor(times []analyse.Event, markers Markers) []byte {
	w := &smf.TrackWriter{}
	w.Meta(0, smf.MetaTrackName, []byte(cmp.Or(smf.Text([]byte(j.settings.Title)), untitled)))
	if j.settings.Chart != "" {
		w.Meta(0, smf.MetaText, []byte(j.settings.Chart))
	}
	w.Meta(0, smf.MetaSpecific, entry{Settings: &j.settings}.encode())
	var symbols []Marker
	if markers != nil {
		symbols = slices.DeleteFunc(markers(j.settings, times, j.end), func(m Marker) bool { return m.Tick < 0 || m.Tick > j.end })
		slices.SortStableFunc(symbols, func(a, b Marker) int { return cmp.Compare(a.Tick, b.Tick) })
	}
	mark := func(m Marker) { w.Meta(m.Tick, smf.MetaMarker, []byte(smf.Text([]byte(m.Text)))) }
	for _, e := range times {
		for ; len(symbols) > 0 && symbols[0].Tick < e.Tick; symbols = symbols[1:] {
			mark(symbols[0])
		}
		w.Event(e) // false for what belongs to the playing
	}
	for _, m := range symbols {
		mark(m)
	}
	w.End(j.end)
	return w.Bytes
}

// finish turns the journal of a take into the take, for the recorder at its end
// and for recovery alike. It returns the take's path, or "" where no note was
// played: such a journal is removed. On an error the journal stays.
func finish(files Files, base string, markers Markers) (string, error) {
	name := base + journalExt
	info, err := os.Stat(name)
	if err == nil && info.Size() > smf.MaxSize {
		err = fmt.Errorf("it has %d bytes, expected at most %d", info.Size(), smf.MaxSize)
	}
	if err != nil {
		return "", &JournalError{Path: name, Err: err}
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return "", &JournalError{Path: name, Err: err}
	}
	if bytes.HasPrefix(journalStart(), bytes.TrimRight(data, "\x00")) { // it ended before anything was written
		return "", os.Remove(name)
	}
	j, err := readJournal(data)
	if err != nil {
		aside, failed := setAside(files, base, data)
		return "", errors.Join(failed, &JournalError{Path: cmp.Or(aside, name), Err: err})
	}
	path := ""
	if j.played {
		if path, err = save(files, base, takeExt, j.render(markers)); err != nil {
			return "", &JournalError{Path: name, Err: err}
		}
	}
	if j.damaged {
		_, err = setAside(files, base, data)
		return path, err
	}
	return path, os.Remove(name)
}

// setAside gives a journal that cannot be read to its end a name under which
// it is kept but not recovered again.
func setAside(files Files, base string, data []byte) (string, error) {
	return place(files, base+journalExt, base, damagedExt, data)
}

// JournalError says that a journal did not become a take, and where it is now.
type JournalError struct {
	Path string
	Err  error
}

func (e *JournalError) Error() string { return "the take stays in " + e.Path + ": " + e.Err.Error() }

func (e *JournalError) Unwrap() error { return e.Err }
