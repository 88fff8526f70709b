package analyse

import "shedlight/analyse/figure"

// Figures returns the latest 64 figures of the line, for tests that look at
// each of them.
func (a *Analyser) Figures() []figure.Figure { return a.melody.phrases.Figures.Latest() }
