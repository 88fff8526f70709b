package centre

import "shedlight/analyse/tone"

// Weights of a chord in a centre, in points a bar. Their order comes from the
// trade's rules (common practice); their sizes are small numbers chosen so that
// the rules' own thresholds come out, as worked at changeCost and landingBonus.
const (
	// atHome is the tonic and what leads to it at once.
	atHome = 0
	// onTheWay is a dominant further back in a chain, or one that would lead home
	// and does not land: as good as home, but a centre in which it lands is nearer.
	onTheWay = 1
	// diatonic is a chord of the key that stands: ii, iii, vi; IV7; I7 of less than
	// a bar in a blues.
	diatonic = 2
	// colour is the key's habitual colour: IV, the minor iv, the backdoor bVII7,
	// I7 over a major tonic, the half-diminished chord on #iv; bII and bVI without
	// their dominant.
	colour = 3
	// strange is a chord that the key's scale lacks and that is still not news: a
	// minor five, a minor sixth on ii, II7 and bVI7 that wait, a sixth or major
	// seventh as the tonic of a blues.
	strange = 4
	// visit is a dominant, and its two, to IV, V, ii, iii or vi.
	visit = 4
	// rival is a chord that asks for a centre of its own: the tonic in the other
	// mode (the landing decides the mode, yet one bar of it is a colour), the
	// major seventh on V, bIII in minor.
	rival = 5
	// borrowed is a major chord of the parallel key: bIII, bVI, bII, bVII.
	borrowed = 7
	// foreign is anything else: the measure of the other weights.
	foreign = 8
)

// Costs and lengths of whole stretches.
const (
	// changeCost, in points, is a bar and a half of foreign chords: leaving and
	// coming back is worth three bars, and staying wins the tie. So four bars
	// are a stretch of their own and three are not, unless something lands.
	changeCost = 12
	// modeChangeCost, in points, changes the mode on one tonic, a bar of foreign
	// chords: less, because home remains home, and yet there and back is more than
	// one bar in the other mode is worth.
	modeChangeCost = 8
	// endBonus, in points, is half a change: what the tonic earns on which the
	// last bars come to rest. It decides between two readings of the loop that
	// are about as good.
	endBonus = 6
	// staticBars, in bars: a chord that stands this long and leads nowhere is a
	// centre (common practice: the modal stretch).
	staticBars = 4
	// tonicBars, in bars: a landing this long stays; a minor sixth or a minor with
	// the major seventh this long is a tonic, even where it turns into a two
	// afterwards.
	tonicBars = 2
	// landingBars, in bars, is how long a landing goes on earning: four bars of
	// a tonic prove a key.
	landingBars = 4
)

// landingBonus is what a tonic earns for each bar it sounds after a cadence, in
// points, half of it where it does not stay: least for a leading-tone chord, which
// mostly passes, most for the whole two-five-one. That of the two-five-one settles
// the rule of the visit. A bar of two-five and a bar of landing in a foreign key
// weigh 8 + 8 + 5, less than the 24 of leaving and coming back: the finer layer.
// With a second bar of landing they weigh 8 + 16 + 20: it lands and stays, a
// stretch. On IV the first weighs 4 + 3 + 5 less the half that a first bar leaves
// to home (see weight), 10, a visit; with a second bar 4 + 6 + 20 - 5 = 25, a
// stretch.
var landingBonus = [...]int64{
	noCadence:          0,
	leadingToneCadence: 2,
	backdoorCadence:    3,
	dominantCadence:    4,
	twoFiveCadence:     10,
	plagalCadence:      4,
}

// degreeWeights holds a weight for each root from the tonic up by semitones,
// one letter each, by degreeWeight.
type degreeWeights string

var degreeWeight = [...]int64{
	'-': atHome, 'w': onTheWay, 'd': diatonic, 'c': colour, 's': strange, 'v': visit, 'r': rival, 'b': borrowed, 'x': foreign,
}

func (d degreeWeights) at(semitones int) int64 { return degreeWeight[d[semitones]] }

