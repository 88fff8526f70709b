package library_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/library"
)

// aPlayer gives the test a present folder and a data folder of its own.
func aPlayer(t *testing.T) (present string) {
	t.Helper()
	present = t.TempDir()
	t.Chdir(present)
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	xdg.Reload()
	t.Cleanup(xdg.Reload) // once the environment is as it was
	require.NoError(t, os.MkdirAll(library.Folder(), 0o755))
	return present
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

func title(t *testing.T, name string) string {
	t.Helper()
	s, err := library.Open(name)
	require.NoError(t, err)
	return s.Chart.Title
}

// A name is looked for in the present folder, among the player's own charts, and
// among those that come with the program, in this order.
func TestAChartIsFoundByName(t *testing.T) {
	present := aPlayer(t)
	require.Equal(t, "Blues", title(t, "blues"))
	write(t, filepath.Join(library.Folder(), "blues.chart"), "title: Mine\n| C |")
	require.Equal(t, "Mine", title(t, "blues"))
	require.NoError(t, os.Mkdir(filepath.Join(present, "blues"), 0o755))
	require.Equal(t, "Mine", title(t, "blues"), "a folder is no chart")
	write(t, filepath.Join(present, "blues.chart"), "title: Here\n| C |")
	require.Equal(t, "Here", title(t, "blues"))
	require.Equal(t, "Here", title(t, "blues.chart"))

	_, err := library.Open("gardem")
	var missing *library.NotFound
	require.ErrorAs(t, err, &missing)
	require.ErrorContains(t, err, "no chart file gardem, and no built-in chart of that name: there are ")
	require.ErrorContains(t, err, "; of your own blues")

	write(t, filepath.Join(present, "bad.chart"), "| X |")
	_, err = library.Open("bad")
	require.EqualError(t, err, `bad.chart: line 1, column 3: found "X", expected a root A to G, or N.C.`)
	_, err = library.Open("../blues/x")
	require.ErrorAs(t, err, &missing, "a path is no name")
}

// The shell leaves ~ as it is behind an equals sign.
func TestHome(t *testing.T) {
	require.Equal(t, filepath.Join(xdg.Home, "a", "b"), library.Home("~/a/b"))
	require.Equal(t, xdg.Home, library.Home("~"))
	require.Equal(t, "~player/a", library.Home("~player/a"))
	require.Equal(t, "a/~/b", library.Home("a/~/b"))
}

func TestAllChartsAreListed(t *testing.T) {
	aPlayer(t)
	write(t, filepath.Join(library.Folder(), "garden.chart"), "title: Garden Wall\n| C |")
	write(t, filepath.Join(library.Folder(), "broken.chart"), "| X |")
	write(t, filepath.Join(library.Folder(), "notes.pdf"), "no chart")
	list := library.List()
	require.Equal(t, []library.Entry{{Name: "broken", Own: true}, {Name: "garden", Title: "Garden Wall", Own: true}}, list[:2])
	require.False(t, list[2].Own)
	require.NotEmpty(t, list[2].Title)
}

// A chart is kept as it is, or as it was moved; nothing is written over.
func TestAChartIsKept(t *testing.T) {
	present := aPlayer(t)
	text := "title: Garden Wall\nkey: C\n# mine\n| C6 | G7 |\n"
	file := filepath.Join(present, "garden.chart")
	write(t, file, text)
	s, err := library.Open("garden")
	require.NoError(t, err)
	save := func(path string, content []byte) error { return os.WriteFile(path, content, 0o600) }

	path, err := library.Save(s, false, save)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(library.Folder(), "garden.chart"), path)
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, text, string(kept))
	again, err := library.Save(s, false, save)
	require.NoError(t, err, "the same one is there already")
	require.Equal(t, path, again)

	write(t, file, "| F6 |")
	s, err = library.Open("garden")
	require.NoError(t, err)
	_, err = library.Save(s, false, save)
	require.ErrorContains(t, err, "garden.chart is there already and is left alone")

	blues, err := library.Open("blues")
	require.NoError(t, err)
	_, err = library.Save(blues, false, save)
	require.ErrorContains(t, err, "blues comes with the program")
	path, err = library.Save(blues, true, save)
	require.NoError(t, err)
	require.Equal(t, filepath.Join(library.Folder(), "blues-"+blues.Chart.Key.Tonic.String()+".chart"), path)
}
