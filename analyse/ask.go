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
	o := Over{Phrase: a.PhrasesOver(), InPhrase: a.phrases.playing}
	if p := a.song.find(a.now, a.meter); p.index == 0 {
		for i := range o.Choruses {
			if row, ok := a.chorusRow[p.chorus-1-i]; ok {
				o.Choruses[i] = a.choruses[row]
			}
		}
	}
	return o
}
