package analyse_test

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// goalCase is a line with what must be counted of it; testdata/goals says how it is
// written.
type goalCase struct {
	name, chart, line string
	goal              analyse.Goal
	from, to          int // bars
	voicing           []int
	want              [2]int
}

func readGoals(t *testing.T) (out []*goalCase) {
	text, err := os.ReadFile("../testdata/goals/lines.txt")
	require.NoError(t, err)
	var goal analyse.Goal
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		word, rest, _ := strings.Cut(line, " ")
		switch word {
		case "", "#":
		case "==":
			goal = analyse.Goal{Kind: analyse.ThirdOnChange}
			if name, ok := strings.CutPrefix(strings.Trim(rest, "= "), "family of "); ok {
				on, err := tone.ParseName(name)
				require.NoError(t, err)
				goal = analyse.Goal{Kind: analyse.FamilyChord, On: on.Class()}
			}
		case "--":
			out = append(out, &goalCase{name: strings.Trim(rest, "- "), goal: goal, from: 1, to: 1000})
		default:
			c := out[len(out)-1]
			words := strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == '-' })
			number := func(i int) int {
				n, err := strconv.Atoi(words[i])
				require.NoError(t, err, line)
				return n
			}
			switch word {
			case "chart":
				c.chart = rest
				if !strings.Contains(rest, "{") {
					c.chart = "{C major} " + rest
				}
			case "line":
				c.line = rest
			case "bars":
				c.from, c.to = number(0), number(1)
			case "voicing":
				for i := range words {
					c.voicing = append(c.voicing, number(i))
				}
			case "want":
				c.want = [2]int{number(0), number(2)}
			default:
				require.Fail(t, "a line of the goals", "%q", line)
			}
		}
	}
	return out
}

// Every line counts as its label says, on the screen once its bars are over and in the
// review. Source: testdata/goals/lines.txt, common practice.
func TestGoalsOfLines(t *testing.T) {
	cases := readGoals(t)
	require.Greater(t, len(cases), 40)
	for _, c := range cases {
		setup := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n"+c.chart+"\n"), Goal: c.goal, Voicing: c.voicing}
		for _, bar := range setup.Timeline.Bars {
			setup.Goal.Bars = append(setup.Goal.Bars, c.from <= bar.Number && bar.Number <= c.to)
		}
		a := analyser(t, setup)
		a.Add(startsAt(0))
		events := performed(t, 0, c.line)
		for _, e := range events {
			a.Add(e)
		}
		last := slices.MaxFunc(events, func(x, y analyse.Event) int { return int(x.Tick - y.Tick) }).Tick
		choruses := last/setup.Timeline.Length + 1
		a.AdvanceTo(choruses*setup.Timeline.Length + 4*timebase.Quarter)
		now := a.Snapshot()
		require.Equal(t, c.want, [2]int{now.GoalMet, now.GoalOf}, "%s, on the screen", c.name)
		a.Finish(a.Snapshot().Tick)
		s := a.Summary()
		met, of := s.GoalKind.Met(s.ChorusesDetail)
		require.Equal(t, c.want, [2]int{met, of}, "%s, in the review", c.name)
	}
}
