package display

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/figure"
	"shedlight/analyse/habit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
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

// creature is a player of habit.
func creature() *analyse.Summary {
	s := beginner().Summary
	s.Phrases = phrase.Report{
		Phrases: 12, Notes: 190, Longest: 33, Rest: 24,
		Lengths: []phrase.Lengths{{From: 1, To: 2}, {From: 3, To: 4, Phrases: 1}, {From: 17, To: 32, Phrases: 10}, {From: 33, Phrases: 1}},
		Starts: phrase.EdgeReport{
			ChordDegrees: map[string]int64{"3": 8, "1": 3, "b9": 1}, Halves: song.PlaceCounts{Home: 9, Dim: 3}, Beats: map[string]int64{"1": 5, "2.5": 7},
		},
		Ends:      phrase.EdgeReport{ChordDegrees: map[string]int64{"1": 12, "5": 0}, Halves: song.PlaceCounts{Home: 11, Outside: 1}},
		Crossings: map[string]int64{"step": 20, "leap": 7, "held": 1, "repeated": 0},
		Steps:     map[string]int64{"7 to 3": 5, "4 to 3": 12, "5 to b9": 3},
	}
	s.Habits = habit.Report{
		Lowest: 58, Highest: 82,
		Cells:     []habit.Cell{{Intervals: []int{-3, 1, 12}, Times: 6, Last: song.BarRef{Chorus: 2, Bar: 15}}, {Intervals: []int{2, -2, 0}, Times: 3}},
		SideSlips: habit.Sightings{Times: 2, Bars: []song.BarRef{{Chorus: 1, Bar: 4}, {Chorus: 2, Bar: 4}}},
		Ahead:     habit.Sightings{Times: 9, Bars: []song.BarRef{{Chorus: 1, Bar: 4}, {Chorus: 1, Bar: 7}, {Chorus: 1, Bar: 8}, {Chorus: 2, Bar: 4}}},
		Displaced: habit.Sightings{Times: 1, Bars: []song.BarRef{{}}},
	}
	return &s
}

