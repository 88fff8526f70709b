package display

import (
	"fmt"
	"strings"
)

// writtenAnew comes before where the take is now.
const writtenAnew = "the take had gone and is written anew: "

// clockLost is said of a clock that is followed and silent.
const clockLost = "clock lost: the beat goes on by itself"

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
	if st.TakeAnew > 0 {
		out = append(out, writtenAnew+s.text(st.TakePath))
	}
	if st.ClockLost {
		out = append(out, clockLost)
	}
	if st.NoSound != "" {
		out = append(out, "no sound: "+s.whole(st.NoSound))
	}
	if st.Lost > 0 {
		out = append(out, fmt.Sprintf("lost notes: %d messages", st.Lost))
	}
	return out
}

// banner is the one warning that is also written large: that nothing is heard or
// kept, or the clock is lost, while a phrase is played too, that nothing sounds in the rests.
func banner(f *Frame) string {
	st := &f.Status
	switch {
	case st.Gone:
		return "instrument gone"
	case st.SaveError != "" || st.Unsaved > 0:
		return "not saved"
	case st.ClockLost:
		return "clock lost"
	case st.NoSound != "" && !f.Snapshot.InPhrase:
		return "no sound"
	}
	return ""
}

// keysHint says which keys there are.
const keysHint = "q leave  ? help"

// minNews is the room below which news is not worth its cells.
const minNews = 12

// paintFoot writes the last line: news or where the take goes, and the help line; where
// the lines above it lack, the sentence that is to be said, or the running summary, which
// leaves its place to takes that were recovered until a phrase was played.
// Warnings take its place, and where they need more that of the lines above it: the
// player must know of them before all else.
func (p *painter) paintFoot(f *Frame, one saying) {
	if p.at[foot].n == 0 {
		return
	}
	x, limit, y := p.margin(), p.right(), p.at[foot].y
	hint := head(keysHint, limit-x)
	warnings := p.speller.warnings(&f.Status)
	if len(warnings) == 0 {
		p.c.putRight(limit, y, hint, faint)
		room := limit - x - gap - width(hint)
		switch {
		case room < minNews:
		case f.Status.Notice != "" || p.speller.coming(&f.Status) != "":
			p.c.put(x, y, p.news(&f.Status, room), faint)
		case p.at[lately].n == 0 && one.sentence != "" && !one.told:
			p.c.put(x, y, cut(one.sentence, room), plain)
		case p.at[counts].n == 0 && f.Snapshot.Counts.Notes > 0 && (f.Status.Recovered == 0 || f.Snapshot.Phrase.Number > 0):
			p.line(x, x+room, y, p.running(&f.Snapshot))
		default:
			p.c.put(x, y, p.news(&f.Status, room), faint)
		}
		return
	}
	var free []int // rows that warnings may take
	for _, one := range []part{foot, counts, lately, ahead} {
		if p.at[one].n > 0 {
			free = append(free, p.at[one].y)
		}
	}
	for _, text := range warnings {
		text = " " + cut(text, limit-p.margin()-2) + " "
		if x > p.margin() && x+width(text) > limit {
			free, x = free[1:], p.margin()
		}
		if len(free) == 0 {
			return
		}
		y = free[0]
		if x == p.margin() {
			p.c.put(0, y, pad("", p.c.w), plain)
		}
		x = p.c.put(x, y, text, plain|bold|reverse) + gap
	}
	if y == p.at[foot].y && x+width(hint) <= limit {
		p.c.putRight(limit, y, hint, faint)
	}
}

// coming says what is about to happen by itself; empty for nothing.
func (s speller) coming(st *Status) string {
	var all []string
	if st.NextKey != "" {
		all = append(all, "next chorus in "+s.centre(st.NextKey))
	}
	if st.Coming != "" {
		all = append(all, st.Coming)
	}
	return strings.Join(all, "; ")
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
	case st.Notice != "":
		return cut(p.speller.whole(st.Notice), room)
	case p.speller.coming(st) != "":
		return cut(p.speller.coming(st), room)
	case st.Recovered > 0:
		before := recovered(st)
		return cut(before+p.speller.path(st.RecoveredAt, room-len(before)), room)
	case st.TakePath != "":
		before := "take: "
		return before + p.speller.path(st.TakePath, max(room-len(before), 0))
	case st.Source != "":
		return cut(p.speller.text(st.Source)+", no take", room)
	}
	return ""
}
