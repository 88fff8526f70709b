package fate

import (
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

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
// A note is judged generously: it is a slip only where a good teacher would stop at
// that one note. What is a slip does not depend on the view, which only says what is
// outside: targets, pushes, late notes and colours look at the scales of both.
//
// Known wrong answers, accepted: a chromatic note that happens to lie a semitone
// from the next one is called an approach whatever the player meant; a line that
// resolves in another octave is unresolved.

// Sight is what a rule sees beside the note and its neighbours.
type Sight struct {
	Seen  int64           // every event before this tick is known
	Known int64           // every note of the line before this tick is known
	Tempo *timebase.Tempo // for what is given in milliseconds
}

// answer is what a rule says.
type answer struct {
	kind  answerKind
	until int64 // wait: until this tick
	by    int64 // yes: the note that settled it, -1 for none
}

type answerKind uint8

const (
	no answerKind = iota
	yes
	wait
)

func applies(by int64) answer { return answer{kind: yes, by: by} }
func waits(tick int64) answer { return answer{kind: wait, until: tick} }

func when(ok bool, by int64) answer {
	if ok {
		return applies(by)
	}
	return answer{}
}

// rule is a fate and the question whether it applies.
type rule struct {
	fate Fate
	ask  func(o *Open, s *Sight) answer
}

// rules are the fates of a line note in the order of the table, from ornament
// on; glitch, written and pedal are settled before them. Behind them stand what the
// note is to its chord: a colour, heard in another scale, a blue note (docket.go).
var rules = [...]rule{
	{Ornament, (*Open).ornament},
	{Push, (*Open).push},
	{Late, (*Open).isLate},
	{Enclosure, (*Open).enclosure},
	{DoubleChromatic, (*Open).doubleChromatic},
	{Passing, (*Open).passing},
	{Neighbour, (*Open).neighbour},
	{Approach, (*Open).approach},
}

// voiceRules are those of a voice of a struck chord: a hand that comps is early
// and late too, and its voices lead into the next chord.
var voiceRules = [...]rule{
	{Push, (*Open).push},
	{Late, (*Open).isLate},
	{Approach, (*Open).leads},
}

// next returns the line note j notes after this one, 1 to 3, where it comes by
// limit and by the deadline. Where m is nil, missing says whether to wait for
// it or that it does not come.
func (o *Open) next(j int, limit, known int64) (m *Note, missing answer) {
	limit = min(limit, o.deadline())
	switch {
	case j <= o.nAfter && o.after[j-1].Tick <= limit:
		return &o.after[j-1], answer{}
	case j <= o.nAfter || known > limit:
		return nil, answer{}
	}
	return nil, waits(limit)
}

// prev returns the line note j notes before this one, 1 to 3, or nil.
func (o *Open) prev(j int) *Note {
	if j > o.nBefore {
		return nil
	}
	return &o.before[j-1]
}

// at returns the note so many notes from this one, before it or after, like next.
// One before it must be one that there is.
func (o *Open) at(offset int, limit, known int64) (m *Note, missing answer) {
	switch {
	case offset < 0:
		return o.prev(-offset), answer{}
	case offset == 0:
		return &o.Note, answer{}
	}
	return o.next(offset, limit, known)
}

// ornament: a grace note up to 90 ms into a longer one a step away, or one of
// four notes that alternate between two pitches a step apart.
func (o *Open) ornament(s *Sight) answer {
	if got := o.grace(s); got.kind != no {
		return got
	}
	return o.trill(s.Known)
}

func (o *Open) grace(s *Sight) answer {
	main, missing := o.next(1, s.Tempo.Tick(s.Tempo.Micros(o.Tick)+song.GraceMicros), s.Known)
	if main == nil {
		return missing
	}
	if !tone.IsStep(o.Key, main.Key) {
		return answer{}
	}
	// It must last longer than the way to it, until its release or the next
	// note of the line.
	until := main.Tick + main.Tick - o.Tick
	if until > o.deadline() {
		return answer{}
	}
	end := main.Off
	if o.nAfter > 1 {
		end = min(end, o.after[1].Tick)
	} else if s.Known <= min(end, until) {
		return waits(min(end, until))
	}
	return when(end > until, main.N)
}

// trillNotes is how many alternating notes make a trill.
const trillNotes = 4

func (o *Open) trill(known int64) answer {
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
func (o *Open) alternates(first int) bool {
	switch first {
	case -3, -2:
		return o.nBefore > 1 && o.before[1].Key == o.Key
	case -1:
		return o.nBefore > 0 && (o.nAfter == 0 || o.before[0].Key == o.after[0].Key)
	}
	return o.nAfter < 2 || o.after[1].Key == o.Key
}

// trillFrom looks at the four notes that start first places from this one.
func (o *Open) trillFrom(first int, known int64) answer {
	if -first > o.nBefore {
		return answer{}
	}
	var notes [trillNotes]*Note
	var limit int64
	for i := range notes {
		var missing answer
		if notes[i], missing = o.at(first+i, limit, known); notes[i] == nil {
			return missing
		}
		limit = notes[i].Tick + o.Beat/2
		switch {
		case i > 0 && notes[i].Tick-notes[i-1].Tick > o.Beat/2,
			i == 1 && !tone.IsStep(notes[0].Key, notes[1].Key),
			i > 1 && notes[i].Key != notes[i-2].Key:
			return answer{}
		}
	}
	return applies(notes[trillNotes-1].N)
}

// push: a home tone of the scale to come or a tone of its chord, played shortly
// before the change and held over it, or left alone around it, or struck again.
func (o *Open) push(s *Sight) answer {
	if o.Change == 0 {
		return answer{}
	}
	heldUntil := song.PushHeld(o.Change, o.Beat)
	quietUntil := o.Change + o.Beat/2
	if o.Off >= heldUntil && s.Seen >= heldUntil || o.nextAny > quietUntil && s.Seen > quietUntil {
		return applies(-1)
	}
	if o.Off == timebase.Never && s.Seen < heldUntil {
		return waits(heldUntil - 1)
	}
	if o.nextAny == timebase.Never && s.Seen <= quietUntil {
		return waits(quietUntil)
	}
	if o.Voice == Struck {
		return o.inNextChord(o.again, s.Known)
	}
	again, missing := o.next(1, o.deadline(), s.Known)
	if again == nil {
		return missing
	}
	return when(again.Key == o.Key, again.N)
}

// isLate: it lies in the scale or the chord before, shortly after the change, and is
// over, or left for another, within half a beat.
func (o *Open) isLate(s *Sight) answer {
	if !o.Late {
		return answer{}
	}
	limit := o.Tick + o.Beat/2
	switch {
	case o.Off <= limit || o.nAfter > 0 && o.after[0].Tick <= limit:
		return applies(-1)
	case s.Seen <= limit || o.Voice != Struck && o.nAfter == 0 && s.Known <= limit:
		return waits(limit)
	}
	return answer{}
}

// enclosure: two tones on opposite sides of a target, or two on one side and
// one on the other, each a step from it, then the target.
func (o *Open) enclosure(s *Sight) answer {
	for target := 1; target <= neighbours; target++ {
		for _, tones := range [...]int{2, 3} {
			if tones < target {
				continue
			}
			if got := o.encloseWith(tones, target, s.Known); got.kind != no {
				return got
			}
		}
	}
	return answer{}
}

// encloseWith looks at the enclosure of so many tones whose target is so many
// places after this one.
func (o *Open) encloseWith(tones, target int, known int64) answer {
	if tones-target > o.nBefore {
		return answer{}
	}
	var seq [neighbours + 1]*Note // the tones, then the target
	var limit int64
	for i := range tones + 1 {
		var missing answer
		if seq[i], missing = o.at(target-tones+i, limit, known); seq[i] == nil {
			if missing.kind == wait && !canEnclose(seq[:i], tones) {
				return answer{}
			}
			return missing
		}
		limit = min(seq[i].Tick+o.gap, seq[0].Tick+settleBeats*o.gap)
		if i > 0 && seq[i].Tick-seq[i-1].Tick > o.gap {
			return answer{}
		}
	}
	m := seq[tones]
	if !m.Target || m.Tick-seq[0].Tick > settleBeats*o.gap || !enclosed(seq[:tones], m.Key) {
		return answer{}
	}
	return applies(m.N)
}

// enclosed reports whether all tones lie a step from key and not all on one
// side of it.
func enclosed(tones []*Note, key int) bool {
	above := 0
	for _, t := range tones {
		if !tone.IsStep(t.Key, key) {
			return false
		}
		if t.Key > key {
			above++
		}
	}
	return above > 0 && above < len(tones)
}

// canEnclose reports whether some target is still possible for the first tones
// of an enclosure.
func canEnclose(first []*Note, tones int) bool {
	const reach = 2 // semitones
	for key := first[0].Key - reach; key <= first[0].Key+reach; key++ {
		if len(first) == tones {
			if enclosed(first, key) {
				return true
			}
			continue
		}
		fits := true
		for _, t := range first {
			fits = fits && tone.IsStep(t.Key, key)
		}
		if fits {
			return true
		}
	}
	return false
}

// doubleChromatic: two semitones from a target, then one from the same side,
// then the target.
func (o *Open) doubleChromatic(s *Sight) answer {
	if x := o.prev(1); x != nil && tone.Apart(x.Key, o.Key) == 1 {
		if got := o.chromaticInto(1, x, &o.Note, s.Known); got.kind != no {
			return got
		}
	}
	y, missing := o.next(1, o.Tick+settleBeats*o.gap, s.Known)
	if y == nil {
		return missing
	}
	if tone.Apart(o.Key, y.Key) != 1 {
		return answer{}
	}
	return o.chromaticInto(2, &o.Note, y, s.Known)
}

func (o *Open) chromaticInto(notes int, x, y *Note, known int64) answer {
	m, missing := o.next(notes, x.Tick+settleBeats*o.gap, known)
	if m == nil {
		return missing
	}
	return when(m.Target && m.Key == 2*y.Key-x.Key, m.N)
}

// passing: between two tones a whole step apart, in one direction.
func (o *Open) passing(s *Sight) answer {
	p := o.prev(1)
	if p == nil || tone.Apart(p.Key, o.Key) != 1 || o.Tick-p.Tick > o.gap {
		return answer{}
	}
	n, missing := o.next(1, o.Tick+o.gap, s.Known)
	if n == nil {
		return missing
	}
	return when(n.Key == 2*o.Key-p.Key, n.N)
}

// neighbour: a semitone from a target that sounds before and after.
func (o *Open) neighbour(s *Sight) answer {
	p := o.prev(1)
	if p == nil || !p.Target || tone.Apart(p.Key, o.Key) != 1 || o.Tick-p.Tick > o.gap {
		return answer{}
	}
	n, missing := o.next(1, o.Tick+o.gap, s.Known)
	if n == nil {
		return missing
	}
	return when(n.Key == p.Key && n.Target, n.N)
}

// approach: the next onset is a target a semitone away, in the line or in a chord,
// or the note is bent into one. A tone that is struck again first leads on from
// there.
func (o *Open) approach(s *Sight) answer {
	if o.bent && o.bentAt-o.Tick <= o.gap {
		switch {
		case o.nAfter > 0 && o.bentAt <= o.after[0].Tick, o.nAfter == 0 && s.Known > o.bentAt:
			return applies(-1)
		case o.nAfter == 0:
			return waits(o.bentAt)
		}
	}
	from := o.Tick
	for j := 1; j <= neighbours; j++ {
		n, missing := o.next(j, from+o.gap, s.Known)
		switch {
		case n != nil && n.Target && tone.Apart(n.Key, o.Key) == 1:
			return applies(n.N)
		case o.lead >= 0: // a chord that was struck before any other note of the line
			return applies(o.lead)
		case n == nil:
			return missing
		case n.Key != o.Key:
			return answer{}
		}
		from = n.Tick
	}
	return answer{}
}

// leads: an outside voice of a struck chord that moves by a semitone to a target
// in the next chord.
func (o *Open) leads(s *Sight) answer { return o.inNextChord(o.into, s.Known) }

// inNextChord is the answer that a note of the next chord gives, once that is
// struck.
func (o *Open) inNextChord(by, known int64) answer {
	switch {
	case o.into != notYet:
		return when(by >= 0, by)
	case known > o.deadline():
		return answer{}
	}
	return waits(o.deadline())
}
