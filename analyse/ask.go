package analyse

import "shedlight/analyse/fit"

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

// Verdicts returns how the spans fit that were closed by the last call of Add,
// AdvanceTo or Finish, in that order; the slice is valid until the next of them.
func (a *Analyser) Verdicts() []fit.Verdict { return a.melody.fit.news }

// FitNow returns where the last bars would go better, for a rest while playing: ok
// is false where there is nothing to say.
func (a *Analyser) FitNow() (v fit.Verdict, ok bool) {
	at, known := a.song.SongTick(a.now)
	if !known || !a.song.Running() {
		return v, false
	}
	return a.melody.fit.Now(at)
}
