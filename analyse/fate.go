package analyse

import "shedlight/analyse/tone"

// How the fate of a note outside the scale is found.
//
// Each rule looks at the note, at up to three notes of the line before it and
// three after it, and answers yes, no, or "wait until this tick": what it needs
// has not been played yet, and once nothing came by that tick the answer is no.
// The rules are asked in the order of the table of fates; the first yes is the
// fate, and a rule that waits makes those behind it wait too. So a verdict
// depends on what was played and never on when somebody asked.
//
// The windows are in beats and ticks and are this project's own proposal: pages
// that teach approach notes name the shapes (an approach, an enclosure, a double
// chromatic, a passing tone: common practice) and give no numbers.
//
// Cost: constant for each note. An open fate keeps copies of its neighbours, so
// that nothing is searched; a fate is open for two beats, or until its chord
// ends where it may be heard in another scale.
//
// Known wrong answers, accepted: a chromatic note that happens to lie a semitone
// from the next one is called an approach whatever the player meant; a line that
// resolves in another octave is unresolved.

const (
	// neighbours is how many line notes on each side of a note the rules see:
	// a trill reaches three back, an enclosure of three tones three ahead.
	neighbours = 3
	// graceMicros is how long before its main note a grace note comes at most,
	// in microseconds.
	graceMicros = 90_000
	// glitchMicros: a note of a legato instrument that is followed by another
	// sooner than this, in microseconds, is a slip of the fingering.
	glitchMicros = 30_000
	// The parts of a beat, in tenths, in which an early note is a push.
	pushLeast, pushMost = 1, 6
	tenths              = 10
	// notYet is where a voice leads as long as no next chord was struck.
	notYet = int64(-2)
	// stillDown is the release of a key that is down, and the end of a note that
	// sounds.
	stillDown = int64(1<<63 - 1)
)

// lineNote is a note of the line as the rules see it.
type lineNote struct {
	n, tick int64
	off     int64 // tick of its release
	key     int
	target  bool // a tone of its scale or of its written chord
}

// claim is what a note brings along when it is heard: what could excuse it, and
// where it is counted.
type claim struct {
	class   tone.Class
	late    bool // it lies in the scale before the change
	blue    bool
	beat    int64 // ticks
	change  int64 // tick of the change that it may push; 0: none
	stretch int64 // the number of its stretch; noStretch: none
	channel uint8
	bent    bool  // it has been bent into a target a semitone away
	bentAt  int64 // tick of that
	steps   int   // how many semitones its channel was bent when it was struck

	centre, chorus int // rows of the counts; chorus is -1 outside a chorus
	bar, slot      int // of the timeline; bar is -1 outside a chorus
}

// openFate is an outside note whose fate is not settled.
type openFate struct {
	lineNote
	claim
	struck bool  // it belongs to a chord, not to the line
	bass   bool  // it lies under the melody, in a line of its own
	under  bool  // it is struck with a higher note of the line
	lead   int64 // a note of the line: the note of a chord struck next that it leads into, as into
	into   int64 // a voice of a chord: the note of the next chord it leads into; -1: none, notYet: not struck
	again  int64 // and the note of that chord that strikes its key again; -1: none
	gap    int64 // the longest gap that still connects, in ticks

	before, after   [neighbours]lineNote // nearest first
	nBefore, nAfter int

	nextAny int64 // tick of the next later note-on of any kind; stillDown: none yet
	asked   int   // how many notes after it there were when the rules were asked; -1: never
	due     int64 // they are to be asked again once this tick is past
	passed  bool  // no rule up to approach applies: it waits for its stretch
}

// never is a due tick that time alone does not reach.
const never = stillDown

// answer is what a rule says.
type answer struct {
	kind answerKind
	tick int64 // wait: until when
	by   int64 // yes: the note that settled it, -1 for none
}

type answerKind uint8

const (
	no answerKind = iota
	yes
	wait
)

func applies(by int64) answer { return answer{kind: yes, by: by} }
func waits(tick int64) answer { return answer{kind: wait, tick: tick} }

func when(ok bool, by int64) answer {
	if ok {
		return applies(by)
	}
	return answer{}
}

