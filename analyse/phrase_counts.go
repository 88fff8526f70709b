package analyse

import (
	"fmt"
	"maps"
	"strconv"
)

// lengthClasses are the lengths of phrases, in notes, that are counted apart:
// each is twice the one before.
var lengthClasses = [...]struct{ from, to int }{{1, 2}, {3, 4}, {5, 8}, {9, 16}, {17, 32}, {33, 0}}

// phraseCounts counts the phrases that are over. The maps are bounded by how
// many degrees and beats there are.
type phraseCounts struct {
	phrases, notes int64
	struck         int64
	longest        int
	lengths        [len(lengthClasses)]int64
	starts, ends   edgeCounts
	landings       map[Landing]int64
	crossings      [crossingKinds]int64
	steps          map[[2]string]int64 // the degrees of a crossing by step

	milliBeats int64 // from the first onset of each phrase to its end, in thousandths of a beat
	sounding   int64 // the same in ticks
	rest       int64 // ticks between the phrases
	microBars  int64 // from the first phrase to the last, in millionths of a bar
}

// edgeCounts counts where phrases start, or where they end.
type edgeCounts struct {
	degrees, chordDegrees map[string]int64
	places                [Outside + 1]int64
	beats                 map[beatPart]int64
}

func newPhraseCounts() phraseCounts {
	edges := func() edgeCounts {
		return edgeCounts{degrees: map[string]int64{}, chordDegrees: map[string]int64{}, beats: map[beatPart]int64{}}
	}
	return phraseCounts{starts: edges(), ends: edges(), landings: map[Landing]int64{}, steps: map[[2]string]int64{}}
}

// played counts ticks of a phrase, at the beat of the note they follow.
func (c *phraseCounts) played(ticks int64, after *played) {
	c.milliBeats += ticks * milliBeat / after.position.beatTicks
	c.sounding += ticks
	c.pass(ticks, after)
}

// rested counts ticks of rest, at the bar of the note they follow.
func (c *phraseCounts) rested(ticks int64, after *played) {
	c.rest += ticks
	c.pass(ticks, after)
}

func (c *phraseCounts) pass(ticks int64, after *played) {
	c.microBars += ticks * micro / after.position.barTicks
}

// add counts a phrase that is over.
func (c *phraseCounts) add(p *phrase) {
	c.phrases++
	c.notes += int64(p.notes)
	c.struck += int64(p.figures.nStruck)
	c.longest = max(c.longest, p.notes)
	for i, class := range lengthClasses {
		if class.to == 0 || p.notes <= class.to {
			c.lengths[i]++
			break
		}
	}
	c.starts.add(&p.from)
	c.ends.add(&p.to)
	if p.landing != NoLanding {
		c.landings[p.landing]++
	}
}

func (c *edgeCounts) add(e *edge) {
	class := e.class()
	place := e.context.place[class]
	c.places[place]++
	if degree := e.context.degree[class]; degree != "" {
		c.degrees[degree]++
	}
	if degree := chordDegree(e.context.changes, class); degree != "" {
		c.chordDegrees[degree]++
	}
	if e.pulse.known {
		c.beats[e.pulse.part()]++
	}
}

func (c *phraseCounts) cross(x *crossing) {
	c.crossings[x.kind]++
	if x.kind == crossedByStep {
		c.steps[[2]string{x.beforeDegree(), x.afterDegree()}]++
	}
}

// PhraseReport counts the phrases that are over.
type PhraseReport struct {
	Phrases   int64            `json:"phrases"`
	Notes     int64            `json:"notes"`     // of the line, in them
	Struck    int64            `json:"struck"`    // chords among those notes, but for the left hand's below a split
	Longest   int              `json:"longest"`   // in notes
	Lengths   []PhraseLengths  `json:"lengths"`   // every class of length
	Starts    EdgeReport       `json:"starts"`    // their first notes
	Ends      EdgeReport       `json:"ends"`      // their last notes
	Landings  map[string]int64 `json:"landings"`  // "chord", "home", "hanging", each there
	Crossings map[string]int64 `json:"crossings"` // of changes of chord: "held", "repeated", "step", "leap", each there
	Steps     map[string]int64 `json:"steps"`     // the crossings by step by their degrees: "7 to 3"
	Rest      int64            `json:"rest"`      // share of rests between the first phrase and the last, in percent
	Good      []Phrase         `json:"good"`      // the longest that resolved and landed, at most three
}

// PhraseLengths counts the phrases of From to To notes; To is 0 where there is
// no upper limit.
type PhraseLengths struct {
	From    int   `json:"from"`
	To      int   `json:"to"`
	Phrases int64 `json:"phrases"`
}

// EdgeReport counts first or last notes of phrases: by degree of the scale, by
// degree of the chord as players say it, by half of the scale, and by beat of
// the bar: "2" on it, "2.5" off it, "2.25" between. Beats are counted where the
// beat is known.
type EdgeReport struct {
	Degrees      map[string]int64 `json:"degrees"`
	ChordDegrees map[string]int64 `json:"chord_degrees"`
	Halves       PlaceCounts      `json:"halves"`
	Beats        map[string]int64 `json:"beats"`
}

func (c *edgeCounts) report() EdgeReport {
	r := EdgeReport{
		Degrees: maps.Clone(c.degrees), ChordDegrees: maps.Clone(c.chordDegrees),
		Halves: PlaceCounts{Home: c.places[Home], Dim: c.places[Dim], Outside: c.places[Outside]},
		Beats:  map[string]int64{},
	}
	for part, times := range c.beats {
		r.Beats[part.String()] = times
	}
	return r
}

// percent of a whole that may be nothing, rounded.
func percent(part, whole int64) int64 {
	if whole == 0 {
		return 0
	}
	return (part*100 + whole/2) / whole
}

func (p *phrases) report() PhraseReport {
	c := &p.counts
	r := PhraseReport{
		Phrases: c.phrases, Notes: c.notes, Struck: c.struck, Longest: c.longest, Lengths: []PhraseLengths{},
		Starts: c.starts.report(), Ends: c.ends.report(),
		Landings: map[string]int64{}, Crossings: map[string]int64{}, Steps: map[string]int64{},
		Rest: percent(c.rest, c.rest+c.sounding), Good: []Phrase{},
	}
	for i, class := range lengthClasses {
		r.Lengths = append(r.Lengths, PhraseLengths{From: class.from, To: class.to, Phrases: c.lengths[i]})
	}
	for _, l := range [...]Landing{LandedOnChord, EndedAtHome, LeftHanging} {
		r.Landings[string(l)] = c.landings[l]
	}
	for kind, name := range crossingNames {
		r.Crossings[name] = c.crossings[kind]
	}
	for degrees, times := range c.steps {
		r.Steps[fmt.Sprintf("%s to %s", degrees[0], degrees[1])] = times
	}
	for i := range p.good[:p.nGood] {
		r.Good = append(r.Good, p.good[i].report())
	}
	return r
}

// beatPart is a beat of the bar and where in it.
type beatPart struct {
	number int
	part   inBeat
}

// inBeat says where in a beat a note lies.
type inBeat uint8

const (
	onBeat  inBeat = iota // up to a tenth before it and two tenths after
	between               // neither
	offBeat               // four to nine tenths
)

// String prints the beat as a number: "2", "2.25", "2.5".
func (b beatPart) String() string {
	return strconv.Itoa(b.number) + [...]string{"", ".25", ".5"}[b.part]
}
