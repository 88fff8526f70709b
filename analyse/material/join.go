package material

import "shedlight/analyse/changes"

// Joined returns exercises one after the other as one.
func Joined(all []*Exercise) *Exercise {
	if len(all) == 1 {
		return all[0]
	}
	line := &changes.Timeline{}
	out := &Exercise{Title: all[0].Title, Key: all[0].Key, Tempo: all[0].Tempo, Level: all[0].Level, Seed: all[0].Seed, Line: line}
	for _, e := range all {
		appendTimeline(line, e.Line)
		for _, n := range e.Notes {
			n.Tick += line.Length - e.Line.Length
			out.Notes = append(out.Notes, n)
		}
	}
	return out
}

// appendTimeline puts a timeline behind another.
func appendTimeline(to *changes.Timeline, t *changes.Timeline) {
	at, bars := to.Length, len(to.Bars)
	for _, s := range t.Slots {
		s.Start, s.End, s.Bar = s.Start+at, s.End+at, s.Bar+bars
		to.Slots = append(to.Slots, s)
	}
	for _, b := range t.Bars {
		b.Start, b.Number = b.Start+at, b.Number+bars
		to.Bars = append(to.Bars, b)
	}
	for _, s := range t.Centres {
		s.Start, s.End = s.Start+at, s.End+at
		to.Centres = append(to.Centres, s)
	}
	to.Length += t.Length
}
