package changes

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
)

const (
	maxEntries        = 256      // a lead sheet with pictures has a dozen
	maxContainerBytes = 64 << 10 // META-INF/container.xml is a few lines
	containerName     = "META-INF/container.xml"
)

// ParseMXL reads a compressed lead sheet: a ZIP archive whose
// META-INF/container.xml names the MusicXML document (MusicXML 4.0, compressed
// .mxl files). Two entries are read, each with its own bound, whatever sizes
// the archive claims; names that lead out of the archive are refused. Nothing
// is written anywhere.
func ParseMXL(r io.Reader) (*Chart, error) {
	data, err := atMost(r, MaxSheetBytes, fileError("an archive of more than 8 MiB", "a lead sheet of at most 8 MiB"))
	if err != nil {
		return nil, err
	}
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, fileError("a damaged archive ("+plainText(strings.TrimPrefix(err.Error(), "zip: "))+")", "a .mxl file")
	}
	if len(archive.File) > maxEntries {
		return nil, fileError(fmt.Sprintf("an archive of %d entries", len(archive.File)), fmt.Sprintf("at most %d", maxEntries))
	}
	container, err := entry(archive, containerName, maxContainerBytes)
	if err != nil {
		return nil, err
	}
	name, err := rootFile(container, archive)
	if err != nil {
		return nil, err
	}
	document, err := entry(archive, name, MaxSheetBytes)
	if err != nil {
		return nil, err
	}
	return ParseMusicXML(bytes.NewReader(document))
}

// entry unpacks one entry of at most limit bytes.
func entry(archive *zip.Reader, name string, limit int64) ([]byte, error) {
	for _, f := range archive.File {
		if f.Name != name {
			continue
		}
		r, err := f.Open()
		if err != nil {
			return nil, fileError("the entry "+quote(name)+" that cannot be unpacked", "one stored or deflated")
		}
		defer r.Close()
		data, err := io.ReadAll(io.LimitReader(r, limit+1))
		switch {
		case err != nil:
			return nil, fileError("the entry "+quote(name)+" damaged ("+plainText(err.Error())+")", "a whole one")
		case int64(len(data)) > limit:
			return nil, fileError(fmt.Sprintf("the entry %s of more than %d KiB unpacked", quote(name), limit>>10), "a smaller one")
		}
		return data, nil
	}
	return nil, fileError("an archive without "+quote(name), "a .mxl file that holds it")
}

// onlyScore returns the name of the one entry that can be a score, for an archive
// whose container cannot be read: some programs write apostrophes of a title
// into it as they are.
func onlyScore(archive *zip.Reader) (name string, ok bool) {
	for _, f := range archive.File {
		switch lower := strings.ToLower(f.Name); {
		case strings.HasPrefix(lower, "meta-inf/"), !strings.HasSuffix(lower, ".xml") && !strings.HasSuffix(lower, ".musicxml"):
			continue
		case name != "":
			return "", false
		}
		name = f.Name
	}
	return name, name != ""
}

// rootFile reads the container: the first root file that is MusicXML, or, where
// it is broken, the only score there is.
func rootFile(container []byte, archive *zip.Reader) (string, error) {
	var c struct {
		Root []struct {
			Path string `xml:"full-path,attr"`
			Type string `xml:"media-type,attr"`
		} `xml:"rootfiles>rootfile"`
	}
	if err := xml.Unmarshal(container, &c); err != nil {
		if name, ok := onlyScore(archive); ok {
			return name, nil
		}
		return "", fileError("a broken "+containerName, "well-formed XML in it")
	}
	for _, root := range c.Root {
		if root.Type != "" && !strings.Contains(root.Type, "musicxml") && !strings.HasSuffix(root.Type, "xml") {
			continue
		}
		if !fs.ValidPath(root.Path) || strings.Contains(root.Path, `\`) {
			return "", fileError("the root file "+quote(root.Path), "a name inside the archive")
		}
		return root.Path, nil
	}
	return "", fileError("a "+containerName+" that names no MusicXML document", "a rootfile element")
}
