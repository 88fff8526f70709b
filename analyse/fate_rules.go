package analyse

// next returns the line note j places after this one, 1 to 3, where it comes by
// limit and by the deadline. Where m is nil, missing says whether to wait for
// it or that it does not come.
func (o *openFate) next(j int, limit, known int64) (m *lineNote, missing answer) {
	limit = min(limit, o.deadline())
	switch {
	case j <= o.nAfter && o.after[j-1].tick <= limit:
		return &o.after[j-1], answer{}
	case j <= o.nAfter || known > limit:
		return nil, answer{}
	}
	return nil, waits(limit)
}

// prev returns the line note j places before this one, 1 to 3, or nil.
func (o *openFate) prev(j int) *lineNote {
	if j > o.nBefore {
		return nil
	}
	return &o.before[j-1]
}

// at returns the note so many places from this one, before it or after, like
// next. A place before it must be one that there is.
func (o *openFate) at(place int, limit, known int64) (m *lineNote, missing answer) {
	switch {
	case place < 0:
		return o.prev(-place), answer{}
	case place == 0:
		return &o.lineNote, answer{}
	}
	return o.next(place, limit, known)
}

// apart returns how many semitones two keys lie apart.
func apart(a, b int) int { return max(a-b, b-a) }

// step reports whether two keys lie a semitone or a whole step apart.
func step(a, b int) bool { return a != b && apart(a, b) <= 2 }

// ornament: a grace note up to 90 ms into a longer one a step away, or one of
// four notes that alternate between two pitches a step apart.
func (o *openFate) ornament(known int64, a *Analyser) answer {
	if got := o.grace(known, a); got.kind != no {
		return got
	}
	return o.trill(known)
}

func (o *openFate) grace(known int64, a *Analyser) answer {
	main, missing := o.next(1, a.tempo.Tick(a.tempo.Micros(o.tick)+graceMicros), known)
	if main == nil {
		return missing
	}
	if !step(o.key, main.key) {
		return answer{}
	}
	// It must last longer than the way to it, until its release or the next
	// note of the line.
	until := main.tick + main.tick - o.tick
	if until > o.deadline() {
		return answer{}
	}
	end := main.off
	if o.nAfter > 1 {
		end = min(end, o.after[1].tick)
	} else if known <= min(end, until) {
		return waits(min(end, until))
	}
	return when(end > until, main.n)
}

// trillNotes is how many alternating notes make a trill.
const trillNotes = 4

func (o *openFate) trill(known int64) answer {
	for first := -(trillNotes - 1); first <= 0; first++ {
		if o.alternates(first) {
			if got := o.trillFrom(first, known); got.kind != no {
				return got
			}
		}
	}
	return answer{}
}

// alternates is a quick look at what is known of the four notes that start first
// places from this one: whether those two places apart can be on one key.
func (o *openFate) alternates(first int) bool {
	switch first {
	case -3, -2:
		return o.nBefore > 1 && o.before[1].key == o.key
	case -1:
		return o.nBefore > 0 && (o.nAfter == 0 || o.before[0].key == o.after[0].key)
	}
	return o.nAfter < 2 || o.after[1].key == o.key
}

// trillFrom looks at the four notes that start first places from this one.
func (o *openFate) trillFrom(first int, known int64) answer {
	if -first > o.nBefore {
		return answer{}
	}
	var notes [trillNotes]*lineNote
	var limit int64
	for i := range notes {
		var missing answer
		if notes[i], missing = o.at(first+i, limit, known); notes[i] == nil {
			return missing
		}
		limit = notes[i].tick + o.beat/2
		switch {
		case i > 0 && notes[i].tick-notes[i-1].tick > o.beat/2,
			i == 1 && !step(notes[0].key, notes[1].key),
			i > 1 && notes[i].key != notes[i-2].key:
			return answer{}
		}
	}
	return applies(notes[trillNotes-1].n)
}

// push: a home tone of the scale to come, played shortly before the change and
// held over it, or left alone around it, or struck again.
func (o *openFate) push(known int64, a *Analyser) answer {
	if o.change == 0 {
		return answer{}
	}
	heldUntil := o.change + o.beat/tenths
	quietUntil := o.change + o.beat/2
	if o.off >= heldUntil && a.seen >= heldUntil || o.nextAny > quietUntil && a.seen > quietUntil {
		return applies(-1)
	}
	if o.off == stillDown && a.seen < heldUntil {
		return waits(heldUntil - 1)
	}
	if o.nextAny == stillDown && a.seen <= quietUntil {
		return waits(quietUntil)
	}
	if o.struck {
		return o.inNextChord(o.again, known)
	}
	again, missing := o.next(1, o.deadline(), known)
	if again == nil {
		return missing
	}
	return when(again.key == o.key, again.n)
}

func (o *openFate) isLate(int64, *Analyser) answer { return when(o.late, -1) }

// enclosure: two tones on opposite sides of a target, or two on one side and
// one on the other, each a step from it, then the target.
func (o *openFate) enclosure(known int64, _ *Analyser) answer {
	for target := 1; target <= neighbours; target++ {
		for _, tones := range [...]int{2, 3} {
			if tones < target {
				continue
			}
			if got := o.encloseWith(tones, target, known); got.kind != no {
				return got
			}
		}
	}
	return answer{}
}

