package analyse

import "shedlight/analyse/song"

// A player who trades plays some bars and leaves as many to others, from the top that was
// last counted off to, and begins (common practice). What is played in the bars of the
// others is passed over, as what a channel plays that is not heard, but for a beat at
// either end: a phrase may begin with a pick-up and land on the next one.

// Turns says whose bars are played, and how many are left of them, this one too. ok is
// false where nobody trades, before bar 1 and while the song does not run.
func (a *Analyser) Turns() (yours bool, left int, ok bool) {
	p := a.song.Find(a.now, a.meter)
	return a.turns(&p)
}

func (a *Analyser) turns(p *song.Position) (yours bool, left int, ok bool) {
	trade := a.setup.Trade
	if trade == 0 || !a.song.Running() {
		return true, 0, false
	}
	in := a.song.BarsIn(p)
	if in < 0 {
		return true, 0, false
	}
	return in/trade%2 == 0, trade - in%trade, true
}

// isYours reports whether what is struck now is the player's turn.
func (a *Analyser) isYours() bool {
	if a.setup.Trade == 0 {
		return true
	}
	p := a.song.Told(a.song.Find(a.now, a.meter))
	yours, left, _ := a.turns(&p)
	if yours {
		return true
	}
	first, last := p.Beat < 2, p.Beat >= float64(p.BarTicks/p.BeatTicks)
	return left == a.setup.Trade && first || left == 1 && last
}
