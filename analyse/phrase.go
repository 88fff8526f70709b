package analyse

import (
	"shedlight/analyse/changes"
)

// How phrases are found.
//
// A phrase is the notes of the line between two rests of a beat or more. A
// rest runs from the release of the last note that sounds to the next onset of
// the line; the beat is the one at the phrase's last note, the pedal and the
// chords of the other hand do not count. Notes may overlap: the last note that
// sounds is the one of the latest four that is released last, so that a legato
// line is no rest at all and a tone held under the line for longer than four
// notes is a pedal point and does not keep the phrase open. A key that is never
// released makes no rest.
//
// Where a phrase ends it is looked at as a teacher would: what its last tone is
// in the chord that sounds, or in the chord to come where the tone was played
// ahead of it; how many notes were outside; how each change of chord was
// crossed. It is told once a beat of rest has passed, and what becomes of its
// outside notes is told when they are settled, up to four bars later.
//
// Memory is fixed: the latest sixteen phrases with at most 128 notes and 12
// figures each, the best three, and counts. A phrase that is still not settled when sixteen more
// have been played, over a song that stands still, is in the counts but is not
// shown as a good one.
//
// Known wrong answers, accepted: a staccato line in long values breaks into
// single notes; a phrase that goes on after a breath of a beat is two.

const (
	// underLine is how many of the latest notes can keep a phrase open.
	underLine = 4
	// phraseNotes and phraseCrossings are how many notes and changes of chord of
	// a phrase are kept by name: eight bars of sixteenths with a chord a bar have
	// that many notes, and more changes than that no phrase needs told.
	phraseNotes, phraseCrossings = 128, 32
	// keptPhrases is how many phrases wait for their fates: in four bars of 4/4
	// there is room for eight with a rest behind each.
	keptPhrases = 16
	// goodPhrases is how many of the best are kept, goodLeast how many notes one
	// has at least: fewer say nothing.
	goodPhrases, goodLeast = 3, 4
)

// phraseNote is a note of a phrase as it is told afterwards.
type phraseNote struct {
	context     *context
	named       *context // whose spelling it takes
	chorus, bar int32
	key         uint8
}

// phrase is one phrase, being played or over.
type phrase struct {
	number      int64 // from 1
	first, last int64 // the numbers of its notes
	notes       int
	outside     int
	unresolved  int
	open        int // outside notes that are not settled
	over        bool
	began, end  int64 // ticks: the first onset, the last release
	from, to    edge
	landing     Landing

	kept      [phraseNotes]phraseNote
	crossed   [phraseCrossings]crossing
	crossings int // all of them
	figures   figuresInPhrase
}

// edge is the first or last note of a phrase under the chord it is heard in.
type edge struct {
	context *context
	named   *context // whose spelling the note takes
	key     uint8
	chorus  int
	bar     int
	beat    float64
	pulse   pulse
}

// crossing is how the line went over a change of chord.
type crossing struct {
	from, to      *context
	named         *context // whose spelling the note before takes
	before, after uint8    // keys
	chorus, bar   int      // of the note after
	kind          crossingKind
}

type crossingKind uint8

const (
	crossedHeld     crossingKind = iota // the tone before rings on over the change
	crossedRepeated                     // the same key is struck again
	crossedByStep                       // up to a whole step
	crossedByLeap                       // anything wider
	crossingKinds
)

var crossingNames = [crossingKinds]string{"held", "repeated", "step", "leap"}

// phrases finds the phrases of the line and counts them.
type phrases struct {
	chordBegan []int64 // slot of the timeline to the song tick at which its chord began

	ring    [keptPhrases]phrase // phrase number i is at i modulo keptPhrases
	number  int64               // of the latest phrase; 0: none yet
	playing bool                // the latest is not over
	ends    int64               // the tick after which it is over; never while a key is down
	prev    played              // its latest note

	sounds  [underLine]soundingNote // its latest notes, nearest first
	nSounds int

	counts phraseCounts
	good   [goodPhrases]phrase // the best first
	nGood  int
}

type soundingNote struct{ n, off int64 }

