package analyse

import "shedlight/analyse/song"

// A player turns from one scale over a whole key to a scale for each chord, and back,
// while they play (NextView). What is heard from there on is heard and counted in the
// view that holds; what was heard before stays as it was said, its fate too, though
// that settles later. Slips are the same in both views.
//
// Two turns with no note between them are none.

// ViewFrom is a view that notes were heard in, and where they begin.
type ViewFrom struct {
	View   song.View `json:"view"`
	From   int64     `json:"from"`   // number of its first note
	Chorus int       `json:"chorus"` // where it was asked for; 0 for the first view, and outside a chorus
	Bar    int       `json:"bar"`
}

// nextView turns to the other view. Without changes there is one view.
func (a *Analyser) nextView() {
	if a.setup.OneView || a.setup.Timeline == nil {
		return
	}
	for made := a.song.NextView(); len(made) > 0; made = made[1:] {
		a.melody.phrases.Figures.Extend(&made[0])
	}
	last := len(a.views) - 1
	switch {
	case a.views[last].From < a.n:
		p := a.song.Told(a.song.Find(a.now, a.meter))
		a.views = append(a.views, ViewFrom{View: a.song.View(), From: a.n, Chorus: p.Chorus, Bar: p.Bar})
	case last > 0:
		a.views = a.views[:last]
	default:
		a.views[0].View = a.song.View()
	}
}

// viewsHeard are the views in which notes were heard, and the one that holds where
// none was.
func (a *Analyser) viewsHeard() []ViewFrom {
	out := append([]ViewFrom{}, a.views...)
	if last := len(out) - 1; last > 0 && out[last].From == a.n {
		out = out[:last]
	}
	return out
}

// View returns the view that holds now. ok is false without changes, where there is
// one.
func (a *Analyser) View() (view song.View, ok bool) {
	return a.song.View(), a.setup.Timeline != nil
}
