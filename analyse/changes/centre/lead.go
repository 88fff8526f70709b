package centre

import "shedlight/analyse/tone"

func (r *reading) after(i int) int { return (i + 1) % len(r.loop) }

func (r *reading) before(i int) int { return (i + len(r.loop) - 1) % len(r.loop) }

// prepare finds the twos, the dominants and what the diminished sevenths do.
func (r *reading) prepare(i int) {
	e := &r.loop[i]
	e.next = r.after(i)
	n := &r.loop[e.next]
	up := mod12(n.root - e.root)
	switch {
	case e.kind == dominant:
		if !e.suspended {
			r.dominants |= tone.SetOf(tone.Class(e.root))
		}
		e.does, e.five = leading, e.root
		e.back, e.down = r.soundingUp(i) == fifth, up == semitoneBelow
		e.toMinor = up == fifth && n.kind.isMinor()
		e.afterTwo = r.isTwo(r.before(i))
	case e.kind == diminished:
		e.does = passing
		// It stands for a dominant where one of its tones lies a semitone below
		// the next root.
		if up%minorThird == semitone && n.kind != diminished {
			e.does, e.five = leading, mod12(n.root+fifth)
		}
	case r.isTwo(i):
		e.does = preparing
	}
}

// soundingUp returns the semitones from the root of i up to the next chord that
// does not only pass: diminished sevenths are stepped over.
func (r *reading) soundingUp(i int) int {
	at := r.after(i)
	for at != i && r.loop[at].kind == diminished {
		at = r.after(at)
	}
	return mod12(r.loop[at].root - r.loop[i].root)
}

// isTwo reports whether the next chord is the five of the minor chord i: the
// dominant a fourth up or its tritone substitute; for a minor sixth, which is
// the half-diminished chord a third below, also the one a whole step up. Changes
// of the sixth and seventh over one root (a line cliché) are looked through.
func (r *reading) isTwo(i int) bool {
	if k := r.loop[i].kind; k != halfDiminished && !k.isMinor() {
		return false
	}
	for steps, at := 0, i; steps < len(r.loop); steps++ {
		e, n := &r.loop[at], &r.loop[r.after(at)]
		up := mod12(n.root - e.root)
		switch {
		case e.kind == minorTonic && e.ticks >= tonicBars*r.bar:
			return false
		case up == 0 && e.kind.isMinor() && n.kind.isMinor():
			at = r.after(at)
			continue
		case n.kind != dominant:
			return false
		case up == fourth || up == semitoneBelow:
			return true
		}
		return up == wholeStep && e.kind == minorTonic
	}
	return false
}

// fiveOf returns the index of the dominant that a two prepares.
func (r *reading) fiveOf(i int) int {
	for r.loop[i].does == preparing {
		i = r.after(i)
	}
	return i
}

// resolve finds the chord that a dominant leads to. A two on the way is passed
// over to its five.
func (r *reading) resolve(i int) {
	e := &r.loop[i]
	switch e.does {
	case preparing:
		e.next, e.leads = r.fiveOf(i), true
		e.five = r.loop[e.next].five
		return
	case standing, passing:
		return
	}
	at := r.after(i)
	for at != i && r.loop[at].does == passing {
		at = r.after(at)
	}
	n := &r.loop[at]
	down := func(root int) bool { // by a fifth, or as a tritone substitute
		up := mod12(root - e.five)
		return up == fourth || up == semitoneBelow
	}
	same := func(five int) bool { return mod12(five-e.five)%tritone == 0 }
	e.next = at
	switch n.does {
	case preparing:
		five := r.fiveOf(at)
		if root := r.loop[five].root; down(n.root) || down(root) || same(root) {
			e.next, e.leads = five, true
			e.sideways = mod12(n.root-e.five) != fourth
		}
	case leading:
		e.leads = at != i && (down(n.five) || same(n.five))
	case standing:
		e.leads = down(n.root) || mod12(n.root-e.five) == wholeStep && n.kind.isMajor()
	}
	if e.kind == dominant && e.ticks >= r.bar {
		if !e.back {
			r.sevenths |= tone.SetOf(tone.Class(e.root))
		}
		if r.atRest(i) && !e.suspended {
			r.rests |= tone.SetOf(tone.Class(e.root))
		}
	}
}

// atRest reports whether a dominant leads nowhere: to no chord a fourth above,
// unless that is its IV7 and comes back to it.
func (r *reading) atRest(i int) bool {
	e, at := &r.loop[i], r.after(i)
	if mod12(r.loop[at].root-e.root) != fourth {
		return true
	}
	four := &r.loop[at]
	for at = r.after(at); at != i && r.loop[at].kind == diminished; at = r.after(at) {
	}
	return four.kind == dominant && r.loop[at].kind == dominant && r.loop[at].root == e.root
}

