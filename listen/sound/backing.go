package sound

import (
	"sort"

	"shedlight/analyse/backing"
	"shedlight/listen/beat"
)

// Backing returns the part of a band under a tune: the bassist alone, or with the
// pianist. The band plays from the top that was last counted off to, so that its first
// chorus is a first one again; before the top and where the song does not run it is
// silent. The beat's form has to be that of the tune.
func Backing(band *backing.Band, piano bool) Part {
	type played struct {
		chorus  int
		quarter int64
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
			wanted := played{chorus: int((start - s.Top) / form.Length), quarter: s.Quarter}
			if notes == nil || wanted != now {
				now, notes = wanted, band.Chorus(wanted.chorus, wanted.quarter, piano)
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

var voiceOf = map[backing.Player]Voice{backing.Bass: Bass, backing.Piano: Piano}
