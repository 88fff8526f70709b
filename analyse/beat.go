package analyse

import (
	"slices"
	"strings"
)

// How the scale falls on the beat.
//
// Scored is what stands on the beat, from a tenth of a beat before it to two
// tenths after (feel.go). A beat with three onsets or more is not scored, for
// there the eighth note is not the pulse; but after a whole bar at four a beat or
// more the half-beat is scored by the same rule. Of two notes on one beat the
// later is the one the other led into. The windows are this project's own.
//
// Without a chart that runs or a beat that somebody gives nothing is claimed.

const (
	// unscored onsets in a beat and more are not scored; busy ones and more are
	// double time.
	unscored, busy = 3, 4
	halves         = 2 // of a beat
)

// BeatPlace says where in the beat a note stands.
type BeatPlace uint8

const (
	NoBeat       BeatPlace = iota // no beat is known
	OnTheBeat                     // up to a tenth before it and two tenths after
	BetweenBeats                  // neither
	OffTheBeat                    // four to nine tenths
)

// String prints the place: "on the beat", "off the beat", "between", or nothing.
func (b BeatPlace) String() string {
	return [...]string{"", "on the beat", "between", "off the beat"}[b]
}

func (p pulse) place() BeatPlace {
	if !p.known {
		return NoBeat
	}
	return [...]BeatPlace{onBeat: OnTheBeat, between: BetweenBeats, offBeat: OffTheBeat}[p.in()]
}

// beatPoint is a place in time against the beat it belongs to. Where no beat is
// known its length is 0.
type beatPoint struct {
	start  int64 // tick of the beat
	past   int64 // ticks after it; a tenth of a beat before it at the least
	length int64 // of the beat in ticks
	beats  int   // in a bar
}

func beatPointOf(p *played) beatPoint {
	if !p.pulse.known {
		return beatPoint{}
	}
	at := p.pulse.nearest()
	return beatPoint{start: p.tick - at.since, past: at.since, length: at.length, beats: at.beats}
}

func (b *beatPoint) on() bool { return b.past*tenths <= b.length*onBeatTenths }

// half returns the half of the beat that a point belongs to, 0 or 1, and whether
// it is on that half-beat.
func (b *beatPoint) half() (i int, on bool) {
	length := b.length / halves
	if b.past*tenths >= length*aheadTenths {
		i = 1
	}
	past := b.past - int64(i)*length
	return i, (past+length)*tenths >= length*aheadTenths && past*tenths <= length*onBeatTenths
}

// scored is a note on the beat, or none.
type scored struct {
	kind                       string
	settled, chordTone, turned bool
}

// alignment counts the notes on the beat, over each kind of chord.
type alignment struct {
	rows []OnBeat

	beat      beatPoint // the beat being played
	onsets    int
	note      scored // on the beat
	halfNotes [halves]scored
	inHalf    [halves]int // onsets
	busyBeats int         // right before this one
}

// add takes the next note of the line. Where no beat is known it ends the one
// before.
func (al *alignment) add(p *played) {
	b := beatPointOf(p)
	if b.start != al.beat.start || b.length != al.beat.length {
		al.close()
		if b.start != al.beat.start+al.beat.length {
			al.busyBeats = 0
		}
		al.beat = b
	}
	if b.length == 0 {
		return
	}
	half, onHalf := b.half()
	al.onsets++
	al.inHalf[half]++
	if b.on() {
		al.note = scoredNote(p)
	}
	if onHalf {
		al.halfNotes[half] = scoredNote(p)
	}
}

// onBeatHalf is the half to be on the beat with: that with more tones of the
// chord. Where the halves tie it is neither.
func (c *context) onBeatHalf() Place {
	switch home, dim := (c.chordTone & c.home).Len(), (c.chordTone & c.set &^ c.home).Len(); {
	case home > dim:
		return Home
	case dim > home:
		return Dim
	}
	return NoPlace
}

// scoredNote says what a note on the beat would count as. Where there is no half
// to be on the beat with, and no chord or scale, nothing is scored.
func scoredNote(p *played) scored {
	c := p.context
	want := c.onBeatHalf()
	if c.kind == "" || want == NoPlace || p.position.within < 0 {
		return scored{}
	}
	return scored{
		kind: c.kind, settled: p.place == want, turned: want == Dim, chordTone: c.chordTone.Has(p.class()),
	}
}

// close scores the beat that is over.
func (al *alignment) close() {
	switch {
	case al.onsets < unscored:
		al.score(&al.note)
	case al.busyBeats >= al.beat.beats:
		for i := range al.halfNotes {
			if al.inHalf[i] < unscored {
				al.score(&al.halfNotes[i])
			}
		}
	}
	if al.busyBeats++; al.onsets < busy {
		al.busyBeats = 0
	}
	al.onsets, al.note = 0, scored{}
	al.inHalf, al.halfNotes = [halves]int{}, [halves]scored{}
}

func (al *alignment) score(s *scored) {
	if s.kind == "" {
		return
	}
	i := slices.IndexFunc(al.rows, func(r OnBeat) bool { return r.ChordKind == s.kind })
	if i < 0 {
		i = len(al.rows)
		al.rows = append(al.rows, OnBeat{ChordKind: s.kind})
	}
	row := &al.rows[i]
	row.Scored++
	row.Home += oneIf(s.settled)
	row.ChordTone += oneIf(s.chordTone)
	row.Reversed += oneIf(s.turned)
}

// oneIf is 1 for true.
func oneIf(ok bool) int64 {
	if ok {
		return 1
	}
	return 0
}

// report lists the kinds of chord by name.
func (al *alignment) report(v View) []OnBeat {
	out := append([]OnBeat{}, al.rows...)
	for i := range out {
		out[i].View = v.String()
	}
	slices.SortFunc(out, func(a, b OnBeat) int { return strings.Compare(a.ChordKind, b.ChordKind) })
	return out
}
