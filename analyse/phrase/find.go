package phrase

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// How phrases are found.
//
// A phrase is the notes of the line between two rests. A rest is a beat or more, but of
// at least a quarter of a second, since at a fast tempo a beat is less than a breath,
// and at most 0.36 of one, since at a slow tempo it is more. (Against phrases that
// people marked in transcribed solos such bounds agree best; from 0.2 to 0.32 of a
// second for the lower one they do alike.) It runs from the release of the last note
// that sounds to the next onset of
// the line; the beat is the one at the phrase's last note, the pedal and the
// chords of the other hand do not count. Notes may overlap: the last note that
// sounds is the one of the latest four that is released last, so that a legato
// line is no rest at all and a tone held under the line for longer than four
// notes is a pedal point and does not keep the phrase open. A key that is never
// released makes no rest. After a note of two beats the phrase is over too where the
// line goes on with a leap.
//
// Where a phrase ends it is looked at as a teacher would: what its last tone is
// in the chord that sounds, or in the chord to come where the tone was played
// ahead of it; how many notes were outside; how each change of chord was
// crossed. It is told once the rest is long enough, and what becomes of its
// outside notes is told when they are settled, up to four bars later.
//
// Memory is fixed: the latest sixteen phrases with at most 128 notes and 12
// figures each, the best three of the chorus and of the session, and counts. A Finder
// that is told to keep phrases whole keeps more of the long ones, up to wholeMost. A
// phrase that is still not settled when sixteen more have been played, over a song that
// stands still, is in the counts but is not shown as a good one.
//
// Known wrong answers, accepted: a staccato line in long values breaks into
// single notes; a phrase that goes on after a breath is two.

const (
	// restLeast and restMost bound the rest that ends a phrase, in microseconds.
	restLeast, restMost = 250_000, 360_000
	// longBeats is how many beats a note lasts, onset to onset, after which a leap
	// begins a phrase.
	longBeats = 2
	// underLine is how many of the latest notes can keep a phrase open.
	underLine = 4
	// phraseNotes and phraseCrossings are how many notes and changes of chord of
	// a phrase are kept by name while it is played: eight bars of sixteenths with a
	// chord a bar have that many notes, and more changes than that no screen shows.
	phraseNotes, phraseCrossings = 128, 32
	// wholeMost is how many notes, changes of chord and figures of a phrase are kept
	// each where it is told whole: the notes of twenty minutes of eighths at 100 to the
	// minute without a rest.
	wholeMost = 4096
	// keptPhrases is how many phrases wait for their fates: in four bars of 4/4
	// there is room for eight with a rest behind each.
	keptPhrases = 16
)

// keptNote is a note of a phrase as it is told afterwards.
type keptNote struct {
	context     *song.Context
	named       *harmony.Spelling
	chorus, bar int32 // numbers
	key         uint8
}

// phrase is one phrase, being played or over.
type phrase struct {
	number      int64 // from 1
	first, last int64 // the numbers of its notes
	notes       int
	outside     int
	unresolved  int
	against     int // held against their chord, and not unresolved
	open        int // outside notes that are not settled
	over        bool
	chorus      int   // the number of the one in which it ended
	began, end  int64 // ticks: the first onset, the last release
	from, to    edge
	landing     Landing
	leapt       bool  // it ended without a rest: the line leapt on from a long note
	bar         int64 // ticks of a bar where it ended

	kept        [phraseNotes]keptNote
	crossed     [phraseCrossings]crossing
	crossings   int // all of them
	more        []keptNote
	moreCrossed []crossing
	figures     figure.InPhrase
}

// edge is the first or last note of a phrase under the chord it is heard in.
type edge struct {
	context *song.Context
	named   *harmony.Spelling // how the note is written
	key     uint8
	at      song.Spot
	pulse   song.Pulse
}

