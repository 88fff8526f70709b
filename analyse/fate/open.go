package fate

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

const (
	// neighbours is how many line notes on each side of a note the rules see:
	// a trill reaches three back, an enclosure of three tones three ahead.
	neighbours = 3
	// settleBeats is how many beats after its onset a fate is settled at the
	// latest.
	settleBeats = 2
	// keys is how many keys there are (MIDI 1.0).
	keys = 128
	// notYet is where a voice leads as long as no next chord was struck.
	notYet = int64(-2)
)

// Voice says in which of the lines that are judged apart a note lies.
type Voice uint8

const (
	Melody Voice = iota // the melody
	Under               // the melody, struck with a higher note of it
	Bass                // the left hand under the melody, in a line of its own
	Struck              // a struck chord
)

// Open is an outside note whose fate is not settled, or one of the scale that may
// fight its chord.
type Open struct {
	Note
	Claim
	Voice   Voice
	Rows    song.Rows         // where it is counted
	Context *song.Context     // that it was heard in
	Named   *harmony.Spelling // how it was written
	Charted string            // as song.Note has it

	lead  int64 // a note of the line: the note of a chord struck next that it leads into, as into
	into  int64 // a voice of a chord: the note of the next chord it leads into; -1: none, notYet: not struck
	again int64 // and the note of that chord that strikes its key again; -1: none
	gap   int64 // the longest gap that still connects, in ticks

	before, after   [neighbours]Note // nearest first
	nBefore, nAfter int

	nextAny int64 // tick of the next later note-on of any kind; timebase.Never: none yet
	asked   int   // how many notes after it there were when the rules were asked; -1: never
	due     int64 // they are to be asked again once this tick is past
	passed  bool  // no rule up to approach applies, nor is it a colour: it waits for its stay
	against bool  // it has been said that it fights its chord
}

// Against reports whether it has been said that it fights its chord.
func (o *Open) Against() bool { return o.against }

// NewOpen returns an outside note that has come into a line, or that is a voice of
// a chord struck beside it. nextAny is the tick of the note-on after it,
// timebase.Never where there is none yet.
func NewOpen(n Note, c *Claim, voice Voice, line *Line, nextAny int64) Open {
	o := Open{
		Note: n, Claim: *c, Voice: voice, gap: line.Gap(c.Beat), nextAny: nextAny,
		asked: -1, due: n.Tick, into: notYet, lead: notYet,
	}
	if voice != Struck {
		o.before, o.nBefore = line.before(n.Key)
	}
	return o
}

// deadline is the last tick at which a later note can still explain this one.
func (o *Open) deadline() int64 { return o.Tick + settleBeats*o.gap }

// ask goes through the rules. fate is None where all say no, Pending where one
// waits.
func (o *Open) ask(s *Sight) (fate Fate, by int64) {
	list := rules[:]
	if o.Voice == Struck {
		list = voiceRules[:]
	}
	for i := range list {
		got := list[i].ask(o, s)
		switch got.kind {
		case yes:
			return list[i].fate, got.by
		case wait:
			o.due = got.until
			return Pending, -1
		}
	}
	return None, -1
}

// askAgain has the rules asked again once tick is past.
func (o *Open) askAgain(tick int64) { o.due = min(o.due, tick) }

// fights reports whether a note that no rule explains is held against its chord: on
// the beat, for half a beat or longer, and not left by a semitone.
func (o *Open) fights() bool {
	if o.Fights == "" || o.Voice == Struck {
		return false
	}
	end := o.Off
	if o.nAfter > 0 {
		next := &o.after[0]
		end = min(end, next.Tick)
		if next.Tick-o.Tick <= o.gap && tone.Apart(next.Key, o.Key) == 1 {
			return false
		}
	}
	return end-o.Tick >= o.Beat/2
}

// last is the fate of a note that nothing else explains.
func (o *Open) last() Fate {
	if o.Blue {
		return Blue
	}
	return Unresolved
}

// follow takes the last moment of the line. Where a second note has joined it, the
// one that lies nearer stands for it.
func (o *Open) follow(m *moment, partner int64, together bool) {
	switch {
	case !together && o.nAfter < neighbours:
		o.after[o.nAfter] = m.Note
		o.nAfter++
	case together && o.nAfter > 0 && o.after[o.nAfter-1].N == partner:
		o.after[o.nAfter-1] = m.nearest(o.Key)
	}
}

// isFollowed reports whether nothing more can follow the note: what it needs to know
// of the line has come, and the last of it is not half of a moment.
func (o *Open) isFollowed(half int64) bool {
	return o.Voice == Struck || o.nAfter == neighbours && o.after[neighbours-1].N != half
}

// ended notes that note n stopped sounding at a tick.
func (o *Open) ended(n, tick int64) {
	if o.Note.Ended(n, tick) {
		o.askAgain(tick)
	}
	for i := range o.after[:o.nAfter] {
		if o.after[i].Ended(n, tick) {
			o.askAgain(tick)
		}
	}
}

// movesInto returns the lowest target of a chord that lies a semitone from this
// voice, and the first note that strikes its key again; -1 where there is none.
func (o *Open) movesInto(first int64, chord []Note) (by, again int64) {
	by, again = -1, -1
	lowest := keys
	if first > o.deadline() {
		return by, again
	}
	for _, m := range chord {
		if m.Target && tone.Apart(m.Key, o.Key) == 1 && m.Key < lowest {
			by, lowest = m.N, m.Key
		}
		if m.Key == o.Key && again < 0 {
			again = m.N
		}
	}
	return by, again
}
