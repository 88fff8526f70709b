package analyse

// Figures in the line: runs, arpeggios and leaps.
//
// A line is a string of stretches that go one way, up or down; the note on
// which it turns ends one and starts the next. A repeated note, a new phrase, and
// a note that comes one and a half beats after the one before or later (in slow
// practice 1.5 times the recent median gap) start one with nothing shared. A figure lies within a stretch, for a run or an
// arpeggio that turned would be two. So it is enough to keep the stretch that is
// being played, 128 keys at the most, and to look at it whole when it ends.
//
//   - A run is four tones or more on adjacent steps of the scale. Where the
//     scale changes with the chord, a half or a whole step between tones of the
//     two scales is a step. A half step put in between two tones a whole step
//     apart belongs to the run and does not count as a tone.
//   - An arpeggio is three different tones or more that follow each other as
//     those of one chord do (figure_order.go), with a skip among them: F G A is a
//     piece of a scale, though F(add9) has it. The chord is one of the family, and
//     then all of it lies in one scale, or it is the written one and all of it
//     lies under that, in the scale or not. Of several chords those that go
//     furthest are named.
//   - A leap is two notes further apart than a major third that are not in an
//     arpeggio (common practice: beyond steps and skips).
//
// Of figures that overlap the longest stands, of equal ones one without a second
// in it (of F G Bb Eb it is G Bb Eb), then one that starts on the beat, then the
// earliest, then the arpeggio; what lies before it and after it is looked at
// again by the same rule. Only an end is shared: the last note of a figure may be
// the first of the next.
//
// The rules and numbers are this project's own, from how players name what they
// practise; no standard gives them.
//
// Cost: a table look-up for each note, then a constant share of its stretch;
// nothing is allocated.
//
// Known wrong answers, accepted: an arpeggio with its tones out of order, with an
// octave displaced, with a grace note in it or across a change of scale is cut
// or missed; five tones in thirds hold two chords and one is named; a triad is
// told as three tones of each chord that holds it.

const (
	runLeast      = 4 // tones
	arpeggioLeast = 3 // different tones
	third         = 4 // semitones of the largest interval that is no leap
	// looseTwice and looseOnce: a note comes right after another when less than
	// one and a half beats lie between them, so that unsteady quarter notes
	// stay one figure.
	looseTwice, looseOnce = 2, 3
	// recentFigures is how many figures are kept, more than 32 notes can hold.
	recentFigures = 64
	// outlineNotes and outlineBeats bound what is being outlined.
	outlineNotes, outlineBeats = 8, 2
)

// FigureKind says what a figure is.
type FigureKind uint8

const (
	NoFigure FigureKind = iota
	FigureRun
	FigureArpeggio
	FigureLeap
)

// String prints the kind as the contract names it: "run", "arpeggio" or "leap".
func (k FigureKind) String() string { return [...]string{"", "run", "arpeggio", "leap"}[k] }

// Link says how a run or arpeggio is joined to the one before it.
type Link uint8

const (
	NoLink     Link = iota // other notes or a rest stand between
	LinkShared             // it starts on the note on which the one before ends
	LinkStep               // on the next note, a half or a whole step away
	LinkJump               // on the next note, further away
)

// String prints the link: "shared", "step", "jump", or nothing.
func (l Link) String() string { return [...]string{"", "shared", "step", "jump"}[l] }

// walkNote is a note of the stretch that is being played.
type walkNote struct {
	n, tick int64
	seq     int64 // counts line notes
	group   int64 // counts the rests before it
	key     int
	index   int      // place in its scale; -1 outside
	follows chordSet // the chords in whose order it follows the note before
	context *context
	table   *familyTable
	beat    BeatPlace
}

// shared returns the chords that two notes can be of together: those of the
// family where the scale is one, and the written one where the chord is one.
func (w *walkNote) shared(o *walkNote) chordSet {
	if w.context == o.context {
		return ^chordSet(0)
	}
	var chords chordSet
	if w.table == o.table {
		chords = ^writtenChord
	}
	if w.context.changes == o.context.changes {
		chords |= writtenChord
	}
	return chords
}

