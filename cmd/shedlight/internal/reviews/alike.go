package reviews

import (
	"slices"

	"shedlight/analyse"
	"shedlight/display"
)

// Earlier sums up the takes of the same tune before this one. What is held against them
// is like with like: see analyse.Was.
type Earlier struct {
	Takes      int     `json:"takes"`
	Notes      int64   `json:"notes"`
	Unresolved int64   `json:"unresolved"`
	Like       []Like  `json:"like"`
	Apart      []Apart `json:"apart"`

	alike int // takes that have choruses like some of this one
}

// Like is what the takes before and this one have of choruses that are alike.
type Like struct {
	analyse.Was
	Takes      int   `json:"takes"`      // of those before that have such choruses
	Notes      int64 `json:"notes"`      // in those
	Unresolved int64 `json:"unresolved"` // of them
	NotesNow   int64 `json:"notes_now"`
	Now        int64 `json:"unresolved_now"`

	then []analyse.Was // what those before were
}

// Apart is a take before that has no choruses like any of this one.
type Apart struct {
	Was []analyse.Was `json:"was"` // what it has
}

// against holds what was played now against takes before.
func against(now []analyse.Alike, before []notes) Earlier {
	e := Earlier{Like: []Like{}, Apart: []Apart{}}
	rows := make([]Like, len(now))
	for i := range now {
		rows[i] = Like{Was: now[i].Was, NotesNow: now[i].Notes, Now: now[i].Slips}
	}
	for i := range before {
		b := &before[i]
		e.Takes++
		e.Notes += b.Notes
		e.Unresolved += b.Unresolved
		met := make([]bool, len(rows))
		was := []analyse.Was{}
		for _, then := range b.Played {
			was = append(was, then.Was)
			if k := slices.IndexFunc(rows, func(l Like) bool { return l.Like(then.Was) }); k >= 0 {
				rows[k].Notes += then.Notes
				rows[k].Unresolved += then.Slips
				rows[k].then = append(rows[k].then, then.Was)
				met[k] = true
			}
		}
		for k := range met {
			if met[k] {
				rows[k].Takes++
			}
		}
		if slices.Contains(met, true) {
			e.alike++
		} else {
			e.Apart = append(e.Apart, Apart{Was: was})
		}
	}
	for _, l := range rows {
		if l.Takes > 0 {
			e.Like = append(e.Like, l)
		}
	}
	return e
}

// shown is what a page says of it. Each kind of chorus weighs on both sides as much as
// the side with fewer notes has of it: else a take with more of what is hard would be
// told worse.
func (e *Earlier) shown(now []analyse.Alike) display.Earlier {
	const fine = 1000 // parts of a slip
	out := display.Earlier{Part: len(e.Like) < len(now)}
	both := int64(0)
	for i := range e.Like {
		l := &e.Like[i]
		weight := fine * min(l.Notes, l.NotesNow)
		if weight == 0 {
			continue
		}
		both += weight
		out.Slips += weight * l.Unresolved / l.Notes
		out.SlipsNow += weight * l.Now / l.NotesNow
		out.At = append(out.At, l.then...)
	}
	if out.Notes = both; both >= fine*leastNotes {
		out.Takes = e.alike
	}
	for i := range e.Apart {
		out.Apart++
		out.ApartAt = append(out.ApartAt, e.Apart[i].Was...)
	}
	for i := range now {
		out.Now = append(out.Now, now[i].Was)
	}
	return out
}
