package smf

import (
	"encoding/binary"

	"shedlight/analyse/timebase"
)

// Division says what a tick of the file is: a part of a quarter note, or a part
// of an SMPTE frame.
type Division struct {
	PerQuarter int // ticks in a quarter note; 0 in a file counted in frames
	Frames     int // frames a second: 24, 25, 29 (which means 29.97) or 30
	PerFrame   int // ticks in a frame
}

const (
	// assumedDivision is the ticks in a quarter note where the file says 0: a
	// value in common use, from memory.
	assumedDivision = 480
	// dropFrame is the rate that stands for 30000/1001 frames a second.
	dropFrame = 29

	microsPerSecond = 1_000_000
)

// division reads the two bytes of the header that start at an offset.
func (r *reader) division(at int) Division {
	word := binary.BigEndian.Uint16(r.file.data[at:])
	if word < 1<<15 {
		if word == 0 {
			r.damage.add(at, "0 ticks in a quarter note: read as %d", assumedDivision)
			word = assumedDivision
		}
		return Division{PerQuarter: int(word)}
	}
	frames, perFrame := -int(int8(word>>8)), int(word&0xff)
	if perFrame == 0 {
		r.damage.add(at, "0 ticks in a frame: read as %d ticks in a quarter note", assumedDivision)
		return Division{PerQuarter: assumedDivision}
	}
	switch frames {
	case 24, 25, dropFrame, 30:
	default:
		r.damage.add(at, "%d frames a second, expected 24, 25, 29 or 30", frames)
	}
	return Division{Frames: frames, PerFrame: perFrame}
}

// ratio returns the ticks of the house in a tick of the file, as num/den.
func (d Division) ratio() (num, den int64) {
	const perSecond = timebase.Quarter * microsPerSecond / timebase.Nominal
	switch {
	case d.PerQuarter > 0:
		return timebase.Quarter, int64(d.PerQuarter)
	case d.Frames == dropFrame:
		return perSecond * 1001, 30_000 * int64(d.PerFrame)
	}
	return perSecond, int64(d.Frames) * int64(d.PerFrame)
}

// Ticks turns a tick of the file into one of 960 to the quarter note, rounded
// down.
func (d Division) Ticks(tick int64) int64 {
	num, den := d.ratio()
	return tick * num / den
}

// maxTick is the last tick of the file that is not beyond timebase.MaxTick. It
// keeps Ticks within 64 bits: den is less than 2^23.
func (d Division) maxTick() int64 {
	num, den := d.ratio()
	return timebase.MaxTick * den / num
}
