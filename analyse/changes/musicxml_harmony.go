package changes

import (
	"encoding/xml"
	"fmt"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// kindSuffix is what each kind of MusicXML 4.0 (type kind-value) is in a chord
// symbol. harmony.ParseSymbol then says which tones it has, so that a lead
// sheet and a chart file mean the same by C13.
var kindSuffix = map[string]string{
	"major": "", "minor": "m", "augmented": "aug", "diminished": "dim",
	"dominant": "7", "major-seventh": "maj7", "minor-seventh": "m7", "diminished-seventh": "dim7",
	"augmented-seventh": "7#5", "half-diminished": "m7b5", "major-minor": "m(maj7)",
	"major-sixth": "6", "minor-sixth": "m6",
	"dominant-ninth": "9", "major-ninth": "maj9", "minor-ninth": "m9",
	"dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11",
	"dominant-13th": "13", "major-13th": "maj13", "minor-13th": "m13",
	"suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
}

// kindUnclear holds the kinds of the same list that name a function or a
// sonority and not the tones above a root: which chord is meant hangs on the
// key and the voicing, so none is made up.
var kindUnclear = map[string]string{
	"Neapolitan": "a major chord on the flat two, usually over its third",
	"Italian":    "a dominant seventh without its fifth on the flat six",
	"French":     "a dominant seventh flat five on the flat six",
	"German":     "a dominant seventh on the flat six",
	"pedal":      "a bass note with a bass element under a chord",
	"Tristan":    "a half-diminished chord with its own root",
}

type xmlHarmony struct {
	Type string `xml:"type,attr"`
	Root []struct {
		Step  string `xml:"root-step"`
		Alter string `xml:"root-alter"`
	} `xml:"root"`
	Function []string   `xml:"function"`
	Numeral  []struct{} `xml:"numeral"`
	Kind     []struct {
		Name string `xml:",chardata"`
		Text string `xml:"text,attr"` // as it is printed
	} `xml:"kind"`
	Inversion []string `xml:"inversion"`
	Bass      []struct {
		Step  string `xml:"bass-step"`
		Alter string `xml:"bass-alter"`
	} `xml:"bass"`
	Degree []xmlDegree `xml:"degree"`
	Offset string      `xml:"offset"`
}

type xmlDegree struct {
	Value string `xml:"degree-value"`
	Alter string `xml:"degree-alter"`
	Type  string `xml:"degree-type"`
}

func (m *measureReader) harmony(e xml.StartElement) error {
	var h xmlHarmony
	if err := m.decoder.DecodeElement(&h, &e); err != nil {
		return err
	}
	if h.Type == "alternate" {
		return nil // a second choice beside the chord that counts
	}
	m.part.harmonies++
	offset, ok := int64(0), true
	if strings.TrimSpace(h.Offset) != "" {
		offset, ok = wholeNumber(h.Offset, -maxDivisions, maxDivisions)
	}
	if !ok || m.at+offset < 0 {
		m.fail("the offset "+quote(h.Offset), "a whole number of divisions that stays in the measure")
		return nil
	}
	chord, symbol, problem := h.read()
	if problem.found != "" {
		m.fail(problem.found, problem.expected)
		return nil
	}
	chord, symbol = m.part.toConcert(chord, symbol)
	m.bar.chords = append(m.bar.chords, sheetChord{tick: m.ticks(m.at + offset), chord: chord, symbol: symbol})
	return nil
}

// problem is what is wrong with an element; none where found is empty.
type problem struct{ found, expected string }

// read turns the element into a chord and its symbol.
func (h *xmlHarmony) read() (harmony.Chord, string, problem) {
	if len(h.Kind) != 1 {
		return harmony.Chord{}, "", problem{fmt.Sprintf("a harmony element with %s", plural(len(h.Kind), "kind")), "one"}
	}
	kind, printed := strings.TrimSpace(h.Kind[0].Name), strings.TrimSpace(h.Kind[0].Text)
	if kind == "none" {
		return harmony.Chord{}, noChord, problem{}
	}
	if len(h.Root) != 1 {
		found := "a harmony element without a root"
		if len(h.Function)+len(h.Numeral) > 0 {
			found = "a chord given as a function or numeral"
		}
		return harmony.Chord{}, "", problem{found, "a chord given by its root"}
	}
	root, ok := sheetName(h.Root[0].Step, h.Root[0].Alter)
	if !ok {
		return harmony.Chord{}, "", problem{"the root " + quote(h.Root[0].Step+" "+h.Root[0].Alter), "a step A to G and an alter -2 to 2"}
	}
	plain, p := plainSymbol(root, kind, printed, len(h.Degree) > 0)
	if p.found != "" {
		return harmony.Chord{}, "", p
	}
	chord := plain.Chord
	for _, d := range h.Degree {
		if p := d.apply(&chord.Formula); p.found != "" {
			return harmony.Chord{}, "", p
		}
	}
	if p := h.setBass(&chord); p.found != "" {
		return harmony.Chord{}, "", p
	}
	symbol := strings.Join(strings.Fields(plain.Text), "")
	if len(h.Degree) == 0 && chord.Bass != chord.Root {
		symbol += "/" + chord.Bass.String()
	}
	if back, ok := inChart(symbol); ok && back == chord && isWord(symbol) {
		return chord, symbol, problem{}
	}
	symbol = chord.ChartSymbol()
	back, ok := inChart(symbol)
	if !ok || back.Set() != chord.Set() {
		return harmony.Chord{}, "", problem{"a chord of kind " + kind + " that no chord symbol writes", "one that a chart can hold"}
	}
	return back, symbol, problem{}
}

// inChart returns the chord that a chart reads a symbol as.
func inChart(symbol string) (harmony.Chord, bool) {
	read, err := harmony.ParseSymbol(symbol)
	if err != nil {
		return harmony.Chord{}, false
	}
	read, _ = read.InChart()
	return read.Chord, true
}

// isWord reports whether a chart's text holds a symbol as it is: as one word, which
// nothing has to be chosen for.
func isWord(symbol string) bool {
	tokens, _ := lexLine([]rune(symbol), 0, false)
	if len(tokens) != 1 || tokens[0].kind != symbolToken || tokens[0].text != symbol {
		return false
	}
	p := parser{chart: &Chart{}, said: map[string]bool{}}
	read, err := p.symbol(symbol, place{})
	return err == nil && read.Text == symbol
}

// plainSymbol returns the chord of a kind, before its degrees and its bass. A
// kind that is none of the standard's, or the standard's "other" without a
// degree to say what it is, is read as it is printed.
func plainSymbol(root tone.Name, kind, printed string, degrees bool) (harmony.Symbol, problem) {
	suffix, known := kindSuffix[kind]
	expected, unclear := kindUnclear[kind]
	switch {
	case unclear:
		return harmony.Symbol{}, problem{"the harmony kind " + kind + ", which has no fixed tones above a root", "it written as " + expected}
	case known:
	case kind == "other" && degrees:
		bare := harmony.Chord{Root: root, Bass: root, Formula: harmony.FormulaOf(harmony.One)}
		return harmony.Symbol{Text: root.String(), Chord: bare}, problem{}
	case printed == "":
		return harmony.Symbol{}, problem{"the harmony kind " + quote(kind) + " without a text", "a kind-value of MusicXML 4.0, or the chord's symbol as its text"}
	default:
		suffix = printed
	}
	plain, err := harmony.ParseSymbol(root.String() + suffix)
	switch {
	case err != nil && known:
		return plain, problem{"the harmony kind " + kind, "a kind that a chord symbol can write"}
	case err != nil || plain.Chord.Root != root || plain.Chord.Bass != root || len(plain.Alternate) > 0:
		return plain, problem{"the harmony kind " + quote(kind) + " printed as " + quote(printed), "a kind-value of MusicXML 4.0, or a text that is a chord symbol"}
	}
	return plain, problem{}
}

// setBass reads the bass element, or the inversion where there is none.
func (h *xmlHarmony) setBass(c *harmony.Chord) problem {
	if len(h.Bass) > 0 {
		bass, ok := sheetName(h.Bass[0].Step, h.Bass[0].Alter)
		if !ok {
			return problem{"the bass " + quote(h.Bass[0].Step+" "+h.Bass[0].Alter), "a step A to G and an alter -2 to 2"}
		}
		c.Bass = bass
		return problem{}
	}
	if len(h.Inversion) == 0 {
		return problem{}
	}
	thirds := []int{1, 3, 5, 7}
	n, ok := wholeNumber(h.Inversion[0], 0, int64(len(thirds)-1))
	if !ok {
		return problem{"the inversion " + quote(h.Inversion[0]), "0 to 3"}
	}
	for _, t := range degreeNumbers {
		if t.number == thirds[n] && c.Formula.Has(t.degree) {
			c.Bass = c.Name(t.degree)
			return problem{}
		}
	}
	return problem{"the inversion " + quote(h.Inversion[0]), "one that the chord has a tone for"}
}

// sheetName reads a step and an alter in semitones.
func sheetName(step, alter string) (tone.Name, bool) {
	n, err := tone.ParseName(strings.TrimSpace(step))
	if err != nil || n.Alter != 0 {
		return tone.Name{}, false
	}
	if strings.TrimSpace(alter) == "" {
		return n, true
	}
	a, ok := wholeNumber(alter, -2, 2)
	n.Alter = int8(a)
	return n, ok
}

// degreeNumbers gives the number and the alteration from the major scale of
// each degree of a chord; 9, 11 and 13 count as 2, 4 and 6.
var degreeNumbers = [...]struct {
	number, alter int
	degree        harmony.Degree
}{
	{1, 0, harmony.One},
	{2, -1, harmony.FlatNine}, {2, 0, harmony.Nine}, {2, 1, harmony.SharpNine},
	{3, -1, harmony.FlatThree}, {3, 0, harmony.Three},
	{4, 0, harmony.Four}, {4, 1, harmony.SharpEleven},
	{5, -1, harmony.FlatFive}, {5, 0, harmony.Five}, {5, 1, harmony.SharpFive},
	{6, -1, harmony.FlatThirteen}, {6, 0, harmony.Six},
	{7, -2, harmony.DoubleFlatSeven}, {7, -1, harmony.FlatSeven}, {7, 0, harmony.Seven},
}

// apply adds, alters or subtracts a degree. MusicXML 4.0, element degree-alter:
// an added degree is measured from a dominant chord, so that a plain 7 is the
// flat seven; an altered or subtracted one from the degree the kind has (from
// memory of the specification's text). An altered degree that the kind lacks is
// added, as notation programs write b9 (common practice).
func (d xmlDegree) apply(f *harmony.Formula) problem {
	value, ok1 := wholeNumber(d.Value, 1, 13)
	alter, ok2 := int64(0), true
	if strings.TrimSpace(d.Alter) != "" {
		alter, ok2 = wholeNumber(d.Alter, -2, 2)
	}
	bad := problem{"the degree " + quote(strings.TrimSpace(d.Value)+" altered by "+strings.TrimSpace(d.Alter)), "a degree 1 to 13 that a chord symbol can write"}
	if !ok1 || !ok2 {
		return bad
	}
	const octave = 7 // degrees
	number := (int(value)-1)%octave + 1
	wanted := int(alter)
	if number == octave {
		wanted-- // the dominant chord's seventh
	}
	kind := strings.TrimSpace(d.Type)
	had, has := harmony.Degree(0), false
	for _, t := range degreeNumbers {
		if t.number == number && f.Has(t.degree) {
			had, has = t.degree, true
			if kind == "alter" {
				wanted = t.alter + int(alter)
			}
			break
		}
	}
	switch kind {
	case "add":
	case "alter", "subtract":
		if has {
			*f &^= harmony.FormulaOf(had)
		}
		if kind == "subtract" {
			return problem{}
		}
	default:
		return problem{"the degree type " + quote(kind), "add, alter or subtract"}
	}
	for _, t := range degreeNumbers {
		if t.number == number && t.alter == wanted {
			*f |= harmony.FormulaOf(t.degree)
			return problem{}
		}
	}
	return bad
}
