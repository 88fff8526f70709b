package centre

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// chordKind is what a chord is to the search for centres: what it can do in a key.
type chordKind uint8

const (
	majorTriad chordKind = iota // the only major chord that may also be a five
	majorTonic                  // sixth or major seventh
	minorTriad
	minorTonic // minor sixth or minor with the major seventh
	minorSeventh
	halfDiminished
	dominant // sevenths, suspended sevenths, augmented triads
	diminished
)

func (k chordKind) isMajor() bool { return k == majorTriad || k == majorTonic }
func (k chordKind) isMinor() bool { return k == minorTriad || k == minorTonic || k == minorSeventh }

// function is what a chord does in the loop, whatever the key.
type function uint8

const (
	standing  function = iota // it leads nowhere: a tonic or a colour
	leading                   // a dominant, or a diminished seventh that stands for one
	preparing                 // a two: what comes next is its five
	passing                   // a diminished seventh that only passes
)

// cadence is how a standing chord was reached.
type cadence uint8

const (
	noCadence cadence = iota
	leadingToneCadence
	backdoorCadence
	dominantCadence
	twoFiveCadence
	plagalCadence // IV7 to I7
)

// Intervals in semitones above a root.
const (
	semitone      = 1
	wholeStep     = 2
	minorThird    = 3
	majorThird    = 4
	fourth        = 5
	tritone       = 6
	fifth         = 7
	minorSixth    = 8
	sixth         = 9
	semitoneBelow = 11
	octave        = 12
)

// loopChord is one chord of the loop with its repetitions. N.C. lengthens the
// chord before it, which a player goes on hearing.
type loopChord struct {
	root  int // pitch class
	kind  chordKind
	flat9 bool
	// suspended is a seventh with a fourth in place of its third.
	suspended bool
	ticks     int64
	first     int // index of its first change

	does function
	five int // leading, preparing: the root of the dominant that it is, stands for or prepares
	// next is the index of the chord that a dominant leads to, a two between
	// them passed over; where it prepares, of its five.
	next int

	// The chain of dominants that starts here (leading, preparing):
	leads     bool      // the next step is a resolution, wherever the chain ends
	resolved  bool      // the chain lands on a standing chord
	target    int       // the root on which it lands, or would land
	landing   chordKind // what stands there, where it lands
	links     int       // how many dominants it has from here
	passes    tone.Set  // the dominants further on that elsewhere stand as a seventh
	twos      tone.Set  // the minor chords that one of its dominants reaches by a fifth
	aside     int       // where it would land if it ended where it first goes sideways; else target
	announces bool      // a flat five or a flat nine on the way announces a minor landing
	vamps     bool      // a two and five that go round and never land

	// What a dominant does next to its neighbours:
	afterTwo bool // its two comes before it
	sideways bool // it goes to a two that does not lie a fifth down
	back     bool // a chord a fifth above its root comes next (IV7 to I)
	toMinor  bool // and that chord is minor
	down     bool // a chord a semitone below comes next

	// How a chord stands (standing, dominants):
	reached cadence
	again   bool  // a two-five that left the same root leads back to it
	stays   int64 // ticks on this root, through changes of its sixth and seventh
	whole   int64 // the same, counted from the first chord on this root
	static  bool  // whole is staticBars or more
	settles bool  // it stays tonicBars, or what follows leads back to it
}

// reading is the loop with what each chord does.
type reading struct {
	loop      []loopChord
	place     []int    // for each change its index in loop
	bar       int64    // ticks in a bar; the mean one where meters change
	twelve    bool     // the loop is twelve bars long, or twice twelve
	dominants tone.Set // roots of all dominants that are not suspended
	arrivals  tone.Set // roots of dominants on which a two-five lands
	sevenths  tone.Set // roots of dominants that somewhere stand a bar or more
	rests     tone.Set // and of those that lead nowhere there, or to IV7 and come back
}

func mod12(n int) int { return ((n % octave) + octave) % octave }

// readLoop gives each chord of the loop its function. Each pass needs the one
// before it for the whole loop.
func readLoop(chords []Chord, length int64) reading {
	r := reading{place: make([]int, len(chords)), bar: barTicks(chords, length)}
	bars := length / r.bar
	r.twelve = length%r.bar == 0 && (bars == 12 || bars == 24)
	r.gather(chords)
	for _, pass := range [...]func(int){r.prepare, r.resolve, r.follow, r.land} {
		for i := range r.loop {
			pass(i)
		}
	}
	return r
}