// What comes again and again stands on one screen, and in a row of the page.
func TestHabits(t *testing.T) {
	var b bytes.Buffer
	r := Review{Outcome: Outcome{Summary: *creature()}}
	for i := range 7 {
		r.Phrases = append(r.Phrases, phrase.Phrase{
			Start: phrase.Edge{Chorus: 1, Bar: 1 + 4*i, On: []string{"2.5", "1"}[i%2]}, End: phrase.Edge{Chorus: 1, Bar: 3 + 4*i, ChordDegree: "1"},
		})
	}
	require.NoError(t, WriteTable(&b, ByHabit, r, Options{Written: tone.InBFlat}))
	golden(t, "habits.txt", b.String())
	onOnePage(t, b.String())

	b.Reset()
	require.NoError(t, WriteSummary(&b, &r.Outcome, Options{}))
	require.Contains(t, b.String(), "\n            7 of 12 phrases start on the and of 2; 12 of 12 end on the root\n")
	b.Reset()
	r.Outcome.Phrases.Phrases = habitLeast - 1
	require.NoError(t, WriteSummary(&b, &r.Outcome, Options{}))
	require.NotContains(t, b.String(), "end on")

	b.Reset()
	require.NoError(t, WriteTable(&b, ByHabit, Review{}, Options{}))
	require.Equal(t, "nothing to tell: no phrase was played\n", b.String())
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
			Tally: analyse.Tally{Notes: counted("notes"), Outside: counted("outside"), Unresolved: counted("unresolved")},
		})
		r.Centres = append(r.Centres, analyse.CentreCount{Centre: symbol.Draw(t, "centre"), Tally: analyse.Tally{Notes: counted("notes")}})
		r.ChorusesDetail = append(r.ChorusesDetail, analyse.ChorusCount{Chorus: number.Draw(t, "chorus"), Tally: analyse.Tally{Notes: counted("notes")}})
	}
	for bar := range rapid.IntRange(0, 6).Draw(t, "played") {
		r.BarsDetail = append(r.BarsDetail, analyse.BarCount{Bar: bar, Tally: analyse.Tally{Notes: 1 + counted("notes")}})
		for range rapid.IntRange(0, 30).Draw(t, "slips") {
			place := fmt.Sprintf("%d/%d:%d.25", number.Draw(t, "chorus"), bar, rapid.IntRange(1, 12).Draw(t, "beat"))
			r.Slips = append(r.Slips, Slip{Bar: bar, Place: place, Name: name.Draw(t, "name")})
		}
		edge := phrase.Edge{Chorus: number.Draw(t, "chorus"), Bar: number.Draw(t, "bar"), Beat: 4.75, Name: name.Draw(t, "name")}
		p := phrase.Phrase{Number: 1 + counted("phrase"), Notes: 9, Start: edge, End: edge, FigureCount: 20}
		for range rapid.IntRange(0, 12).Draw(t, "figures") {
			p.Chords = append(p.Chords, phrase.OverChord{Chord: symbol.Draw(t, "over"), Notes: []string{name.Draw(t, "note"), "F"}})
			p.Crossings = append(p.Crossings, phrase.Crossing{From: symbol.Draw(t, "from"), To: symbol.Draw(t, "to"), Kind: "leap", Before: name.Draw(t, "before"), After: "E", Interval: 9, BeforeDegree: "3", AfterDegree: "#11"})
			p.Figures = append(p.Figures, figure.OfPhrase{Kind: figure.Arpeggio, Direction: "up", Notes: 4, Chords: []string{symbol.Draw(t, "arpeggio"), "C7b9b13/Gb"}})
		}
		r.Phrases = append(r.Phrases, p)
	}
	r.Outcome.Phrases.Phrases = counted("phrases")
	r.Habits = habit.Report{Lowest: 0, Highest: 127}
	for range 5 {
		r.Habits.Cells = append(r.Habits.Cells, habit.Cell{Intervals: []int{-127, 127, -100}, Times: counted("cell"), Last: song.BarRef{Chorus: 100, Bar: 100}})
	}
	for _, counts := range []*map[string]int64{&r.Outcome.Phrases.Starts.Beats, &r.Outcome.Phrases.Ends.ChordDegrees, &r.Outcome.Phrases.Steps} {
		*counts = rapid.MapOfN(rapid.StringMatching(`b?[1-9](\.25)?( to #11)?`), rapid.Int64Range(0, 999_999), 0, 20).Draw(t, "counts")
	}
	places := make([]song.BarRef, 4)
	for i := range places {
		places[i] = song.BarRef{Chorus: number.Draw(t, "chorus"), Bar: number.Draw(t, "bar")}
	}
	r.Habits.Ahead = habit.Sightings{Times: counted("ahead"), Bars: places}
	return r
}

// A table is no wider than a page, whatever the names are, and nothing that
// --meant needs is cut off.
func TestTablesFitThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyReview(t)
		for _, by := range []By{ByChord, ByCentre, ByChorus, ByBar, ByPhrase, ByHabit} {
			var b bytes.Buffer
			require.NoError(t, WriteTable(&b, by, r, Options{ASCII: rapid.Bool().Draw(t, "ascii")}))
			for _, row := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, width(row), pageWidth, row)
			}
			if by == ByHabit {
				require.LessOrEqual(t, strings.Count(b.String(), "\n"), pageRows)
			}
			if by != ByBar {
				continue
			}
			for _, s := range r.Slips {
				require.Contains(t, b.String(), "(--meant "+s.Place+")")
			}
		}
	})
}

// A name without a blank that leaves a row too little for its place is cut, the place is
// not.
func TestASlipsPlaceIsWhole(t *testing.T) {
	const place = "(--meant 1000/5:12.25)"
	for _, name := range []string{strings.Repeat("A", pageWidth), strings.Repeat("A", pageWidth-len(place)-len(tableIndent)-1), "F"} {
		r := Review{Slips: []Slip{{Bar: 5, Place: "1000/5:12.25", Name: name}}}
		r.BarsDetail = []analyse.BarCount{{Bar: 5, Tally: analyse.Tally{Notes: 1}}}
		for _, cells := range []int{pageWidth, LeastWidth} {
			var b bytes.Buffer
			require.NoError(t, WriteTable(&b, ByBar, r, Options{Width: cells}))
			require.Contains(t, b.String(), place)
			require.NotContains(t, b.String(), "\n\n")
			for _, row := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, width(row), cells, row)
			}
		}
	}
}
