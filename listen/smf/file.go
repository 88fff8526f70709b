// Package smf reads and writes Standard MIDI Files (MIDI Manufacturers
// Association, Standard MIDI Files 1.0). The reader takes any bytes at all: it
// never panics, its memory is bounded by the size of the input, and of a
// damaged file it keeps what can be read and lists the rest as Damage with its
// offset. A track is decoded while it is walked, so that an open file costs
// little more than its bytes.
//
// Where files in use and the specification part, this is the choice made:
//
//   - Running status goes on after a meta event or SysEx. The specification
//     cancels it there; files exist that rely on it, and no well-formed file
//     can tell the difference.
//   - A channel message with a data byte over 127 is left out; reading goes on
//     behind its full length, as if one bit had flipped.
//   - A status byte that has no place in a file (F1 to F6, F8 to FE) is left
//     out together with the data bytes MIDI 1.0 gives it.
//   - A data byte where a status is wanted: everything up to the next status
//     byte is left out, and that status is read without a delta time.
//   - A number longer than four bytes, an event that needs more bytes than its
//     track has, and a tick beyond timebase.MaxTick end the track.
//   - A track whose length is not to be believed ends at its end-of-track event.
//   - The patterns of a format 2 file are played one after the other; the
//     tempo of one runs on into the next until it is changed.
//   - In a file counted in SMPTE frames a tick is a time, so that tempo and
//     meter mean nothing there and are left out; a quarter note then stands for
//     timebase.Nominal microseconds.
package smf

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"shedlight/analyse/instrument"
	"shedlight/listen/disk"
)

const (
	// MaxSize is the largest file read, in bytes: eight hours of a breath
	// controller and a bender fit in, and reading it takes no more than about
	// 1 GB at worst, when every two bytes are a message.
	MaxSize = 64 << 20
	// maxTracks is the most that the header's 16 bits can announce.
	maxTracks = 1<<16 - 1
	// maxDamage bounds the list of damage, which is for a person to read.
	maxDamage = 100

	chunkHeader = 8 // bytes: four letters and a length
	headerBody  = 6 // bytes: format, number of tracks, division
	idHeader    = "MThd"
	idTrack     = "MTrk"
)

// File is a Standard MIDI File. It refers to the bytes given to Read, which
// must not change while it is used.
type File struct {
	Format   int // 0, 1 or 2
	Division Division
	Tracks   []Track
	Damage   []Damage // by offset; at most 101, the last then says how many more

	data []byte
}

// Track is one track chunk.
type Track struct {
	Name   string // the first track name, fit for a terminal; may be empty
	Offset int64  // where its events start, in bytes from the start of the file
	End    int64  // the tick of the end of track, in the file's own ticks

	limit  int   // offset of the first byte behind it
	base   int64 // the tick at which it begins: not 0 in format 2 only
	timing bool  // there is a tempo or a meter among them
	zoned  Channels
}

// Damage is a place where the bytes are not what the format asks for.
type Damage struct {
	Offset int64 // in bytes from the start of the file
	Text   string
}

// damageList keeps the first of what is reported and counts the rest. A nil
// list swallows everything: it serves all walks but the first.
type damageList struct {
	list []Damage
	more int
	last int64
}

func (d *damageList) add(offset int, format string, args ...any) {
	if d == nil {
		return
	}
	if len(d.list) == maxDamage {
		if d.more == 0 {
			d.last = int64(offset)
		}
		d.more++
		return
	}
	d.list = append(d.list, Damage{Offset: int64(offset), Text: fmt.Sprintf(format, args...)})
}

func (d *damageList) sorted() []Damage {
	slices.SortStableFunc(d.list, func(a, b Damage) int { return cmp.Compare(a.Offset, b.Offset) })
	if d.more > 0 {
		d.list = append(d.list, Damage{Offset: d.last, Text: fmt.Sprintf("and %d more", d.more)})
	}
	return d.list
}

