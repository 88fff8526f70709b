package display

import (
	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// chorusOver holds the chorus that is over against the one before it, as the
// summary does, while the first bar of the next one lasts; where that was no like one it
// stands alone, with what it was.
func chorusOver(s *analyse.Snapshot, sp speller) string {
	over, before := &s.Choruses[0], &s.Choruses[1]
	switch {
	case over.Chorus == 0 || s.Scale.None():
		return ""
	case before.Chorus == 0:
		return chorusAlone(over, "")
	case !before.Like(over.Was):
		return chorusAlone(over, comma(sp.was(over.Was)))
	}
	return chorusAgainst(before, over, "")
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
	text := chorusOver(s, sp)
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
