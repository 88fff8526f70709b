package settings

import (
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/usage"
)

// NoSlip and ThirdOnChange are goals, FamilyOf begins one, GoalIn stands before where it
// holds.
const (
	NoSlip        = "no slip"
	ThirdOnChange = "third on every change"
	FamilyOf      = "family of "
	GoalIn        = " in "
)

// Goal is what a player says that each chorus is to bring.
type Goal struct {
	Kind  analyse.GoalKind
	On    tone.Name // of a FamilyChord
	Place string    // where it holds: bars like "9-16" or the name of a section; empty for the whole chorus
}

func checkGoal(text string) error {
	_, err := ParseGoal(text)
	return err
}

// ParseGoal reads a goal. The error says what follows the flag's name.
func ParseGoal(text string) (g Goal, err error) {
	what, place, in := strings.Cut(text, GoalIn)
	g.Place = strings.TrimSpace(place)
	on, family := strings.CutPrefix(what, FamilyOf)
	switch {
	case what == NoSlip:
		g.Kind = analyse.NoSlip
	case what == ThirdOnChange:
		g.Kind = analyse.ThirdOnChange
	case family:
		g.Kind = analyse.FamilyChord
		g.On, err = tone.ParseName(on)
	}
	if g.Kind == analyse.NoGoal || err != nil || in && g.Place == "" {
		return Goal{}, usage.Errorf(" %s: expected no slip, third on every change or family of D, and where not everywhere in 9-16 or in B", text)
	}
	return g, nil
}
