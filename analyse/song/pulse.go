package song

import (
	"strconv"

	"shedlight/analyse/timebase"
)

// On the beat is a tenth of a beat ahead to two tenths behind, off it four to nine
// tenths, in tenths of a beat. Swing ratios of 3.5:1 when slow to 1:1 when fast put
// the off-beat at 0.50 to 0.78 of a beat (Music Perception 19/3, p. 333), and
// soloists lie about 30 ms behind the beat (456 transcribed solos), so the windows
// hold both.
const onBeatTenths, offBeatTenths, aheadTenths = 2, 4, 9

// halves of a beat.
const halves = 2

// Pulse is where a note lies in its bar.
type Pulse struct {
	Known  bool
	Number int   // of the beat before or at it, from 1
	Beats  int   // in the bar
	Since  int64 // ticks since that beat; negative as Nearest tells it ahead of the next
	Length int64 // of a beat in ticks
	Dotted bool  // the meter is compound: a beat has three parts
}

// PulseAt returns where a tick, at song position p, lies in its bar. counted says
// that somebody gives the beat; without a chart it is counted in a meter from the
// tick metered on.
func (s *Song) PulseAt(tick int64, p *Position, counted bool, m timebase.Meter, metered int64) Pulse {
	since := tick - metered
	switch t := s.Timeline; {
	case t != nil:
		if !s.known || !s.running {
			return Pulse{}
		}
		bar := &t.Bars[max(p.BarRow, 0)]
		m, since = bar.Meter, p.Within-bar.Start
	case !counted || s.known && !s.running:
		return Pulse{}
	case s.known:
		since = s.at + tick - s.tick
	}
	since = timebase.Mod(since, m.Bar())
	return Pulse{
		Known: true, Number: int(since/m.Beat()) + 1, Beats: m.Beats(), Since: since % m.Beat(), Length: m.Beat(),
		Dotted: m.Compound(),
	}
}

// Nearest returns the pulse told from the next beat where it lies ahead of it.
func (p Pulse) Nearest() Pulse {
	if p.Known && p.Since*timebase.Tenths >= aheadTenths*p.Length {
		p.Since -= p.Length
		if p.Number++; p.Number > p.Beats {
			p.Number = 1
		}
	}
	return p
}

// BeatPlace says where in the beat a note stands.
type BeatPlace uint8

const (
	NoBeat       BeatPlace = iota // no beat is known
	OnTheBeat                     // up to a tenth before it and two tenths after
	BetweenBeats                  // neither
	OffTheBeat                    // four to nine tenths
)

// String prints where in the beat: "on the beat", "off the beat", "between", or
// nothing.
func (b BeatPlace) String() string {
	return [...]string{"", "on the beat", "between", "off the beat"}[b]
}

// Beat says where in its beat the note lies.
func (p Pulse) Beat() BeatPlace {
	if !p.Known {
		return NoBeat
	}
	switch since := p.Nearest().Since * timebase.Tenths; {
	case since <= onBeatTenths*p.Length:
		return OnTheBeat
	case since < offBeatTenths*p.Length:
		return BetweenBeats
	}
	return OffTheBeat
}

// Half returns the half of the beat that a nearest pulse belongs to, 0 or 1, and
// whether it is on that half-beat by the same windows.
func (p Pulse) Half() (i int, on bool) {
	length := p.Length / halves
	if p.Since*timebase.Tenths >= length*aheadTenths {
		i = 1
	}
	past := p.Since - int64(i)*length
	return i, (past+length)*timebase.Tenths >= length*aheadTenths && past*timebase.Tenths <= length*onBeatTenths
}

// BeatPart is a beat of the bar and where in it.
type BeatPart struct {
	Number int // of the beat, from 1
	Beat   BeatPlace
}

// Part is the beat of the bar and where in it.
func (p Pulse) Part() BeatPart { return BeatPart{Number: p.Nearest().Number, Beat: p.Beat()} }

// String prints the beat as a number: "2" on it, "2.25" between, "2.5" off it.
func (b BeatPart) String() string {
	return strconv.Itoa(b.Number) + [...]string{"", "", ".25", ".5"}[b.Beat]
}