// barTicks returns the length of a bar as the chords tell it: no chord of bar b
// starts before its bar line, and the first one nearly always on it. Only the
// later half of the form is asked, so that one short bar weighs little.
func barTicks(chords []Chord, length int64) int64 {
	bar := int64(0)
	for i := len(chords) - 1; i >= 0 && chords[i].Bar > 1; i-- {
		if before := int64(chords[i].Bar - 1); 2*chords[i].Bar > chords[len(chords)-1].Bar {
			if b := chords[i].Start / before; b > 0 && (bar == 0 || b < bar) {
				bar = b
			}
		}
	}
	if bar == 0 {
		bar = min(length, timebase.Common.Bar())
	}
	return bar
}

// gather makes the loop of the changes, the end of the loop joined to its start.
func (r *reading) gather(chords []Chord) {
	r.loop = make([]loopChord, 0, len(chords))
	var lead int64 // ticks of N.C. before the first chord: they lengthen the last
	for i, c := range chords {
		n := len(r.loop)
		if c.Chord.None() {
			if n == 0 {
				lead += c.End - c.Start
			} else {
				r.loop[n-1].ticks += c.End - c.Start
			}
			r.place[i] = n - 1
			continue
		}
		e := chordFrom(c.Chord)
		if n > 0 && r.loop[n-1].same(e) {
			r.loop[n-1].ticks += c.End - c.Start
			r.loop[n-1].flat9 = r.loop[n-1].flat9 || e.flat9
			r.loop[n-1].suspended = r.loop[n-1].suspended && e.suspended
			r.place[i] = n - 1
			continue
		}
		e.first, e.ticks = i, c.End-c.Start
		r.loop = append(r.loop, e)
		r.place[i] = n
	}
	n := len(r.loop)
	if n == 0 {
		return
	}
	r.loop[n-1].ticks += lead
	if n > 1 && r.loop[n-1].same(r.loop[0]) {
		r.loop[0].ticks += r.loop[n-1].ticks
		r.loop[0].flat9 = r.loop[0].flat9 || r.loop[n-1].flat9
		r.loop[0].suspended = r.loop[0].suspended && r.loop[n-1].suspended
		r.loop[0].first = r.loop[n-1].first
		r.loop = r.loop[:n-1]
	}
	for i, at := range r.place {
		if at < 0 {
			at = n - 1
		}
		r.place[i] = at % len(r.loop)
	}
}

// same reports whether two chords are one to the search: tensions are no news.
func (e loopChord) same(o loopChord) bool {
	return e.root == o.root && e.kind == o.kind
}

// chordFrom reads the chord alone.
func chordFrom(c harmony.Chord) loopChord {
	f := c.Formula
	e := loopChord{root: int(c.Root.Class()), flat9: f.Has(harmony.FlatNine)}
	third, flatThird := f.Has(harmony.Three), f.Has(harmony.FlatThree)
	flatFive := f.Has(harmony.FlatFive) && !f.Has(harmony.Five)
	switch {
	case third && (f.Has(harmony.FlatSeven) || f.Has(harmony.SharpFive) && !f.Has(harmony.Seven) && !f.Has(harmony.Six)):
		e.kind = dominant
	case third && (f.Has(harmony.Seven) || f.Has(harmony.Six)):
		e.kind = majorTonic
	case third:
		e.kind = majorTriad
	case flatThird && flatFive && f.Has(harmony.FlatSeven):
		e.kind = halfDiminished
	case flatThird && flatFive:
		e.kind = diminished
	case flatThird && f.Has(harmony.FlatSeven):
		e.kind = minorSeventh
	case flatThird && (f.Has(harmony.Six) || f.Has(harmony.Seven)):
		e.kind = minorTonic
	case flatThird:
		e.kind = minorTriad
	case f.Has(harmony.FlatSeven):
		e.kind, e.suspended = dominant, f.Has(harmony.Four)
	default:
		e.kind = majorTriad // suspended triads and bare fifths
	}
	// F/G, Fmaj7/G and Dm7/G are ways to write G9sus4 (common practice).
	over := mod12(int(c.Bass.Class()) - e.root)
	if over == wholeStep && e.kind.isMajor() || over == fourth && (e.kind == minorSeventh || e.kind == halfDiminished) {
		e = loopChord{root: int(c.Bass.Class()), kind: dominant, suspended: true}
	}
	return e
}
