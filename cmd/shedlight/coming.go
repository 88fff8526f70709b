package main

import (
	"fmt"

	"shedlight/listen/beat"
)

// coming tells what is about to happen by itself. A nil one tells nothing.
type coming struct {
	line  func() *beat.Line
	limit *limit // nil: the session goes on
}

// barsAhead is how long before it happens it is told: long enough to be read in a rest.
const barsAhead = 4

// at returns what is to be told at a tick; empty for nothing.
func (c *coming) at(tick int64) string {
	if c == nil || c.limit.last(tick) { // no other top comes
		return ""
	}
	line := c.line()
	left, tempo, ok := line.Rises(tick)
	if !ok || left > barsAhead*line.Form().Bars[0].Meter.Bar() {
		return ""
	}
	return fmt.Sprintf("%s at the top: %.0f", direction(line.Rise().By), tempo)
}

func direction(by int64) string {
	if by < 0 {
		return "slower"
	}
	return "faster"
}
