package sound

import (
	"math"
	"time"
)

// loop is a delay-locked loop: it ties the frames of an audio device to the wall
// clock. Counting frames is no clock, because frames that the device left out
// after an underrun are never made up; the times at which it asks for frames are
// none, because they scatter by milliseconds. The loop follows the times with a
// narrow filter of second order, at first a wider one, so that it is there within
// a second. A busy machine makes one call late, and the next comes in time: by more
// than apart no call moves the loop. Where the device has slipped all that come are
// late, and the loop goes at once to the nearest of them.
//
// Method: F. Adriaensen, "Using a DLL to filter time" (2005), from memory; the slips
// are our own.
type loop struct {
	rate    float64 // frames a second, as the device has it
	updates int     // so far, up to widened
	next    float64 // when the frame after the last update is due, in seconds
	frame   float64 // seconds a frame takes
	aside   int     // updates in a row that lay apart on one side
	nearest float64 // of these, in seconds from its time
}

const (
	wideHz   = 2.0
	narrowHz = 0.1
	// widened is how many updates are made with the wide filter.
	widened = 200
	// apart is the distance in seconds that is no scatter.
	apart = 0.002
	// slipped is how many updates in a row lie apart where the device has slipped.
	slipped = 5
	// lost is the distance in seconds of a device that has stood still.
	lost = 0.030
)

// update says that at now the device asked for n frames. It returns when the
// first of them is due, in seconds, and how long each takes.
func (l *loop) update(now time.Duration, n int) (first, frame float64) {
	at := now.Seconds()
	off := at - l.next
	switch {
	case l.updates == 0:
		l.next, l.frame, off = at, 1/l.rate, 0
	case math.Abs(off) > lost:
		l.next, l.aside, off = at, 0, 0
	case math.Abs(off) <= apart:
		l.aside = 0
	case l.aside == 0 || (off < 0) != (l.nearest < 0):
		l.aside, l.nearest = 1, off
	default:
		l.aside++
		if math.Abs(off) < math.Abs(l.nearest) {
			l.nearest = off
		}
	}
	if l.aside == slipped {
		l.next += l.nearest
		off -= l.nearest
		l.aside = 0
	}
	off = min(max(off, -apart), apart)
	hertz := narrowHz
	if l.updates < widened {
		hertz = wideHz
		l.updates++
	}
	span := float64(n) * l.frame
	omega := min(2*math.Pi*hertz*span, 1)
	first = l.next + math.Sqrt2*omega*off
	l.frame += omega * omega * off / float64(n)
	l.frame = min(max(l.frame, 0.99/l.rate), 1.01/l.rate) // no device is a hundredth off
	l.next = first + float64(n)*l.frame
	return first, l.frame
}
