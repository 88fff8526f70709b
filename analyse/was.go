package analyse

import (
	"math"
	"slices"

	"shedlight/analyse/timebase"
)

// What is held against what. A player who reads "slips from 2 % to 4 %" takes it for
// getting worse; so two choruses, and the takes they are in, are held against each other
// only where they were the same task. What makes a task another (common practice):
//
//   - The tempo. Alike are two of which the faster is at most a twentieth faster, one
//     step of a metronome: those of its scale (40 42 44 ... 60 63 66 ... 120 126 132 ...
//     200 208, from memory) are 3 to 6 % apart, and one step is what a player goes up by
//     who got it right. It is also more than a clock that is followed sways by. Where the
//     tempo changes within a chorus both ends must be alike.
//   - The key that sounds: other fingers. Where every chorus moves, only those in the
//     same key are alike. What is about the form, a bar late, is the same in every key.
//   - Trading: other bars are played, and rests lie between them.
//   - The chart, which part of it, the centre and the view make another tune, whose takes
//     never meet: see tunes.Tune.ID. Slips are the same in both views, but what is outside
//     and which families there are is not.
//
// Not that: who plays along, the click or its gaps, a count-off, and the instrument's own
// transposition. They change how it feels and not which notes are right.

// Was is what a chorus was, as far as it makes the task.
type Was struct {
	Tempo   float64 `json:"tempo,omitzero"`    // beats a minute, in tenths, at its first notes; the beat is that of bar 1; 0: not known
	ToTempo float64 `json:"to_tempo,omitzero"` // the one furthest from it that it came to; 0: it kept to it
	Key     string  `json:"key,omitzero"`      // that it sounded in, where every chorus moves
	Trade   int     `json:"trade,omitzero"`    // so many bars were the player's and as many the others'; 0: all were
}

// Like reports whether two choruses can be held against each other.
func (w Was) Like(o Was) bool {
	return w.sameBut(o) && near(w.Tempo, o.Tempo) && near(w.end(), o.end())
}

// AsHard reports whether what is right in this chorus would be right in the other: it is
// like it, or faster.
func (w Was) AsHard(o Was) bool {
	return w.sameBut(o) && (w.Tempo >= o.Tempo || near(w.Tempo, o.Tempo)) && (w.end() >= o.end() || near(w.end(), o.end()))
}

// InAnyKey is the same chorus, whatever key it sounded in.
func (w Was) InAnyKey() Was {
	w.Key = ""
	return w
}

// sameBut reports whether all but the tempo is the same.
func (w Was) sameBut(o Was) bool { return w.Key == o.Key && w.Trade == o.Trade }

func (w Was) end() float64 {
	if w.ToTempo == 0 {
		return w.Tempo
	}
	return w.ToTempo
}

// Fastest is the faster of its tempi.
func (w Was) Fastest() float64 { return max(w.Tempo, w.ToTempo) }

// Slowest is the slower of its tempi.
func (w Was) Slowest() float64 { return min(w.Tempo, w.end()) }

// step is how many percent faster a tempo is at most that is alike.
const step = 5

func near(a, b float64) bool { return percent*max(a, b) <= (percent+step)*min(a, b) }

const percent = 100

// Alike is what came of choruses that are alike.
type Alike struct {
	Was
	Choruses int   `json:"choruses"`
	Notes    int64 `json:"notes"`
	Slips    int64 `json:"slips"`
}

// Alike gathers the choruses that are alike, each with the first that it is like, in order;
// what was played without choruses is one, at the tempo at the end.
func (s *Summary) Alike() (all []Alike) {
	if len(s.ChorusesDetail) == 0 && s.Notes > 0 {
		return []Alike{{Was: Was{Tempo: s.Tempo}, Notes: s.Notes, Slips: s.Slips()}}
	}
	for i := range s.ChorusesDetail {
		c := &s.ChorusesDetail[i]
		if c.Notes == 0 {
			continue
		}
		k := slices.IndexFunc(all, func(k Alike) bool { return k.Like(c.Was) })
		if k < 0 {
			k = len(all)
			all = append(all, Alike{Was: c.Was})
		}
		all[k].Choruses++
		all[k].Notes += c.Notes
		all[k].Slips += c.Slips()
	}
	return all
}

// pacing follows how fast the chorus is played: by stretches of a bar at least, since a
// clock that is followed sways from beat to beat.
type pacing struct {
	row    int   // of the choruses; what follows is of it
	from   int64 // the tick at which the stretch begins
	micros int64 // and its time, which the tempo map may have forgotten at the end of it
	first  bool  // it is the first of its chorus
}

// pace follows the tempo to a note that is heard in a chorus.
func (a *Analyser) pace(row int, bar int64) {
	if row < 0 || !a.counted {
		return
	}
	c, p := &a.counts.choruses[row], &a.counts.pacing
	if p.row != row || c.Tempo == 0 {
		*p = pacing{row: row, from: a.now, first: c.Tempo == 0}
		if top := int64(c.Chorus-1) * a.setup.Timeline.Length; a.song.Running() {
			p.from = max(p.from, a.song.TickOf(top)) // a note may be early for it
		}
		p.micros = a.tempo.Micros(p.from)
		if p.first {
			c.Tempo, c.Trade = a.beatsPerMinute(), a.setup.Trade
			c.Anew = c.Chorus > 1 && c.Chorus == a.song.Top()
		}
		return
	}
	if a.now < p.from+bar {
		return
	}
	now := a.tempo.Micros(a.now)
	tempo := a.perMinute(a.now-p.from, now-p.micros)
	switch {
	case p.first:
		c.Tempo = tempo
	case !near(tempo, c.Tempo) && apart(tempo, c.Tempo) > apart(c.end(), c.Tempo):
		c.ToTempo = tempo
	}
	p.from, p.micros, p.first = a.now, now, false
}

// apart is how far two tempi are apart, 1 where they are equal.
func apart(a, b float64) float64 { return max(a, b) / min(a, b) }

// beatsPerMinute is the tempo now, in tenths.
func (a *Analyser) beatsPerMinute() float64 {
	if !a.counted {
		return 0
	}
	return a.perMinute(timebase.Quarter, a.tempo.Quarter(a.now))
}

// perMinute is how many beats of bar 1 a minute has where ticks take so long, in tenths.
func (a *Analyser) perMinute(ticks, micros int64) float64 {
	const minute, tenths = 60 * timebase.Micro, 10
	beat := int64(timebase.Quarter)
	if t := a.setup.Timeline; t != nil {
		beat = t.Bars[0].Meter.Beat()
	}
	return math.Round(tenths*minute*float64(ticks)/(float64(micros)*float64(beat))) / tenths
}
