package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
)

// A goal holds for bars by their numbers, for a section wherever it is played, or for
// the whole chorus.
func TestGoalBars(t *testing.T) {
	chart := filepath.Join(t.TempDir(), "quay.chart")
	require.NoError(t, os.WriteFile(chart, []byte("form: A B A\n[A]\n| F6 | % |\n[B]\n| Gm7 | C7 |\n"), 0o600))
	const x, o = true, false
	for _, test := range []struct {
		goal, bars string
		want       []bool
		wrong      string
	}{
		{goal: "no slip", want: []bool{x, x, x, x, x, x}},
		{goal: "no slip in B", want: []bool{o, o, x, x, o, o}},
		{goal: "no slip in A", want: []bool{x, x, o, o, x, x}},
		{goal: "no slip in 2-3", want: []bool{o, x, x, o, o, o}},
		{goal: "no slip in 4", want: []bool{o, o, o, x, o, o}},
		{goal: "no slip in 4", bars: "3-4", want: []bool{o, x}},
		{goal: "no slip in 7-9", wrong: "--goal no slip in 7-9: what is played has no bars and no section 7-9"},
		{goal: "no slip in C", wrong: "--goal no slip in C: what is played has no bars and no section C"},
		{goal: "third on every change", wrong: "--goal third on every change: expected no slip, no slip in 9-16 or no slip in B"},
	} {
		tune, err := tunes.Of(settings.Tune{Chart: chart, Goal: test.goal, Bars: test.bars}, settings.Hand{}, nil)
		if test.wrong != "" {
			require.EqualError(t, err, test.wrong)
			continue
		}
		require.NoError(t, err)
		require.Equal(t, test.want, tune.Setup.Goal, test.goal)
	}
	_, said, code := runHere(t, "listen", "--chart", "blues", "--goal", "no slips")
	require.Equal(t, exitUsage, code)
	require.Equal(t, "shedlight: --goal no slips: expected no slip, no slip in 9-16 or no slip in B\n", said)
}

// The review tells the goal of a take as the session did.
func TestReviewTellsTheGoal(t *testing.T) {
	configured(t, "")
	folder := t.TempDir()
	file := filepath.Join(folder, "demo.mid")
	require.NoError(t, os.WriteFile(file, demoTake, 0o600))
	told := regexp.MustCompile(`goal, no slip in [^:]+: met in \d of \d chorus(es)?`)
	out, _, code := runHere(t, "review", file, "--goal", "no slip in 12-13")
	require.Zero(t, code)
	require.Equal(t, "goal, no slip in 12-13: met in 1 of 2 choruses", told.FindString(out), "it slips in bars 12 and 13, as the same page says, in one chorus")
	out, _, code = runHere(t, "review", file)
	require.Zero(t, code)
	require.NotContains(t, out, "goal")
}
