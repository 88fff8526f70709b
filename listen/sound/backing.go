package sound

import (
	"sort"

	"shedlight/analyse/backing"
	"shedlight/listen/beat"
)

// Backing returns the part of a band under a tune: the bassist alone, or with the
// pianist. The band plays from the top that was last counted off to, so that its first
// chorus is a first one again; before the top and where the song does not run it is
// silent. After so many choruses from there, 0 for no end, the tune is over: it ends on
// its last chord. The beat's form has to be that of the tune.
//
// A chorus is played in one feel: what it began with holds until the tempo is another by
// a twentieth. A tempo that is tapped, or an outside clock's, wavers, and no bassist turns
// from walking to two and back for that (common practice).
func Backing(band *backing.Band, piano bool, choruses int64) Part {
	type played struct {
		chorus, quarter int64
	}
	var now played
	var notes []backing.Note // of now, by tick
	return func(form *beat.Form, s beat.Stretch, strike func(int64, Note)) {
		if s.State != beat.Running {
			return
		}
		end := s.Song + s.To - s.From
		for song := max(0, s.Song); song < end; {
			start := song - song%form.Length
			wanted := played{chorus: (start - s.Top) / form.Length, quarter: s.Quarter}
			wavers := max(wanted.quarter-now.quarter, now.quarter-wanted.quarter)*wavering <= now.quarter
			if notes == nil || wanted.chorus != now.chorus || !wavers {
				now, notes = wanted, play(band, wanted.chorus, choruses, wanted.quarter, piano)
			}
			first := sort.Search(len(notes), func(i int) bool { return start+notes[i].Tick >= song })
			song = min(end, start+form.Length)
			for _, n := range notes[first:] {
				if start+n.Tick >= song {
					break
				}
				strike(s.From+start+n.Tick-s.Song, Note{Voice: voiceOf[n.By], Key: n.Key, Velocity: n.Velocity, Ticks: n.Length})
			}
		}
	}
}

// wavering is the part of a tempo by which it is still the same.
const wavering = 20

var voiceOf = map[backing.Player]Voice{backing.Bass: Bass, backing.Piano: Piano}

// play returns what is played in a chorus where the tune has so many.
func play(band *backing.Band, chorus, choruses, quarter int64, piano bool) []backing.Note {
	switch last := choruses - 1; {
	case choruses == 0 || chorus < last:
		return band.Chorus(int(chorus), quarter, piano)
	case chorus == last:
		return band.Last(int(chorus), quarter, piano)
	case chorus == last+1:
		return band.After(int(last), quarter, piano)
	}
	return []backing.Note{}
}

// Until returns a part that is silent after so many choruses from the top that was last
// counted off to; 0 for no end.
func Until(choruses int64, part Part) Part {
	if choruses == 0 {
		return part
	}
	return func(form *beat.Form, s beat.Stretch, strike func(int64, Note)) {
		if s.State == beat.Running {
			s.To = min(s.To, s.From+s.Top+choruses*form.Length-s.Song)
		}
		if s.From < s.To {
			part(form, s, strike)
		}
	}
}
