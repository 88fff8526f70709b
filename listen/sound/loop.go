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
// a second. It begins anew where the two are too far apart for a scatter.
//
// Method: F. Adriaensen, "Using a DLL to filter time" (2005), from memory.
type loop struct {
	rate    float64 // frames a second, as the device has it
	begun   bool
	updates int
	next    float64 // when the frame after the last update is due, in seconds
	frame   float64 // seconds a frame takes
}

const (
	wideHz   = 2.0
	narrowHz = 0.1
	// widened is how many updates are made with the wide filter.
	widened = 200
	// lost is the distance in seconds at which the loop begins anew.
	lost = 0.030
)

// update says that at now the device asked for n frames. It returns when the
// first of them is due, in seconds, and how long each takes.
func (l *loop) update(now time.Duration, n int) (first, frame float64) {
	at := now.Seconds()
	off := at - l.next
	if !l.begun || math.Abs(off) > lost {
		*l = loop{rate: l.rate, begun: true, next: at, frame: 1 / l.rate}
		off = 0
	}
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
