package figure

import (
	"cmp"

	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Figures in the line, as a player names them.
//
// A stretch is notes that come right after each other: a new phrase, and a note that
// comes one and a half beats after the one before or later (in slow practice 1.5 times
// the recent median gap) start another. It is looked at whole when it ends. One that
// goes on for 64 notes is looked at then: what lies in its first half is told, and it
// goes on behind that.
//
// One way, up or down:
//
//   - A run is four tones or more on adjacent steps: of the scale, of the scale
//     without its flat six, or of the chord's own seven tones
//     (harmony.Chord.SevenTones). Where the tones change with the chord, a half or a
//     whole step between the old and the new is a step. A half step put in between two
//     tones a whole step apart belongs to the run and does not count as a tone.
//   - An arpeggio is three different tones or more that follow each other as
//     those of one chord do (order.go), with more skips than seconds among them, three
//     tones with no second: F G A is a piece of a scale, though F(add9) has it. The
//     chord is one of the family, and then all of it lies in one scale, or it is the
//     written one, with its ninth, and all of it lies under that, in the scale or not.
//     A half step outside that leads on into a tone of it belongs to it. Of several
//     chords those that go furthest are named.
//   - A cell is four tones with two steps and a skip under one chord: 1-2-3-5.
//
// Turning:
//
//   - A broken arpeggio is the four tones of one chord within an octave, in any
//     order but up and down: 1-3-2-4.
//   - Thirds are three of them or more, all up or all down, that move on by step.
//   - A trill is two tones a step apart in turn, four notes or more.
//   - An enclosure is a tone of the chord after both its neighbours, a half or a whole
//     step away, or after two on one side and one on the other.
//
// A tone struck three times or more is repeated. A leap is two notes further apart
// than a major third that are in nothing else (common practice: beyond steps and
// skips).
//
// Of figures that overlap the longest stands; of equal ones a run or arpeggio, then
// what repeats itself, then a broken one, then a cell, then an enclosure; then one
// without a second in it (of F G Bb Eb it is G Bb Eb), then one that starts on the
// beat, then the earliest, then the arpeggio, then the run of the whole scale. What
// lies before it and after it is looked at again by the same rule. Only an end is
// shared: the last note of a figure may be the first of the next.
//
// The rules and numbers are this project's own, from how players name what they
// practise; no standard gives them.
//
// Cost: a look at each note of a stretch for each figure in it, so bounded; nothing is
// allocated.
//
// Known wrong answers, accepted: an arpeggio with an octave displaced, with a grace
// note in it or across a change is cut or missed; five tones in thirds hold two chords
// and one is named; a triad is told as three tones of each chord that holds it; in the
// middle of 64 notes without a rest a figure can be cut.

// WidestSkip is the largest interval that is no leap, a major third, in semitones.
const WidestSkip = 4

const (
	runLeast      = 4 // tones
	arpeggioLeast = 3 // different tones
	cellNotes     = 4
	brokenNotes   = 4
	thirdsLeast   = 6 // notes
	trillLeast    = 4 // notes, as it is a fate
	repeatedLeast = 3 // notes
	cellSkip      = 5 // semitones of the largest skip in a cell
	// stretchMost bounds the notes that are looked at together.
	stretchMost = 64
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
	Cell
	Enclosure
	Thirds
	Repeated
	Trill
	StruckChord // among the figures of a phrase: a chord that was struck in it
)

// String prints the kind as the contract names it: "run", "arpeggio", "leap", "cell",
// "enclosure", "thirds", "repeated", "trill" or "chord".
func (k Kind) String() string {
	return [...]string{"", "run", "arpeggio", "leap", "cell", "enclosure", "thirds", "repeated", "trill", "chord"}[k]
}

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

// sort says which tones a run goes through.
type sort uint8

const (
	wholeScale sort = iota
	withoutSix      // the scale without its flat six
	ownSeven        // the chord's own seven tones
	sorts
)

// walkNote is a note of the stretch that is being played.
type walkNote struct {
	n, tick int64
	seq     int64 // counts line notes
	group   int64 // counts the rests before it
	key     int
	way     int      // from the note before in the stretch: 1 up, -1 down, 0 the same or none
	index   int      // place in its scale; -1 outside
	follows chordSet // the chords in whose order it follows the note before
	over    chordSet // those in whose order it follows the one before that, past a half step that leads into it
	context *song.Context
	named   *harmony.Spelling
	slot    *slotChords
	beat    song.BeatPlace

	chorus, bar int32 // rows, as in song.Rows
}

func (w *walkNote) class() tone.Class { return tone.ClassOf(w.key) }

// foreign reports whether the note is in none of the scales that runs go through.
func (w *walkNote) foreign() bool { return w.index < 0 && !w.slot.runs[ownSeven].Has(w.class()) }

// shared returns the chords that two notes can be of together: those of the
// family where the scale is one, and the written one where the chord is one.
func (w *walkNote) shared(o *walkNote) chordSet {
	if w.context == o.context {
		return ^chordSet(0)
	}
	var chords chordSet
	if w.slot.table == o.slot.table {
		chords = ^overWritten
	}
	if w.context.Chord == o.context.Chord {
		chords |= overWritten
	}
	return chords
}

// playedMost is how many tones of a figure are kept by name, in the order in which
// they are first played.
const playedMost = 6

// figure is a figure of the line.
type figure struct {
	kind        Kind
	up          bool
	first, last walkNote
	notes       int
	tones       int      // an arpeggio: different ones
	chords      chordSet // of its table and the written one, those that fit
	sort        sort     // a run
	order       [brokenNotes]uint8
	broken      bool
	halfSteps   int // a run or an arpeggio: half steps put in
	ontoBeat    int // of these in a run, how many brought the half that belongs there onto the beat
	link        Link

	played  [playedMost]tone.Class // different tones, half steps left out
	nPlayed int
}

// Finder finds the figures of the line as it is played.
type Finder struct {
	Most int // so many figures of a phrase are kept, where that is more than its first 12; set before the first note

	families
	stretch []walkNote // its memory is used again
	found   []figure   // memory for the stretch being looked at

	seq, group int64
	recent     [recentFigures]figure // figure i is at i modulo recentFigures
	n          int64
	linked     figure // the last run or arpeggio
	phrase     InPhrase
	pending    pendingChords
	struck     struckChord // the last one

	song.Sheets[tally, *tally]
}

// New returns a finder over some contexts; voicing is what the families are made
// of, in places of the scale, nil for the usual ones.
func New(voicing []int, contexts []song.Context) Finder {
	return Finder{
		families: newFamilies(voicing, contexts), stretch: make([]walkNote, 0, stretchMost),
		Sheets: song.NewSheets[tally](func() *tally { return &tally{} }),
	}
}

// Note takes the next note of the line.
func (f *Finder) Note(n *song.Note) {
	f.pendingInto(n.Opener)
	slot := &f.slots[n.Context.Row]
	w := walkNote{
		n: n.N, tick: n.Tick, seq: f.seq, key: n.Key, index: n.Index,
		context: n.Context, named: n.Named, slot: slot, beat: n.Pulse.Beat(), chorus: int32(n.Rows.Chorus), bar: int32(n.Rows.Bar),
	}
	f.seq++
	if n.First || !n.Joined {
		f.end()
	}
	w.group = f.group
	if last := len(f.stretch) - 1; last >= 0 {
		before := &f.stretch[last]
		w.way = cmp.Compare(w.key, before.key)
		w.follows = slot.steps.follow(before.key, w.key) & w.shared(before)
		if last > 0 && w.way == before.way && tone.Apart(before.key, w.key) == 1 && before.foreign() {
			one := &f.stretch[last-1]
			w.over = slot.steps.follow(one.key, w.key) & w.shared(one) & w.shared(before)
		}
	}
	f.stretch = append(f.stretch, w)
	if len(f.stretch) == stretchMost {
		f.spill()
	}
}

// end closes the figures under way: a rest has come, a phrase is over. Calling
// it twice does no more than calling it once.
func (f *Finder) end() {
	f.found = findFigures(f.stretch, f.found[:0])
	f.stretch = f.stretch[:0]
	for i := range f.found {
		f.record(&f.found[i])
	}
	f.group++
}

// spill records the figures in the first half of a full stretch and keeps what is
// behind them: from the middle, or where a figure lies over that from its beginning; a
// figure that has begun it is told as far as it goes.
func (f *Finder) spill() {
	f.found = findFigures(f.stretch, f.found[:0])
	base := f.stretch[0].seq
	cut := base + stretchMost/2
	for i := range f.found {
		g := &f.found[i]
		if g.first.seq < cut && g.last.seq > cut {
			if cut = g.first.seq; cut == base {
				cut = g.last.seq
			}
			break
		}
	}
	for i := range f.found {
		if g := &f.found[i]; g.last.seq <= cut {
			f.record(g)
		}
	}
	f.stretch = append(f.stretch[:0], f.stretch[cut-base:]...)
	f.stretch[0].way, f.stretch[0].follows, f.stretch[0].over = 0, 0, 0
	if len(f.stretch) > 1 {
		f.stretch[1].over = 0
	}
}

func (f *Finder) record(g *figure) {
	f.Now().figures.count(g.kind)
	switch g.kind {
	case Run:
		f.Now().halfSteps.Added += int64(g.halfSteps)
		f.Now().halfSteps.OntoBeat += int64(g.ontoBeat)
	case Arpeggio:
		g.last.slot.table.count(f.Now(), g.chords)
		if g.last.slot.table.isWatched(g.chords, g.tones) {
			f.watched(int(g.first.chorus), int(g.first.bar))
		}
	}
	if g.kind == Run || g.kind == Arpeggio {
		g.link = linkOf(&f.linked, g)
		f.Now().links.count(g.link)
		f.linked = *g
	}
	f.recent[f.n%recentFigures] = *g
	f.n++
	f.inPhrase(g)
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
