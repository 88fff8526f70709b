package centre

// SearchCosts returns what the path costs that the search finds over a tune, and
// what the textbook search finds.
func SearchCosts(t Tune) (found, plain int64) {
	r := readLoop(t.Chords, t.Length)
	g := r.ringFrom(r.canonicalStart(), ending{})
	return int64(g.total(g.solve())), int64(g.plain())
}
