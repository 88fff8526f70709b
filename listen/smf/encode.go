package smf

import (
	"encoding/binary"
	"math/bits"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

const (
	// MaxVarLen is the largest variable-length number: 28 bits.
	MaxVarLen = 1<<28 - 1
	// OpenLength stands for the length of a track that is still growing.
	OpenLength = 1<<32 - 1
)

// AppendVarLen appends a variable-length number of at most MaxVarLen; what is
// above its 28 bits is cut off.
func AppendVarLen(dst []byte, v uint32) []byte {
	for shift := 7 * (maxVarLenBytes - 1); shift > 0; shift -= 7 {
		if v&MaxVarLen>>shift != 0 {
			dst = append(dst, byte(v>>shift)|statusBit)
		}
	}
	return append(dst, byte(v)&^statusBit)
}

// AppendHeader appends the header of a file with 960 ticks to the quarter note.
func AppendHeader(dst []byte, format, tracks uint16) []byte {
	dst = append(dst, idHeader...)
	dst = binary.BigEndian.AppendUint32(dst, headerBody)
	dst = binary.BigEndian.AppendUint16(dst, format)
	dst = binary.BigEndian.AppendUint16(dst, tracks)
	return binary.BigEndian.AppendUint16(dst, timebase.Quarter)
}

// AppendTrackHeader appends what goes before the events of a track: its name
// and the number of bytes that follow.
func AppendTrackHeader(dst []byte, length uint32) []byte {
	return binary.BigEndian.AppendUint32(append(dst, idTrack...), length)
}

// TrackWriter encodes the events of one track, 960 ticks to the quarter note.
// Ticks must not decrease; an event before its predecessor is put at its tick.
// Running status is never used, so that any event can be the first one read.
type TrackWriter struct {
	Bytes []byte // what is encoded so far; the owner may take from it at any time
	tick  int64
}

// Tick returns the tick of the last event.
func (w *TrackWriter) Tick() int64 { return w.tick }

// delta goes on to a tick. A wait longer than a delta time can hold is filled
// with empty texts.
func (w *TrackWriter) delta(tick int64) {
	wait := max(0, tick-w.tick)
	w.tick += wait
	for ; wait > MaxVarLen; wait -= MaxVarLen {
		w.Bytes = append(AppendVarLen(w.Bytes, MaxVarLen), StatusMeta, MetaText, 0)
	}
	w.Bytes = AppendVarLen(w.Bytes, uint32(wait))
}

// Meta encodes a meta event. Data longer than MaxVarLen bytes does not fit a
// file and must not be given.
func (w *TrackWriter) Meta(tick int64, kind uint8, data []byte) {
	w.delta(tick)
	w.Bytes = append(w.Bytes, StatusMeta, kind)
	w.Bytes = append(AppendVarLen(w.Bytes, uint32(len(data))), data...)
}

// End encodes the end of track.
func (w *TrackWriter) End(tick int64) { w.Meta(tick, MetaEndOfTrack, nil) }

// Event encodes a channel message, a tempo or a meter. It returns false, and
// encodes nothing, for any other kind and for values that a file cannot hold.
func (w *TrackWriter) Event(e analyse.Event) bool {
	switch {
	case e.Tick < 0 || e.Tick > timebase.MaxTick:
		return false
	case e.Kind == analyse.Tempo:
		if e.Value < timebase.MinTempo || e.Value > timebase.MaxTempo {
			return false
		}
		w.Meta(e.Tick, MetaTempo, []byte{byte(e.Value >> 16), byte(e.Value >> 8), byte(e.Value)})
		return true
	case e.Kind == analyse.Meter:
		return w.meter(e)
	}
	return w.message(e)
}

func (w *TrackWriter) meter(e analyse.Event) bool {
	const (
		clocksPerQuarter = 24 // MIDI clocks, in which the metronome's beat is given
		thirtySeconds    = 8  // notated 32nd notes in 24 MIDI clocks
	)
	m, ok := timebase.Unpack(e.Value)
	if !ok {
		return false
	}
	click := m.Beat() * clocksPerQuarter / timebase.Quarter
	w.Meta(e.Tick, MetaMeter, []byte{m.Num, byte(bits.TrailingZeros8(m.Den)), byte(max(1, click)), thirtySeconds})
	return true
}

func (w *TrackWriter) message(e analyse.Event) bool {
	if e.Kind < analyse.NoteOff || e.Kind > analyse.PitchBend || e.Channel > 15 || (e.Key|e.Velocity) >= statusBit {
		return false
	}
	status := statusBit | uint8(e.Kind-analyse.NoteOff)<<4 | e.Channel
	n := messageLength(status)
	if n == 1 && e.Velocity != 0 {
		return false
	}
	data := [...]byte{status, e.Key, e.Velocity}
	w.delta(e.Tick)
	w.Bytes = append(w.Bytes, data[:1+n]...)
	return true
}
