package analyse

import (
	"errors"
	"fmt"

	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

const (
	// chordWindow is how far apart the keys of a struck chord may come, in
	// microseconds: USB and DIN alone spread six notes by 4 to 6 ms, a hand
	// that rolls a little by some tens.
	chordWindow = 50_000
	// settleBeats is how many beats after its onset a fate is settled at the
	// latest.
	settleBeats = 2
	// recentNotes is how many notes are kept for the page and the last bars.
	recentNotes = 256
)

// Analyser judges one session. It is not safe for use by several goroutines.
type Analyser struct {
	setup   Setup
	tempo   timebase.Tempo
	meter   timebase.Meter
	metered int64 // tick of the last meter
	song    song
	sounds  sounding
	bends   [channels]bender

	now  int64 // the present: the tick of the last event
	seen int64 // every event before this tick is known
	n    int64 // note-ons so far
	out  []Finding
	last [recentNotes]PageNote // note n is at n modulo recentNotes

	lastOn   [channels][keys]int64 // the note a key was last struck for
	struck   group
	chord    []lineNote // memory for the chord being looked at
	voices   []lineNote // and for its notes but for a melody on top
	arrivals arrivals
	line     line // the melody
	bass     line // what the left hand plays under it, a note at a time
	pedal    pedalPoint
	open     []openFate // in the order of their notes

	figures   figures
	alignment alignment
	hanging   hangingNote
	fit       fitWindow
	ear       centreEar

	stretches []stretch
	stretchID int64

	phrases          phrases
	unresolvedBefore int64 // unresolved notes when the latest phrase began
	feel             feel
	habits           habits

	subs      []SubUse
	counts    Counts
	chords    int64
	centres   []CentreCount
	choruses  []ChorusCount
	chorusRow map[int]int // chorus number to its row in choruses
	furthest  int64       // song tick after the last one with a note, over all choruses
	tally     tally
}

// group is the keys struck within chordWindow of the first, while it is open.
type group struct {
	open    bool
	first   int64 // tick of the first onset
	due     int64 // the last tick that is still within the window
	members []struckNote
}

type struckNote struct {
	n            int64
	channel, key uint8
}

// New returns an analyser for one session. The error says what in the setup
// cannot be used.
func New(s Setup) (*Analyser, error) {
	if t := s.Timeline; t != nil {
		if t.Length <= 0 || len(t.Slots) == 0 || len(t.Bars) == 0 {
			return nil, errors.New("the chart has no bars")
		}
		if last := t.Slots[len(t.Slots)-1].End; t.Slots[0].Start != 0 || last != t.Length {
			return nil, fmt.Errorf("the chart's chords end at tick %d, its bars at %d", last, t.Length)
		}
	}
	if err := checkVoicing(s.Voicing); err != nil {
		return nil, err
	}
	a := &Analyser{setup: s, meter: timebase.Common, chorusRow: map[int]int{}, tally: newTally(s.Timeline), phrases: newPhrases(s.Timeline)}
	for ch := range a.bends {
		a.bends[ch] = newBender()
	}
	contexts, centres := contextsOf(&a.setup)
	a.song = song{setup: &a.setup, contexts: contexts}
	a.figures, a.ear.heard, a.ear.rival = newFigures(&a.setup, contexts), noCentre, noCentre
	for _, c := range centres {
		a.centres = append(a.centres, CentreCount{Centre: c})
	}
	return a, nil
}

// Add takes one event: it advances to the event's tick, then judges it, and
// returns what is new, in the order in which it became known. The slice is
// valid until the next call. A tick before the last one counts as the last
// one.
func (a *Analyser) Add(e Event) []Finding {
	a.out = a.out[:0]
	a.advance(e.Tick)
	switch e.Kind {
	case NoteOn:
		if e.Velocity == 0 { // MIDI 1.0: the same as a note-off
			a.keyUp(e.Channel, e.Key)
		} else {
			a.hear(e)
		}
	case NoteOff:
		a.keyUp(e.Channel, e.Key)
	case Control:
		a.control(e.Channel, e.Key, e.Velocity)
		a.bends[e.Channel].control(e.Key, e.Velocity)
	case Release:
		for ch := range uint8(channels) {
			a.keysUp(ch)
			a.silence(ch)
		}
		a.sounds = sounding{}
	case PitchBend:
		a.bend(e.Channel, e.Key, e.Velocity)
	case Tempo:
		a.setTempo(e.Value)
	case Meter:
		if m, ok := timebase.Unpack(e.Value); ok {
			a.meter, a.metered = m, a.now
		}
	case Origin:
		a.endStretches(true)
		a.song.known, a.song.running = true, e.Key == 1
		a.song.tick, a.song.at = a.now, e.Value
	}
	return a.out
}

// AdvanceTo settles what was due strictly before tick and returns it; the
// slice is valid until the next call. How often it is called changes no
// finding and no order.
func (a *Analyser) AdvanceTo(tick int64) []Finding {
	a.out = a.out[:0]
	a.advance(tick)
	return a.out
}

// Finish advances to tick, the end of the session, settles everything that is
// still open and returns it. After it the analyser is only asked, not told.
func (a *Analyser) Finish(tick int64) []Finding {
	a.out = a.out[:0]
	a.advance(tick)
	a.settleUntil(never)
	a.endStretches(true)
	a.endLine()
	a.alignment.close()
	a.hanging.finish(&a.phrases)
	return a.out
}

// advance settles what was due strictly before tick and moves the present
// there.
func (a *Analyser) advance(tick int64) {
	if tick <= a.now {
		return
	}
	a.settleUntil(tick)
	a.now = tick
}

// settleUntil goes from one tick at which something is due to the next, so that
// what is settled, and in which order, does not hang on how far it is called to
// go.
func (a *Analyser) settleUntil(tick int64) {
	for {
		due := a.nextDue()
		if due >= tick {
			break
		}
		a.seen = due + 1
		if a.struck.open && a.struck.due < a.seen {
			a.sortStruck()
		}
		a.admit()
		a.judge()
		if a.phrases.rested(a.known()) {
			a.closePhrase()
		}
		a.endStretches(false)
	}
	a.seen = max(a.seen, tick)
}

// nextDue returns the first tick from seen on at which something is due. What
// was due before waits for a note, not for time.
func (a *Analyser) nextDue() int64 {
	due := int64(never)
	sooner := func(tick int64) {
		if tick >= a.seen && tick < due {
			due = tick
		}
	}
	if a.struck.open {
		sooner(a.struck.due)
	}
	if a.setup.Legato && a.arrivals.len() > 0 {
		sooner(a.glitchDue(a.arrivals.first().tick))
	}
	for i := range a.open {
		sooner(a.open[i].due)
	}
	for i := range a.stretches {
		sooner(a.stretches[i].due)
	}
	sooner(a.phrases.due())
	return due
}

// setTempo changes the tempo from now on, and with it where a window given in
// milliseconds ends. A value out of range was refused at the door and is
// passed over here.
func (a *Analyser) setTempo(quarter int64) {
	if a.tempo.Set(a.now, quarter) == nil && a.struck.open {
		a.struck.due = a.chordDue(a.struck.first)
	}
}

func (a *Analyser) chordDue(first int64) int64 {
	return a.tempo.Tick(a.tempo.Micros(first) + chordWindow)
}

// glitchDue is the last tick at which a next note makes the one at tick a
// glitch.
func (a *Analyser) glitchDue(tick int64) int64 {
	return a.tempo.Tick(a.tempo.Micros(tick) + glitchMicros - 1)
}

// hear judges a note-on.
func (a *Analyser) hear(e Event) {
	p := a.song.find(a.now, a.meter)
	slot := a.song.judged(&p)
	c := &a.song.contexts[slot]
	class := tone.Class(e.Key % 12)
	next := a.song.following(&p)
	change, named := p.pushes(next, class, a.now), c
	if change != 0 && !c.chordTone.Has(class) && next.chordTone.Has(class) {
		named = next // it takes the spelling of the chord that it is ahead of
	}
	f := Finding{
		Stage: Heard, N: a.n, Tick: a.now, MS: a.tempo.Micros(a.now) / 1000,
		Channel: e.Channel, Key: e.Key, Velocity: e.Velocity,
		Chorus: p.chorus, Bar: p.bar, Beat: p.beat,
		Name: named.name[class], Place: c.place[class], Degree: c.degree[class],
		Chord: c.chord, ChordTone: c.chordTone.Has(class),
		Centre: c.centre, Scale: c.scaleName,
	}
	if f.Place == Outside {
		f.Fate = Pending
	}
	a.struckAgain(e.Channel, e.Key)
	a.sounds.noteOn(e.Channel, e.Key)
	a.lastOn[e.Channel][e.Key] = a.n
	if e.Velocity < a.setup.Gate {
		a.takeGhost(f)
		return
	}
	row := a.count(&f, c.tally)
	told := p
	a.song.tell(&told)
	a.tally.heard(told.index, slot, f.Place)
	f.row, f.bar = a.tally.row(told.index, slot), told.index
	f.heard = Spot{Chorus: told.chorus, Bar: told.bar, Beat: told.beat}
	if at, ok := a.song.songTick(a.now); ok {
		a.furthest = max(a.furthest, at+1)
	}
	a.last[a.n%recentNotes] = PageNote{
		N: a.n, Tick: a.now, Key: e.Key, Name: f.Name, Place: f.Place, ChordTone: f.ChordTone, Fate: f.Fate,
	}
	a.out = append(a.out, f)
	a.n++

	w := arrival{
		lineNote: lineNote{n: f.N, tick: a.now, off: stillDown, key: int(e.Key), target: (c.set | c.chordTone).Has(class)},
		up:       stillDown, nextAny: stillDown, partner: -1, outside: f.Place == Outside,
	}
	w.claim = claim{
		class: class, beat: p.beatTicks, blue: c.blue.Has(class), channel: e.Channel, steps: a.bends[e.Channel].steps(),
		centre: c.tally, chorus: row, bar: told.index, slot: slot,
	}
	w.played = played{n: f.N, tick: a.now, key: int(e.Key), place: f.Place, index: -1, slot: slot, context: c, named: named, position: told}
	if i, ok := c.scale.Index(class); ok {
		w.played.index = i
	}
	w.played.pulse, w.played.next = a.pulseAt(&p), next
	if a.setup.Timeline != nil {
		w.claim.stretch = a.join(&p, slot)
		w.claim.change, w.claim.late = change, a.song.lateIn(&p, slot, class)
	}
	a.follow()
	if w.outside && f.ChordTone {
		w.settled = true
		a.settle(f.N, &w.claim, Written, -1, "")
	}
	a.arrivals.push(w)
	if !a.struck.open {
		a.struck = group{open: true, first: a.now, due: a.chordDue(a.now), members: a.struck.members[:0]}
	}
	a.struck.members = append(a.struck.members, struckNote{n: f.N, channel: e.Channel, key: e.Key})
	if a.setup.Legato {
		a.admit()
	}
}

// takeGhost takes a note below the gate, which is out before anything else is
// looked for: no part of a chord, no written tone, nothing that follows another,
// in no count but that of its own kind.
func (a *Analyser) takeGhost(f Finding) {
	a.n++
	a.counts.Ghosts++
	a.out = append(a.out, f, Finding{Stage: Sorted, N: f.N, Role: Line})
	if f.Place == Outside {
		a.out = append(a.out, Finding{Stage: Settled, N: f.N, Fate: Glitch, By: -1})
	}
}

// follow tells the notes before this one that another comes.
func (a *Analyser) follow() {
	for i := len(a.arrivals.items) - 1; i >= a.arrivals.head; i-- {
		w := &a.arrivals.items[i]
		if w.nextAny != stillDown {
			break
		}
		if w.tick < a.now {
			w.nextAny = a.now
		}
	}
	for i := range a.open {
		if o := &a.open[i]; o.nextAny == stillDown && o.tick < a.now {
			o.nextAny = a.now
			o.askAgain(a.now)
		}
	}
}

// rowOf returns the row that counts a chorus, mostly the last one.
func (a *Analyser) rowOf(chorus int) (row int) {
	if row = len(a.choruses) - 1; row >= 0 && a.choruses[row].Chorus == chorus {
		return row
	}
	row, ok := a.chorusRow[chorus]
	if !ok {
		row = len(a.choruses)
		a.chorusRow[chorus] = row
		a.choruses = append(a.choruses, ChorusCount{Chorus: chorus})
	}
	return row
}

// settle tells what became of a note and counts it.
func (a *Analyser) settle(n int64, c *claim, fate Fate, by int64, scale string) {
	a.counts.Fates[fate]++
	if fate == Unresolved {
		a.centres[c.centre].Unresolved++
		a.tally.unresolved(c.bar, c.slot)
		if c.chorus >= 0 {
			a.choruses[c.chorus].Unresolved++
		}
	}
	if note := a.recent(n); note != nil {
		note.Fate = fate
		if a.phrases.playing {
			note.SettledIn = a.phrases.number
		}
	}
	a.out = append(a.out, Finding{Stage: Settled, N: n, Fate: fate, By: by, HeardScale: scale})
}

// settleOpen tells what became of a note that was open, and its phrase of it.
func (a *Analyser) settleOpen(o *openFate, fate Fate, by int64, scale string) {
	a.settle(o.n, &o.claim, fate, by, scale)
	if !o.struck && !o.bass && !o.under {
		a.phrases.settled(o.n, fate)
	}
}

// count adds a note to the running counts and returns its chorus's row, -1
// outside a chorus.
func (a *Analyser) count(f *Finding, centre int) (row int) {
	a.counts.Notes++
	outside := int64(0)
	switch f.Place {
	case Home:
		a.counts.Home++
	case Dim:
		a.counts.Dim++
	case Outside:
		a.counts.Outside++
		outside = 1
	}
	if f.ChordTone {
		a.counts.ChordTones++
	}
	if centre < len(a.centres) && f.Centre != "" {
		a.centres[centre].Notes++
		a.centres[centre].Outside += outside
	}
	if f.Chorus == 0 {
		return -1
	}
	row = a.rowOf(f.Chorus)
	a.choruses[row].Notes++
	a.choruses[row].Outside += outside
	return row
}

// sortStruck closes the group of keys struck together and gives each its role.
// The hands on the two sides of a split are looked at apart, so that a melody
// note over a chord in the left hand stays in the line; and so does the top note
// of a chord where the player says that it is the melody.
func (a *Analyser) sortStruck() {
	a.struck.open = false
	var above, below keySet
	for _, m := range a.struck.members {
		switch {
		case !a.sounds.has(m.channel, m.key):
		case m.key < a.setup.Split:
			below.add(m.key)
		default:
			above.add(m.key)
		}
	}
	top := above.highest()
	chordAbove := above.len() >= soundingAsChord
	chordBelow := below.len() >= belowSplitAsChord
	for _, isChord := range [...]bool{chordAbove, chordBelow} {
		if isChord {
			a.chords++
		}
	}
	a.chord, a.voices = a.chord[:0], a.voices[:0]
	for _, m := range a.struck.members {
		isChord := chordAbove
		if m.key < a.setup.Split {
			isChord = chordBelow
		}
		role := Line
		if isChord && a.sounds.has(m.channel, m.key) && !(a.setup.Top && m.key == top) {
			role = Struck
		}
		if note := a.recent(m.n); note != nil {
			note.Role = role
		}
		w := a.arrivals.byNumber(m.n)
		w.role = role
		if role == Struck {
			a.voices = append(a.voices, w.lineNote)
		}
		if isChord && a.sounds.has(m.channel, m.key) { // a melody on top is part of what is struck
			a.chord = append(a.chord, w.lineNote)
		}
		a.out = append(a.out, Finding{Stage: Sorted, N: m.n, Role: role})
	}
	a.markLow()
	a.markTogether()
	if len(a.voices) > 0 {
		a.judgeStruck(a.voices[0].tick, a.voices)
		first := a.arrivals.byNumber(a.voices[0].n)
		for _, v := range a.voices {
			first.chord |= 1 << tone.ClassOf(v.key)
		}
		a.figures.struck(a.chord, &a.arrivals.byNumber(a.chord[0].n).played)
		if chordAbove {
			members := a.struck.members
			a.figures.pending.add(a.figures.chord, members[len(members)-1].n)
		}
	}
}

// recent returns note n while it is kept.
func (a *Analyser) recent(n int64) *PageNote {
	if note := &a.last[n%recentNotes]; n < a.n && note.N == n {
		return note
	}
	return nil
}