// standingIn is what a standing chord costs, by mode, kind and degree; a
// dominant, where it lands nowhere.
//
//	I bII II bIII III IV #IV V bVI VI bVII VII
var standingIn = [...][diminished]degreeWeights{
	Major: {
		majorTriad:     "-bxbxcxdbxbx",
		majorTonic:     "-bxbxcxrbxbx",
		minorTriad:     "rxdxdcxsxdxx",
		minorTonic:     "rxsxscxcxsxx",
		minorSeventh:   "rxdxdcxsxdxx",
		halfDiminished: "xxcxcxcxxcxd",
		dominant:       "ccsxxdxwsxcx",
	},
	Minor: {
		majorTriad:     "rsxrxcxwcxsx",
		majorTonic:     "rsxrxcxxcxbx",
		minorTriad:     "-xcxxwxcxxbx",
		minorTonic:     "-xcxxwxcxxbx",
		minorSeventh:   "-xcxxwxcxxbx",
		halfDiminished: "xxwxxsssxdxs",
		dominant:       "scxxxcxwcxcx",
	},
	Blues: {
		majorTriad:     "sbxbxcxdbxbx",
		majorTonic:     "sbxbxcxrbxbx",
		minorTriad:     "rxdxdcxsxdxx",
		minorTonic:     "rxsxscxcxsxx",
		minorSeventh:   "rxdxdcxsxdxx",
		halfDiminished: "xxcxcxcxxcxd",
		dominant:       "-cxxx-xdcxcx",
	},
}

// leadingTo is what a dominant and its two cost by the degree on which they
// land, and whether a major or a minor chord stands there.
var leadingTo = [...]struct{ major, minor degreeWeights }{
	Major: {major: "-xxxxvxvxxxx", minor: "-xvxvvxvxvxx"},
	Minor: {major: "-xxvxvxvvxxx", minor: "-xxxxdxvxxxx"},
	Blues: {major: "-xxxxvxvxxxx", minor: "-xvxvvxvxvxx"},
}

// weight returns what a chord costs in a centre, in points times ticks. It is
// negative where a landing earns more.
func (r *reading) weight(e *loopChord, tonic int, mode Mode) int64 {
	if mode == Blues && !r.blues(tonic) {
		return foreign * e.ticks
	}
	degree := mod12(e.root - tonic)
	switch e.does {
	case passing:
		return onTheWay * e.ticks // the same everywhere: it says nothing
	case preparing:
		return r.prepared(e, degree, tonic, mode) * e.ticks
	case leading:
		w := r.led(e, degree, tonic, mode) * e.ticks
		if degree == 0 && mode == Blues {
			w -= e.earns() * min(e.stays, landingBars*r.bar)
		}
		return w
	}
	w := standingIn[mode][e.kind].at(degree)
	switch {
	case e.static && !r.home(e, degree, mode):
		w = foreign
	case w == borrowed && (e.ticks < r.bar || e.reached == noCadence && (degree == semitone || degree == minorSixth)):
		w = colour // a turnaround of borrowed major chords; bII and bVI without their dominant
	}
	w *= e.ticks
	switch {
	case degree == 0 && e.kind.isMinor() == (mode == Minor):
		w -= e.earns() * min(e.stays, landingBars*r.bar)
	case !e.again && visits(degree, e.kind, mode):
		// The first bar of a visit is home's colour as much as a landing; one
		// that comes twice is no visit.
		w -= e.earns() / 2 * min(e.stays, r.bar)
	}
	return w
}

// blues reports whether the loop can hold a blues on a tonic: it needs I7 at
// rest, and IV7 that comes back to it or a two-five that lands on it. Twelve bars
// with IV7 say it by themselves, and so does one seventh chord alone.
func (r *reading) blues(tonic int) bool {
	one, four := tone.Class(tonic), tone.ClassOf(tonic+fourth)
	switch {
	case len(r.loop) == 1:
		return r.dominants.Has(one)
	case r.twelve && r.dominants.Has(four):
		return true
	}
	return r.rests.Has(one) && r.arrivals.Has(one)
}

// earns returns what a landing earns a bar: half where it does not stay.
func (e *loopChord) earns() int64 {
	if e.settles {
		return landingBonus[e.reached]
	}
	return landingBonus[e.reached] / 2
}

// visits reports whether a landing on a degree is at first a visit from home:
// IV, ii, iii or vi of a major key or a blues, iv of a minor one. A minor sixth
// or minor with the major seventh says that it is a tonic and no ii, iii or vi.
func visits(degree int, kind chordKind, mode Mode) bool {
	switch {
	case mode == Minor:
		return degree == fourth && kind.isMinor()
	case kind.isMajor():
		return degree == fourth
	}
	return kind.isMinor() && kind != minorTonic && (degree == wholeStep || degree == majorThird || degree == sixth)
}

