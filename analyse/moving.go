package analyse

// Keys says in which key the chorus is played, in which the next one, and in how many bars
// that begins, this one too: "F", "F minor". Before bar 1 the chorus is the one that is counted
// off to. Both are empty where the key does not change with the choruses.
func (a *Analyser) Keys() (now, next string, left int) {
	if len(a.setup.Keys) == 0 || !a.song.Known() {
		return "", "", 0
	}
	p := a.song.Find(a.now, a.meter)
	now, next = a.song.Keys(&p)
	return now, next, len(a.setup.Timeline.Bars) - max(0, p.BarRow)
}