func newPhrases(t *changes.Timeline) phrases {
	p := phrases{ends: never, counts: newPhraseCounts()}
	if t == nil {
		return p
	}
	for i := range t.Slots {
		began := t.Slots[i].Start
		if i > 0 && t.Slots[i].Chord == t.Slots[i-1].Chord {
			began = p.chordBegan[i-1]
		}
		p.chordBegan = append(p.chordBegan, began)
	}
	return p
}

func (p *phrases) at(number int64) *phrase { return &p.ring[number%keptPhrases] }

// latest is the phrase being played or the one that is over.
func (p *phrases) latest() *phrase { return p.at(p.number) }

// add takes a note of the line, in their order. off is its release so far,
// open says that it is outside and its fate is not settled. first reports that
// it begins a phrase. Where the phrase before has rested it is closed already.
func (p *phrases) add(n *played, off int64, open bool) (first bool) {
	if first = !p.playing; first {
		p.begin(n)
	} else {
		p.cross(n)
		p.counts.played(n.tick-p.prev.tick, &p.prev)
	}
	at := p.latest()
	if at.notes < phraseNotes {
		at.kept[at.notes] = phraseNote{
			context: n.context, named: n.named, chorus: int32(n.position.chorus), bar: int32(n.position.bar), key: uint8(n.key),
		}
	}
	at.notes++
	at.last = n.n
	if n.place == Outside {
		at.outside++
	}
	if open {
		at.open++
	}
	copy(p.sounds[1:], p.sounds[:])
	p.sounds[0] = soundingNote{n: n.n, off: off}
	p.nSounds = min(p.nSounds+1, underLine)
	p.prev = *n
	p.rest()
	return first
}

// begin starts a phrase with its first note.
func (p *phrases) begin(n *played) {
	if p.number > 0 {
		p.counts.rested(n.tick-p.latest().end, &p.prev)
	}
	p.number++
	p.playing, p.nSounds = true, 0
	at := p.latest()
	at.number, at.first, at.began, at.over = p.number, n.n, n.tick, false
	at.notes, at.outside, at.unresolved, at.open, at.crossings = 0, 0, 0, 0, 0
	at.from = edgeOf(n, n.context)
}

func edgeOf(n *played, c *context) edge {
	return edge{
		context: c, named: n.named, key: uint8(n.key), chorus: n.position.chorus, bar: n.position.bar, beat: n.position.beat, pulse: n.pulse,
	}
}

// released notes that the key of note n went up.
func (p *phrases) released(n, tick int64) {
	if !p.playing {
		return
	}
	for i := range p.sounds[:p.nSounds] {
		if s := &p.sounds[i]; s.n == n && s.off == stillDown {
			s.off = tick
			p.rest()
		}
	}
}

// silent is the release of the last note that sounds, stillDown while one does.
func (p *phrases) silent() int64 {
	var end int64
	for _, s := range p.sounds[:p.nSounds] {
		end = max(end, s.off)
	}
	return end
}

// rest works out when the phrase is over if nothing more comes.
func (p *phrases) rest() {
	p.ends = never
	if end := p.silent(); end != stillDown {
		p.ends = end + p.prev.position.beatTicks - 1
	}
}

// rested reports whether the phrase is over at a tick before which every note of
// the line is known.
func (p *phrases) rested(tick int64) bool { return p.playing && tick > p.ends }

// due is the tick after which something is to be done.
func (p *phrases) due() int64 {
	if !p.playing {
		return never
	}
	return p.ends
}

// silence ends what sounds at the end of the session, now.
func (p *phrases) silence(now int64) {
	for i := range p.sounds[:p.nSounds] {
		p.sounds[i].off = min(p.sounds[i].off, now)
	}
}

// close ends the phrase.
func (p *phrases) close() {
	at := p.latest()
	p.playing = false
	at.over, at.end = true, p.silent()
	at.to = edgeOf(&p.prev, p.prev.heardEnding(p.sounds[0].off))
	at.landing = at.to.landing()
	p.counts.played(at.end-p.prev.tick, &p.prev)
	p.counts.add(at)
	p.consider(at)
}

