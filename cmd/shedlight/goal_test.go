package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
)

// A goal holds for bars by their numbers, for a section wherever it is played, or for
// the whole chorus.
func TestGoalBars(t *testing.T) {
	chart := filepath.Join(t.TempDir(), "quay.chart")
	require.NoError(t, os.WriteFile(chart, []byte("form: A B A\n[A]\n| F6 | % |\n[B]\n| Gm7 | C7 |\n"), 0o600))
	const x, o = true, false
	const expected = ": expected no slip, third on every change or family of D, and where not everywhere in 9-16 or in B"
	for _, test := range []struct {
		goal, bars, view string
		kind             analyse.GoalKind
		on               tone.Class
		want             []bool
		wrong            string
	}{
		{goal: "no slip", want: []bool{x, x, x, x, x, x}},
		{goal: "no slip in B", want: []bool{o, o, x, x, o, o}},
		{goal: "no slip in A", want: []bool{x, x, o, o, x, x}},
		{goal: "no slip in 2-3", want: []bool{o, x, x, o, o, o}},
		{goal: "no slip in 4", want: []bool{o, o, o, x, o, o}},
		{goal: "no slip in 4", bars: "3-4", want: []bool{o, x}},
		{goal: "no slip in 7-9", wrong: "--goal no slip in 7-9: what is played has no bars and no section 7-9"},
		{goal: "no slip in C", wrong: "--goal no slip in C: what is played has no bars and no section C"},
		{goal: "third on every change", kind: analyse.ThirdOnChange, want: []bool{x, x, x, x, x, x}},
		{goal: "third on every change in B", kind: analyse.ThirdOnChange, want: []bool{o, o, x, x, o, o}},
		{goal: "family of G", kind: analyse.FamilyChord, on: 7, want: []bool{x, x, x, x, x, x}},
		{goal: "family of Bb in 2-3", kind: analyse.FamilyChord, on: 10, want: []bool{o, x, x, o, o, o}},
		{goal: "third on every change in C", wrong: "--goal third on every change in C: what is played has no bars and no section C"},
		{goal: "family of Eb in 4", wrong: "--goal family of Eb in 4: no scale of what is played has a chord on Eb: expected one on C Db D E F G A Bb"},
		{goal: "family of B in A", view: "chord", wrong: "--goal family of B in A: no scale of what is played has a chord on B: expected one on C Db D E F G A Bb"},
		{goal: "family of Eb in 4", view: "chord", kind: analyse.FamilyChord, on: 3, want: []bool{o, o, o, x, o, o}},
		{goal: "family of H", wrong: "--goal family of H" + expected},
		{goal: "family of", wrong: "--goal family of" + expected},
		{goal: "family", wrong: "--goal family" + expected},
		{goal: "no slip in", wrong: "--goal no slip in" + expected},
		{goal: "no slip in  ", wrong: "--goal no slip in  " + expected},
		{goal: "third on change", wrong: "--goal third on change" + expected},
	} {
		tune, err := tunes.Of(settings.Tune{Chart: chart, Goal: test.goal, Bars: test.bars, View: test.view}, settings.Hand{}, nil)
		if test.wrong != "" {
			require.EqualError(t, err, test.wrong)
			continue
		}
		require.NoError(t, err)
		require.Equal(t, analyse.Goal{Kind: cmp.Or(test.kind, analyse.NoSlip), Bars: test.want, On: test.on}, tune.Setup.Goal, test.goal)
	}
	_, said, code := runHere(t, "listen", "--chart", "blues", "--goal", "no slips")
	require.Equal(t, exitUsage, code)
	require.Equal(t, "shedlight: --goal no slips"+expected+"\n", said)
}

// The review tells the goal of a take as the session did that kept it, and another one where
// that is asked for.
func TestReviewTellsTheGoal(t *testing.T) {
	configured(t, "")
	folder := t.TempDir()
	file := filepath.Join(folder, "demo.mid")
	require.NoError(t, os.WriteFile(file, demoTake, 0o600))
	told := regexp.MustCompile(`goal, .*: .* \d+ of \d+ (chorus|change)(es|s)?`)
	out, _, code := runHere(t, "review", file, "--goal", "no slip in 12-13")
	require.Zero(t, code)
	require.Equal(t, "goal, no slip in 12-13: met in 1 of 2 choruses", told.FindString(out), "it slips in bars 12 and 13, as the same page says, in one chorus")
	out, _, code = runHere(t, "review", file)
	require.Zero(t, code)
	require.NotContains(t, out, "goal")

	for _, test := range []struct{ goal, how, what string }{
		{"no slip in B", "met in", "choruses"}, {"third on every change", "on", "changes"}, {"family of G in 9-16", "played in", "choruses"},
	} {
		s := sessionOver(t, nil, "--in", file, "--goal", test.goal)
		live := s.analyser.Summary()
		met, of := live.GoalKind.Met(live.ChorusesDetail)
		require.NotZero(t, of)
		out, _, code := runHere(t, "review", s.recorder.Status().Path)
		require.Zero(t, code)
		require.Equal(t, fmt.Sprintf("goal, %s: %s %d of %d %s", test.goal, test.how, met, of, test.what), told.FindString(out))
	}
}
