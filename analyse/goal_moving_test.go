package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// Where the key moves the goal does: what is meant is the degree, and what stands on the top
// is heard by the chords that sound there (common practice). Up by fourths C6 F6 is followed by F6
// Bb6, without a change, and C6 G7 by F6.
func TestGoalsMoveWithTheKey(t *testing.T) {
	third, family := analyse.Goal{Kind: analyse.ThirdOnChange}, analyse.Goal{Kind: analyse.FamilyChord, On: 2}
	for _, test := range []struct {
		bars, line string
		goal       analyse.Goal
		want       [2]int
	}{
		{"| C6 | F6 |", "E4 G4 A4 G4 E4 G4 A4 G4 | A4 C5 A4 F4 A4 C5 A4 F4 | A4 C5 A4 F4 A4 C5 A4 F4 | D5 F4 D5 F4", third, [2]int{2, 2}},
		{"| C6 | G7 |", "E4 G4 A4 G4 E4 G4 A4 G4 | B4 D5 F5 D5 B4 G4 F4 D4 | A4 C5 A4 F4 A4 C5 A4 F4 | D5 F4 D5 F4", third, [2]int{2, 3}},
		{"| C6 | G7 |", "E4 G4 A4 G4 E4 G4 A4 G4 | B4 D5 F5 D5 B4 G4 F4 D4 | -.4 A4 C5 A4 F4 | E5 F4 D5 F4", third, [2]int{2, 2}},
		{"{C major} | C6 | % |", "D4 F4 Ab4 B4 -.12 | G4 Bb4 Db5 E5 -.12", family, [2]int{2, 2}},
		{"{C major} | C6 | % |", "D4 F4 Ab4 B4 -.12 | D4 F4 Ab4 B4 -.12", family, [2]int{1, 2}},
	} {
		setup := fourths(t, test.bars)
		setup.View, setup.Goal = song.KeyView, test.goal
		setup.Goal.Bars = []bool{true, true}
		a := analyser(t, setup)
		a.Add(startsAt(0))
		for _, e := range performed(t, 0, test.line) {
			a.Add(e)
		}
		a.AdvanceTo(2*setup.Timeline.Length + 2*eighth)
		now := a.Snapshot()
		require.Equal(t, test.want, [2]int{now.GoalMet, now.GoalOf}, "%s %s", test.bars, test.line)
	}
}
