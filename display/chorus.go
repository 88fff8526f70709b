package display

import (
	"fmt"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// chorusOver holds the chorus that is over against the one before it, as the
// summary does, while the first bar of the next one lasts.
func (s speller) chorusOver(now *analyse.Snapshot) string {
	over, before := &now.Choruses[0], &now.Choruses[1]
	switch {
	case over.Chorus == 0 || now.Scale.None():
		return ""
	case before.Chorus == 0:
		return fmt.Sprintf("chorus %s: slips %s, outside %s", s.chorus(over),
			share(over.Slips(), over.Notes), share(over.Outside, over.Notes))
	}
	return s.chorusAgainst(before, over)
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

// lastChorus is the last chorus with at least half as many notes as the first:
// one that was broken off says little.
func lastChorus(all []analyse.ChorusCount) *analyse.ChorusCount {
	for i := len(all) - 1; i > 0; i-- {
		if 2*all[i].Notes >= all[0].Notes {
			return &all[i]
		}
	}
	return &all[0]
}

// chorusAgainst holds one chorus against another, on the live screen as in the
// summary.
func (s speller) chorusAgainst(before, after *analyse.ChorusCount) string {
	return fmt.Sprintf("chorus %s to %s: slips %s, outside %s", s.chorus(before), s.chorus(after),
		fromTo(before.Slips(), before.Notes, after.Slips(), after.Notes),
		fromTo(before.Outside, before.Notes, after.Outside, after.Notes))
}

// fromTo says how a share went: "from 4 % to 1 %", "still 4 %".
func fromTo(part, whole, partNow, wholeNow int64) string {
	before, now := share(part, whole), share(partNow, wholeNow)
	if before == now {
		return "still " + now
	}
	return "from " + before + " to " + now
}

// choruses lists the slips of each chorus, or of the last ones if there are too many
// for a row.
func (s speller) choruses(all []analyse.ChorusCount) string {
	var texts []string
	for i := range all {
		text := fmt.Sprint(all[i].Slips())
		if all[i].Key != "" {
			text += " in " + s.centre(all[i].Key)
		}
		texts = append(texts, text)
	}
	label := "slips by chorus: "
	for width(label)+width(strings.Join(texts, ", ")) > besides {
		texts = texts[1:]
		label = fmt.Sprintf("slips in the last %s: ", count(int64(len(texts)), "chorus"))
	}
	return label + strings.Join(texts, ", ")
}
