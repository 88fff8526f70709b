package display

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
)

func TestTables(t *testing.T) {
	var b bytes.Buffer
	for _, by := range []By{ByChord, ByCentre, ByChorus, ByBar, ByPhrase} {
		require.NoError(t, WriteTable(&b, by, reviewed(), Options{}))
		b.WriteByte('\n')
	}
	require.NoError(t, WriteTable(&b, ByBar, Review{}, Options{}))
	golden(t, "tables.txt", b.String())
}

// anyReview is a review of a take with names as charts have them, or as nobody
// has them.
func anyReview(t *rapid.T) Review {
	var r Review
	symbol := rapid.OneOf(rapid.SampledFrom([]string{"C7", "C7b9b13/Gb", "Bbmaj7#11#9/F#", "(F#m7b5/E)", "N.C."}), rapid.String())
	name := rapid.OneOf(rapid.SampledFrom([]string{"F", "Bb", "Ebb"}), rapid.String())
	number := rapid.IntRange(1, 1000)
	counted := func(label string) int64 { return rapid.Int64Range(0, 9_999_999).Draw(t, label) }
	for range rapid.IntRange(0, 40).Draw(t, "chords") {
		bar := number.Draw(t, "bar")
		r.ChordsDetail = append(r.ChordsDetail, analyse.ChordCount{
			Bar: bar, ToBar: bar + rapid.IntRange(0, 3).Draw(t, "bars"), Symbol: symbol.Draw(t, "symbol"),
			Notes: counted("notes"), Outside: counted("outside"), Unresolved: counted("unresolved"),
		})
		r.Centres = append(r.Centres, analyse.CentreCount{Centre: symbol.Draw(t, "centre"), Notes: counted("notes")})
		r.ChorusesDetail = append(r.ChorusesDetail, analyse.ChorusCount{Chorus: number.Draw(t, "chorus"), Notes: counted("notes")})
	}
	for bar := range rapid.IntRange(0, 6).Draw(t, "played") {
		r.BarsDetail = append(r.BarsDetail, analyse.BarCount{Bar: bar, Notes: 1 + counted("notes")})
		for range rapid.IntRange(0, 30).Draw(t, "slips") {
			place := fmt.Sprintf("%d/%d:%d.25", number.Draw(t, "chorus"), bar, rapid.IntRange(1, 12).Draw(t, "beat"))
			r.Slips = append(r.Slips, Slip{Bar: bar, Place: place, Name: name.Draw(t, "name")})
		}
		edge := analyse.PhraseEdge{Chorus: number.Draw(t, "chorus"), Bar: number.Draw(t, "bar"), Beat: 4.75, Name: name.Draw(t, "name")}
		p := analyse.Phrase{Number: 1 + counted("phrase"), Notes: 9, Start: edge, End: edge, FigureCount: 20}
		for range rapid.IntRange(0, 12).Draw(t, "figures") {
			p.Figures = append(p.Figures, analyse.PhraseFigure{Kind: "arpeggio", Direction: "up", Notes: 4, Chords: []string{symbol.Draw(t, "arpeggio"), "C7b9b13/Gb"}})
		}
		r.Phrases = append(r.Phrases, p)
	}
	return r
}

// A table is no wider than a page, whatever the names are, and nothing that
// --meant needs is cut off.
func TestTablesFitThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyReview(t)
		for _, by := range []By{ByChord, ByCentre, ByChorus, ByBar, ByPhrase} {
			var b bytes.Buffer
			require.NoError(t, WriteTable(&b, by, r, Options{ASCII: rapid.Bool().Draw(t, "ascii")}))
			for _, row := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, width(row), pageWidth, row)
			}
			if by != ByBar {
				continue
			}
			for _, s := range r.Slips {
				if width(s.Name) < mostTableCells {
					require.Contains(t, b.String(), " at "+s.Place)
				}
			}
		}
	})
}
