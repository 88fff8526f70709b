package analyse_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/phrase"
	"shedlight/analyse/timebase"
)

// figuresOf says the figures of a phrase in order, with what links each to the
// one before.
func figuresOf(p phrase.Phrase) string {
	var texts []string
	for _, g := range p.Figures {
		text := strings.TrimSpace(g.Kind.String()+" "+g.Direction) + fmt.Sprintf(" of %d from %s", g.Notes, g.Start)
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
		{"none", "C4 D4 C4", []string{""}},
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

// A chord struck within a phrase is one of its figures; what the left hand strikes
// below the split is not, nor what is struck in the rest.
func TestAPhraseListsTheChordsStruckInIt(t *testing.T) {
	for _, c := range []struct {
		name  string
		setup analyse.Setup
		line  string
		want  []string
	}{
		{"between two notes of the line", analyse.Setup{}, "C4 D4 E4 F4 [C4,E4,G4,A4] - G4", []string{
			"run up of 5 from C, chord of 4 from C C6"}},
		{"in the order of their first notes", analyse.Setup{}, "C5 [C4,E4,G4] - A4 [D4,F4,A4] - E5 G5", []string{
			"arpeggio of 4 from C C6, chord of 3 from C C, chord of 3 from D Dm"}},
		{"under the melody, from the first note on", analyse.Setup{Top: true}, "[C4,E4,G4] C5 D5 E5 F5", []string{
			"chord of 4 from C C, run up of 4 from C"}},
		{"in the rest after it", analyse.Setup{}, "C4 D4 E4 F4 - [C4,E4,G4] -.3 C5", []string{"run up of 4 from C", ""}},
		{"in the rest before it", analyse.Setup{}, "[C4,E4,G4] -.2 C4 D4 E4 F4", []string{"run up of 4 from C"}},
		{"of the left hand alone", analyse.Setup{Split: 60}, "C5 [C3,E3] D5 E5 F5", []string{"run up of 4 from C"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := c.setup
			s.Centre = centre(t, "C", changes.Major)
			sum, phrases := review(t, s, performed(t, 0, c.line))
			var got []string
			for _, p := range phrases {
				got = append(got, figuresOf(p))
				require.Len(t, p.Figures, p.FigureCount)
			}
			require.Equal(t, c.want, got)
			require.Equal(t, int64(strings.Count(strings.Join(got, ","), "chord of")), sum.Phrases.Struck)
		})
	}
}

// In the rest after a phrase its last figure is known.
func TestFiguresOfAPhraseAreThereInItsRest(t *testing.T) {
	a := analyser(t, analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| C6 | C6 |\n")})
	a.Add(startsAt(0))
	for _, e := range performed(t, 0, "C4 D4 E4 F4 G4 E4 C4") {
		a.Add(e)
	}
	a.AdvanceTo(7*eighth + timebase.Quarter)
	const want = "run up of 5 from C, arpeggio down of 3 from G C6 (shared)"
	require.Equal(t, want, figuresOf(a.Snapshot().Phrase))
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
	told, struckIn := 0, 0
	compare := func(t require.TestingT, take take) {
		a, err := analyse.New(take.setup)
		require.NoError(t, err)
		var phrases []phrase.Phrase
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
		struck := refStruck(take.setup, take.events)
		chords := 0
		for _, p := range phrases {
			var want []refFigure
			for _, g := range figures {
				if p.First <= g.first && g.first <= p.Last {
					want = append(want, g)
				}
			}
			lines := len(want)
			for _, c := range struck {
				if c.to >= p.First && c.from <= p.Last {
					want = append(want, c.refFigure)
				}
			}
			chords += len(want) - lines
			slices.SortStableFunc(want, func(a, b refFigure) int { return cmp.Compare(a.first, b.first) })
			require.Equal(t, len(want), p.FigureCount)
			require.Len(t, p.Figures, min(len(want), 12))
			for i, g := range p.Figures {
				direction := map[bool]string{true: "up", false: "down"}[want[i].up]
				switch {
				case want[i].order != "", slices.Contains([]string{"cell", "enclosure", "repeated", "trill"}, want[i].kind):
					direction = ""
				}
				if want[i].kind == "chord" {
					require.Equal(t, []any{"chord", "", want[i].first, want[i].notes}, []any{g.Kind.String(), g.Direction, g.First, g.Notes})
					continue
				}
				require.Equal(t,
					[]any{want[i].kind, direction, want[i].first, want[i].notes, want[i].halfSteps, want[i].link},
					[]any{g.Kind.String(), g.Direction, g.First, g.Notes, g.HalfSteps, g.Link})
				require.ElementsMatch(t, want[i].chords, g.Chords)
			}
			told += len(want)
		}
		require.Equal(t, len(figures), sum(phrases)-chords, "every figure of the line lies in a phrase")
		struckIn += chords
	}
	rapid.Check(t, func(t *rapid.T) { compare(t, all.Draw(t, "take")) })
	const examples = 200
	told = 0
	for seed := range examples {
		compare(t, all.Example(seed))
	}
	require.Greater(t, told, examples)
	require.NotZero(t, struckIn)
}

// refChord is a chord above the split, and the numbers of the first and the last
// note struck at that moment.
type refChord struct {
	refFigure
	from, to int64
}

// refStruck lists the struck chords. A melody on top of one is counted in.
func refStruck(s analyse.Setup, events []analyse.Event) (out []refChord) {
	groups := map[int64][]*refNote{}
	notes := refNotes(s, events)
	for _, n := range notes {
		if !n.soft {
			groups[n.group] = append(groups[n.group], n)
		}
	}
	for _, group := range slices.Sorted(maps.Keys(groups)) {
		members := groups[group]
		c := refChord{refFigure: refFigure{kind: "chord"}, from: members[0].n, to: members[len(members)-1].n}
		keys := maps.Clone(members[0].withLeft)
		if keys == nil {
			keys = map[int]bool{}
		}
		for _, n := range members {
			if !n.left && (n.role == analyse.Struck || n.onTop) {
				if c.notes == 0 {
					c.first = n.n
				}
				keys[n.key] = true
				c.notes = len(keys)
			}
		}
		if c.notes > 0 {
			c.notes = len(keys)
			out = append(out, c)
		}
	}
	return out
}

func sum(phrases []phrase.Phrase) (figures int) {
	for _, p := range phrases {
		figures += p.FigureCount
	}
	return figures
}

// What becomes of a note of one phrase can be settled while the next is played:
// who wants it quiet then is told in the rest after that.
func TestVerdictsThatComeWhileAPhraseIsPlayed(t *testing.T) {
	a := analyser(t, inChords(t, "| {Ab minor} G7 | {C major} Cmaj7 | % | % |"))
	a.Add(startsAt(0))
	// D minor sixth-diminished, the default over G7, lacks C, and no scale that
	// has it holds more of these notes; so it waits for the chord to end.
	line := performed(t, 0, "E4 Bb4 C5 Bb4 -.3 G4.4")
	state := func(tick int64) []int64 {
		for len(line) > 0 && line[0].Tick <= tick {
			a.Add(line[0])
			line = line[1:]
		}
		a.AdvanceTo(tick)
		s := a.Snapshot()
		slip := s.Page.Notes[2]
		require.Equal(t, "C", slip.Name)
		return []int64{s.Counts.Of(fate.Unresolved), s.SlipsBefore, slip.SettledIn}
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