// follow goes along the chain of dominants to where it lands.
func (r *reading) follow(i int) {
	e := &r.loop[i]
	if e.does != leading && e.does != preparing {
		return
	}
	const nowhere = -1
	at, aside, two := i, nowhere, nowhere
	for range r.loop {
		here := &r.loop[at]
		if here.does == standing {
			e.resolved, e.target, e.landing = true, here.root, here.kind
			break
		}
		if here.sideways && aside == nowhere {
			aside = mod12(here.five + fourth)
		}
		e.announces = e.announces || here.kind == halfDiminished || here.flat9
		if here.does == leading {
			e.links++
			if class := tone.Class(here.five); at != i && r.sevenths.Has(class) {
				e.passes |= tone.SetOf(class)
			}
		}
		if !here.leads {
			break
		}
		if n := &r.loop[r.after(at)]; here.does == leading && n.does == preparing && mod12(n.root-here.five) == fourth {
			two = n.root
			e.twos |= tone.SetOf(tone.Class(two))
		}
		at = here.next
	}
	if !e.resolved {
		// It means what its last dominant means; or it has landed on the last
		// minor chord that one of its dominants reached.
		e.target = mod12(r.loop[at].five + fourth)
		five := &r.loop[r.fiveOf(i)]
		after := &r.loop[five.next]
		e.vamps = len(r.loop) > 1 && after.does == leading && after.five == five.five
		if aside == nowhere {
			aside = two
		}
	}
	if e.aside = aside; aside == nowhere {
		e.aside = e.target
	}
}

// land finds how a standing chord was reached, how long it stays, and whether a
// chord stands still long enough to be a centre by itself.
func (r *reading) land(i int) {
	e := &r.loop[i]
	if e.does != standing && e.kind != dominant {
		return
	}
	same := func(n *loopChord) bool {
		return n.root == e.root && n.does == e.does && n.kind.isMajor() == e.kind.isMajor()
	}
	at := i
	for range r.loop {
		e.stays += r.loop[at].ticks
		if at = r.after(at); !same(&r.loop[at]) {
			break
		}
	}
	e.whole = e.stays
	for p := r.before(i); p != i && same(&r.loop[p]); p = r.before(p) {
		e.whole += r.loop[p].ticks
	}
	e.static = e.whole >= staticBars*r.bar || r.alone(i)
	from := r.before(i)
	for from != i && r.loop[from].does == passing {
		from = r.before(from)
	}
	d := &r.loop[from]
	// I and IV: the landing goes on.
	if four := &r.loop[at]; four.does == standing && e.kind.isMajor() && four.kind.isMajor() && mod12(four.root-e.root) == fourth {
		e.stays += four.ticks
	}
	e.settles = e.settles || e.stays >= tonicBars*r.bar
	if e.does != standing {
		e.reached = r.bluesCadence(i, from)
		return
	}
	if d.does != leading || !d.leads || r.loop[d.next].root != e.root {
		return
	}
	two := r.before(from)
	for two != from && r.loop[two].does == leading && r.loop[two].five == d.five {
		two = r.before(two)
	}
	switch {
	case d.kind == diminished:
		e.reached = leadingToneCadence
	case r.loop[two].does == preparing:
		e.reached = twoFiveCadence
		e.again = r.loop[r.before(two)].root == e.root
	case mod12(e.root-d.five) == wholeStep:
		e.reached = backdoorCadence
	default:
		e.reached = dominantCadence
	}
	if back, ok := r.leadsBack(i, at); ok {
		e.settles, r.loop[back].settles = true, true
	}
}

// leadsBack follows a landing's own material from the chord after it: chords of
// its key and what leads to it, back to it within a line of four bars.
func (r *reading) leadsBack(i, at int) (back int, ok bool) {
	e := &r.loop[i]
	mode := Major
	if e.kind.isMinor() {
		mode = Minor
	}
	led, minor, bars := false, false, int64(0)
	for ; at != i && bars < landingBars*r.bar; at = r.after(at) {
		n := &r.loop[at]
		switch {
		case n.does == leading || n.does == preparing:
			if !n.resolved || n.target != e.root {
				return 0, false
			}
			led, minor = true, minor || n.announces
		case n.does == standing && n.root == e.root:
			return at, led && (n.kind.isMinor() == e.kind.isMinor() || mode == Minor && minor)
		case n.does == standing && standingIn[mode][n.kind].at(mod12(n.root-e.root)) > diatonic:
			return 0, false
		}
		bars += n.ticks
	}
	return 0, false
}

// alone reports whether the whole loop stands on the root of i.
func (r *reading) alone(i int) bool {
	for _, n := range r.loop {
		if n.root != r.loop[i].root {
			return false
		}
	}
	return true
}

// bluesCadence tells how the dominant i, as the tonic seventh of a blues, is
// reached from the dominant before it: from IV7, by its own V7, or by the
// backdoor with its two. A dominant that leads on is no tonic, unless it goes to
// IV7 and comes back; one that goes down a whole step is V7 before IV7.
func (r *reading) bluesCadence(i, from int) cadence {
	e, n, d := &r.loop[i], &r.loop[r.after(i)], &r.loop[from]
	if d.kind != dominant || n.kind == dominant && mod12(e.root-n.root) == wholeStep {
		return noCadence
	}
	switch up := mod12(e.root - d.root); {
	case up == fifth:
		r.arrivals |= tone.SetOf(tone.Class(e.root))
		return plagalCadence
	case up == wholeStep && d.afterTwo:
		return backdoorCadence
	case up == fourth && !r.leadsOn(i):
		if d.afterTwo {
			r.arrivals |= tone.SetOf(tone.Class(e.root))
		}
		return dominantCadence
	}
	return noCadence
}

// leadsOn reports whether the dominant i goes on down by fifths: to a chord that
// stands, or to a dominant that does the same.
func (r *reading) leadsOn(i int) bool {
	e, n := &r.loop[i], &r.loop[r.after(i)]
	next := &r.loop[r.after(r.after(i))]
	return mod12(n.root-e.root) == fourth && (n.does != leading || mod12(next.root-n.root) == fourth)
}
