package analyse_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

// figuresOf says the figures of a phrase in order, with what links each to the
// one before.
func figuresOf(p analyse.Phrase) string {
	var texts []string
	for _, g := range p.Figures {
		text := fmt.Sprintf("%s %s of %d from %s", g.Kind, g.Direction, g.Notes, g.Start)
		if len(g.Chords) > 0 {
			text += " " + strings.Join(g.Chords, " or ")
		}
		if g.Link != "" {
			text += " (" + g.Link + ")"
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

// The figures of a phrase stand in the order in which they were played, the one
// that its rest cuts off too. What they are is found by the rules of figure.go.
func TestAPhraseListsItsFiguresInOrder(t *testing.T) {
	key := analyse.Setup{Centre: centre(t, "C", changes.Major)}
	for _, c := range []struct {
		name, line string
		want       []string
	}{
		{"a run, an arpeggio, a leap", "C4 D4 E4 F4 G4 E4 C4 A3 G4", []string{
			"run up of 5 from C, arpeggio down of 4 from G C6 (shared), leap up of 2 from A"}},
		{"the last is closed by the rest", "C4 E4 G4 A4 -.2 A4 G4 E4 C4", []string{
			"arpeggio up of 4 from C C6", "arpeggio down of 4 from A C6"}},
		{"a figure does not reach over a rest", "C4 D4 E4 -.2 F4 G4", []string{"", ""}},
		{"nor over a break within a phrase, though both are told", "C4 E4 G4.4 A4 G4 E4 C4", []string{
			"arpeggio up of 3 from C C6 or Cmaj7, arpeggio down of 4 from A C6"}},
		{"none", "C4 D4 C4 D4", []string{""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, phrases := review(t, key, performed(t, 0, c.line))
			var got []string
			for _, p := range phrases {
				got = append(got, figuresOf(p))
			}
			require.Equal(t, c.want, got)
		})
	}
}

// In the rest after a phrase its last figure is known, and the best phrases of
// the summary list theirs.
func TestFiguresOfAPhraseAreThereInItsRest(t *testing.T) {
	a := analyser(t, analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| C6 | C6 |\n")})
	a.Add(startsAt(0))
	for _, e := range performed(t, 0, "C4 D4 E4 F4 G4 E4 C4") {
		a.Add(e)
	}
	a.AdvanceTo(7*eighth + timebase.Quarter)
	const want = "run up of 5 from C, arpeggio down of 3 from G C6 or Cmaj7 (shared)"
	require.Equal(t, want, figuresOf(a.Snapshot().Phrase))
	require.Equal(t, want, figuresOf(a.Summary().Phrases.Good[0]))
}

func TestAPhraseOfManyFiguresIsCutShort(t *testing.T) {
	line := ""
	for range 15 {
		line += "C4 A4 "
	}
	_, phrases := review(t, inChords(t, "| C6 |"), performed(t, 0, line))
	require.Len(t, phrases[0].Figures, 12)
	require.Equal(t, 29, phrases[0].FigureCount)
}

// The figures of each phrase are those that the slow second finder finds
// between the first note of the phrase and its last.
func TestFiguresOfPhrasesAgree(t *testing.T) {
	all := figureTakes(chartsToJudge(t))
	told := 0
	compare := func(t require.TestingT, take take) {
		a, err := analyse.New(take.setup)
		require.NoError(t, err)
		var phrases []analyse.Phrase
		look := func() {
			for int64(len(phrases)) < a.PhrasesOver() {
				p, ok := a.Phrase(int64(len(phrases)) + 1)
				require.True(t, ok)
				phrases = append(phrases, p)
			}
		}
		for _, e := range take.events {
			a.Add(e)
			look()
		}
		a.Finish(take.events[len(take.events)-1].Tick)
		look()
		figures := refFigures(t, take.setup, take.events)
		for _, p := range phrases {
			var want []refFigure
			for _, g := range figures {
				if p.First <= g.first && g.first <= p.Last {
					want = append(want, g)
				}
			}
			require.Equal(t, len(want), p.FigureCount)
			require.Len(t, p.Figures, min(len(want), 12))
			for i, g := range p.Figures {
				direction := map[bool]string{true: "up", false: "down"}[want[i].up]
				require.Equal(t,
					[]any{want[i].kind, direction, want[i].first, want[i].notes, want[i].halfSteps, want[i].link},
					[]any{g.Kind, g.Direction, g.First, g.Notes, g.HalfSteps, g.Link})
				require.ElementsMatch(t, want[i].chords, g.Chords)
			}
			told += len(want)
		}
		require.Equal(t, len(figures), sum(phrases), "every figure lies in a phrase")
	}
	rapid.Check(t, func(t *rapid.T) { compare(t, all.Draw(t, "take")) })
	const examples = 200
	told = 0
	for seed := range examples {
		compare(t, all.Example(seed))
	}
	require.Greater(t, told, examples)
}

func sum(phrases []analyse.Phrase) (figures int) {
	for _, p := range phrases {
		figures += p.FigureCount
	}
	return figures
}

// What becomes of a note of one phrase can be settled while the next is played:
// who wants it quiet then is told in the rest after that.
func TestVerdictsThatComeWhileAPhraseIsPlayed(t *testing.T) {
	a := analyser(t, inChords(t, "| G7 | Cmaj7 | % | % |"))
	a.Add(startsAt(0))
	// D minor sixth-diminished, the default over G7, lacks Eb, and no scale that
	// has it holds more of these notes; so it waits for the chord to end.
	line := performed(t, 0, "E4 G4 Eb4 A4 -.3 G4.4")
	state := func(tick int64) []int64 {
		for len(line) > 0 && line[0].Tick <= tick {
			a.Add(line[0])
			line = line[1:]
		}
		a.AdvanceTo(tick)
		s := a.Snapshot()
		slip := s.Page.Notes[2]
		require.Equal(t, "Eb", slip.Name)
		return []int64{s.Counts.Of(analyse.Unresolved), s.UnresolvedBefore, slip.SettledIn}
	}
	const quarter = timebase.Quarter
	require.Equal(t, []int64{0, 0, 0}, state(3*quarter))
	require.False(t, a.Snapshot().InPhrase)
	require.Equal(t, []int64{0, 0, 0}, state(4*quarter-1))
	require.True(t, a.Snapshot().InPhrase)
	require.Equal(t, []int64{1, 0, 2}, state(5*quarter), "unresolved, and found so in the second phrase")
	require.True(t, a.Snapshot().InPhrase)
	require.Equal(t, []int64{1, 0, 2}, state(7*quarter))
	require.False(t, a.Snapshot().InPhrase)
	line = performed(t, 7*quarter, "C4")
	require.Equal(t, []int64{1, 1, 2}, state(7*quarter+400), "a third phrase knows of it")
}
