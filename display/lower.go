package display

import (
	"fmt"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// lastWord is the verdict on the newest note of the line: its name, ringed if
// it is a tone of the written chord, and its place, or its fate once it has met
// one. The text is empty before the first note of a page. On a quiet screen it
// is the last note of the phrase that is over, until the next one begins.
func lastWord(f *Frame, name func(string) string) (text, word string, k ink) {
	s := &f.Snapshot
	if f.keepsQuiet() || f.Status.Quiet && s.Phrase.Number == 0 {
		return "", "", plain
	}
	last := len(s.Page.Notes) - 1
	for last >= 0 && (s.Page.Notes[last].Role == analyse.Struck || f.Status.Quiet && s.Page.Notes[last].N > s.Phrase.Last) {
		last--
	}
	if last < 0 {
		return "", "", plain
	}
	n := &s.Page.Notes[last]
	text, word = name(n.Name), placeWord(n.Place, s.Scale.Kind)
	if n.ChordTone {
		text = "(" + text + ")"
	}
	if n.Place == song.Outside && n.Fate > fate.Pending {
		word = n.Fate.String()
	}
	return text, word, inkOf(n, f.slipped(n))
}

// paintVerdict shows the newest note large enough to be read across a room.
func (p *painter) paintVerdict(f *Frame) {
	at := p.at[verdict]
	if at.n == 0 {
		return
	}
	unicode := p.speller
	unicode.ascii = false // the large alphabet has its own ASCII form
	name, word, k := lastWord(f, unicode.name)
	if name == "" {
		return
	}
	if nameArt, ok := large(name, p.options.ASCII); ok {
		x := p.margin()
		wordArt, ok := large(word, p.options.ASCII)
		for i := range nameArt {
			p.c.put(x, at.y+i, nameArt[i], k|bold)
			if ok {
				p.c.put(x+width(nameArt[0])+letterRows, at.y+i, wordArt[i], k|bold)
			}
		}
		if !ok {
			p.c.put(x+width(nameArt[0])+letterRows, at.y+letterRows/2, word, k|bold)
		}
		return
	}
	p.line(p.margin(), p.right(), at.y, []piece{{p.speller.text(name), k | bold}, {word, k | bold}})
}

func (p *painter) paintHeld(s *analyse.Snapshot) {
	at := p.at[held]
	if at.n == 0 {
		return
	}
	pieces := []piece{{"held", faint}}
	if s.HeldChord != "" {
		pieces = append(pieces, piece{p.speller.symbol(s.HeldChord), plain | bold})
	}
	for i := range s.Held {
		k := inkOf(&analyse.PageNote{Place: s.Held[i].Place}, false)
		pieces = append(pieces, piece{p.speller.name(s.Held[i].Name), k})
	}
	p.line(p.margin(), p.right(), at.y, pieces)
}

// paintFit says what there is to say at the moment: in the first bar of a chorus,
// or later on a quiet screen, how the last one went; in the rest after a phrase how
// that went and what it was made of; and while one is played how the last bars lay
// on the scale, unless the player wants it quiet.
func (p *painter) paintFit(f *Frame) {
	s, at, text := &f.Snapshot, p.at[fit], p.chorus.news(f)
	switch {
	case at.n == 0:
		return
	case text != "":
	case s.Phrase.Number > 0 && !s.InPhrase:
		text = p.speller.phrase(&s.Phrase)
		room := p.right() - p.margin() - width(text) - gap
		p.line(p.margin(), p.right(), at.y, []piece{{text, plain}, {p.speller.figuresIn(&s.Phrase, room), faint}})
		return
	case s.Recent.Notes > 0 && !s.Scale.None() && !f.Status.Quiet:
		text = fmt.Sprintf("last %d bars: %d of %d on the scale", analyse.PageBars, s.Recent.Inside, s.Recent.Notes)
		if best := p.speller.fits(&s.Fit); best != "" && p.at[outlined].n == 0 {
			text += "; " + best
		}
	}
	p.line(p.margin(), p.right(), at.y, []piece{{text, plain}})
}

// chorusOver holds the chorus that is over against the one before it, as the
// summary does, while the first bar of the next one lasts.
func chorusOver(s *analyse.Snapshot) string {
	over, before := &s.Choruses[0], &s.Choruses[1]
	switch {
	case over.Chorus == 0 || s.Scale.None():
		return ""
	case before.Chorus == 0:
		return fmt.Sprintf("chorus %d: unresolved %s, outside %s", over.Chorus,
			share(over.Unresolved, over.Notes), share(over.Outside, over.Notes))
	}
	return chorusAgainst(before, over)
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
func (c *chorusNews) news(f *Frame) string {
	s := &f.Snapshot
	text := chorusOver(s)
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

// meterAt is the meter of the page at a tick.
func meterAt(p *analyse.Page, tick int64) (m timebase.Meter) {
	for _, b := range p.Bars {
		if b.Start <= tick {
			m = b.Meter
		}
	}
	return m
}

const percent = 100

func share(part, whole int64) string {
	if whole == 0 {
		return "0 %"
	}
	return fmt.Sprintf("%d %%", (part*percent+whole/2)/whole)
}

// paintCounts writes the running summary, the most telling first, so that a
// narrow screen drops the least.
func (p *painter) paintCounts(f *Frame) {
	s, at := &f.Snapshot, p.at[counts]
	if at.n == 0 {
		return
	}
	c := &s.Counts
	pieces := []piece{{fmt.Sprintf("%d notes", c.Notes), plain | bold}}
	unresolved := c.Of(fate.Unresolved)
	if f.keepsQuiet() {
		unresolved = s.UnresolvedBefore
	}
	if c.Home+c.Dim+c.Outside > 0 {
		pieces = append(pieces,
			piece{fmt.Sprintf("%s %d", homeWord(s.Scale.Kind), c.Home), home},
			piece{fmt.Sprintf("dim %d", c.Dim), half},
			piece{fmt.Sprintf("outside %d", c.Outside), plain},
			piece{fmt.Sprintf("unresolved %d", unresolved), slip},
			piece{"chord tones " + share(c.ChordTones, c.Notes), plain},
		)
	}
	p.line(p.margin(), p.right(), at.y, pieces)
}

// warnings says what has gone wrong, the most urgent first.
func (s speller) warnings(st *Status) []string {
	var out []string
	if st.Gone {
		out = append(out, "instrument gone: "+s.text(st.Source)+", plug it in again")
	}
	switch {
	case st.SaveError != "" && st.Unsaved > 0:
		out = append(out, fmt.Sprintf("not saved: %s, %d events", s.text(st.SaveError), st.Unsaved))
	case st.SaveError != "":
		out = append(out, "not saved: "+s.text(st.SaveError))
	case st.Unsaved > 0:
		out = append(out, fmt.Sprintf("not saved: %d events", st.Unsaved))
	}
	if st.Lost > 0 {
		out = append(out, fmt.Sprintf("lost notes: %d messages", st.Lost))
	}
	return out
}

// minNews is the room below which news is not worth its cells.
const minNews = 12

// paintFoot writes the last line: news or where the take goes, and the help
// line. Warnings take its place, and where they need more that of the lines
// above the counts: the player must know of them before all else.
func (p *painter) paintFoot(st *Status) {
	if p.at[foot].n == 0 {
		return
	}
	x, limit, y := p.margin(), p.right(), p.at[foot].y
	hint := p.options.Hint
	if hint == "" {
		hint = "q leave  ? help"
	}
	hint = head(p.speller.text(hint), limit-x)
	warnings := p.speller.warnings(st)
	if len(warnings) == 0 {
		p.c.putRight(limit, y, hint, faint)
		if room := limit - x - gap - width(hint); room >= minNews {
			p.c.put(x, y, p.news(st, room), faint)
		}
		return
	}
	free := []part{foot, fit, held}
	for _, text := range warnings {
		text = " " + cut(text, limit-p.margin()-2) + " "
		if x > p.margin() && x+width(text) > limit {
			free, x = free[1:], p.margin()
		}
		if len(free) == 0 || p.at[free[0]].n == 0 {
			return
		}
		y = p.at[free[0]].y
		if x == p.margin() {
			p.c.put(0, y, pad("", p.c.w), plain)
		}
		x = p.c.put(x, y, text, plain|bold|reverse) + gap
	}
	if y == p.at[foot].y && x+width(hint) <= limit {
		p.c.putRight(limit, y, hint, faint)
	}
}

// recovered says that takes were, up to where they are.
func recovered(st *Status) string {
	if st.Recovered == 1 {
		return "recovered "
	}
	return fmt.Sprintf("recovered %d takes in ", st.Recovered)
}

// news is the quiet half of the foot, cut to its room.
func (p *painter) news(st *Status, room int) string {
	room = max(room, 0)
	switch {
	case st.Message != "":
		return cut(p.speller.text(st.Message), room)
	case st.Recovered > 0:
		before := recovered(st)
		return cut(before+p.speller.path(st.RecoveredAt, room-len(before)), room)
	case st.Waiting && st.Source != "":
		return cut("listening to "+p.speller.text(st.Source), room)
	case st.TakePath != "":
		before := "take: "
		return before + p.speller.path(st.TakePath, max(room-len(before), 0))
	case st.Source != "":
		return cut(p.speller.text(st.Source)+", no take", room)
	}
	return ""
}
