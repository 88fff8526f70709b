package analyse

import "slices"

// A player forgets a chorus with a foot, while the song runs on or is counted off
// again, and says no number. What is meant:
//
//   - in a chorus, that chorus;
//   - in its first bar, where the song ran on into it, the chorus before: the press
//     comes just after the end of the one that went wrong;
//   - in its first bar after a count-in, that chorus: it was a false start;
//   - while it is counted in, or before anything is, what was meant when the song
//     was left.
//
// The same chorus is forgotten once: a foot that trembles costs no other.

// forgetting is which choruses are left out, and what is needed to know which.
type forgetting struct {
	choruses []int // by their numbers, in the order in which they were forgotten
	said     int   // the chorus that the latest Forget meant; 0 for none
	anew     bool  // it was not forgotten before
	left     int   // what was meant when the song was last left
}

// forget leaves out the chorus that the player means.
func (a *Analyser) forget() {
	f := &a.forgetting
	f.said = a.meant()
	if f.anew = f.said > 0 && !slices.Contains(f.choruses, f.said); !f.anew {
		return
	}
	f.choruses = append(f.choruses, f.said)
	a.counts.Forget(f.said)
	a.melody.forget(f.said)
}

// meant is the chorus that a player means who forgets one now; 0 for none.
func (a *Analyser) meant() int {
	p := a.song.Find(a.now, a.meter)
	switch {
	case p.BarRow < 0, !a.song.Begun():
		return a.forgetting.left
	case p.BarRow == 0 && p.Chorus > a.song.Top():
		return p.Chorus - 1
	}
	return p.Chorus
}

// leave notes what was meant before the song goes on from another song tick.
func (a *Analyser) leave() {
	if a.setup.Timeline != nil {
		a.forgetting.left = a.meant()
	}
}

// Forgotten says which chorus the latest Forget meant, 0 for none, and whether it
// was not forgotten before.
func (a *Analyser) Forgotten() (chorus int, anew bool) { return a.forgetting.said, a.forgetting.anew }

// MarkAt is a place that the player marked. Chorus and bar are 0 without a chart and
// outside a chorus.
type MarkAt struct {
	Tick   int64   `json:"tick"`
	MS     int64   `json:"ms"` // from the start of the take
	Chorus int     `json:"chorus"`
	Bar    int     `json:"bar"`
	Beat   float64 `json:"beat"`   // from 1
	Phrase int64   `json:"phrase"` // the number of the one being played there, or of the last before; 0 for none
}

// mark keeps the place.
func (a *Analyser) mark() {
	p := a.song.Told(a.song.Find(a.now, a.meter))
	at := MarkAt{Tick: a.now, MS: a.tempo.Micros(a.now) / 1000, Chorus: p.Chorus, Bar: p.Bar, Beat: p.Beat}
	if at.Phrase = a.phraseNow(); at.Phrase == 0 {
		at.Phrase = a.PhrasesOver()
	}
	a.marks = append(a.marks, at)
}
