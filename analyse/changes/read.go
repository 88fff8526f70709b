package changes

import (
	"bufio"
	"bytes"
	"io"
)

// Read reads a tune in any form shedlight knows and tells them apart by what
// they hold, not by a file's name: a ZIP archive is compressed MusicXML, text
// that begins with < is MusicXML, all else is a chart file.
func Read(r io.Reader) (*Chart, error) {
	const look = 512 // bytes: white space may stand before the first sign
	b := bufio.NewReaderSize(r, look)
	start, err := b.Peek(look)
	if err != nil && err != io.EOF {
		return nil, err
	}
	switch {
	case bytes.HasPrefix(start, []byte("PK\x03\x04")):
		return ParseMXL(b)
	case bytes.HasPrefix(bytes.TrimSpace(utf8Text(start)), []byte("<")):
		return ParseMusicXML(b)
	}
	return Parse(b)
}

// atMost reads all there is, and gives tooLong where it is more than max bytes.
func atMost(r io.Reader, max int64, tooLong Errors) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, max+1))
	if err != nil {
		return nil, err
	}
	if int64(len(text)) > max {
		return nil, tooLong
	}
	return text, nil
}
