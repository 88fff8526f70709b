package advise

import "shedlight/analyse"

// Met is a suggestion of the take before that this take has met: what it said
// then, and how it stands now.
type Met struct {
	Then Suggestion `json:"then"`
	Now  Suggestion `json:"now"`
}

// WereMet returns which of the suggestions shown with the take before were met:
// the player went there again, with at least half as many notes as then, and it
// is no longer worth a suggestion.
func WereMet(shown []Suggestion, s *analyse.Summary) []Met {
	met := []Met{}
	candidates := Candidates(s)
	for _, then := range shown {
		now, there := find(everything(s), then.Subject)
		_, still := find(candidates, then.Subject)
		if there && !still && now.less(then) && 2*now.Whole >= then.Whole && now.Whole > 0 {
			met = append(met, Met{Then: then, Now: now})
		}
	}
	return met
}

// everything returns each subject of a summary with its numbers, whether it is
// worth a suggestion or not.
func everything(s *analyse.Summary) []Suggestion {
	var all []Suggestion
	for i := range s.ChordsDetail {
		all = append(all, overChord(&s.ChordsDetail[i], s.Choruses))
	}
	for i := range s.Centres {
		all = append(all, overCentre(s, &s.Centres[i]))
	}
	for i := range s.OnBeat {
		all = append(all, offBeat(s, &s.OnBeat[i]))
	}
	for i := range s.Family {
		f := &s.Family[i]
		c := notPlayed(s, f, familyTimes(s, f))
		if f.Times > 0 {
			c.Part = 0
		}
		all = append(all, c)
	}
	return all
}
