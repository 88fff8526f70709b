package changes

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"shedlight/analyse/timebase"
)

// MaxSheetBytes bounds a MusicXML document, unpacked: 8 MiB. A lead sheet of
// a few pages takes a tenth of one.
const MaxSheetBytes = 8 << 20

const maxMeasures = 4 * MaxBars // written measures over all parts, before anything is played

// ParseMusicXML reads a lead sheet in MusicXML 4.0 partwise (W3C Music
// Notation Community Group, 2021), uncompressed. It reads the title, the key
// and tempo at the start, meters, harmony elements with kind, degrees, bass,
// inversion and offset, measure-repeat signs, rehearsal marks as section names,
// and repeats, endings, D.C., D.S., Coda and Fine, which it plays out: the
// chart has the bars in the order they sound. Harmony is taken from the first
// part that has any, at concert pitch.
//
// A document that cannot be read gives Errors. The reader fetches nothing:
// only a document type without declarations of its own is let through.
func ParseMusicXML(r io.Reader) (*Chart, error) {
	text, err := atMost(r, MaxSheetBytes, fileError("a document of more than 8 MiB", "a lead sheet of at most 8 MiB"))
	if err != nil {
		return nil, err
	}
	if bytes.HasPrefix(text, []byte("\xFE\xFF")) || bytes.HasPrefix(text, []byte("\xFF\xFE")) {
		return nil, fileError("text in UTF-16", "MusicXML in UTF-8")
	}
	s := sheetReader{decoder: xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(text, []byte("\uFEFF"))))}
	s.decoder.CharsetReader = func(label string, input io.Reader) (io.Reader, error) {
		if strings.EqualFold(label, "us-ascii") {
			return input, nil
		}
		return nil, fmt.Errorf("text in %s", quote(label))
	}
	if err := s.document(); err != nil {
		s.broken(err)
	}
	if err := s.errs.orNil(); err != nil {
		return nil, err
	}
	return s.chart()
}

// sheetReader reads the tokens of a document.
type sheetReader struct {
	decoder *xml.Decoder
	errs    Errors
	place   string // "part P1, measure 12"

	workTitle, movementTitle string
	part                     *sheetPart // the one being read, then the one with harmony
	measures                 int        // read so far, over all parts
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
	at := s.at()
	s.errs.add(Error{Line: at.line, Column: at.column, Place: s.place, Found: found, Expected: expected})
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
			if t.Name.Local != "score-partwise" {
				s.fail("the element <"+plainText(t.Name.Local)+">", "<score-partwise>, MusicXML partwise")
				return errStop
			}
			return s.score()
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
			if s.part != nil && s.part.harmonies > 0 {
				return s.decoder.Skip()
			}
			return s.readPart(e)
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
	s.part = &sheetPart{id: plainText(attribute(e, "id")), meter: timebase.Common, divisions: 1}
	return s.children(func(e xml.StartElement) error {
		if e.Name.Local != "measure" {
			return s.decoder.Skip()
		}
		return s.readMeasure(e)
	})
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
