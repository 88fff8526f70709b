package reviews

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/google/renameio/v2/maybe"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/listen/disk"
)

const (
	// notesExt is what the file with the notes on a take is called, behind the
	// take's name without its own ending.
	notesExt = ".notes.json"
	// notesVersion is the version of the notes that this program writes.
	notesVersion = 1
	// maxNotes bounds a notes file that is read, in bytes.
	maxNotes  = 1 << 20
	notesPerm = 0o600 // as the take
)

// notes is what is kept beside a take: what it came to, so that later takes can
// be held against it; what was suggested with it and told as met, so that nobody
// reads the same every day; and the verdicts that its player marked as meant. It
// holds for one tune only: under another chart or view the verdicts are others.
type notes struct {
	Version    int                 `json:"version"`
	Tune       string              `json:"tune"` // see tunes.Tune.ID
	Notes      int64               `json:"notes"`
	Unresolved int64               `json:"unresolved"`       // without those that were meant
	Played     []analyse.Alike     `json:"played,omitempty"` // the same by what the choruses were; none in notes of an older shedlight
	Suggested  []advise.Suggestion `json:"suggested"`
	Noticed    []advise.Notice     `json:"noticed,omitempty"` // what the next take may bear out
	Met        []advise.Met        `json:"met,omitempty"`     // told once, not with every take
	Meant      []string            `json:"meant"`             // places: BAR, BAR:BEAT, CHORUS/BAR:BEAT

	places []Place // Meant, read
}

func notesPath(takePath string) string {
	return strings.TrimSuffix(takePath, filepath.Ext(takePath)) + notesExt
}

// readNotes reads the notes on a take; nil where there are none.
func readNotes(takePath string) (*notes, error) {
	path := notesPath(takePath)
	data, err := disk.Read(path, maxNotes)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err == nil && len(data) > maxNotes {
		err = fmt.Errorf("%s: larger than %d bytes", path, maxNotes)
	}
	if err != nil {
		return nil, fmt.Errorf("no notes of a take: %w", err)
	}
	var n notes
	if err := json.Unmarshal(data, &n); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if n.Version > notesVersion {
		return nil, fmt.Errorf("%s: written by a later shedlight", path)
	}
	if n.places, err = ParsePlaces(n.Meant); err != nil {
		return nil, fmt.Errorf("%s: %v", path, err)
	}
	return &n, nil
}

// write replaces the notes on a take at once: who reads them meanwhile gets the
// old ones or the new.
func (n *notes) write(takePath string) error {
	n.Version = notesVersion
	if n.Suggested == nil {
		n.Suggested = []advise.Suggestion{}
	}
	if n.Meant == nil {
		n.Meant = []string{}
	}
	text, err := json.MarshalIndent(n, "", "  ")
	if err != nil {
		return err
	}
	text = append(text, '\n')
	path := notesPath(takePath)
	if there, err := disk.Read(path, maxNotes); err == nil && bytes.Equal(there, text) {
		return nil
	}
	return maybe.WriteFile(path, text, notesPerm)
}

// mark adds places to those that were meant, and takes others out.
func (n *notes) mark(meant, not []Place) error {
	for _, p := range not {
		i := slices.Index(n.Meant, p.String())
		if i < 0 {
			return fmt.Errorf("--not-meant %s: not marked; marked: %s", p, orNone(n.Meant))
		}
		n.Meant, n.places = slices.Delete(n.Meant, i, i+1), slices.Delete(n.places, i, i+1)
	}
	for _, p := range meant {
		if !slices.Contains(n.Meant, p.String()) {
			n.Meant, n.places = append(n.Meant, p.String()), append(n.places, p)
		}
	}
	return nil
}

func orNone(texts []string) string {
	if len(texts) == 0 {
		return "none"
	}
	return strings.Join(texts, ", ")
}