// home reports whether a chord that stands for four bars is no centre of its own:
// a tonic, or in minor, up to those four bars, the iv (common practice: twelve
// bars written as twenty-four) and a bVI that no dominant of its own leads to.
func (r *reading) home(e *loopChord, degree int, mode Mode) bool {
	if mode == Minor && e.whole <= staticBars*r.bar {
		if degree == fourth && e.kind.isMinor() || degree == minorSixth && e.kind.isMajor() && e.reached == noCadence {
			return true
		}
	}
	return degree == 0 && standingIn[mode][e.kind].at(degree) <= colour
}

// prepared weighs a two.
func (r *reading) prepared(e *loopChord, degree, tonic int, mode Mode) int64 {
	w := r.destination(e, tonic, mode)
	if degree == 0 && mode == Minor && e.kind != halfDiminished {
		if e.vamps {
			return atHome // i and IV7, round and round
		}
		w = min(w, colour) // heard as the tonic until its five comes
	}
	if degree == 0 && mode != Minor && e.kind != halfDiminished {
		w = min(w, rival)
	}
	return w
}

// led weighs a dominant, or a diminished seventh that stands for one.
func (r *reading) led(e *loopChord, degree, tonic int, mode Mode) int64 {
	w := r.destination(e, tonic, mode)
	if e.kind != dominant {
		return w
	}
	// A seventh on I or IV that does not land on a major or minor chord a
	// fifth below is no dominant there.
	lands := e.resolved && e.links == 1
	switch {
	case e.whole > staticBars*r.bar && degree != 0 && !(degree == fourth && mode == Blues):
		return max(w, strange) // so long a dominant is a place, not a way
	case degree == 0 && mode == Blues && !lands && e.ticks >= r.bar:
		return atHome
	case degree == 0 && mode == Blues && !lands:
		return min(w, diatonic)
	case degree == 0 && mode == Major && !(e.afterTwo && lands):
		return min(w, colour)
	case degree == fourth && mode == Blues && !e.toMinor && (!e.resolved || e.target == tonic):
		return atHome
	case degree == fourth && mode == Major && r.twelve && e.ticks >= r.bar && !e.down:
		return foreign // in twelve bars IV7 is the mark of a blues
	case degree == fourth && mode == Minor && (e.vamps || e.toMinor):
		return atHome
	case !e.resolved:
		return min(w, standingIn[mode][dominant].at(degree))
	}
	return w
}

// destination weighs a chain of dominants by where it lands. One that passes
// the tonic seventh of a blues has come home. One that lands nowhere may also be
// what its last dominant says by itself.
func (r *reading) destination(e *loopChord, tonic int, mode Mode) int64 {
	to := &leadingTo[mode]
	degree := mod12(e.target - tonic)
	w := min(to.major.at(degree), to.minor.at(degree)) + onTheWay
	if e.resolved {
		w = to.major.at(degree)
		if e.landing.isMinor() {
			w = to.minor.at(degree)
		}
		switch {
		case degree == 0 && mode != Minor && (e.landing.isMinor() && e.announces || e.kind == halfDiminished):
			w = colour
		case w == atHome && e.links > 1:
			w = onTheWay
		}
	} else {
		own := standingIn[mode][dominant].at(mod12(degree + fifth))
		switch {
		case e.links > 1:
			own += onTheWay
		case e.does == preparing:
			own = max(own, colour)
		}
		w = min(w, own)
	}
	if aside := mod12(e.aside - tonic); e.aside != e.target {
		w = min(w, min(to.major.at(aside), to.minor.at(aside))+onTheWay)
	}
	return min(w, e.through(tonic, mode))
}

// through weighs a chain that comes past the tonic on its way elsewhere: as the
// seventh of a blues, or as a minor chord that then becomes a two. Where the
// chain ends on the tonic's own seventh it has come home.
func (e *loopChord) through(tonic int, mode Mode) int64 {
	class := tone.Class(tonic)
	ends := !e.resolved && e.links > 1 && mod12(e.target-tonic) == fourth
	switch {
	case mode != Minor && ends:
		return onTheWay
	case mode == Blues && e.passes.Has(class), mode == Minor && e.twos.Has(class):
		return diatonic
	case mode == Major && (e.passes.Has(class) || e.twos.Has(class)):
		return colour
	}
	return foreign
}
