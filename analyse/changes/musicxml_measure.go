package changes

import (
	"encoding/xml"
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// maxDivisions bounds divisions and durations of a document, so that sums of
// them stay far inside an int64.
const maxDivisions = 1 << 24

// sheetPart is one part of a document as it is written.
type sheetPart struct {
	id        string
	bars      []sheetBar
	harmonies int // elements, read or refused
	errs      Errors

	// What the measures so far have set.
	meter     timebase.Meter
	divisions int64 // to the quarter note
	repeating int   // measures back that a measure-repeat sign copies; 0: none

	timed     bool // a time signature was seen
	key       Centre
	hasKey    bool
	letters   int // from written to concert pitch
	semitones int
}

// sheetBar is one written measure.
type sheetBar struct {
	number   string
	at       place // where it stands in the document
	implicit bool  // not counted: a pick-up or the rest of a split measure
	meter    timebase.Meter
	length   int64 // ticks, of what it holds
	chords   []sheetChord
	onsets   []int64  // ticks at which notes and rests begin
	copies   int      // measures back whose chords it repeats; 0: none
	section  string   // rehearsal mark
	tempo    *big.Rat // quarter notes a minute from here on; nil: as before
	quarter  int64    // the tempo in force, as a chart's bar has it
	codaSign bool     // printed, without a sound element
	flow
}

// sheetChord is a harmony element at its place in the measure.
type sheetChord struct {
	tick   int64
	symbol string
	chord  harmony.Chord
}

func (s *sheetReader) readMeasure(e xml.StartElement) error {
	p := s.part
	number := plainText(attribute(e, "number"))
	s.place = fmt.Sprintf("part %s, measure %s", p.id, number)
	if s.measures++; s.measures > maxMeasures {
		s.fail(fmt.Sprintf("more than %d measures", maxMeasures), "fewer")
		return errStop
	}
	m := measureReader{sheetReader: s, bar: sheetBar{number: number, at: s.at(), implicit: attribute(e, "implicit") == "yes"}}
	err := s.children(m.child)
	m.bar.meter = p.meter
	if p.repeating > 0 && len(m.bar.chords) == 0 {
		m.bar.copies = p.repeating
	}
	p.bars = append(p.bars, m.bar)
	s.place = ""
	return err
}

// measureReader reads what stands in one measure, in order.
type measureReader struct {
	*sheetReader
	bar sheetBar
	at  int64 // position, in divisions
}

func (m *measureReader) child(e xml.StartElement) error {
	switch e.Name.Local {
	case "attributes":
		return m.attributes(e)
	case "harmony":
		return m.harmony(e)
	case "direction":
		return m.direction(e)
	case "sound":
		var sound xmlSound
		if err := m.decoder.DecodeElement(&sound, &e); err != nil {
			return err
		}
		m.sound(sound)
		return nil
	case "barline":
		return m.barline(e)
	case "note", "forward", "backup":
		return m.move(e)
	}
	return m.decoder.Skip()
}

// move reads an element that takes time.
func (m *measureReader) move(e xml.StartElement) error {
	var note struct {
		Chord    *struct{} `xml:"chord"`
		Grace    *struct{} `xml:"grace"`
		Duration string    `xml:"duration"`
	}
	if err := m.decoder.DecodeElement(&note, &e); err != nil {
		return err
	}
	if note.Chord != nil || note.Grace != nil {
		return nil
	}
	if e.Name.Local == "note" {
		m.bar.onsets = append(m.bar.onsets, m.ticks(m.at))
	}
	n, ok := wholeNumber(note.Duration, 0, maxDivisions)
	if !ok {
		m.fail("the duration "+quote(note.Duration), "a whole number of divisions")
		return nil
	}
	if e.Name.Local == "backup" {
		n = -n
	}
	m.at = max(0, m.at+n)
	m.bar.length = max(m.bar.length, m.ticks(m.at))
	return nil
}

// wholeNumber reads a whole number; MusicXML writes many of them as decimals,
// so 4.0 is 4.
func wholeNumber(text string, lowest, highest int64) (int64, bool) {
	text = strings.TrimSpace(text)
	if whole, fraction, ok := strings.Cut(text, "."); ok && strings.Trim(fraction, "0") == "" {
		text = whole
	}
	n, err := strconv.ParseInt(text, 10, 64)
	return n, err == nil && n >= lowest && n <= highest
}

// ticks turns divisions into ticks, to the nearest.
func (m *measureReader) ticks(divisions int64) int64 {
	d := m.part.divisions
	return (2*divisions*timebase.Quarter + d) / (2 * d)
}

type xmlAttributes struct {
	Divisions string `xml:"divisions"`
	Key       []struct {
		Fifths string `xml:"fifths"`
		Mode   string `xml:"mode"`
	} `xml:"key"`
	Time []struct {
		Beats    []string `xml:"beats"`
		BeatType []string `xml:"beat-type"`
	} `xml:"time"`
	Transpose []struct {
		Diatonic  string `xml:"diatonic"`
		Chromatic string `xml:"chromatic"`
	} `xml:"transpose"`
	Style []struct {
		Repeat *struct {
			Type  string `xml:"type,attr"`
			Count string `xml:",chardata"`
		} `xml:"measure-repeat"`
	} `xml:"measure-style"`
}

func (m *measureReader) attributes(e xml.StartElement) error {
	var a xmlAttributes
	if err := m.decoder.DecodeElement(&a, &e); err != nil {
		return err
	}
	p := m.part
	if a.Divisions != "" {
		n, ok := wholeNumber(a.Divisions, 1, maxDivisions)
		if !ok {
			m.fail("divisions of "+quote(a.Divisions), "a whole number from 1")
			return nil
		}
		p.divisions = n
	}
	if len(a.Key) > 0 && !p.hasKey {
		m.key(a.Key[0].Fifths, a.Key[0].Mode)
	}
	if len(a.Time) > 0 {
		m.time(a.Time[0].Beats, a.Time[0].BeatType)
	}
	if len(a.Transpose) > 0 {
		t := a.Transpose[0]
		chromatic, ok1 := wholeNumber(t.Chromatic, -127, 127)
		diatonic, ok2 := wholeNumber(t.Diatonic, -127, 127)
		if !ok1 || t.Diatonic != "" && !ok2 {
			m.fail("a transposition of "+quote(t.Chromatic)+" semitones", "a whole number")
		} else if t.Diatonic == "" {
			diatonic = diatonicOf(chromatic)
		}
		p.letters, p.semitones = int(diatonic), int(chromatic)
	}
	for _, style := range a.Style {
		if r := style.Repeat; r != nil {
			m.measureRepeat(r.Type, r.Count)
		}
	}
	return nil
}

// diatonicOf returns the usual number of letters for an interval in semitones.
func diatonicOf(semitones int64) int64 {
	letters := [12]int64{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}
	up := (semitones%12 + 12) % 12
	return letters[up] + 7*((semitones-up)/12)
}

func (m *measureReader) key(fifthsText, mode string) {
	if strings.TrimSpace(fifthsText) == "" {
		return // a signature of single accidentals: no key
	}
	const circle = 12 // fifths that lead back to the same key
	n, ok := wholeNumber(fifthsText, -circle, circle)
	if !ok {
		m.fail("a key of "+quote(fifthsText)+" fifths", fmt.Sprintf("%d to %d", -circle, circle))
		return
	}
	switch { // nobody writes it so: the key decides the spelling only
	case n > maxSignature:
		n -= circle
	case n < -maxSignature:
		n += circle
	}
	c := Centre{}
	if strings.TrimSpace(mode) == "minor" {
		c.Mode = Minor
	}
	m.part.key, m.part.hasKey = withSignature(c, int(n)), true
}

func (m *measureReader) time(beats, beatTypes []string) {
	if len(beats) == 0 {
		return // senza misura: the meter before holds
	}
	var num, den int64
	for i, text := range beats {
		if i >= len(beatTypes) {
			m.fail("a time signature without a beat type", "one for each number of beats")
			return
		}
		kind, ok := wholeNumber(beatTypes[i], 1, 64)
		if !ok || kind&(kind-1) != 0 {
			m.fail(fmt.Sprintf("the time %s/%s", plainText(text), plainText(strings.TrimSpace(beatTypes[i]))), meterWanted)
			return
		}
		if den == 0 {
			den = kind
		}
		for den < kind { // 2/4 and 3/8 are 7/8
			num, den = 2*num, 2*den
		}
		for _, part := range strings.Split(text, "+") {
			n, ok := wholeNumber(part, 1, 99)
			if !ok {
				m.fail("a time of "+quote(text)+" beats", "a whole number, or a sum like 3+2")
				return
			}
			num += n * (den / kind)
		}
	}
	meter, ok := parseMeter(fmt.Sprintf("%d/%d", num, den))
	if !ok {
		m.fail(fmt.Sprintf("the time %d/%d", num, den), meterWanted)
		return
	}
	m.part.meter, m.part.timed = meter, true
}

func (m *measureReader) measureRepeat(kind, count string) {
	if kind == "stop" {
		m.part.repeating = 0
		return
	}
	n, ok := wholeNumber(count, 1, int64(maxMeasures))
	if !ok || int(n) > len(m.part.bars) {
		m.fail("a repeat of "+quote(count)+" measures", "as many measures before it")
		return
	}
	m.part.repeating = int(n)
}
