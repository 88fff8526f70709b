package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// hear judges a note-on: where it lies, what could excuse it, where it is counted.
func (a *Analyser) hear(e Event) {
	a.direction.to(e.Key, a.setup.inLeft(e.Channel, e.Key))
	w := a.locate(e)
	if w.before = a.lastNote; w.Left && a.setup.LeftHand == 0 {
		w.elsewhere = a.handElsewhere(e.Key)
	}
	told := a.song.Told(w.Position)
	f := a.finding(e, &w, &told)
	a.struckAgain(e.Channel, e.Key)
	a.keys.NoteOn(e.Channel, e.Key)
	a.lastOn[e.Channel][e.Key] = w.N
	if e.Velocity < a.setup.Gate {
		a.takeGhost(f)
		return
	}
	a.countHeard(&f, &w, &told)
	a.page.add(&f, a.setup.inLeft(e.Channel, e.Key))
	a.out = append(a.out, f)
	a.n++
	a.excuse(e.Channel, &w)
	a.lastNote, a.lastKey = w.N, e.Key
	a.arrivals.another(a.now, w.Left)
	a.docket.Another(a.now, w.Left)
	if w.Place == song.Outside && f.ChordTone {
		w.settled = true
		a.settle(w.N, &w.Rows, fate.Verdict{Fate: fate.Written, By: -1})
	}
	w.Position, w.BarsIn = told, a.song.BarsIn(&told)
	a.arrivals.push(w)
	a.join(e, w.Left)
	if a.setup.Legato {
		a.admit()
	}
}

// locate finds where a note-on lies: in the song, in the scale, in its bar.
func (a *Analyser) locate(e Event) arrival {
	p := a.song.Find(a.now, a.meter)
	c, slot := a.song.Judged(&p)
	class := tone.Class(e.Key % 12)
	w := arrival{off: timebase.Never, nextAny: timebase.Never, partner: -1, target: (c.Either | c.ChordTone).Has(class)}
	w.Note = song.Note{
		N: a.n, Tick: a.now, Key: int(e.Key), Place: c.Place[class], Index: -1, Slot: slot, Context: c, Named: a.direction.names(c, e.Key),
		Next: a.song.Following(&p), Position: p, QuarterUS: a.tempo.Quarter(a.now), Up: timebase.Never,
		Pulse: a.song.PulseAt(a.now, &p, a.counted, a.meter, a.bar),
	}
	if i, ok := c.Scale.Index(class); ok {
		w.Index = i
	}
	w.Song, w.InSong = a.song.SongTick(a.now)
	w.InSong = w.InSong && a.song.Running() || a.setup.Timeline == nil
	w.Claim = fate.Claim{
		Class: class, Beat: p.BeatTicks, Inside: w.Place != song.Outside, Either: c.Either.Has(class),
		Blue: c.Blue.Has(class), Left: a.setup.inLeft(e.Channel, e.Key),
	}
	if c.Colours.Has(class) {
		w.Colour = harmony.DegreeOver(c.Chord, class)
	}
	if c.Against.Has(class) && w.Pulse.Beat() == song.OnTheBeat {
		w.Fights = harmony.DegreeOver(c.Chord, class)
	}
	w.Change = p.Pushes(w.Next, class, a.now)
	if w.Change != 0 && !c.ChordTone.Has(class) && w.Next.ChordTone.Has(class) {
		w.Named = a.direction.names(w.Next, e.Key) // it takes the spelling of the chord that it is ahead of
	}
	if w.Charted = w.Named[class]; c.Moved != 0 {
		w.Charted = a.direction.names(c.Written(), e.Key)[c.Back(class)]
	}
	return w
}

// finding is what is said of a note-on at once; p is where it lies as told to
// players.
func (a *Analyser) finding(e Event, w *arrival, p *song.Position) Finding {
	c, class := w.Context, w.Note.Class()
	f := Finding{
		Stage: Heard, N: w.N, Tick: a.now, MS: a.tempo.Micros(a.now) / timebase.Milli,
		Channel: e.Channel, Key: e.Key, Velocity: e.Velocity,
		Chorus: p.Chorus, Bar: p.Bar, Beat: p.Beat,
		Name: w.Named[class], Place: w.Place, Degree: c.Degree[class],
		Chord: c.Symbol, ChordTone: c.ChordTone.Has(class),
		Centre: c.Centre, Scale: c.Scale, mayFight: w.Fights != "", charted: chartedNote{chord: c.Written().Symbol, name: w.Charted},
	}
	if f.Place == song.Outside {
		f.Fate = fate.Pending
	}
	return f
}

// excuse works out what could excuse a note, and puts it into its stay.
func (a *Analyser) excuse(channel uint8, w *arrival) {
	w.Channel, w.Steps = channel, a.bends.Steps(channel)
	if a.setup.Timeline == nil {
		return
	}
	w.Stay = a.docket.Enter(&a.song, &w.Position, w.Slot, w.Context, a.now, w.Left)
	w.Late = a.song.LateIn(&w.Position, w.Slot, w.Note.Class())
}

// takeGhost takes a note below the gate, which is out before anything else is
// looked for: no part of a chord, no written tone, nothing that follows another,
// in no count but that of its own kind.
func (a *Analyser) takeGhost(f Finding) {
	a.n++
	a.counts.ghost()
	a.out = append(a.out, f, Finding{Stage: Sorted, N: f.N, Role: Line})
	if f.Place == song.Outside {
		a.out = append(a.out, Finding{Stage: Settled, N: f.N, Fate: fate.Glitch, By: -1})
	}
}
