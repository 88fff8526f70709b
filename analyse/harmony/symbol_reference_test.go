package harmony_test

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

const symbolReference = "../../testdata/reference/symbols/"

// table reads a table of testdata/reference: a line with library and version,
// a heading, then the rows.
func table(t *testing.T, path, version string) [][]string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	first, rest, err := readLine(data)
	require.NoError(t, err)
	require.Equal(t, "# "+version, first)
	rows, err := csv.NewReader(bytes.NewReader(rest)).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1, "no rows in %s", path)
	return rows[1:]
}

func readLine(data []byte) (line string, rest []byte, err error) {
	text, err := bufio.NewReader(bytes.NewReader(data)).ReadString('\n')
	return strings.TrimSuffix(text, "\n"), data[len(text):], err
}

// said is a reading of a symbol: pitch classes, and that of the bass; "refused" for neither.
func said(set tone.Set, bass tone.Name) string {
	var words []string
	for _, c := range set.Classes() {
		words = append(words, strconv.Itoa(int(c)))
	}
	return strings.Join(words, " ") + " over " + strconv.Itoa(int(bass.Class()))
}

const refused = "refused"

// theirs turns a row of a library's table into the words of said.
func theirs(t *testing.T, row []string) string {
	t.Helper()
	if row[1] == "" {
		return refused
	}
	bass, err := tone.ParseName(row[2])
	require.NoError(t, err, row)
	return said(pcs(t, row[1]), bass)
}

// ours is the project's reading in the same words. chord-symbol keeps the bass
// out of the chord, tonal puts it in.
func ours(symbol, library string) string {
	sym, err := harmony.ParseSymbol(symbol)
	switch {
	case err != nil || sym.Chord.None():
		return refused
	case library == "tonal":
		return said(sym.Chord.Set(), sym.Chord.Bass)
	}
	return said(upper(sym.Chord), sym.Chord.Bass)
}

// offered lists the other readings of a symbol in the same words.
func offered(t *testing.T, symbol, library string) []string {
	t.Helper()
	sym, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	var out []string
	for _, o := range sym.Others {
		out = append(out, ours(o.Symbol(), library))
	}
	return out
}

// Source: npm chord-symbol 4.0.0 and npm tonal 6.4.2, by the tables beside
// disagreements.csv. Where a library reads a symbol and not as we do, the line
// there says who is right and why; a symbol that a library refuses has no
// reading to differ from.
func TestSymbolsAgainstLibraries(t *testing.T) {
	decided := map[[2]string][]string{}
	for _, row := range table(t, symbolReference+"disagreements.csv", "symbols that a library reads in another way") {
		require.Len(t, row, 5)
		key := [2]string{row[0], row[1]}
		require.NotContains(t, decided, key, "decided twice")
		require.NotEmpty(t, row[4], "%v: no reason", key)
		decided[key] = row[2:]
	}
	for library, version := range map[string]string{"chord-symbol": "chord-symbol 4.0.0", "tonal": "tonal 6.4.2"} {
		same, differ, missing := 0, 0, 0
		for _, row := range table(t, symbolReference+library+".csv", version) {
			symbol, their, our := row[0], theirs(t, row), ours(row[0], library)
			key := [2]string{symbol, library}
			switch {
			case their == our:
				same++
				continue
			case their == refused:
				missing++
				continue
			}
			differ++
			line, ok := decided[key]
			if assert.True(t, ok, "new disagreement: %q: %s says %s, we say %s", symbol, library, their, our) {
				assert.Equal(t, []string{their, our}, line[:2], "%v: the decided readings are stale", key)
				if strings.Contains(line[2], "is offered") {
					assert.Contains(t, offered(t, symbol, library), their, "%v: the other reading", key)
				}
			}
			delete(decided, key)
		}
		t.Logf("%s: %d the same, %d differ and are decided, %d it does not read", version, same, differ, missing)
	}
	assert.Empty(t, decided, "decided, but no disagreement any more")
}

// Source: npm tonal 6.4.2, its scale dictionary. tonal spells the tone between 5
// and 6 in the major sixth scale as #5, a lead sheet as b6; on every root that
// needs no double accidental the other tones are spelled alike. Its list spells
// the mode of the 7b5 scale with #4, #5 and #6, so there only the sound counts.
// It has no name for the dominant seventh-diminished scale in any rotation.
func TestScalesAgainstTonal(t *testing.T) {
	kinds := map[string]harmony.ScaleKind{
		"major sixth-diminished":                harmony.MajorSixth,
		"minor sixth-diminished":                harmony.MinorSixth,
		"dominant seventh flat five-diminished": harmony.DominantSeventhFlatFive,
	}
	const flatSix = "b6"
	for _, row := range table(t, symbolReference+"scales.csv", "tonal 6.4.2") {
		kind, ok := kinds[row[0]]
		require.True(t, ok, row[0])
		root, err := tone.ParseName(row[1])
		require.NoError(t, err)
		notes := strings.Fields(row[3])
		require.Len(t, notes, 8, row)
		scale := harmony.NewScale(kind, root)
		usual := kind != harmony.DominantSeventhFlatFive && !strings.Contains(row[3], "##") && !strings.Contains(row[3], "bb")
		for i, n := range scale.Tones() {
			theirs, err := tone.ParseName(notes[i])
			if err != nil {
				continue // three accidentals, which no page prints
			}
			assert.Equal(t, theirs.Class(), n.Class(), "%s: tone %d", scale, i+1)
			if usual && scale.Label(i) != flatSix {
				assert.Equal(t, theirs, n, "%s: tone %d", scale, i+1)
			}
		}
	}
}
