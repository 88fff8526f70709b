package song

// Gaps says in which bars a player has to keep time alone: of each Of, counted from the
// top that was last counted off to, the last Silent have no click.
type Gaps struct{ Silent, Of int } // the zero Gaps: none

// At reports whether a bar is one of them, counted as Song.BarsIn does.
func (g Gaps) At(barsIn int) bool {
	return g.Of > 0 && barsIn >= 0 && barsIn%g.Of >= g.Of-g.Silent
}
