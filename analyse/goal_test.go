package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// A goal is counted by chorus: where something was played in its bars, and whether
// something slipped there. A C sharp that is held over C6 slips (common practice, as in
// testdata/scripts/bend.txt); what slips in other bars is no matter.
func TestGoalIsCountedByChorus(t *testing.T) {
	setup := inChords(t, "| C6 | F6 | C6 | F6 |")
	setup.Goal = noSlip(false, false, true, false)
	const bar = 8 * eighth
	a := analyser(t, setup)
	a.Add(startsAt(0))
	var findings []analyse.Finding
	play := func(chorus, in int64, line string) {
		for _, e := range performed(t, ((chorus-1)*4+in-1)*bar, line) {
			findings = append(findings, a.Add(e)...)
		}
	}
	so := func(chorus, in int64) [2]int {
		findings = append(findings, a.AdvanceTo(((chorus-1)*4+in-1)*bar+eighth)...)
		s := a.Snapshot()
		return [2]int{s.GoalMet, s.GoalOf}
	}
	play(1, 1, "C#5.4")
	play(1, 3, "C5 E5 G5 E5")
	require.Equal(t, [2]int{0, 0}, so(1, 3), "it is not over")
	require.Equal(t, [2]int{1, 1}, so(1, 4), "what slipped lay elsewhere")
	play(2, 3, "C5 E5 C#5.4")
	play(2, 4, "F5 A5 C5")
	require.Equal(t, [2]int{1, 2}, so(3, 1))
	play(3, 1, "C5 E5 G5 E5")
	require.Equal(t, [2]int{1, 2}, so(4, 1), "nothing was played in them")

	s := a.Summary()
	met, of := s.GoalKind.Met(s.ChorusesDetail)
	require.Equal(t, [2]int{1, 2}, [2]int{met, of}, "the review's count is that of the screen")
	slips := map[int64]analyse.Finding{}
	for i := range findings {
		note := slips[findings[i].N]
		if findings[i].Stage == analyse.Heard {
			note = findings[i]
		} else {
			note.Fold(&findings[i])
		}
		slips[findings[i].N] = note
	}
	for _, note := range slips {
		if note.Slip() {
			s.TakeMeant(note)
		}
	}
	met, of = s.GoalKind.Met(s.ChorusesDetail)
	require.Equal(t, [2]int{2, 2}, [2]int{met, of}, "it was meant")

	a.Add(analyse.Event{Tick: (3*4 + 1) * bar, Kind: analyse.Forget})
	require.Equal(t, [2]int{1, 2}, so(4, 3), "nothing in it is forgotten that counts")
	setup.Goal.Bars = setup.Goal.Bars[:2]
	_, err := analyse.New(setup)
	require.Error(t, err)
}

// A chorus that is forgotten counts for no goal.
func TestForgottenChorusCountsForNoGoal(t *testing.T) {
	setup := inChords(t, "| C6 | F6 |")
	setup.Goal = noSlip(true, true)
	a := analyser(t, setup)
	a.Add(startsAt(0))
	for _, e := range performed(t, 0, "C5 E5 G5 E5 -.12 C5 E5 G5 E5 -.12") {
		a.Add(e)
	}
	a.AdvanceTo(33 * eighth) // in the first bar of the third
	require.Equal(t, 2, a.Snapshot().GoalOf)
	a.Add(analyse.Event{Tick: 33 * eighth, Kind: analyse.Forget})
	require.Equal(t, 1, a.Snapshot().GoalOf)
	s := a.Summary()
	_, of := s.GoalKind.Met(s.ChorusesDetail)
	require.Equal(t, 1, of)
}

func noSlip(bars ...bool) analyse.Goal { return analyse.Goal{Kind: analyse.NoSlip, Bars: bars} }

// A chorus whose last notes may still turn out to be the chord is not told before that is
// known: they go on into the next one.
func TestGoalWaitsForTheArpeggio(t *testing.T) {
	setup := inChords(t, "{C major} | C6 | % |")
	setup.View = song.KeyView
	setup.Goal = analyse.Goal{Kind: analyse.FamilyChord, Bars: []bool{true, true}, On: 2}
	a := analyser(t, setup)
	a.Add(startsAt(0))
	for _, e := range performed(t, 0, "E4 G4 -.10 D4 F4 Ab4 B4 | C5 B4 A4 G4 E4") {
		a.Add(e)
	}
	require.Zero(t, a.Snapshot().GoalOf, "in the second chorus, the line going on")
	a.AdvanceTo(26 * eighth)
	now := a.Snapshot()
	require.Equal(t, [2]int{1, 1}, [2]int{now.GoalMet, now.GoalOf})
}
