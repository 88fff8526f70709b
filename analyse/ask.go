package analyse

// Over is what of the playing is over: it changes when there is something new to
// say of a phrase or of a chorus. Its fields are those of a Snapshot.
type Over struct {
	Phrase   int64 // the number of the last phrase that is over; 0 before there is one
	InPhrase bool  // another has begun since
	Choruses [2]ChorusCount
}

// Over says what is over, for whoever wants to know at each event whether to ask
// for a Snapshot. It allocates nothing and costs a hundredth of one.
func (a *Analyser) Over() Over {
	o := Over{Phrase: a.PhrasesOver()}
	o.InPhrase, _ = a.melody.phrases.Playing()
	if p := a.song.Find(a.now, a.meter); p.BarRow == 0 {
		o.Choruses = a.counts.before(p.Chorus)
	}
	return o
}
