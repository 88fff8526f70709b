package display

import (
	"fmt"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// chorusOver holds the chorus that is over against the one before it, as the
// summary does, while the first bar of the next one lasts; where that was no like one it
// stands alone, with what it was.
func (s speller) chorusOver(now *analyse.Snapshot) string {
	over, before := &now.Choruses[0], &now.Choruses[1]
	switch {
	case over.Chorus == 0 || now.Scale.None():
		return ""
	case before.Chorus == 0:
		return s.chorusAlone(over, "")
	case before.InAnyKey().Like(over.InAnyKey()) && !before.Like(over.Was): // its name says its key
		return s.chorusAlone(over, "")
	case !before.Like(over.Was):
		return s.chorusAlone(over, comma(s.was(over.InAnyKey())))
	}
	return s.chorusAgainst(before, over, "")
}

// chorus is the number of a chorus, with the key that it was in where that changes: "2 in
// F".
func (s speller) chorus(c *analyse.ChorusCount) string {
	if c.Key == "" {
		return fmt.Sprint(c.Chorus)
	}
	return fmt.Sprintf("%d in %s", c.Chorus, s.centre(c.Key))
}

// readBeats is how many beats a line must have stood to have been read by
// somebody who looks up from the instrument.
const readBeats = 2

// chorusNews is what a quiet screen has still to say of the chorus that is over.
type chorusNews struct {
	chorus  int    // the one that is over
	text    string // empty once it has been said
	left    int64  // for how many ticks
	since   int64  // the tick since when it stands
	showing bool
}

// news is the line on the chorus that is over, in the first bar of the next. On a
// quiet screen it stands for a bar in all, while no phrase is being played. Where
// one begins before the line can have been read, it comes back in the next rest.
func (c *chorusNews) news(f *Frame, sp speller) string {
	s := &f.Snapshot
	text := sp.chorusOver(s)
	if !f.Status.Quiet {
		return text
	}
	meter := meterAt(&s.Page, s.Tick)
	if text != "" {
		if c.chorus != s.Choruses[0].Chorus {
			*c = chorusNews{chorus: s.Choruses[0].Chorus, text: text, left: meter.Bar()}
		}
		if c.text != "" {
			c.text = text // what was open then may be settled now
		}
	}
	switch {
	case c.text == "":
	case s.InPhrase && c.showing:
		c.left -= s.Tick - c.since
		c.showing = false
		if meter.Bar()-c.left >= readBeats*meter.Beat() {
			c.text = ""
		}
	case s.InPhrase:
	case !c.showing:
		c.since, c.showing = s.Tick, true
	case s.Tick >= c.since+c.left:
		c.text, c.showing = "", false
	}
	if c.showing {
		return c.text
	}
	return ""
}

// meterAt is the meter of the page at a tick, before it that of its first bar.
func meterAt(p *analyse.Page, tick int64) (m timebase.Meter) {
	for i, b := range p.Bars {
		if b.Start <= tick || i == 0 {
			m = b.Meter
		}
	}
	return m
}

// fromTo says how a share went: "from 4 % to 1 %", "still 4 %".
func fromTo(part, whole, partNow, wholeNow int64) string {
	before, now := share(part, whole), share(partNow, wholeNow)
	if before == now {
		return "still " + now
	}
	return "from " + before + " to " + now
}
