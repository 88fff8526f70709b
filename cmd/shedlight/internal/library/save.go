package library

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Save keeps a chart in Folder under its own name and returns the path: the file
// as it is, or as one of ours under NAME-KEY where the chart was moved to another
// key. It never writes over another chart: one of that name is an error, and the
// same one there already is none. write writes a whole file or none, and fails
// where the path is taken.
func Save(s *Source, moved bool, write func(path string, content []byte) error) (string, error) {
	name, file, text := s.Name, filepath.Base(s.Path), s.text
	switch _, known := plainName(file); {
	case moved:
		name += "-" + s.Chart.Key.Tonic.String()
		file, text = name+endings[0], []byte(s.Chart.String())
	case s.Path == "":
		return "", fmt.Errorf("%s comes with the program: it need not be kept", s.Name)
	case !known:
		file = name + endings[0]
	}
	if there, _ := find(filepath.Join(Folder(), name)); there != "" {
		if old, err := read(there); err == nil && bytes.Equal(old, text) {
			return there, nil
		}
		return "", errors.New(there + " is there already and is left alone: copy the chart under another name and keep that")
	}
	const folderPerm = 0o755
	if err := os.MkdirAll(Folder(), folderPerm); err != nil {
		return "", err
	}
	path := filepath.Join(Folder(), file)
	return path, write(path, text)
}
