package changes

import (
	"bytes"
	"embed"
	"strings"
)

// genericFiles are the charts that come with the program: the forms everybody
// practises (common practice).
//
//go:embed charts/*.chart
var genericFiles embed.FS

const (
	genericFolder = "charts/"
	genericSuffix = ".chart"
)

// GenericNames returns the names of the charts that come with the program, in
// alphabetical order.
func GenericNames() []string {
	entries, err := genericFiles.ReadDir(strings.TrimSuffix(genericFolder, "/"))
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		out = append(out, strings.TrimSuffix(e.Name(), genericSuffix))
	}
	return out
}

// Generic returns a chart that comes with the program, by a name of
// GenericNames; ok is false for any other name.
func Generic(name string) (c *Chart, ok bool) {
	text, err := genericFiles.ReadFile(genericFolder + name + genericSuffix)
	if err != nil {
		return nil, false
	}
	c, err = Parse(bytes.NewReader(text))
	return c, err == nil
}
