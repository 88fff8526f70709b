package changes

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// archive packs entries, name and text in turn.
func archive(t testing.TB, entries ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(entries); i += 2 {
		f, err := w.Create(entries[i])
		require.NoError(t, err)
		_, err = f.Write([]byte(entries[i+1]))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func container(path string) string {
	return `<container><rootfiles><rootfile full-path="` + path + `"/></rootfiles></container>`
}

func TestCompressedLeadSheet(t *testing.T) {
	c, err := Read(bytes.NewReader(archive(t,
		"mimetype", "application/vnd.recordare.musicxml", containerName, container("parts/lead.xml"), "parts/lead.xml", sheet(measures("A | B")))))
	require.NoError(t, err)
	assert.Equal(t, "A B", symbols(c))
}

func TestTheRootFileIsTheMusic(t *testing.T) {
	c, err := ParseMXL(bytes.NewReader(archive(t, containerName,
		`<container><rootfiles><rootfile full-path="a.pdf" media-type="application/pdf"/><rootfile full-path="b.xml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>`,
		"a.pdf", "no", "b.xml", sheet(measures("G")))))
	require.NoError(t, err)
	assert.Equal(t, "G", symbols(c))
}

// An apostrophe in a title, written into the container as it is, breaks it.
func TestABrokenContainerAndOneScore(t *testing.T) {
	broken := `<container><rootfiles><rootfile full-path='Skipper's Rest.xml'/></rootfiles></container>`
	c, err := ParseMXL(bytes.NewReader(archive(t, containerName, broken, "Skipper's Rest.xml", sheet(measures("A | B")))))
	require.NoError(t, err)
	assert.Equal(t, "A B", symbols(c))
}

func TestArchiveTricksAreRefused(t *testing.T) {
	good := sheet(measures("C"))
	bomb := strings.Repeat(" ", MaxSheetBytes+1)
	many := make([]string, 2*(maxEntries+1))
	for i := range many {
		many[i] = strings.Repeat("x", i+1)
	}
	whole := archive(t, containerName, container("a.xml"), "a.xml", good)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"not an archive", []byte("hello"), "found a damaged archive (not a valid zip file), expected a .mxl file"},
		{"cut off", whole[:len(whole)-30], "found a damaged archive"},
		{"no container", archive(t, "a.xml", good), `found an archive without "META-INF/container.xml", expected a .mxl file that holds it`},
		{"broken container", archive(t, containerName, "<container>"), "found a broken META-INF/container.xml"},
		{"broken container and two scores", archive(t, containerName, "<container>", "a.xml", good, "b.xml", good), "found a broken META-INF/container.xml"},
		{"empty container", archive(t, containerName, "<container/>"), "found a META-INF/container.xml that names no MusicXML document"},
		{"missing root file", archive(t, containerName, container("b.xml"), "a.xml", good), `found an archive without "b.xml"`},
		{"absolute name", archive(t, containerName, container("/etc/hostname"), "/etc/hostname", good), `found the root file "/etc/hostname", expected a name inside the archive`},
		{"name that climbs", archive(t, containerName, container("../a.xml"), "../a.xml", good), `found the root file "../a.xml"`},
		{"backslashes", archive(t, containerName, container(`..\a.xml`), `..\a.xml`, good), "expected a name inside the archive"},
		{"unpacks to more than the bound", archive(t, containerName, container("a.xml"), "a.xml", bomb), `found the entry "a.xml" of more than 8192 KiB unpacked`},
		{"container that unpacks to more", archive(t, containerName, bomb), `found the entry "META-INF/container.xml" of more than 64 KiB unpacked`},
		{"too many entries", archive(t, many...), "found an archive of 257 entries, expected at most 256"},
		{"more than the bound packed", make([]byte, MaxSheetBytes+1), "found an archive of more than 8 MiB"},
		{"the document itself is wrong", archive(t, containerName, container("a.xml"), "a.xml", "<html/>"), "found the element <html>"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ParseMXL(bytes.NewReader(c.data))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func TestReadTellsTheFormsApart(t *testing.T) {
	for _, text := range []string{"| A | B |", sheet(measures("A | B")), "\uFEFF\n " + sheet(measures("A | B"))} {
		c, err := Read(strings.NewReader(text))
		require.NoError(t, err)
		assert.Equal(t, "A B", symbols(c))
	}
	_, err := Read(strings.NewReader(""))
	assert.ErrorContains(t, err, "at least one line of bars")
}
