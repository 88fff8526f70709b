package fit

import "math"

// The two constants that are fitted, on published transcriptions (the 181 solos
// with functional and blues changes of one half of the Weimar Jazz Database,
// ODbL, cut into sections of 16 bars).
const (
	// slope is the evidence of one point that a line has more at another place
	// than as written: the base-ten logistic slope that tells the sections as
	// written from the same moved by a half step, a whole step, half a bar and a
	// bar.
	slope = 0.15
	// Claim is the evidence from which a span is said to be elsewhere, a hundred
	// to one: of the real sections one in a hundred is.
	Claim = 2
)

// When there is too little to say.
const (
	leastNotes   = 8
	leastDensity = 600 // notes in a thousand beats
)

const (
	// clearly is how many standard deviations of notes at random make a
	// difference: chance alone makes it in one of 44.
	clearly = 2
	// clearlyBest is the same for the best of the seventeen other places: chance
	// alone lifts one of so many that high one time in twenty.
	clearlyBest = 2.75
	// inKeyTenths is the share of its notes that a line with the key has in the
	// centre's scale: a tenth is left for notes on their way.
	inKeyTenths = 9
	// nowhereBars is how long a span is, if it is not the take, to be told to go
	// nowhere.
	nowhereBars = 32
)

// pitchOrder is the moves by semitones, the smaller before the larger, down
// before up.
var pitchOrder = [...]int{-1, 1, -2, 2, -3, 3, -4, 4, -5, 5, 6}

// best is the best other place of a stretch, if it has one.
type best struct {
	found bool // there is a place with other chords
	move  Move
	sum   int64 // points of point there, less as written
}

func (b *best) try(move Move, sum int64) {
	if !b.found || sum > b.sum {
		*b = best{found: true, move: move, sum: sum}
	}
}

// evidence is the base-ten logarithm of the likelihood ratio of the place against the
// written one; against the dim halves there where a line goes better with those than with
// the place: who takes the dim half for home sounds like the chord a fifth above, which is
// often that of another bar, and has a fault of the beat and no other place.
func (b *best) evidence(s *stretch) float64 {
	sum := b.sum
	if s.turned >= sum {
		sum -= s.turned
	}
	return slope * float64(sum) / point
}

// best returns the best other place of a stretch: on equal sums time before
// pitch, the smaller move before the larger, late before early. Places that have
// the same chords for all notes have equal sums, so that the first stands for
// them; those that have the written chords are none.
func (s *stretch) best(f *form) best {
	var b best
	for i, move := range f.grids[s.grid].move {
		if s.differ[i] > 0 {
			b.try(move, s.sum[i])
		}
	}
	for _, semitones := range pitchOrder {
		if i := semitones - lowestMove; s.alike[i] < s.notes {
			b.try(Move{Semitones: semitones}, s.pitch[i])
		}
	}
	return b
}

// verdict says how well a stretch goes. The form may be nil.
func (f *form) verdict(span Span, s *stretch) Verdict {
	v := Verdict{Span: span, FromN: s.first, ToN: s.last + 1, Notes: s.notes, Says: TooLittle}
	if f == nil {
		return v
	}
	v.Chorus, v.FromBar, v.FromBeat = f.position(s.from)
	v.ToChorus, v.ToBar, v.ToBeat = f.end(max(s.to, s.from+1))
	v.Score = float64(s.score) / point / float64(max(1, s.notes))
	b := s.best(f)
	v.Elsewhere, v.Evidence, v.BarBeats = b.move, b.evidence(s), f.grids[s.grid].barBeats()
	switch {
	case s.tooLittle() || !b.found:
	case f.elsewhere(span, s, &b):
		v.Says = Elsewhere
	default:
		v.Says, v.With = s.fits(span)
	}
	return v
}

// tooLittle reports whether a stretch has too few notes.
func (s *stretch) tooLittle() bool {
	return s.notes < leastNotes || s.notes*milliBeat*1000 < leastDensity*s.beats
}

// elsewhere reports whether a stretch is said to be at its best other place: by
// the evidence, and because it lies there as no notes at random would.
func (f *form) elsewhere(span Span, s *stretch, b *best) bool {
	random, deviation := s.random()
	return b.evidence(s) >= Claim && s.mayBe(span, b.move, f.unmoved) && float64(s.score+b.sum) > random+clearlyBest*deviation
}

// mayBe reports whether a move is one that a span may be said to be off by. A
// line a tritone away over dominants is how they are played; one a fourth or a
// fifth away is at home in so much vocabulary that only a whole take is told so, and a
// chorus that is in the key of the one before where it was to be in another: of 273
// sections of 16 bars of real solos none would be told that wrongly, and one in three that
// is moved by so much is (Weimar Jazz Database, ODbL).
func (s *stretch) mayBe(span Span, m Move, unmoved int) bool {
	const tritone, fourth = 6, 5
	switch m.Semitones {
	case tritone:
		return s.dominants < s.notes
	case fourth, -fourth:
		return span == Take || span == Chorus && m.Semitones == unmoved
	}
	return true
}

// fits says what a stretch goes with that is not elsewhere.
//
// Its score is held against what notes drawn at random from the twelve classes
// would have over the same chords, and against the tones of the centre's scale
// drawn at random. A line that lies clearly above the tones of the scale knows
// the chords. One that stays in the scale and is no better than that goes with
// the key. What is left goes with the chords where it lies clearly above notes at
// random and not clearly below the tones of the scale, and nowhere the other way
// round. Between them nothing is said.
func (s *stretch) fits(span Span) (Says, With) {
	random, deviation := s.random()
	score, key, margin := float64(s.score), float64(s.key)/scaleTones, clearly*deviation
	switch {
	case score > key+margin:
		return Fits, Chords
	case s.inKey*tenths >= inKeyTenths*s.notes:
		return Fits, Key
	case score > random+margin && score >= key-margin:
		return Fits, Chords
	case score+float64(max(0, s.turned)) <= random+margin && score < key-margin && (span == Take || s.bars >= nowhereBars):
		return Nowhere, Unsaid
	}
	return Fits, Unsaid
}

// random returns what notes drawn at random would score in place of those of the
// stretch, and the standard deviation of that.
func (s *stretch) random() (mean, deviation float64) {
	return float64(s.chance) / classes, math.Sqrt(float64(s.spread)) / classes
}
