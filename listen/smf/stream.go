package smf

import (
	"cmp"
	"container/heap"
	"fmt"
	"iter"
	"math/bits"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// Channels is a set of MIDI channels: bit 0 is channel index 0, which players
// call channel 1.
type Channels uint16

const (
	AllChannels Channels = 1<<16 - 1
	// NotDrums is every channel but index 9, channel 10, which General MIDI
	// Level 1 gives to percussion.
	NotDrums = AllChannels &^ (1 << 9)
)

// Has reports whether a channel, by its index 0 to 15, is in the set.
func (c Channels) Has(channel uint8) bool { return c>>channel&1 == 1 }

// Own decodes the data of a sequencer-specific meta event (FF 7F) that stands
// for an event of the house. Its tick is set by the caller.
type Own func(data []byte) (analyse.Event, bool)

// Selection says what of a file is played. The zero Selection is every track
// and every channel but 10; that too where the file says that it plays one
// instrument together with others.
type Selection struct {
	Tracks   []int    // indices; nil: all
	Channels Channels // 0: as above
	Own      Own      // nil: sequencer-specific meta events are left out
}

func (s Selection) track(i int) bool { return s.Tracks == nil || slices.Contains(s.Tracks, i) }

// wanted fills in what a selection of channels leaves open.
func (f *File) wanted(channels Channels) Channels {
	if channels == 0 {
		return NotDrums | f.Zoned()
	}
	return channels
}

// Zoned returns the channels that play an instrument together, in a zone of MIDI
// Polyphonic Expression (see instrument.Bends), at any time.
func (f *File) Zoned() (zoned Channels) {
	for i := range f.Tracks {
		zoned |= f.Tracks[i].zoned
	}
	return zoned
}

// TrackNotes describes a track that has notes on the wanted channels.
type TrackNotes struct {
	Index    int
	Name     string   // fit for a terminal; may be empty
	Channels Channels // where its notes are
	Notes    int
}

// String prints the track as a line to choose from.
func (t TrackNotes) String() string {
	return fmt.Sprintf("track %d %q: %s", t.Index, t.Name, onChannels(t.Notes, t.Channels))
}

// said names the channels as players number them.
func (c Channels) said() string {
	said := "channel"
	if bits.OnesCount16(uint16(c)) > 1 {
		said += "s"
	}
	for set := uint(c); set != 0; set &= set - 1 {
		said += fmt.Sprintf(" %d", bits.TrailingZeros(set)+1)
	}
	return said
}

// onChannels says how many notes are where.
func onChannels(notes int, channels Channels) string {
	many := "notes"
	if notes == 1 {
		many = "note"
	}
	return fmt.Sprintf("%d %s on %s", notes, many, channels.said())
}

// NoteTracks lists the tracks that have notes on the given channels, 0 meaning
// those of the zero Selection.
func (f *File) NoteTracks(channels Channels) []TrackNotes {
	var list []TrackNotes
	for i := range f.Tracks {
		if t := f.notesOf(i, f.wanted(channels)); t.Notes > 0 {
			list = append(list, t)
		}
	}
	return list
}

// notesOf counts the notes of a track on some channels.
func (f *File) notesOf(i int, channels Channels) TrackNotes {
	t := TrackNotes{Index: i, Name: f.Tracks[i].Name}
	for e := range f.Events(&f.Tracks[i]) {
		if channel := e.Status & 0x0F; e.Status&0xF0 == 0x90 && e.Bytes[1] > 0 && channels.Has(channel) {
			t.Notes++
			t.Channels |= 1 << channel
		}
	}
	return t
}

// LeftOut says what of the notes of a file a selection leaves out, a line each:
// those of whole tracks, then those of channels in the tracks that are played.
func (f *File) LeftOut(sel Selection) (lines []string) {
	var others TrackNotes
	for i := range f.Tracks {
		if !sel.track(i) {
			if t := f.notesOf(i, AllChannels); t.Notes > 0 {
				lines = append(lines, t.String()+" left out")
			}
			continue
		}
		t := f.notesOf(i, AllChannels&^f.wanted(sel.Channels))
		others.Notes += t.Notes
		others.Channels |= t.Channels
	}
	if others.Notes > 0 {
		lines = append(lines, onChannels(others.Notes, others.Channels)+" left out")
	}
	return lines
}

// End returns the tick, 960 to the quarter note, where the last track ends.
func (f *File) End() int64 {
	end := int64(0)
	for i := range f.Tracks {
		end = max(end, f.Tracks[i].End)
	}
	return f.Division.Ticks(end)
}

// kinds are the channel messages by the upper half of their status byte, less
// eight.
var kinds = [...]analyse.Kind{
	analyse.NoteOff, analyse.NoteOn, analyse.PolyPressure, analyse.Control,
	analyse.Program, analyse.ChannelPressure, analyse.PitchBend,
}

// Convert turns an event of the file into one of the house: a channel message
// with its data bytes unaltered, a tempo, a meter, or what own makes of a
// sequencer-specific meta event; own may be nil. Everything else is dropped.
func (f *File) Convert(e Event, own Own) (analyse.Event, bool) {
	out, ok := analyse.Event{}, false
	switch {
	case e.Status < firstSystem:
		ok = true
		out.Kind, out.Channel = kinds[e.Status>>4-8], e.Status&0x0F
		out.Key, out.Velocity = e.Bytes[0], e.Bytes[1]
	case e.Status != StatusMeta:
	case e.Type == MetaTempo && f.Division.PerQuarter > 0:
		value, err := tempo(e.Data)
		out.Kind, out.Value, ok = analyse.Tempo, value, err == nil
	case e.Type == MetaMeter && f.Division.PerQuarter > 0:
		m, err := meter(e.Data)
		out.Kind, out.Value, ok = analyse.Meter, m.Packed(), err == nil
	case e.Type == MetaSpecific && own != nil:
		out, ok = own(e.Data)
	}
	out.Tick = f.Division.Ticks(e.Tick)
	return out, ok
}

// tempo reads the data of a tempo event: microseconds a quarter note in three
// bytes.
func tempo(data []byte) (int64, error) {
	if len(data) != 3 {
		return 0, fmt.Errorf("tempo of %d bytes, expected 3", len(data))
	}
	value := int64(data[0])<<16 | int64(data[1])<<8 | int64(data[2])
	if value < timebase.MinTempo {
		return 0, fmt.Errorf("tempo of %d microseconds a quarter note, expected %d to %d", value, timebase.MinTempo, timebase.MaxTempo)
	}
	return value, nil
}

// meter reads the data of a time signature: the numerator, the denominator as a
// power of two, and two bytes about metronomes and notation that are of no use
// here.
func meter(data []byte) (timebase.Meter, error) {
	const denominators = 8 // powers of two that fit into the Meter's byte
	if len(data) < 2 {
		return timebase.Meter{}, fmt.Errorf("time signature of %d bytes, expected 4", len(data))
	}
	m := timebase.Meter{Num: data[0]}
	if data[1] < denominators {
		m.Den = 1 << data[1]
	}
	if !m.Valid() {
		return m, fmt.Errorf("time signature of %d over 2 to the power of %d, expected 1 to 99 over 1 to 64", data[0], data[1])
	}
	return m, nil
}

// isTiming reports whether an event goes before all others at its tick.
func isTiming(k analyse.Kind) bool { return k == analyse.Tempo || k == analyse.Meter }

// Stream returns the selected events of all tracks in order: by tick, at the
// same tick tempo and meter first, then by track, then as they arrived. Tempo
// and meter come from every track, whatever is selected. Ticks are 960 to the
// quarter note and never decrease.
//
// They are decoded anew each time that the sequence is walked, and none is kept:
// each track by two lanes, one for tempo and meter and one for the rest, and a heap
// yields the lane whose next event is due: O(n log tracks).
func (f *File) Stream(sel Selection) iter.Seq[analyse.Event] {
	sel.Channels = f.wanted(sel.Channels)
	return func(yield func(analyse.Event) bool) {
		lanes := f.lanes(&sel)
		for len(lanes) > 0 {
			if !yield(lanes[0].head) {
				return
			}
			if lanes[0].advance() {
				heap.Fix(&lanes, 0)
			} else {
				heap.Pop(&lanes)
			}
		}
	}
}

// lanes returns the lanes of a file, each at its first event.
func (f *File) lanes(sel *Selection) (lanes laneHeap) {
	for i := range f.Tracks {
		for _, timing := range []bool{true, false} {
			if timing && !f.Tracks[i].timing || !timing && !sel.track(i) {
				continue
			}
			l := &lane{file: f, cursor: f.cursor(&f.Tracks[i]), track: i, timing: timing, sel: sel}
			if l.advance() {
				lanes = append(lanes, l)
			}
		}
	}
	heap.Init(&lanes)
	return lanes
}

// lane is one walk over a track, stopped at the next event it has to give.
type lane struct {
	file   *File
	cursor cursor
	head   analyse.Event
	track  int
	timing bool // gives tempo and meter, and only these
	sel    *Selection
}

func (l *lane) advance() bool {
	for {
		e, ok := l.cursor.next()
		if !ok {
			return false
		}
		if e.Status < firstSystem && (l.timing || !l.sel.Channels.Has(e.Status&0x0F)) {
			continue
		}
		if l.head, ok = l.file.Convert(e, l.sel.Own); ok && isTiming(l.head.Kind) == l.timing {
			return true
		}
	}
}

func (l *lane) compare(other *lane) int {
	if c := cmp.Compare(l.head.Tick, other.head.Tick); c != 0 {
		return c
	}
	if l.timing != other.timing {
		if l.timing {
			return -1
		}
		return 1
	}
	return cmp.Compare(l.track, other.track)
}

// laneHeap implements heap.Interface.
type laneHeap []*lane

func (h laneHeap) Len() int           { return len(h) }
func (h laneHeap) Less(i, j int) bool { return h[i].compare(h[j]) < 0 }
func (h laneHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *laneHeap) Push(x any)        { *h = append(*h, x.(*lane)) }
func (h *laneHeap) Pop() any {
	last := len(*h) - 1
	l := (*h)[last]
	*h = (*h)[:last]
	return l
}
