package changes

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode"

	"shedlight/analyse/timebase"
)

// MaxSheetBytes bounds a MusicXML document, unpacked: 8 MiB. A lead sheet of
// a few pages takes a tenth of one.
const MaxSheetBytes = 8 << 20

const maxMeasures = 4 * MaxBars // written measures over all parts, before anything is played

// ParseMusicXML reads a lead sheet in MusicXML 4.0, partwise or timewise (W3C
// Music Notation Community Group, 2021), uncompressed. It reads the title, the
// key and tempo at the start, meters, harmony elements with kind, degrees, bass,
// inversion and offset, measure-repeat signs, rehearsal marks as section names,
// and repeats, endings, D.C., D.S., Coda and Fine, which it plays out: the
// chart has the bars in the order they sound. Harmony is taken from all parts,
// at concert pitch; where two differ in a measure the first counts, and a remark
// says so. Harmonies on one note share its time, the first longest.
//
// A document that cannot be read gives Errors. The reader fetches nothing:
// only a document type without declarations of its own is let through.
func ParseMusicXML(r io.Reader) (*Chart, error) {
	text, err := atMost(r, MaxSheetBytes, fileError("a document of more than 8 MiB", "a lead sheet of at most 8 MiB"))
	if err != nil {
		return nil, err
	}
	s := sheetReader{decoder: xml.NewDecoder(bytes.NewReader(utf8Text(text)))}
	s.decoder.CharsetReader = charset
	if err := s.document(); err != nil {
		s.part = nil
		s.broken(err)
	}
	if err := s.problems(); err != nil {
		return nil, err
	}
	return s.chart()
}

// sheetReader reads the tokens of a document.
type sheetReader struct {
	decoder *xml.Decoder
	errs    Errors // of the document; a part has its own
	place   string // "part P1, measure 12"

	workTitle, movementTitle string

	parts    []*sheetPart
	part     *sheetPart // the one being read, nil between parts
	measures int        // read so far, over all parts
}

// errStop ends the reading where an error has been recorded that nothing
// useful can follow.
var errStop = errors.New("stop")

// at returns the decoder's position.
func (s *sheetReader) at() place {
	line, column := s.decoder.InputPos()
	return place{line, max(column, 1)} // right after a line break the decoder says 0
}

// fail records an error at the decoder's position.
func (s *sheetReader) fail(found, expected string) {
	at, errs := s.at(), &s.errs
	if s.part != nil {
		errs = &s.part.errs
	}
	errs.add(Error{Line: at.line, Column: at.column, Place: s.place, Found: found, Expected: expected})
}

// problems returns what is wrong with the document and its harmony. A part
// without any is not needed, and may be what it likes.
func (s *sheetReader) problems() error {
	all := s.errs
	with := slices.ContainsFunc(s.parts, func(p *sheetPart) bool { return p.harmonies > 0 })
	for _, p := range s.parts {
		if p.harmonies > 0 || !with {
			for _, e := range p.errs {
				all.add(e)
			}
		}
	}
	return all.orNil()
}

// broken records an error of the decoder itself.
func (s *sheetReader) broken(err error) {
	var syntax *xml.SyntaxError
	switch {
	case errors.Is(err, errStop):
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		s.fail("the end of the file", "the rest of the document")
	case errors.As(err, &syntax):
		s.fail("broken XML ("+plainText(syntax.Msg)+")", "well-formed XML")
	default:
		s.fail(plainText(strings.TrimPrefix(err.Error(), "xml: ")), "well-formed XML in UTF-8")
	}
}

// plainText replaces what a terminal must not be shown.
func plainText(text string) string {
	const longest = 120 // characters: a message is one line
	out := []rune(strings.Map(func(r rune) rune {
		if !unicode.IsGraphic(r) {
			return unicode.ReplacementChar
		}
		return r
	}, text))
	return string(out[:min(len(out), longest)])
}

// document reads up to the end of the root element.
func (s *sheetReader) document() error {
	for {
		t, err := s.decoder.Token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.Directive:
			if bytes.ContainsAny(t, "[<") {
				s.fail("a document type with declarations of its own", "a plain <!DOCTYPE score-partwise ...>")
				return errStop
			}
		case xml.StartElement:
			switch t.Name.Local {
			case "score-partwise", "score-timewise":
				return s.score()
			}
			s.fail("the element <"+plainText(t.Name.Local)+">", "<score-partwise> or <score-timewise>, MusicXML")
			return errStop
		}
	}
}

// children hands every child element of the one just opened to read, which
// consumes it whole.
func (s *sheetReader) children(read func(xml.StartElement) error) error {
	for {
		t, err := s.decoder.Token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.StartElement:
			if err := read(t); err != nil {
				return err
			}
		case xml.EndElement:
			return nil
		}
	}
}

func (s *sheetReader) score() error {
	return s.children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "work":
			var work struct {
				Title string `xml:"work-title"`
			}
			err := s.decoder.DecodeElement(&work, &e)
			s.workTitle = work.Title
			return err
		case "movement-title":
			return s.decoder.DecodeElement(&s.movementTitle, &e)
		case "part":
			return s.readPart(e)
		case "measure":
			return s.readTime(e)
		}
		return s.decoder.Skip()
	})
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (s *sheetReader) readPart(e xml.StartElement) error {
	s.part = s.partOf(e)
	err := s.children(func(e xml.StartElement) error {
		if e.Name.Local != "measure" {
			return s.decoder.Skip()
		}
		return s.readMeasure(e)
	})
	s.part = nil
	return err
}

// readTime reads a measure of a timewise document, which holds the parts.
func (s *sheetReader) readTime(measure xml.StartElement) error {
	return s.children(func(e xml.StartElement) error {
		if e.Name.Local != "part" {
			return s.decoder.Skip()
		}
		s.part = s.partOf(e)
		err := s.readMeasure(measure)
		s.part = nil
		return err
	})
}

// partOf returns the part with an element's id, a new one where there is none.
func (s *sheetReader) partOf(e xml.StartElement) *sheetPart {
	id := plainText(attribute(e, "id"))
	for _, p := range s.parts {
		if p.id == id {
			return p
		}
	}
	p := &sheetPart{id: id, meter: timebase.Common, divisions: 1}
	s.parts = append(s.parts, p)
	return p
}

// title returns the document's title as one plain line.
func (s *sheetReader) title() string {
	text := s.movementTitle
	if strings.TrimSpace(text) == "" {
		text = s.workTitle
	}
	text = strings.Map(func(r rune) rune {
		if !unicode.IsGraphic(r) && !unicode.IsSpace(r) {
			return -1
		}
		return r
	}, text)
	words := []rune(strings.Join(strings.Fields(text), " "))
	return strings.TrimSpace(string(words[:min(len(words), maxTitleRunes)]))
}