// figure is a figure of the line.
type figure struct {
	kind        FigureKind
	up          bool
	first, last walkNote
	notes       int
	tones       int      // an arpeggio: different ones
	chords      chordSet // of its table and the written one, those that fit
	halfSteps   int      // a run: half steps put in
	ontoBeat    int      // of these, how many brought the half that belongs there onto the beat
	link        Link
}

// figures finds the figures of the line as it is played.
type figures struct {
	families
	stretch []walkNote // its memory is used again
	up      bool       // of the stretch, once it has two notes
	found   []figure   // memory for the stretch being looked at

	seq, group int64
	recent     [recentFigures]figure // figure i is at i modulo recentFigures
	n          int64
	linked     figure // the last run or arpeggio
	phrase     figuresInPhrase
	pending    pendingChords
	chord      struckChord

	counts    FigureCounts
	links     LinkCounts
	halfSteps HalfStepCounts
}

func newFigures(s *Setup, contexts []context) figures {
	return figures{families: newFamilies(s.Voicing, contexts), stretch: make([]walkNote, 0, keys)}
}

// add takes the next note of the line. joined says that it comes right after
// the one before.
func (f *figures) add(p *played, joined bool) {
	slot := &f.slots[p.slot]
	w := walkNote{
		n: p.n, tick: p.tick, seq: f.seq, key: p.key, index: p.index,
		context: p.context, table: slot.table, beat: p.pulse.place(),
	}
	f.seq++
	if !joined {
		f.end()
	}
	w.group = f.group
	if len(f.stretch) == 0 {
		f.stretch = append(f.stretch, w)
		return
	}
	before := &f.stretch[len(f.stretch)-1]
	w.follows = slot.steps.follow(before.key, w.key) & w.shared(before)
	up := w.key > before.key
	switch {
	case w.key == before.key:
		f.settle()
	case len(f.stretch) > 1 && up != f.up:
		turn := *before
		f.settle()
		f.stretch = append(f.stretch, turn)
	}
	f.stretch, f.up = append(f.stretch, w), up
}

// end closes the figures under way: a rest has come, a phrase is over. Calling
// it twice does no more than calling it once.
func (f *figures) end() {
	f.settle()
	f.group++
}

// settle records the figures of the stretch and empties it.
func (f *figures) settle() {
	f.found = findFigures(f.stretch, f.up, f.found[:0])
	f.stretch = f.stretch[:0]
	for i := range f.found {
		f.record(&f.found[i])
	}
}

func (f *figures) record(g *figure) {
	switch g.kind {
	case FigureRun:
		f.counts.Run++
		f.halfSteps.Added += int64(g.halfSteps)
		f.halfSteps.OntoBeat += int64(g.ontoBeat)
	case FigureArpeggio:
		f.counts.Arpeggio++
		g.last.table.count(g.chords)
	case FigureLeap:
		f.counts.Leap++
	}
	if g.kind != FigureLeap {
		g.link = linkOf(&f.linked, g)
		f.links.count(g.link)
		f.linked = *g
	}
	f.recent[f.n%recentFigures] = *g
	f.n++
	f.phrase.add(g)
}

// linkOf tells how a figure is joined to the one before.
func linkOf(before, g *figure) Link {
	switch from, to := &before.last, &g.first; {
	case before.kind == NoFigure || from.group != to.group:
		return NoLink
	case from.seq == to.seq:
		return LinkShared
	case from.seq+1 != to.seq:
		return NoLink
	case apart(from.key, to.key) <= wholeStep:
		return LinkStep
	}
	return LinkJump
}

// inLine gives a note that has just joined its phrase to what looks at the line.
func (a *Analyser) inLine(p *played) {
	first := a.phrases.latest().first == p.n
	a.hanging.next(p, first, a)
	a.figures.add(p, !first && a.joined(p))
	a.alignment.add(p)
	a.fits(p, 1<<p.class())
}

// joined reports whether the newest note of a phrase comes right after the one
// before: within the gap that connects for the fates, or less than one and a half
// beats later.
func (a *Analyser) joined(p *played) bool {
	gap, beat := p.tick-a.line.last[1].tick, p.position.beatTicks
	return gap*looseTwice < beat*looseOnce || gap <= a.line.gap(beat)
}
