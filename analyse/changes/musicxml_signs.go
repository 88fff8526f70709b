package changes

import (
	"encoding/xml"
	"fmt"
	"math/big"
	"strings"
	"unicode"
)

type xmlSound struct {
	DaCapo        string `xml:"dacapo,attr"`
	DalSegno      string `xml:"dalsegno,attr"`
	Segno         string `xml:"segno,attr"`
	Coda          string `xml:"coda,attr"`
	ToCoda        string `xml:"tocoda,attr"`
	Fine          string `xml:"fine,attr"`
	ForwardRepeat string `xml:"forward-repeat,attr"`
	Tempo         string `xml:"tempo,attr"`
}

func (m *measureReader) sound(s xmlSound) {
	b := &m.bar
	b.daCapo = b.daCapo || s.DaCapo == "yes"
	b.fine = b.fine || s.Fine != "" && s.Fine != "no"
	b.forward = b.forward || s.ForwardRepeat == "yes"
	for _, label := range [...]struct {
		from string
		to   *string
	}{{s.DalSegno, &b.dalSegno}, {s.Segno, &b.segno}, {s.Coda, &b.coda}, {s.ToCoda, &b.toCoda}} {
		if label.from != "" {
			*label.to = label.from
		}
	}
	if s.Tempo != "" && b.tempo == nil && len(s.Tempo) <= maxNameRunes && strings.Trim(s.Tempo, "0123456789.") == "" {
		b.tempo, _ = new(big.Rat).SetString(s.Tempo)
	}
}

// printedLabel ties jumps and places that stand as words or signs only, with
// no sound element to name them.
const printedLabel = "printed"

func (m *measureReader) direction(e xml.StartElement) error {
	var d struct {
		Type []struct {
			Words     []string   `xml:"words"`
			Rehearsal []string   `xml:"rehearsal"`
			Segno     []struct{} `xml:"segno"`
			Coda      []struct{} `xml:"coda"`
		} `xml:"direction-type"`
		Sound []xmlSound `xml:"sound"`
	}
	if err := m.decoder.DecodeElement(&d, &e); err != nil {
		return err
	}
	printed := len(d.Sound) == 0
	for _, t := range d.Type {
		if len(t.Rehearsal) > 0 {
			m.bar.section = sectionName(t.Rehearsal[0])
		}
		if !printed {
			continue
		}
		if len(t.Segno) > 0 && m.bar.segno == "" {
			m.bar.segno = printedLabel
		}
		m.bar.codaSign = m.bar.codaSign || len(t.Coda) > 0
		for _, words := range t.Words {
			m.words(words)
		}
	}
	for _, t := range d.Type {
		for _, words := range t.Words {
			m.promises(words)
		}
	}
	for _, s := range d.Sound {
		m.sound(s)
	}
	return nil
}

// plainWords returns words without blanks, dots and capitals.
func plainWords(text string) string {
	return strings.ToLower(strings.NewReplacer(" ", "", ".", "", "\n", "", "(", "", ")", "").Replace(text))
}

// promises reads how a D.C. or D.S. is to end.
func (m *measureReader) promises(text string) {
	short := plainWords(text)
	m.bar.alFine = m.bar.alFine || strings.HasSuffix(short, "alfine")
	m.bar.alCoda = m.bar.alCoda || strings.HasSuffix(short, "alcoda")
}

// words reads a jump that is only printed.
func (m *measureReader) words(text string) {
	short := plainWords(text)
	b := &m.bar
	switch {
	case strings.HasPrefix(short, "dc") || strings.HasPrefix(short, "dacapo"):
		b.daCapo = true
	case (strings.HasPrefix(short, "ds") || strings.HasPrefix(short, "dalsegno")) && b.dalSegno == "":
		b.dalSegno = printedLabel
	case short == "fine":
		b.fine = true
	case strings.HasPrefix(short, "tocoda") && b.toCoda == "":
		b.toCoda = printedLabel
	}
}

// sectionName makes a section's name of a rehearsal mark: its letters and
// digits, with room left for a number. A number alone, which in a chart's text would be
// an ending, gets an R in front.
func sectionName(mark string) string {
	const room = 4
	var out []rune
	for _, r := range mark {
		if (unicode.IsLetter(r) || unicode.IsDigit(r)) && len(out) < maxNameRunes-room {
			out = append(out, r)
		}
	}
	if len(out) > 0 && isNumber(string(out)) {
		return "R" + string(out)
	}
	return string(out)
}

// isNumber reports whether a name has nothing but digits, as endings have.
func isNumber(name string) bool { return strings.Trim(name, "0123456789") == "" }

func (m *measureReader) barline(e xml.StartElement) error {
	var b struct {
		Segno  *struct{} `xml:"segno"`
		Coda   *struct{} `xml:"coda"`
		Ending []struct {
			Number string `xml:"number,attr"`
			Type   string `xml:"type,attr"`
		} `xml:"ending"`
		Repeat []struct {
			Direction string `xml:"direction,attr"`
			Times     string `xml:"times,attr"`
			AfterJump string `xml:"after-jump,attr"`
		} `xml:"repeat"`
	}
	if err := m.decoder.DecodeElement(&b, &e); err != nil {
		return err
	}
	if b.Segno != nil && m.bar.segno == "" {
		m.bar.segno = attributeOr(e, "segno", printedLabel)
	}
	if label := attribute(e, "coda"); label != "" {
		m.bar.coda = label
	} else if b.Coda != nil {
		m.bar.codaSign = true
	}
	for _, ending := range b.Ending {
		m.ending(ending.Number, ending.Type)
	}
	for _, r := range b.Repeat {
		switch r.Direction {
		case "forward":
			m.bar.forward = true
		case "backward":
			m.backward(attribute(e, "location"), r.Times, r.AfterJump)
		default:
			m.fail("a repeat with the direction "+quote(r.Direction), "forward or backward")
		}
	}
	return nil
}

// backward reads a backward repeat. On a left bar line, as some programs write
// it before a second ending, it closes the measure before.
func (m *measureReader) backward(location, times, afterJump string) {
	b := &m.bar
	if location == "left" {
		if len(m.part.bars) == 0 {
			m.fail("a backward repeat before the first measure", "it at the end of a measure")
			return
		}
		b = &m.part.bars[len(m.part.bars)-1]
	}
	b.backward, b.afterJump = true, afterJump == "yes"
	if strings.TrimSpace(times) == "" {
		return
	}
	n, ok := wholeNumber(times, 1, maxTimes)
	if !ok {
		m.fail("a repeat of "+quote(times)+" times", fmt.Sprintf("1 to %d", maxTimes))
		return
	}
	b.times = int(n)
}

func attributeOr(e xml.StartElement, name, otherwise string) string {
	if v := attribute(e, name); v != "" {
		return v
	}
	return otherwise
}

func (m *measureReader) ending(numbers, kind string) {
	if kind != "start" {
		m.bar.endingStops = true
		return
	}
	for _, text := range strings.FieldsFunc(numbers, func(r rune) bool { return r == ',' || r == ' ' }) {
		n, ok := wholeNumber(text, 1, MaxBars)
		if !ok {
			m.fail("the ending "+quote(numbers), "numbers like 1 or 1, 2")
			return
		}
		m.bar.endings = append(m.bar.endings, int(n))
	}
}
