package figure

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/instrument"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Figures in the line: runs, arpeggios and leaps.
//
// A line is a string of sweeps that go one way, up or down; the note on which it
// turns ends one and starts the next. A repeated note, a new phrase, and
// a note that comes one and a half beats after the one before or later (in slow
// practice 1.5 times the recent median gap) start one with nothing shared. A figure lies within a sweep, for a run or an
// arpeggio that turned would be two. So it is enough to keep the sweep that is
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
// Cost: a table look-up for each note, then a constant share of its sweep;
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
	// Bars and recentNotes bound the longest recent run and arpeggio: the last so
	// many bars or notes of the line, whichever are fewer.
	Bars, recentNotes = 4, 32
	// recentFigures is how many figures are kept, more than 32 notes can hold.
	recentFigures = 64
	// outlineNotes and OutlineBeats bound what is being outlined.
	outlineNotes, OutlineBeats = 8, 2
)

// Kind says what a figure is.
type Kind uint8

const (
	None Kind = iota
	Run
	Arpeggio
	Leap
	StruckChord // among the figures of a phrase: a chord that was struck in it
)

// String prints the kind as the contract names it: "run", "arpeggio", "leap" or
// "chord".
func (k Kind) String() string { return [...]string{"", "run", "arpeggio", "leap", "chord"}[k] }

// MarshalText writes the kind as the contract names it.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes; anything else is no figure.
func (k *Kind) UnmarshalText(text []byte) error {
	for *k = StruckChord; *k > None && k.String() != string(text); {
		*k--
	}
	return nil
}

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

// walkNote is a note of the sweep that is being played.
type walkNote struct {
	n, tick int64
	seq     int64 // counts line notes
	group   int64 // counts the rests before it
	key     int
	index   int      // place in its scale; -1 outside
	follows chordSet // the chords in whose order it follows the note before
	context *song.Context
	named   *harmony.Spelling
	table   *familyTable
	beat    song.BeatPlace
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
	if w.context.Chord == o.context.Chord {
		chords |= writtenChord
	}
	return chords
}

// figure is a figure of the line.
type figure struct {
	kind        Kind
	up          bool
	first, last walkNote
	notes       int
	tones       int      // an arpeggio: different ones
	chords      chordSet // of its table and the written one, those that fit
	halfSteps   int      // a run: half steps put in
	ontoBeat    int      // of these, how many brought the half that belongs there onto the beat
	link        Link
}

// Finder finds the figures of the line as it is played.
type Finder struct {
	families
	sweep []walkNote // its memory is used again
	up    bool       // of the sweep, once it has two notes
	found []figure   // memory for the sweep being looked at

	seq, group int64
	recent     [recentFigures]figure // figure i is at i modulo recentFigures
	n          int64
	linked     figure // the last run or arpeggio
	phrase     InPhrase
	pending    pendingChords
	struck     struckChord // the last one

	chorus, session tally
}

// New returns a finder over some contexts; voicing is what the families are made
// of, in places of the scale, nil for the usual ones.
func New(voicing []int, contexts []song.Context) Finder {
	return Finder{families: newFamilies(voicing, contexts), sweep: make([]walkNote, 0, instrument.KeyCount)}
}

// Note takes the next note of the line.
func (f *Finder) Note(n *song.Note) {
	f.pendingInto(n.Opener)
	slot := &f.slots[n.Slot]
	w := walkNote{
		n: n.N, tick: n.Tick, seq: f.seq, key: n.Key, index: n.Index,
		context: n.Context, named: n.Named, table: slot.table, beat: n.Pulse.Beat(),
	}
	f.seq++
	if n.First || !n.Joined {
		f.end()
	}
	w.group = f.group
	if len(f.sweep) == 0 {
		f.sweep = append(f.sweep, w)
		return
	}
	before := &f.sweep[len(f.sweep)-1]
	w.follows = slot.steps.follow(before.key, w.key) & w.shared(before)
	up := w.key > before.key
	switch {
	case w.key == before.key:
		f.settle()
	case len(f.sweep) > 1 && up != f.up:
		turn := *before
		f.settle()
		f.sweep = append(f.sweep, turn)
	}
	f.sweep, f.up = append(f.sweep, w), up
}

// end closes the figures under way: a rest has come, a phrase is over. Calling
// it twice does no more than calling it once.
func (f *Finder) end() {
	f.settle()
	f.group++
}

// settle records the figures of the sweep and empties it.
func (f *Finder) settle() {
	f.found = findFigures(f.sweep, f.up, f.found[:0])
	f.sweep = f.sweep[:0]
	for i := range f.found {
		f.record(&f.found[i])
	}
}

func (f *Finder) record(g *figure) {
	switch g.kind {
	case Run:
		f.chorus.figures.Run++
		f.chorus.halfSteps.Added += int64(g.halfSteps)
		f.chorus.halfSteps.OntoBeat += int64(g.ontoBeat)
	case Arpeggio:
		f.chorus.figures.Arpeggio++
		g.last.table.count(g.chords)
	case Leap:
		f.chorus.figures.Leap++
	}
	if g.kind != Leap {
		g.link = linkOf(&f.linked, g)
		f.chorus.links.count(g.link)
		f.linked = *g
	}
	f.recent[f.n%recentFigures] = *g
	f.n++
	f.phrase.add(g)
}

// linkOf tells how a figure is joined to the one before.
func linkOf(before, g *figure) Link {
	switch from, to := &before.last, &g.first; {
	case before.kind == None || from.group != to.group:
		return NoLink
	case from.seq == to.seq:
		return LinkShared
	case from.seq+1 != to.seq:
		return NoLink
	case tone.Apart(from.key, to.key) <= tone.WholeStep:
		return LinkStep
	}
	return LinkJump
}

// IsLoose reports whether a note that comes so many ticks after the one before
// stands right behind it: less than one and a half beats.
func IsLoose(gap, beat int64) bool { return gap*looseTwice < beat*looseOnce }
