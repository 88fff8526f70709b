package sound

import (
	"time"

	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// Pattern says on which beats the click sounds. A count-in is always heard.
type Pattern uint8

const (
	Off      Pattern = iota
	Beats            // each beat, the first of a bar higher
	Offbeats         // 2 and 4; in other meters every second beat
)

// How a click sounds: an octave above the music, the one a fifth higher.
const (
	clickKey      = 84 // C6
	clickOneKey   = 91 // G6
	clickVelocity = 100
	clickFor      = 30 * time.Millisecond
)

// Part returns the part that clicks, but for the bars without a click.
func (p Pattern) Part(gaps song.Gaps) Part {
	return func(form *beat.Form, s beat.Stretch, strike func(int64, Note)) {
		if s.State != beat.Running {
			return
		}
		end := s.Song + s.To - s.From
		for at := s.Song; at < end; {
			place := form.Place(at)
			length := place.Meter.Beat()
			if over := place.Offset % length; over != 0 {
				at += length - over
				continue
			}
			n := int(place.Offset / length)
			if p.sounds(at, n, place.Meter) && !gaps.At(form.BarsIn(at, s.Top)) {
				key := uint8(clickKey)
				if n == 0 && (p != Offbeats || at < 0) {
					key = clickOneKey
				}
				strike(s.From+at-s.Song, Note{Voice: Click, Key: key, Velocity: clickVelocity})
			}
			at += length
		}
	}
}

// sounds reports whether beat n, from 0, of the bar at a song tick is heard.
//
// The last bar before the top is counted out. The bars before it have their first
// beat and, where they can be halved, the one in the middle: one, three, then one,
// two, three, four (common practice). A dotted beat is one beat.
func (p Pattern) sounds(song int64, n int, m timebase.Meter) bool {
	beats := m.Beats()
	switch {
	case song >= 0:
		return p == Beats || p == Offbeats && n%2 == 1
	case song >= -m.Bar():
		return true
	}
	return n == 0 || beats >= 4 && beats%2 == 0 && n == beats/2
}