// crossing is how the line went over a change of chord.
type crossing struct {
	from, to      *song.Context
	named, ahead  *harmony.Spelling // how the note before is written, and the note after
	before, after uint8             // keys
	at            song.BarRef       // of the note after
	bar           int               // in which the second chord begins
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

// Finder finds the phrases of the line, with their figures, and counts them.
type Finder struct {
	Figures figure.Finder

	chordBegan []int64 // slot of the timeline to the song tick at which its chord began
	chordBar   []int   // and to the bar

	ring    [keptPhrases]phrase // phrase number i is at i modulo keptPhrases
	number  int64               // of the latest phrase; 0: none yet
	playing bool                // the latest is not over
	leapt   bool                // it ends without a rest
	ends    int64               // the tick after which it is over; never while a key is down
	prev    song.Note           // its latest note

	sounds  [underLine]soundingNote // its latest notes, nearest first
	nSounds int

	song.Sheets[counts, *counts]
}

type soundingNote struct{ n, off int64 }

// New returns a finder over a timeline, nil without a chart, and its contexts;
// voicing is what the families of its figures are made of, as in figure.New. whole
// says that of each phrase not its first notes, crossings and figures alone are kept, but
// all that anybody plays in one breath: wholeMost of each.
func New(t *changes.Timeline, contexts []song.Context, voicing []int, whole bool) Finder {
	p := Finder{Figures: figure.New(voicing, contexts), ends: timebase.Never, Sheets: song.NewSheets[counts](newCounts)}
	if whole {
		p.Figures.Most = wholeMost
	}
	if t == nil {
		return p
	}
	for i := range t.Slots {
		began, bar := t.Slots[i].Start, t.Slots[i].Bar
		if i > 0 && t.Slots[i].Chord == t.Slots[i-1].Chord {
			began, bar = p.chordBegan[i-1], p.chordBar[i-1]
		}
		p.chordBegan, p.chordBar = append(p.chordBegan, began), append(p.chordBar, bar)
	}
	return p
}

func (p *Finder) at(number int64) *phrase { return &p.ring[number%keptPhrases] }

// latest is the phrase being played or the one that is over.
func (p *Finder) latest() *phrase { return p.at(p.number) }

// Note takes a note of the line, in their order, and sets whether it begins a
// phrase. A phrase that has rested before it must have been ended.
func (p *Finder) Note(n *song.Note) {
	if n.First = !p.playing; n.First {
		p.begin(n)
	} else {
		p.cross(n)
		p.Now().played(n.Tick-p.prev.Tick, &p.prev)
		p.hold(n)
	}
	at := p.latest()
	n.Opener = at.first
	kept := keptNote{
		context: n.Context, named: n.Named, chorus: int32(n.Position.Chorus), bar: int32(n.Position.Bar), key: uint8(n.Key),
	}
	switch {
	case at.notes < phraseNotes:
		at.kept[at.notes] = kept
	case at.notes < p.Figures.Most:
		at.more = append(at.more, kept)
	}
	at.notes++
	at.last = n.N
	if n.Place == song.Outside {
		at.outside++
	}
	if n.Open {
		at.open++
	}
	copy(p.sounds[1:], p.sounds[:])
	p.sounds[0] = soundingNote{n: n.N, off: n.Up}
	p.nSounds = min(p.nSounds+1, underLine)
	p.prev = *n
	p.wait()
	p.Figures.Note(n)
}

// begin starts a phrase with its first note.
func (p *Finder) begin(n *song.Note) {
	if p.number > 0 {
		p.Now().rested(n.Tick-p.latest().end, &p.prev)
	}
	p.number++
	p.playing, p.nSounds = true, 0
	at := p.latest()
	at.number, at.first, at.began, at.over = p.number, n.N, n.Tick, false
	at.notes, at.outside, at.unresolved, at.against, at.open, at.crossings = 0, 0, 0, 0, 0, 0
	at.more, at.moreCrossed = nil, nil
	at.from = edgeOf(n, n.Context)
}

func edgeOf(n *song.Note, c *song.Context) edge {
	return edge{context: c, named: n.Named, key: uint8(n.Key), at: n.Position.Spot, pulse: n.Pulse}
}

// Released notes that the key of note n went up.
func (p *Finder) Released(n, tick int64) {
	if !p.playing {
		return
	}
	for i := range p.sounds[:p.nSounds] {
		if s := &p.sounds[i]; s.n == n && s.off == timebase.Never {
			s.off = tick
			p.wait()
		}
	}
}

// silent is the release of the last note that sounds, stillDown while one does.
func (p *Finder) silent() int64 {
	var end int64
	for _, s := range p.sounds[:p.nSounds] {
		end = max(end, s.off)
	}
	return end
}

// wait works out when the phrase is over if nothing more comes.
func (p *Finder) wait() {
	p.ends = timebase.Never
	if end := p.silent(); end != timebase.Never {
		p.ends = end + restTicks(&p.prev) - 1
	}
}

// restTicks is how long a rest after a note ends the phrase.
func restTicks(n *song.Note) int64 {
	ticks := func(us int64) int64 { return us * timebase.Quarter / n.QuarterUS }
	return min(max(n.Position.BeatTicks, ticks(restLeast)), ticks(restMost))
}

// Leaps reports whether a note begins a phrase though there was no rest: it leaps away
// from a long one.
func (p *Finder) Leaps(n *song.Note) bool {
	return p.playing && n.Tick-p.prev.Tick >= longBeats*p.prev.Position.BeatTicks && tone.Apart(n.Key, p.prev.Key) > figure.WidestSkip
}

// Rested reports whether the phrase is over at a tick before which every note of
// the line is known.
func (p *Finder) Rested(tick int64) bool { return p.playing && tick > p.ends }

// Due is the tick after which something is to be done.
func (p *Finder) Due() int64 {
	if !p.playing {
		return timebase.Never
	}
	return p.ends
}

// Playing reports whether a phrase is being played, and the number of the latest
// one, 0 where there is none.
func (p *Finder) Playing() (playing bool, number int64) { return p.playing, p.number }

// Ended is the tick at which the last phrase ended: its last release.
func (p *Finder) Ended() int64 { return p.at(p.Over()).end }

// Silence ends what sounds at the end of the session, now.
func (p *Finder) Silence(now int64) {
	for i := range p.sounds[:p.nSounds] {
		p.sounds[i].off = min(p.sounds[i].off, now)
	}
}

// Leap ends what sounds where a note that leaps away from a long one begins, at a tick.
func (p *Finder) Leap(tick int64) {
	p.Silence(tick)
	p.leapt = true
}

// Rest ends the phrase that is being played, and the figures that are under way.
func (p *Finder) Rest() {
	at := p.latest()
	p.Figures.Rest(&at.figures)
	at.leapt, at.bar = p.leapt, p.prev.Position.BarTicks
	p.playing, p.leapt = false, false
	at.over, at.end, at.chorus = true, p.silent(), p.Chorus()
	at.to = edgeOf(&p.prev, endingContext(&p.prev, p.sounds[0].off))
	at.landing = at.to.landing()
	p.Now().played(at.end-p.prev.Tick, &p.prev)
	p.Now().add(at)
	p.consider(at)
}

// endingContext returns the context in which the last note of a phrase is heard:
// the chord to come, where it was played up to six tenths of a beat ahead of it and
// is a tone of it that is held over the change, or is at rest in it and no tone of the
// chord that sounds: what has landed there has landed.
func endingContext(n *song.Note, off int64) *song.Context {
	if n.Next == nil || n.Position.Ahead() || !n.Position.CanPush() {
		return n.Context
	}
	class := n.Class()
	held := off >= song.PushHeld(n.Tick+n.Position.Left, n.Position.BeatTicks)
	if held && n.Next.ChordTone.Has(class) || n.Next.Rests(class) && !n.Context.ChordTone.Has(class) {
		return n.Next
	}
	return n.Context
}

// cross looks at how the line went from the note before to this one where the
// chord has changed between them. Without a chart no chord changes.
func (p *Finder) cross(n *song.Note) {
	from, to := p.prev.Context, n.Context
	if p.chordBegan == nil || from.Chord == to.Chord || from.Chord.None() || to.Chord.None() {
		return
	}
	c := crossing{
		from: from, to: to, named: p.prev.Named, ahead: n.Named, before: uint8(p.prev.Key), after: uint8(n.Key), at: n.Position.Ref(),
		bar: p.chordBar[n.Slot],
	}
	distance := tone.Apart(n.Key, p.prev.Key)
	switch {
	case min(p.sounds[0].off, n.Tick) >= song.PushHeld(p.chordTick(n), n.Position.BeatTicks):
		c.kind, c.after, c.ahead = crossedHeld, c.before, &to.Name
	case distance == 0:
		c.kind = crossedRepeated
	case distance <= tone.WholeStep:
		c.kind = crossedByStep
	default:
		c.kind = crossedByLeap
	}
	at := p.latest()
	switch {
	case at.crossings < phraseCrossings:
		at.crossed[at.crossings] = c
	case at.crossings < p.Figures.Most:
		at.moreCrossed = append(at.moreCrossed, c)
	}
	at.crossings++
	p.Now().cross(&c)
}

// chordTick returns the tick at which the chord of a note began or, where it
// is early, begins.
func (p *Finder) chordTick(n *song.Note) int64 {
	if n.Slot == 0 && n.Position.Ahead() { // early, and of the next chorus
		return n.Tick + n.Position.Left
	}
	return n.Tick - n.Position.Within + p.chordBegan[n.Slot]
}

// Settled takes what became of an outside note of the line that was open when it
// came.
func (p *Finder) Settled(n int64, unresolved bool) {
	for number := p.number; number > max(0, p.number-keptPhrases); number-- {
		at := p.at(number)
		if n < at.first {
			continue
		}
		if n > at.last || at.open == 0 {
			return
		}
		at.open--
		if unresolved {
			at.unresolved++
		}
		if at.over {
			p.consider(at)
		}
		return
	}
}

// Fought notes that a note of the line is held against its chord, and is not
// unresolved.
func (p *Finder) Fought(n int64) {
	for number := p.number; number > max(0, p.number-keptPhrases); number-- {
		if at := p.at(number); n >= at.first {
			at.against++
			p.Each(func(c *counts) { c.good.drop(at.number) })
			return
		}
	}
}
