package analyse

// Two notes of the line that are struck together and sound together, as in
// octaves, thirds or sixths, are one moment of it with two voices. Each voice goes
// its own way: for the rules the note of a moment that lies nearer is the neighbour.
// Figures, phrases and the beat follow the higher one. A step apart they are no two
// voices but a note crushed into another.

// markTogether finds the two among the keys that were struck together, whose roles
// are known. A legato instrument has one voice.
func (a *Analyser) markTogether() {
	if a.setup.Legato || len(a.struck.members) < 2 {
		return
	}
	var two [2]*arrival
	n := 0
	for _, m := range a.struck.members {
		w := a.arrivals.byNumber(m.n)
		if w.role != Line {
			continue
		}
		if n == len(two) || !a.sounds.has(m.channel, m.key) {
			return
		}
		two[n] = w
		n++
	}
	if n < len(two) || step(two[0].key, two[1].key) {
		return
	}
	higher, lower := two[0], two[1]
	if higher.key < lower.key {
		higher, lower = lower, higher
	}
	if lower.key < int(a.setup.Split) && higher.key-lower.key > octave {
		return // two hands
	}
	higher.partner, lower.partner = lower.n, higher.n
	lower.under = true
}
