package material

import (
	"encoding/xml"
	"fmt"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// MusicXML writes exercises one after the other as a score of one part (MusicXML 4.0,
// score-partwise), each on a system of its own with its idea above it and its chords as
// symbols. program names what wrote it.
func MusicXML(all []*Exercise, program string) []byte {
	w := scoreWriter{}
	title := "Lines"
	if all[0].Title != "" {
		title = all[0].Title
	}
	w.out.WriteString(xml.Header)
	w.out.WriteString("<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\">\n")
	w.open(`score-partwise version="4.0"`)
	w.text("movement-title", title)
	w.open("identification")
	w.open("encoding")
	w.text("software", program)
	w.close("encoding")
	w.close("identification")
	w.open("part-list")
	w.open(`score-part id="P1"`)
	w.text("part-name", "Line")
	w.close("score-part")
	w.close("part-list")
	w.open(`part id="P1"`)
	for i, e := range all {
		w.exercise(e, i, len(all) > 1)
	}
	w.close("part")
	w.close("score-partwise")
	return []byte(w.out.String())
}

// scoreWriter writes elements, an indent for each that is open.
type scoreWriter struct {
	out      strings.Builder
	depth    int
	measures int
	meter    timebase.Meter
	key      changes.Centre
}

func (w *scoreWriter) open(tag string) {
	fmt.Fprintf(&w.out, "%s<%s>\n", strings.Repeat(" ", w.depth), tag)
	w.depth++
}

func (w *scoreWriter) close(tag string) {
	w.depth--
	fmt.Fprintf(&w.out, "%s</%s>\n", strings.Repeat(" ", w.depth), tag)
}

func (w *scoreWriter) empty(tag string) {
	fmt.Fprintf(&w.out, "%s<%s/>\n", strings.Repeat(" ", w.depth), tag)
}

// text writes an element with a text in it. tag may have attributes.
func (w *scoreWriter) text(tag string, value any) {
	name, _, _ := strings.Cut(tag, " ")
	fmt.Fprintf(&w.out, "%s<%s>", strings.Repeat(" ", w.depth), tag)
	_ = xml.EscapeText(&w.out, fmt.Append(nil, value)) // a builder takes everything
	fmt.Fprintf(&w.out, "</%s>\n", name)
}

// fifths is how many sharps a key has, flats below 0. A blues is written in its major.
func fifths(c changes.Centre) int {
	const perSharp, minorKey, most = 7, 3, 7
	n := [...]int{0, 2, 4, -1, 1, 3, 5}[c.Tonic.Letter] + perSharp*int(c.Tonic.Alter)
	if c.Mode == changes.Minor {
		n -= minorKey
	}
	return min(max(n, -most), most)
}

func (w *scoreWriter) exercise(e *Exercise, number int, several bool) {
	for i, bar := range e.Line.Bars {
		w.measures++
		w.open(fmt.Sprintf(`measure number="%d"`, w.measures))
		if i == 0 && number > 0 {
			w.empty(`print new-system="yes"`)
		}
		w.attributes(e, bar)
		if bar.Opens && bar.Section != "" {
			w.open(`direction placement="above"`)
			w.open("direction-type")
			w.text("rehearsal", bar.Section)
			w.close("direction-type")
			w.close("direction")
		}
		if i == 0 {
			w.heading(e, number, several)
		}
		w.measure(e, bar)
		if i == len(e.Line.Bars)-1 {
			w.open(`barline location="right"`)
			w.text("bar-style", "light-light")
			w.close("barline")
		}
		w.close("measure")
	}
}

// attributes writes what has changed: key, meter, and once divisions and clef.
func (w *scoreWriter) attributes(e *Exercise, bar changes.Bar) {
	first := w.measures == 1
	if !first && bar.Meter == w.meter && e.Key == w.key {
		return
	}
	w.open("attributes")
	if first {
		w.text("divisions", timebase.Quarter)
	}
	if first || e.Key != w.key {
		w.open("key")
		w.text("fifths", fifths(e.Key))
		mode := "major"
		if e.Key.Mode == changes.Minor {
			mode = "minor"
		}
		w.text("mode", mode)
		w.close("key")
	}
	if first || bar.Meter != w.meter {
		w.open("time")
		w.text("beats", bar.Meter.Num)
		w.text("beat-type", bar.Meter.Den)
		w.close("time")
	}
	if first {
		w.clef(e)
		if by, moves := written[e.For]; moves {
			w.open("transpose")
			w.text("diatonic", -by.steps)
			w.text("chromatic", -by.semitones)
			w.close("transpose")
		}
	}
	w.close("attributes")
	w.meter, w.key = bar.Meter, e.Key
}

// clef is the bass clef where most notes lie under middle C.
func (w *scoreWriter) clef(e *Exercise) {
	const middleC = 60
	low := 0
	for _, n := range e.Notes {
		if n.Key < middleC {
			low++
		}
	}
	sign, line := "G", 2
	if 2*low > len(e.Notes) {
		sign, line = "F", 4
	}
	w.open("clef")
	w.text("sign", sign)
	w.text("line", line)
	w.close("clef")
}

// heading writes the idea and the tempo above the first bar.
func (w *scoreWriter) heading(e *Exercise, number int, several bool) {
	if e.Idea != "" {
		idea := e.Idea
		if several {
			idea = fmt.Sprintf("%d. %s", number+1, idea)
		}
		w.open(`direction placement="above"`)
		w.open("direction-type")
		w.text(`words font-size="9"`, idea)
		w.close("direction-type")
		w.close("direction")
	}
	if e.Tempo > 0 && number == 0 {
		m := e.Line.Bars[0].Meter
		unit, dots := noteType(m.Beat())
		w.open(`direction placement="above"`)
		w.open("direction-type")
		w.open("metronome")
		w.text("beat-unit", unit)
		if dots > 0 {
			w.empty("beat-unit-dot")
		}
		w.text("per-minute", e.Tempo)
		w.close("metronome")
		w.close("direction-type")
		w.empty(fmt.Sprintf(`sound tempo="%d"`, int64(e.Tempo)*m.Beat()/timebase.Quarter))
		w.close("direction")
	}
}

// noteType names a length in ticks.
func noteType(ticks int64) (name string, dots int) {
	for i, name := range [...]string{"whole", "half", "quarter", "eighth"} {
		switch whole := int64(4*timebase.Quarter) >> i; {
		case ticks == whole:
			return name, 0
		case ticks == whole+whole/2:
			return name, 1
		}
	}
	return "16th", 0
}

// measure writes the chords, notes and rests of a bar.
func (w *scoreWriter) measure(e *Exercise, bar changes.Bar) {
	end := bar.Start + bar.Meter.Bar()
	next := 0 // the next slot to be written
	for next < len(e.Line.Slots) && e.Line.Slots[next].Start < bar.Start {
		next++
	}
	chords := func(from, until int64) { // those that begin in a stretch
		for ; next < len(e.Line.Slots) && e.Line.Slots[next].Start < until; next++ {
			w.harmony(&e.Line.Slots[next], e.Line.Slots[next].Start-from)
		}
	}
	at := bar.Start
	rest := func(until int64) {
		for at < until {
			took := piece(at-bar.Start, until-at, bar.Meter, true)
			chords(at, at+took)
			w.open("note")
			if took == bar.Meter.Bar() {
				w.empty(`rest measure="yes"`)
			} else {
				w.empty("rest")
			}
			w.length(took, 1, took != bar.Meter.Bar())
			w.close("note")
			at += took
		}
	}
	triplet := 0
	for i, n := range e.Notes {
		if n.end() <= bar.Start || n.Tick >= end {
			continue
		}
		rest(max(n.Tick, bar.Start))
		for until := min(n.end(), end); at < until; {
			took, actual := until-at, 1
			if n.Length%eighth != 0 {
				actual = 3
				triplet++
			} else {
				took = piece(at-bar.Start, until-at, bar.Meter, false)
			}
			chords(at, at+took)
			w.note(e, i, took, actual, at > n.Tick, at+took < n.end(), triplet)
			at += took
			if triplet == actual {
				triplet = 0
			}
		}
	}
	rest(end)
}

// piece returns how much of a note or a rest is written as one sign, from an offset in
// its bar on: what lasts over a beat or over the middle of the bar is tied there
// (common practice).
func piece(offset, left int64, m timebase.Meter, rest bool) int64 {
	if offset == 0 && left >= m.Bar() && (rest || isSign(m.Bar())) {
		return m.Bar()
	}
	beat := int64(timebase.Quarter)
	if m.Compound() {
		beat = m.Beat()
	}
	if in := offset % beat; in != 0 { // off the beat: to the next one, but a quarter between two beats is whole
		within := m.Bar()/2 > beat && offset%(2*beat) < beat
		if left == beat && !rest && !m.Compound() && within {
			return left
		}
		return min(left, beat-in)
	}
	limit := left
	if half := m.Bar() / 2; !m.Compound() && half%beat == 0 && offset < half && offset != 0 {
		limit = min(limit, half-offset)
	}
	if rest {
		limit = min(limit, 2*beat)
		if offset%(2*beat) != 0 {
			limit = min(limit, beat)
		}
	}
	for limit > eighth && (!isSign(limit) || m.Compound() && limit > beat && limit%beat != 0) {
		limit -= eighth
	}
	return limit
}

// isSign reports whether one sign stands for a length: an eighth to a whole, or one of
// them with a dot.
func isSign(ticks int64) bool {
	name, _ := noteType(ticks)
	return name != "16th"
}

// length writes duration, voice, type and dots; of a triplet its three in two.
func (w *scoreWriter) length(ticks int64, actual int, typed bool) {
	w.text("duration", ticks)
	w.text("voice", 1)
	if !typed {
		return
	}
	if actual == 3 {
		w.text("type", "eighth")
		return
	}
	name, dots := noteType(ticks)
	w.text("type", name)
	for range dots {
		w.empty("dot")
	}
}

func (w *scoreWriter) note(e *Exercise, i int, took int64, actual int, tied, goesOn bool, triplet int) {
	p := e.Pitch(i)
	w.open("note")
	w.open("pitch")
	w.text("step", string("CDEFGAB"[p.Name.Letter]))
	if p.Name.Alter != 0 {
		w.text("alter", p.Name.Alter)
	}
	w.text("octave", p.Octave)
	w.close("pitch")
	w.text("duration", took)
	if tied {
		w.empty(`tie type="stop"`)
	}
	if goesOn {
		w.empty(`tie type="start"`)
	}
	w.text("voice", 1)
	name, dots := noteType(took)
	if actual == 3 {
		name, dots = "eighth", 0
	}
	w.text("type", name)
	for range dots {
		w.empty("dot")
	}
	if actual == 3 {
		w.open("time-modification")
		w.text("actual-notes", 3)
		w.text("normal-notes", 2)
		w.close("time-modification")
	}
	if tied || goesOn || actual == 3 && triplet != 2 {
		w.open("notations")
		if tied {
			w.empty(`tied type="stop"`)
		}
		if goesOn {
			w.empty(`tied type="start"`)
		}
		if actual == 3 && triplet == 1 {
			w.empty(`tuplet type="start" bracket="yes"`)
		}
		if actual == 3 && triplet == 3 {
			w.empty(`tuplet type="stop"`)
		}
		w.close("notations")
	}
	w.close("note")
}

// pitch writes a root or a bass.
func (w *scoreWriter) pitchName(what string, n tone.Name) {
	w.open(what)
	w.text(what+"-step", string("CDEFGAB"[n.Letter]))
	if n.Alter != 0 {
		w.text(what+"-alter", n.Alter)
	}
	w.close(what)
}
