package advise

import (
	"shedlight/analyse"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// over is a chord of the chart with what was played over it, its symbol read.
type over struct {
	*analyse.ChordCount
	chord, next harmony.Chord // next is what follows, round the form
	scale       harmony.Scale // its own
	names       harmony.Spelling
}

// chartOf reads the chords of a summary; empty without a chart.
func chartOf(s *analyse.Summary) []over {
	rows := make([]over, len(s.ChordsDetail))
	for i := range rows {
		rows[i].ChordCount = &s.ChordsDetail[i]
		rows[i].chord = read(rows[i].Symbol)
	}
	for i := range rows {
		rows[i].follow(rows[(i+1)%len(rows)].chord)
	}
	return rows
}

// read reads a symbol; no chord where it is none.
func read(symbol string) harmony.Chord {
	parsed, err := harmony.ParseSymbol(symbol)
	if err != nil {
		return harmony.Chord{}
	}
	return parsed.Chord
}

// follow sets what follows a chord, and what hangs on it.
func (o *over) follow(next harmony.Chord) {
	o.next = next
	if choices := harmony.ScalesFor(o.chord, next); len(choices) > 0 {
		o.scale = choices[0].Scale
	}
	o.names = o.scale.Spelling(o.chord, false)
}

// toTonic reports whether a dominant goes to a chord a fourth up that is at rest.
func (o *over) toTonic() bool {
	const fourth = 5
	up := tone.ClassOf(int(o.next.Root.Class()) - int(o.chord.Root.Class()))
	return up == fourth && o.next.Kind() != harmony.KindDominant
}
