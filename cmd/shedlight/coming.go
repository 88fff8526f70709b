package main

import (
	"fmt"

	"shedlight/analyse/song"
	"shedlight/listen/beat"
)

// coming tells what is about to happen by itself. A nil one tells nothing.
type coming struct {
	line  func() *beat.Line
	limit *limit // nil: the session goes on
	gaps  song.Gaps
	ticks func() bool // whether the clock that is followed does; nil: none is
}

// follows reports whether a clock is followed.
func (c *coming) follows() bool { return c != nil && c.ticks != nil }

// barsAhead is how long before the tempo changes it is told: long enough to be read in a
// rest.
const barsAhead = 4

// at returns what is to be told at a tick; empty for nothing.
func (c *coming) at(tick int64) string {
	if c == nil {
		return ""
	}
	line := c.line()
	if c.follows() {
		return c.start(line, tick)
	}
	return both(c.gap(line, tick), c.rise(line, tick))
}

// start tells what a song that follows a clock waits for.
func (c *coming) start(line *beat.Line, tick int64) string {
	_, state := line.Song(tick)
	switch {
	case state == beat.Halted:
		return "stopped: the clock's start or continue goes on"
	case state != beat.Running && !c.ticks():
		return "no clock yet: its start begins the song"
	case state == beat.Waiting:
		return "the clock ticks: its start, a, or t on one begins the song"
	}
	return ""
}

// both returns two things to tell, either of which may be empty.
func both(one, other string) string {
	if one == "" || other == "" {
		return one + other
	}
	return one + "; " + other
}

// rise tells of another tempo.
func (c *coming) rise(line *beat.Line, tick int64) string {
	left, tempo, ok := line.Rises(tick)
	if !ok || left > barsAhead*line.Form().Bars[0].Meter.Bar() || c.limit.last(tick) { // then no other top comes
		return ""
	}
	way := "faster"
	if line.Rise().By < 0 {
		way = "slower"
	}
	return fmt.Sprintf("%s at the top: %.0f", way, tempo)
}

// gap tells in the bar before that the click falls silent, and meanwhile when it is back.
func (c *coming) gap(line *beat.Line, tick int64) string {
	if c.gaps.Of == 0 {
		return ""
	}
	switch bar := line.BarsIn(tick); {
	case bar < 0:
	case c.gaps.At(bar):
		return "the click is back in " + bars(c.gaps.Of-bar%c.gaps.Of)
	case c.gaps.At(bar + 1):
		return fmt.Sprintf("then %s without a click", bars(c.gaps.Silent))
	}
	return ""
}

// turns says whose bars come, where the player trades.
func turns(yours bool, left int, trades bool) string {
	switch {
	case !trades:
		return ""
	case yours:
		return "yours for " + bars(left)
	}
	return "yours in " + bars(left)
}

func bars(n int) string {
	if n == 1 {
		return "1 bar"
	}
	return fmt.Sprintf("%d bars", n)
}
