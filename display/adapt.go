package display

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Display makes its text from values. What follows gets them back where the
// analyser hands over a name in their place, and goes where it hands over the value.

// scaleOf returns the scale of a whole name, like "Bb major sixth-diminished".
func scaleOf(name string) (sc harmony.Scale, ok bool) {
	root, _, ok := tone.CutName(name)
	for kind := harmony.MajorSixth; ok && kind <= harmony.DominantSeventhFlatFive; kind++ {
		if sc := harmony.NewScale(kind, root); sc.String() == name {
			return sc, true
		}
	}
	return harmony.Scale{}, false
}

// halfOf returns where the edge of a phrase lies; ok is false where there is no
// scale.
func halfOf(e *phrase.Edge) (p song.Place, ok bool) {
	for _, p := range []song.Place{song.Home, song.Dim, song.Outside} {
		if e.Half == p.String() {
			return p, true
		}
	}
	return p, false
}

// kindOf returns what a figure of a phrase is; NoFigure is a struck chord.
func kindOf(g *figure.OfPhrase) figure.Kind {
	for _, kind := range []figure.Kind{figure.Run, figure.Arpeggio, figure.Leap} {
		if g.Kind == kind.String() {
			return kind
		}
	}
	return figure.None
}

// metFate returns how many notes of a session met a fate.
func metFate(s *analyse.Summary, f fate.Fate) int64 { return s.Fate[f.String()] }

// overEachChord reports whether a session was judged in the view of each chord.
func overEachChord(s *analyse.Summary) bool { return s.View == song.ChordView.String() }