// deadline is the last tick at which a later note can still explain this one.
func (o *openFate) deadline() int64 { return o.tick + settleBeats*o.gap }

// rule is a fate and the question whether it applies.
type rule struct {
	fate Fate
	ask  func(o *openFate, known int64, a *Analyser) answer
}

// rules are the fates of a line note in the order of the table, from ornament
// on; glitch and written are settled before them.
var rules = [...]rule{
	{Ornament, (*openFate).ornament},
	{Push, (*openFate).push},
	{Late, (*openFate).isLate},
	{Enclosure, (*openFate).enclosure},
	{DoubleChromatic, (*openFate).doubleChromatic},
	{Passing, (*openFate).passing},
	{Neighbour, (*openFate).neighbour},
	{Approach, (*openFate).approach},
}

// voiceRules are those of a voice of a struck chord: a hand that comps is early
// and late too, and its voices lead into the next chord.
var voiceRules = [...]rule{
	{Push, (*openFate).push},
	{Late, (*openFate).isLate},
	{Approach, (*openFate).leads},
}

// ask goes through the rules. known is the tick before which every line note
// is known. fate is NoFate where all say no, Pending where one waits.
func (o *openFate) ask(known int64, a *Analyser) (fate Fate, by int64) {
	list := rules[:]
	if o.struck {
		list = voiceRules[:]
	}
	for i := range list {
		got := list[i].ask(o, known, a)
		switch got.kind {
		case yes:
			return list[i].fate, got.by
		case wait:
			o.due = got.tick
			return Pending, -1
		}
	}
	return NoFate, -1
}

// askAgain has the rules asked again once tick is past.
func (o *openFate) askAgain(tick int64) { o.due = min(o.due, tick) }

// last is the fate of a note that nothing else explains.
func (o *openFate) last() Fate {
	if o.blue {
		return Blue
	}
	return Unresolved
}

// judge asks the open fates whose answer can have changed, and settles those
// that are decided, in the order of their notes.
func (a *Analyser) judge() {
	known := a.known()
	a.keepOpen(func(o *openFate) (keep bool) {
		if o.passed || o.nAfter == o.asked && o.due >= a.seen { // only time can tell more
			return true
		}
		o.asked = o.nAfter
		fate, by := o.ask(known, a)
		switch {
		case fate == Pending:
			return true
		case fate == NoFate && o.stretch != noStretch:
			o.passed, o.due = true, never
			a.countIn(&o.claim)
			return true
		case fate == NoFate:
			fate = o.last()
		case fate == Push:
			a.leave(&o.claim)
		default:
			a.countIn(&o.claim)
		}
		a.settleOpen(o, fate, by, "")
		return false
	})
}

// judgeStruck tells the outside voices of the chord before, and the notes of the
// line that nothing has followed yet, where they lead in the chord that has just
// been struck.
func (a *Analyser) judgeStruck(first int64, chord []lineNote) {
	for i := range a.open {
		switch o := &a.open[i]; {
		case o.tick >= first:
		case o.struck && o.into == notYet:
			o.into, o.again = o.movesInto(first, chord)
			o.askAgain(o.tick)
		case !o.struck && o.nAfter == 0 && o.lead == notYet && first-o.tick <= o.gap:
			o.lead, _ = o.movesInto(first, chord)
			o.askAgain(o.tick)
		}
	}
}

// keepOpen goes through the open fates in order and drops those that are
// settled.
func (a *Analyser) keepOpen(keep func(*openFate) bool) {
	kept := 0
	for i := range a.open {
		if !keep(&a.open[i]) {
			continue
		}
		if kept != i {
			a.open[kept] = a.open[i]
		}
		kept++
	}
	a.open = a.open[:kept]
}

// movesInto returns the lowest target of a chord that lies a semitone from this
// voice, and the first note that strikes its key again; -1 where there is none.
func (o *openFate) movesInto(first int64, chord []lineNote) (by, again int64) {
	by, again = -1, -1
	lowest := keys
	if first > o.deadline() {
		return by, again
	}
	for _, m := range chord {
		if m.target && apart(m.key, o.key) == 1 && m.key < lowest {
			by, lowest = m.n, m.key
		}
		if m.key == o.key && again < 0 {
			again = m.n
		}
	}
	return by, again
}
