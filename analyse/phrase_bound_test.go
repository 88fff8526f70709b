package analyse_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/figure"
	"shedlight/analyse/song"
)

// Twelve figures are told of a phrase that is not kept whole, though its runs and the
// chords under them are no more than twelve each. By hand: eight runs of five notes, up
// and down between C and G, and a chord under the last note of each.
func TestTwelveFigures(t *testing.T) {
	const chord = "@-480 [C3,E3,G3] @+480 "
	line := "C4 " + strings.Repeat("D4 E4 F4 G4.2 "+chord+"F4 E4 D4 C4.2 "+chord, 4) + "D4"
	setup := inChords(t, "| C6 | % | % | % |")
	_, few := review(t, setup, performed(t, 0, line))
	require.Len(t, few, 1)
	setup.Whole = true
	_, all := review(t, setup, performed(t, 0, line))
	kinds := map[figure.Kind]int{}
	for _, f := range all[0].Figures {
		kinds[f.Kind]++
	}
	require.Equal(t, map[figure.Kind]int{figure.Run: 8, figure.StruckChord: 8}, kinds)
	require.Equal(t, 16, few[0].FigureCount)
	require.Equal(t, all[0].Figures[:12], few[0].Figures)
}

// What is kept of a phrase ends somewhere: of one that goes on for ever the first 4096
// notes, crossings and figures are told, and all of it is counted.
func TestAPhraseWithoutEnd(t *testing.T) {
	const notes = 4200
	line := strings.Repeat("C4.2 C5.2 D4.2 D5.2 E4.2 F5.2 ", notes/6) // a leap to each
	setup := inChords(t, "| C6 G7 C6 G7 |")
	setup.Whole = true
	_, all := review(t, setup, performed(t, 0, line))
	require.Len(t, all, 1)
	told := 0
	for _, c := range all[0].Chords {
		told += len(c.Notes)
	}
	require.Equal(t, []int{4096, 4096, 4096}, []int{told, len(all[0].Crossings), len(all[0].Figures)})
	require.Equal(t, []int{notes, notes - 1}, []int{all[0].Notes, all[0].FigureCount})
}

// Phrases, feel and habits allocate nothing once every degree and beat has been
// met.
func TestPhrasesAllocateNothing(t *testing.T) {
	tl := generic(t, "rhythm-bridge", "F")
	events := linegen.Events(linegen.Line(tl, song.ChordView, 7, 200))
	a := analyser(t, analyse.Setup{Timeline: tl, View: song.ChordView})
	a.Add(startsAt(0))
	const warm, runs, each = 8000, 20, 50
	require.Greater(t, len(events), warm+(runs+1)*each)
	for _, e := range events[:warm] {
		a.Add(e)
	}
	before := a.Summary().Phrases.Phrases
	next := events[warm:]
	allocs := testing.AllocsPerRun(runs, func() {
		for _, e := range next[:each] {
			a.Add(e)
		}
		next = next[each:]
	})
	require.Less(t, allocs, 1.0, "but for a row a chorus")
	require.Greater(t, a.Summary().Phrases.Phrases, before+10)
}

// Over long bars a note may wait long for its fate. Sixteen phrases wait with
// it; a seventeenth pushes the first out.
func TestPhrasesThatWaitAreBounded(t *testing.T) {
	settled := func(after int) bool {
		s := inChords(t, "{meter 32/4} | {Ab minor} G7 | {C major} C6 |")
		a := analyser(t, s)
		a.Add(startsAt(0))
		// C lies in C major sixth-diminished, which G7 admits.
		line := "C4 C5 F4 B4"
		for range after {
			line += " -.2 G4"
		}
		for _, e := range performed(t, 0, line) {
			a.Add(e)
		}
		if first, ok := a.Phrase(1); ok {
			require.NotZero(t, first.Open, "it waits")
		}
		a.Finish(1_000_000)
		require.Equal(t, int64(2), a.Summary().Fate["sub"])
		first, ok := a.Phrase(1)
		return ok && first.Open == 0
	}
	require.True(t, settled(14))
	require.False(t, settled(15))
}

func TestManyCrossingsAreCutShort(t *testing.T) {
	line := ""
	for range 20 {
		line += "C4.8 E4.8 "
	}
	sum, phrases := review(t, inChords(t, "| C6 | F6 |"), performed(t, 0, line))
	require.Equal(t, 40, phrases[0].Notes)
	require.Len(t, phrases[0].Crossings, 32)
	require.Equal(t, int64(39), sum.Phrases.Crossings["leap"])
}
