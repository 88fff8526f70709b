package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/instrument"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// glitchMicros: a note of a legato instrument that is followed by another sooner
// than this, in microseconds, is a slip of the fingering.
const glitchMicros = 30_000

// Where the melody goes below the split (crosses): how far it leaps at most, in
// semitones, and how long the key of its last note stays down at most, in microseconds.
// They are this project's own.
const (
	crossingLeap = 5
	letGoMicros  = chordWindow
)

// lines are the lines that are judged apart: each note by those beside it in its
// own.
type lines struct{ melody, bass fate.Line }

// known is the tick before which every note of the lines is known.
func (a *Analyser) known() int64 {
	if a.arrivals.len() > 0 {
		return min(a.seen, a.arrivals.first().Tick)
	}
	return a.seen
}

// admit takes the notes off the queue that have their role and are known to be
// played on purpose or not, and asks the open fates again.
func (a *Analyser) admit() {
	admitted := false
	for a.arrivals.len() > 0 {
		next := a.arrivals.first()
		glitch, open := a.isGlitch(next)
		if next.role == NoRole || open || !a.whole(next) {
			break
		}
		a.enter(next, glitch)
		a.arrivals.pop()
		admitted = true
	}
	if admitted {
		a.judge()
		a.docket.Decide()
	}
}

// whole reports whether the moment that a note begins can go into the line: where it has a
// second voice, all that was struck before that has its role. A rule that sees one voice
// alone would take it for the moment.
func (a *Analyser) whole(n *arrival) bool {
	for i := a.arrivals.head; i < len(a.arrivals.items) && a.arrivals.items[i].N < n.partner; i++ {
		if a.arrivals.items[i].role == NoRole {
			return false
		}
	}
	return true
}

// isGlitch reports whether a note was not meant: between two others on a legato
// instrument and gone in less than 30 ms. open says that the next note can still
// make it one.
func (a *Analyser) isGlitch(n *arrival) (glitch, open bool) {
	switch {
	case !a.setup.Legato || a.lines.melody.Empty():
		return false, false
	case a.arrivals.len() > 1:
		next := &a.arrivals.items[a.arrivals.head+1]
		return a.tempo.Micros(next.Tick)-a.tempo.Micros(n.Tick) < glitchMicros, false
	}
	return false, a.seen <= a.glitchDue(n.Tick)
}

// glitchDue is the last tick at which a next note makes the one at tick a
// glitch.
func (a *Analyser) glitchDue(tick int64) int64 {
	return a.tempo.Tick(a.tempo.Micros(tick) + glitchMicros - 1)
}

// enter puts a note where it belongs: into the melody, the bass, its chord, or
// nowhere if it is a glitch or a pedal point that sounds on.
func (a *Analyser) enter(n *arrival, glitch bool) {
	a.strike(n)
	if n.chord != 0 {
		a.melody.ear.Chord(&n.Note, n.chord)
	}
	if n.crossed = !glitch && a.crosses(n); n.crossed {
		n.low = false
	}
	switch {
	case glitch:
		a.leaveOut(n, fate.Verdict{Fate: fate.Glitch, By: -1})
		return
	case n.low:
		if by := a.pedal.stroke(n); by >= 0 {
			a.leaveOut(n, fate.Verdict{Fate: fate.Pedal, By: by})
			return
		}
	}
	voice, line := a.voiceOf(n)
	if voice != fate.Struck {
		a.intoLine(n, line, voice)
	}
	if !n.open() {
		a.docket.Count(&n.Claim)
		if n.Fights == "" || n.Place == song.Outside {
			return
		}
	}
	o := fate.NewOpen(n.asNote(), &n.Claim, voice, line, n.nextAny)
	o.Rows, o.Context, o.Named, o.Charted = n.Rows, n.Context, n.Named, n.Charted
	a.docket.Add(o)
}

// leaveOut settles a note that goes into no line.
func (a *Analyser) leaveOut(n *arrival, v fate.Verdict) {
	a.docket.Leave(&n.Claim)
	if n.open() {
		a.settle(n.N, &n.Rows, v)
	}
}

// voiceOf says in which line a note lies.
func (a *Analyser) voiceOf(n *arrival) (fate.Voice, *fate.Line) {
	switch {
	case n.role == Struck:
		return fate.Struck, &a.lines.melody
	case n.Left && !n.crossed:
		return fate.Bass, &a.lines.bass
	case n.under:
		return fate.Under, &a.lines.melody
	}
	return fate.Melody, &a.lines.melody
}

// crosses reports whether a note of the line is the right hand's though its key is the
// left hand's: the hands visibly cross. The melody leads there: the note struck just
// before is its last one, a fourth away at most, in the same phrase and let go by the
// finger, whatever the sustain pedal holds. And the left hand is seen elsewhere: all that
// its fingers hold is too far below.
func (a *Analyser) crosses(n *arrival) bool {
	line := &a.lines.melody
	last := line.Last(0)
	return n.elsewhere && n.role == Line && !line.Empty() && last.N == n.before &&
		tone.Apart(last.Key, n.Key) <= crossingLeap && n.Tick-last.Tick <= line.Gap(n.Position.BeatTicks) &&
		last.Up != timebase.Never && a.tempo.Micros(last.Up)-a.tempo.Micros(n.Tick) <= letGoMicros
}

// handElsewhere reports whether the left hand holds keys, and none that it could hold
// with one being struck; the key struck before is the right hand's.
func (a *Analyser) handElsewhere(key uint8) (elsewhere bool) {
	held := a.keys.AllHeld()
	if a.lastNote >= 0 {
		held.Remove(a.lastKey)
	}
	return held.Len() > 0 && int(key)-int(held.Highest()) > instrument.Reach
}

// intoLine puts a note into its line, and tells the melody's listeners.
func (a *Analyser) intoLine(n *arrival, line *fate.Line, voice fate.Voice) {
	together := n.partner >= 0 && !line.Empty() && line.Last(0).N == n.partner
	if together {
		line.Unite(n.asNote())
	} else {
		line.Add(n.asNote())
	}
	a.docket.Follow(line, n.partner, together, voice == fate.Bass)
	if voice != fate.Melody {
		return
	}
	before := line.Last(1)
	beat := n.Position.BeatTicks
	n.Open = n.open()
	n.HeldOver = min(before.Off, n.Tick) - before.Tick
	gap := n.Tick - before.Tick
	n.Joined = figure.IsLoose(gap, beat) || gap <= line.Gap(beat)
	a.melody.note(&n.Note)
	if n.First {
		a.counts.phraseBegins()
	}
}
