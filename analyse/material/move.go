package material

import (
	"fmt"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

// chart writes down what an exercise stands over, its centres as they are.
func (e *Exercise) chart() *changes.Chart {
	c := &changes.Chart{Title: e.Line.Title, Key: e.Key, HasKey: true, Meter: e.Line.Bars[0].Meter}
	section := changes.Section{}
	for i := range e.Line.Bars {
		section.Bars = append(section.Bars, writtenBar(e.Line, i))
	}
	c.Sections = []changes.Section{section}
	return c
}

// writtenBar writes down a bar, its centres as they are.
func writtenBar(t *changes.Timeline, i int) changes.WrittenBar {
	b := t.Bars[i]
	end := b.Start + b.Meter.Bar()
	bar := changes.WrittenBar{Meter: b.Meter}
	for at := t.SlotAt(b.Start, i); at < len(t.Slots) && t.Slots[at].Start < end; at++ {
		s := &t.Slots[at]
		bar.Stays = append(bar.Stays, changes.Stay{
			Symbol: s.Symbol, Chord: s.Chord, Ticks: min(s.End, end) - max(s.Start, b.Start), Centre: s.Centre, Forced: true,
		})
	}
	return bar
}

// MaxMove is how far an exercise can be moved, in semitones.
const MaxMove = 24

// Moved returns the exercise with its key on another tonic, so many semitones higher or
// lower, -MaxMove to MaxMove. What it says of itself names other tones then and is left
// out. The error says what does not fit.
func (e *Exercise) Moved(to tone.Name, semitones int) (*Exercise, error) {
	c := e.chart().Transpose(to)
	if semitones < -MaxMove || semitones > MaxMove || tone.ClassOf(int(e.Key.Tonic.Class())+semitones) != to.Class() {
		return nil, fmt.Errorf("%d semitones from %s are not %s", semitones, e.Key.Tonic, to)
	}
	line, err := c.Unroll()
	if err != nil {
		return nil, err
	}
	out := &Exercise{Title: e.Title, Level: e.Level, Seed: e.Seed, Line: &line, Key: c.Key, Tempo: e.Tempo, Notes: slices.Clone(e.Notes)}
	for i := range line.Bars {
		line.Bars[i].Section, line.Bars[i].Opens = e.Line.Bars[i].Section, e.Line.Bars[i].Opens
	}
	for i := range out.Notes {
		key := int(out.Notes[i].Key) + semitones
		if key < 0 || key > tone.MaxKey {
			return nil, fmt.Errorf("moved %d semitones it leaves the keyboard", semitones)
		}
		out.Notes[i].Key = uint8(key)
	}
	return out, nil
}

// written is by how much an instrument's part is written above what sounds, in steps and
// semitones: a second for Bb, a sixth for Eb, a fifth for F (common practice; a tenor
// saxophone, a baritone and the others that sound an octave lower read the same names).
var written = map[tone.Instrument]struct{ steps, semitones int }{tone.InBFlat: {1, 2}, tone.InEFlat: {5, 9}, tone.InF: {4, 7}}

// WrittenFor returns an exercise at concert pitch as an instrument reads it. What it
// says of itself names other tones then and is left out, but for its reasons.
func (e *Exercise) WrittenFor(i tone.Instrument) (*Exercise, error) {
	by, moves := written[i]
	if !moves {
		return e, nil
	}
	out, err := e.Moved(i.WrittenRoot(e.Key.Tonic), by.semitones)
	if err != nil {
		return nil, err
	}
	out.For = i
	return out, nil
}

// Concert returns an exercise that is written for an instrument at concert pitch.
func (e *Exercise) Concert() (*Exercise, error) {
	by, moves := written[e.For]
	if !moves {
		return e, nil
	}
	return e.Moved(e.For.Concert(e.Key.Tonic).Easy(), -by.semitones)
}

// Nearest returns how many semitones a tonic lies from another, by the shorter way: -5
// to 6.
func Nearest(from, to tone.Name) int {
	up := int(tone.ClassOf(int(to.Class()) - int(from.Class())))
	if up > tone.Octave/2 {
		return up - tone.Octave
	}
	return up
}
