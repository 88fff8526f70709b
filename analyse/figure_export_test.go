package analyse

// Figures returns the latest 64 figures of the line, for tests that look at
// each of them.
func (a *Analyser) Figures() []Figure {
	var out []Figure
	f := &a.figures
	for i := max(0, f.n-recentFigures); i < f.n; i++ {
		out = append(out, f.recent[i%recentFigures].report())
	}
	return out
}