// encloseWith looks at the enclosure of so many tones whose target is so many
// places after this one.
func (o *openFate) encloseWith(tones, target int, known int64) answer {
	if tones-target > o.nBefore {
		return answer{}
	}
	var seq [neighbours + 1]*lineNote // the tones, then the target
	var limit int64
	for i := range tones + 1 {
		var missing answer
		if seq[i], missing = o.at(target-tones+i, limit, known); seq[i] == nil {
			if missing.kind == wait && !canEnclose(seq[:i], tones) {
				return answer{}
			}
			return missing
		}
		limit = min(seq[i].tick+o.gap, seq[0].tick+settleBeats*o.gap)
		if i > 0 && seq[i].tick-seq[i-1].tick > o.gap {
			return answer{}
		}
	}
	m := seq[tones]
	if !m.target || m.tick-seq[0].tick > settleBeats*o.gap || !enclosed(seq[:tones], m.key) {
		return answer{}
	}
	return applies(m.n)
}

// enclosed reports whether all tones lie a step from key and not all on one
// side of it.
func enclosed(tones []*lineNote, key int) bool {
	above := 0
	for _, t := range tones {
		if !step(t.key, key) {
			return false
		}
		if t.key > key {
			above++
		}
	}
	return above > 0 && above < len(tones)
}

// canEnclose reports whether some target is still possible for the first tones
// of an enclosure.
func canEnclose(first []*lineNote, tones int) bool {
	const reach = 2 // semitones
	for key := first[0].key - reach; key <= first[0].key+reach; key++ {
		if len(first) == tones {
			if enclosed(first, key) {
				return true
			}
			continue
		}
		fits := true
		for _, t := range first {
			fits = fits && step(t.key, key)
		}
		if fits {
			return true
		}
	}
	return false
}

// doubleChromatic: two semitones from a target, then one from the same side,
// then the target.
func (o *openFate) doubleChromatic(known int64, _ *Analyser) answer {
	if x := o.prev(1); x != nil && apart(x.key, o.key) == 1 {
		if got := o.chromaticInto(1, x, &o.lineNote, known); got.kind != no {
			return got
		}
	}
	y, missing := o.next(1, o.tick+settleBeats*o.gap, known)
	if y == nil {
		return missing
	}
	if apart(o.key, y.key) != 1 {
		return answer{}
	}
	return o.chromaticInto(2, &o.lineNote, y, known)
}

func (o *openFate) chromaticInto(place int, x, y *lineNote, known int64) answer {
	m, missing := o.next(place, x.tick+settleBeats*o.gap, known)
	if m == nil {
		return missing
	}
	return when(m.target && m.key == 2*y.key-x.key, m.n)
}

// passing: between two tones a whole step apart, in one direction.
func (o *openFate) passing(known int64, _ *Analyser) answer {
	p := o.prev(1)
	if p == nil || apart(p.key, o.key) != 1 || o.tick-p.tick > o.gap {
		return answer{}
	}
	n, missing := o.next(1, o.tick+o.gap, known)
	if n == nil {
		return missing
	}
	return when(n.key == 2*o.key-p.key, n.n)
}

// neighbour: a semitone from a target that sounds before and after.
func (o *openFate) neighbour(known int64, _ *Analyser) answer {
	p := o.prev(1)
	if p == nil || !p.target || apart(p.key, o.key) != 1 || o.tick-p.tick > o.gap {
		return answer{}
	}
	n, missing := o.next(1, o.tick+o.gap, known)
	if n == nil {
		return missing
	}
	return when(n.key == p.key && n.target, n.n)
}

// approach: the next onset is a target a semitone away, in the line or in a chord,
// or the note is bent into one. A tone that is struck again first leads on from
// there.
func (o *openFate) approach(known int64, _ *Analyser) answer {
	if o.bent && o.bentAt-o.tick <= o.gap {
		switch {
		case o.nAfter > 0 && o.bentAt <= o.after[0].tick, o.nAfter == 0 && known > o.bentAt:
			return applies(-1)
		case o.nAfter == 0:
			return waits(o.bentAt)
		}
	}
	from := o.tick
	for j := 1; j <= neighbours; j++ {
		n, missing := o.next(j, from+o.gap, known)
		if n != nil && n.key == o.key {
			from = n.tick
			continue
		}
		if n != nil && n.target && apart(n.key, o.key) == 1 {
			return applies(n.n)
		}
		if n == nil && o.lead < 0 {
			return missing
		}
		break
	}
	return when(o.lead >= 0, o.lead)
}

// leads: an outside voice of a struck chord that moves by a semitone to a target
// in the next chord.
func (o *openFate) leads(known int64, _ *Analyser) answer { return o.inNextChord(o.into, known) }

// inNextChord is the answer that a note of the next chord gives, once that is
// struck.
func (o *openFate) inNextChord(by, known int64) answer {
	switch {
	case o.into != notYet:
		return when(by >= 0, by)
	case known > o.deadline():
		return answer{}
	}
	return waits(o.deadline())
}