// ReadFile reads a Standard MIDI File of at most MaxSize bytes.
func ReadFile(path string) (*File, error) {
	data, err := disk.Read(path, MaxSize)
	if err != nil {
		return nil, err
	}
	f, err := Read(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return f, nil
}

// Read reads a Standard MIDI File. It fails only where there is no MIDI file at
// all, or one larger than MaxSize; any lesser damage is listed in the File.
func Read(data []byte) (*File, error) {
	if len(data) > MaxSize {
		return nil, fmt.Errorf("more than %d MiB: expected a MIDI file of at most that size", MaxSize>>20)
	}
	r := reader{file: &File{data: data}}
	pos, err := r.header()
	if err != nil {
		return nil, err
	}
	r.tracks(pos)
	r.file.Damage = r.damage.sorted()
	return r.file, nil
}

// reader is the state of one Read.
type reader struct {
	file      *File
	damage    damageList
	announced int // the number of tracks in the header
	countAt   int // where it stands
}

// header reads the header chunk, wherever it starts, and returns the offset of
// what follows it.
func (r *reader) header() (int, error) {
	f := r.file
	start := 0
	if at, end, ok := riffData(f.data); ok {
		f.data, start = f.data[:end], at
	}
	junk := bytes.Index(f.data[start:], []byte(idHeader))
	if junk < 0 {
		if len(f.data) == 0 {
			return 0, errors.New("byte 0: an empty file, expected a MIDI file, which starts with MThd")
		}
		return 0, fmt.Errorf("byte 0: %q, expected a MIDI file, which starts with MThd", f.data[:min(len(f.data), len(idHeader))])
	}
	if junk > 0 {
		r.damage.add(start, "%d bytes before the header", junk)
	}
	start += junk
	body := start + chunkHeader
	if len(f.data) < body+headerBody {
		return 0, fmt.Errorf("byte %d: the file ends within the header, expected %d bytes of it", len(f.data), chunkHeader+headerBody)
	}
	next := body + headerBody
	length := int64(binary.BigEndian.Uint32(f.data[start+4:]))
	switch {
	case length < headerBody || length > int64(len(f.data)-body):
		r.damage.add(start+4, "header of %d bytes, expected %d", length, headerBody)
	default: // a longer one is allowed: the specification keeps room for growth
		next = body + int(length)
	}
	f.Format = int(binary.BigEndian.Uint16(f.data[body:]))
	if f.Format > 2 {
		r.damage.add(body, "format %d, expected 0, 1 or 2: read as 1", f.Format)
		f.Format = 1
	}
	r.countAt = body + 2
	r.announced = int(binary.BigEndian.Uint16(f.data[r.countAt:]))
	f.Division = r.division(body + 4)
	return next, nil
}

// riffData finds the MIDI file within a RIFF file of form type RMID (Microsoft,
// Multimedia Programming Interface and Data Specifications 1.0: chunks of four
// letters, a little-endian length, and a body padded to an even length).
func riffData(data []byte) (start, end int, ok bool) {
	const riffHeader = 12 // bytes: RIFF, length, form type
	if len(data) < riffHeader || string(data[:4]) != "RIFF" || string(data[8:12]) != "RMID" {
		return 0, 0, false
	}
	for pos := riffHeader; len(data)-pos >= chunkHeader; {
		body := pos + chunkHeader
		length := int64(binary.LittleEndian.Uint32(data[pos+4:]))
		left := int64(len(data) - body)
		if string(data[pos:pos+4]) == "data" {
			return body, body + int(min(length, left)), true
		}
		if length += length & 1; length > left {
			break
		}
		pos = body + int(length)
	}
	return 0, 0, false
}

// tracks walks the chunks behind the header.
func (r *reader) tracks(pos int) {
	f := r.file
	for pos < len(f.data) {
		if !isChunk(f.data[pos:]) {
			next := bytes.Index(f.data[pos:], []byte(idTrack))
			if next < 0 {
				r.damage.add(pos, "%d bytes at the end that belong to no track", len(f.data)-pos)
				break
			}
			r.damage.add(pos, "%d bytes between tracks that belong to none", next)
			pos += next
		}
		if len(f.Tracks) == maxTracks {
			r.damage.add(pos, "more than %d tracks: the rest is left out", maxTracks)
			break
		}
		body := pos + chunkHeader
		if body > len(f.data) {
			r.damage.add(pos, "the file ends within a track header")
			break
		}
		length := int64(binary.BigEndian.Uint32(f.data[pos+4:]))
		if string(f.data[pos:pos+4]) == idTrack {
			pos = r.track(body, length)
			continue
		}
		if left := int64(len(f.data) - body); length > left {
			r.damage.add(pos+4, "chunk %q of %d bytes, %d left", f.data[pos:pos+4], length, left)
			length = 0 // look for a track within it
		}
		pos = body + int(length)
	}
	if len(f.Tracks) != r.announced {
		r.damage.add(r.countAt, "the header announces %d tracks, there are %d", r.announced, len(f.Tracks))
	}
}

// isChunk reports whether a chunk may start here: four printable letters, or
// the part of a track's name that is left of the file.
func isChunk(data []byte) bool {
	if len(data) < len(idTrack) {
		return idTrack[:len(data)] == string(data)
	}
	for _, b := range data[:len(idTrack)] {
		if b < ' ' || b > '~' {
			return false
		}
	}
	return true
}

// track reads a track whose events start at body and returns the offset of what
// follows it.
func (r *reader) track(body int, length int64) int {
	f := r.file
	limit := len(f.data)
	trusted := length <= int64(limit-body)
	if trusted {
		limit = body + int(length)
	} else {
		r.damage.add(body-4, "track of %d bytes, %d left", length, limit-body)
	}
	before := r.damage
	c := r.scan(body, limit)
	if trusted && !c.ended && limit < len(f.data) && !isChunk(f.data[limit:]) {
		// No end of track, and no chunk where the next should be: the length
		// is wrong, as in the file of a recorder that never came to fill it in.
		trusted, limit = false, len(f.data)
		f.Tracks = f.Tracks[:len(f.Tracks)-1]
		r.damage = before
		r.damage.add(body-4, "track of %d bytes, but it neither ends there nor does another begin", length)
		c = r.scan(body, limit)
	}
	if !c.ended && !c.broken {
		r.damage.add(c.pos, "no end of track")
	}
	if !trusted && c.broken { // what is left out goes on to the next track
		if next := bytes.Index(f.data[c.pos:], []byte(idTrack)); next >= 0 {
			return c.pos + next
		}
		return limit
	}
	if !trusted {
		return c.pos
	}
	if c.ended && c.pos < limit {
		r.damage.add(c.pos, "%d bytes after the end of track", limit-c.pos)
	}
	return limit
}

// scan walks a track for the first time: it reports the damage and appends the
// track to the file.
func (r *reader) scan(body, limit int) *cursor {
	f := r.file
	t := Track{Offset: int64(body), limit: limit}
	if n := len(f.Tracks); f.Format == 2 && n > 0 {
		t.base = f.Tracks[n-1].End
	}
	c := f.cursor(&t)
	c.damage = &r.damage
	bends := instrument.NewBends()
	for {
		e, ok := c.next()
		if !ok {
			break
		}
		switch {
		case e.Status&0xF0 == 0xB0:
			bends.Control(e.Status&0x0F, e.Bytes[0], e.Bytes[1])
			t.zoned |= Channels(bends.Zoned())
			continue
		case e.Status != StatusMeta:
			continue
		}
		t.timing = t.timing || e.Type == MetaTempo || e.Type == MetaMeter
		switch e.Type {
		case MetaTrackName:
			if t.Name == "" {
				t.Name = Text(e.Data)
			}
		case MetaTempo:
			if _, err := tempo(e.Data); err != nil {
				r.damage.add(int(e.Offset), "%v: left out", err)
			}
		case MetaMeter:
			if _, err := meter(e.Data); err != nil {
				r.damage.add(int(e.Offset), "%v: left out", err)
			}
		}
	}
	t.End = c.tick
	f.Tracks = append(f.Tracks, t)
	return &c
}
