package advise

import (
	"slices"

	"shedlight/analyse"
)

// Met is a suggestion of a take before that this take has met: what it said
// then, and how it stands now.
type Met struct {
	Then Suggestion `json:"then"`
	Now  Suggestion `json:"now"`
}

// WereMet returns which of the suggestions shown with the takes before, oldest
// first, are met now for the first time since, the newest first. One that rests
// can be met like one that was shown with the last take.
func WereMet(past []Shown, s *analyse.Summary) []Met {
	met := []Met{}
	all, played := everything(s), s.Alike()
	over := map[Subject]bool{} // shown again later, or met
	for _, before := range slices.Backward(past) {
		for _, then := range before.Suggested {
			now, there := find(all, then.Subject)
			if !there {
				now, there = cleared(s, then.Subject)
			}
			if there && !over[then.Subject] && now.meets(then) && asHard(played, before.Played) {
				met = append(met, Met{Then: then, Now: now})
			}
			over[then.Subject] = true
		}
		for _, m := range before.Met {
			over[m.Then.Subject] = true
		}
	}
	return met
}

// meets reports whether the share of what a suggestion said then has halved, and its
// player went there again, with at least half
// as many notes, for as many choruses, as then. Nothing to say of a place is
// enough with as many notes as could have slipped.
func (s Suggestion) meets(then Suggestion) bool {
	if s.Whole == 0 || 2*s.Part*then.Whole > then.Part*s.Whole {
		return false
	}
	if s.Part == 0 && (s.Kind != Unresolved || s.Whole >= leastUnresolved) {
		return true
	}
	choruses := int64(max(1, then.Choruses))
	fewer := min(choruses, int64(max(1, s.Choruses)))
	return 2*s.Whole*choruses >= then.Whole*fewer
}

// asHard reports whether what was played of each kind then has a match now that is like it
// or faster. A kind with less than half as many notes as the largest was broken off and
// says little. Where nobody says what was played, it is.
func asHard(now, then []analyse.Alike) bool {
	most := int64(0)
	for i := range then {
		most = max(most, then[i].Notes)
	}
	for i := range then {
		if t := &then[i]; 2*t.Notes >= most && !slices.ContainsFunc(now, func(n analyse.Alike) bool { return n.AsHard(t.Was) }) {
			return false
		}
	}
	return true
}
