package changes

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// utf8Text returns text in UTF-8 without a byte order mark. Text in UTF-16, with
// its mark or without, is turned into it; all else comes back as it is.
func utf8Text(text []byte) []byte {
	endian := unicode.LittleEndian
	switch {
	case bytes.HasPrefix(text, []byte("\xFF\xFE")):
	case bytes.HasPrefix(text, []byte("\xFE\xFF")):
		endian = unicode.BigEndian
	case len(text) > 1 && text[0] != 0 && text[1] == 0: // an ASCII character comes first
	case len(text) > 1 && text[0] == 0 && text[1] != 0:
		endian = unicode.BigEndian
	default:
		return bytes.TrimPrefix(text, []byte("\uFEFF"))
	}
	out, err := unicode.UTF16(endian, unicode.UseBOM).NewDecoder().Bytes(text)
	if err != nil {
		return text
	}
	return out
}

// splitLines cuts a text into lines, whichever way they end.
func splitLines(text string) []string {
	return strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
}

// charset returns a reader of a document that names its encoding. Text in UTF-16
// has been turned into UTF-8 before.
func charset(label string, input io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "us-ascii", "utf-16", "utf-16le", "utf-16be":
		return input, nil
	case "iso-8859-1", "latin1":
		return charmap.ISO8859_1.NewDecoder().Reader(input), nil
	case "iso-8859-15":
		return charmap.ISO8859_15.NewDecoder().Reader(input), nil
	case "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(input), nil
	}
	return nil, fmt.Errorf("text in %s", quote(label))
}