// heardEnding returns the context in which the last note of a phrase is heard:
// the chord to come, where it was played up to six tenths of a beat ahead of
// it, belongs to it, and is held over the change or does not belong to the
// chord that sounds.
func (n *played) heardEnding(off int64) *context {
	left := n.position.left
	if n.next == nil || n.slot != n.position.slot || left*tenths > pushMost*n.position.beatTicks {
		return n.context
	}
	class := n.class()
	belongs := n.next.chordTone.Has(class) || n.next.home.Has(class)
	held := off >= n.tick+left+n.position.beatTicks/tenths
	if belongs && (held || !n.context.chordTone.Has(class)) {
		return n.next
	}
	return n.context
}

// cross looks at how the line went from the note before to this one where the
// chord has changed between them. Without a chart no chord changes.
func (p *phrases) cross(n *played) {
	from, to := p.prev.context, n.context
	if p.chordBegan == nil || from.changes == to.changes || from.changes.None() || to.changes.None() {
		return
	}
	c := crossing{
		from: from, to: to, named: p.prev.named, before: uint8(p.prev.key), after: uint8(n.key),
		chorus: n.position.chorus, bar: n.position.bar,
	}
	distance := apart(n.key, p.prev.key)
	switch {
	case min(p.sounds[0].off, n.tick) >= p.chordTick(n)+n.position.beatTicks/tenths:
		c.kind, c.after = crossedHeld, c.before
	case distance == 0:
		c.kind = crossedRepeated
	case distance <= wholeStep:
		c.kind = crossedByStep
	default:
		c.kind = crossedByLeap
	}
	at := p.latest()
	if at.crossings < phraseCrossings {
		at.crossed[at.crossings] = c
	}
	at.crossings++
	p.counts.cross(&c)
}

// chordTick returns the tick at which the chord of a note began or, where it
// is early, begins.
func (p *phrases) chordTick(n *played) int64 {
	if n.slot < n.position.slot { // early, and of the next chorus
		return n.tick + n.position.left
	}
	return n.tick - n.position.within + p.chordBegan[n.slot]
}

// settled takes what became of an outside note of the line that was open when
// it was added.
func (p *phrases) settled(n int64, fate Fate) {
	for number := p.number; number > max(0, p.number-keptPhrases); number-- {
		at := p.at(number)
		if n < at.first {
			continue
		}
		if n > at.last || at.open == 0 {
			return
		}
		at.open--
		if fate == Unresolved {
			at.unresolved++
		}
		if at.over {
			p.consider(at)
		}
		return
	}
}

// consider keeps a phrase that is over if it is one of the best: all of it
// resolved, landed on a tone of the chord, the more notes the better, the
// earlier one where they are even.
func (p *phrases) consider(at *phrase) {
	if at.open > 0 || at.unresolved > 0 || at.landing != LandedOnChord || at.notes < goodLeast {
		return
	}
	place := p.nGood
	for place > 0 && at.better(&p.good[place-1]) {
		place--
	}
	if place == goodPhrases {
		return
	}
	p.nGood = min(p.nGood+1, goodPhrases)
	copy(p.good[place+1:], p.good[place:p.nGood-1])
	p.good[place] = *at
}

func (at *phrase) better(other *phrase) bool {
	if at.notes != other.notes {
		return at.notes > other.notes
	}
	return at.number < other.number
}

// joinPhrase gives a note that has come into the line to what listens to it.
func (a *Analyser) joinPhrase(n *arrival) {
	if a.phrases.rested(n.tick) {
		a.closePhrase()
	}
	first := a.phrases.add(&n.played, n.up, n.outside && !n.settled)
	if first {
		a.unresolvedBefore = a.counts.Of(Unresolved)
	}
	a.figures.join(a.phrases.latest().first)
	a.feel.add(&n.played, a.tempo.Quarter(n.tick))
	a.habits.add(&n.played, first)
}

// endLine tells them that the session is over.
func (a *Analyser) endLine() {
	if a.phrases.playing {
		a.phrases.silence(a.now)
		a.closePhrase()
	}
	a.feel.close()
	a.habits.rest()
}
