package phrase

import (
	"cmp"
	"fmt"
	"maps"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"slices"
)

// lengthClasses are the lengths of phrases, in notes, that are counted apart:
// each is twice the one before.
var lengthClasses = [...]struct{ from, to int }{{1, 2}, {3, 4}, {5, 8}, {9, 16}, {17, 32}, {33, 0}}

// counts counts the phrases that are over, in one chorus or in the session: a phrase
// in the chorus in which it ended. The maps are bounded by how many degrees and
// beats there are.
type counts struct {
	phrases, notes int64
	struck         int64
	longest        int
	lengths        [len(lengthClasses)]int64
	starts, ends   edgeCounts
	landings       map[Landing]int64
	hanging        hanging
	crossings      [crossingKinds]int64
	steps          map[[2]string]int64 // the degrees of a crossing by step
	changes        map[changed]leapt   // the crossings by the change of chord

	song.Density
	good     bestPhrases
	sounding int64 // ticks from the first onset of each phrase to its end
	rest     int64 // ticks between the phrases
}

// changed is a change of chord: the symbols, and the bar in which the second begins.
type changed struct {
	from, to string
	bar      int
}

// leapt is how often a change was crossed, and how often by a leap.
type leapt struct{ times, leaps int64 }

// edgeCounts counts where phrases start, or where they end.
type edgeCounts struct {
	degrees, chordDegrees map[string]int64
	places                [song.Outside + 1]int64
	beats                 map[song.BeatPart]int64
}

func newCounts() *counts {
	edges := func() edgeCounts {
		return edgeCounts{degrees: map[string]int64{}, chordDegrees: map[string]int64{}, beats: map[song.BeatPart]int64{}}
	}
	return &counts{starts: edges(), ends: edges(), landings: map[Landing]int64{}, steps: map[[2]string]int64{}, changes: map[changed]leapt{}, hanging: hanging{over: map[hung]int64{}}}
}

// played counts ticks of a phrase, at the beat of the note they follow.
func (c *counts) played(ticks int64, after *song.Note) {
	c.MilliBeats += ticks * timebase.Milli / after.Position.BeatTicks
	c.sounding += ticks
	c.pass(ticks, after)
}

// rested counts ticks of rest, at the bar of the note they follow.
func (c *counts) rested(ticks int64, after *song.Note) {
	c.rest += ticks
	c.pass(ticks, after)
}

func (c *counts) pass(ticks int64, after *song.Note) {
	c.MicroBars += ticks * timebase.Micro / after.Position.BarTicks
}

// add counts a phrase that is over.
func (c *counts) add(p *phrase) {
	_, struck := p.figures.Count()
	c.phrases++
	c.Notes += int64(p.notes)
	c.struck += int64(struck)
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
	if p.endsHanging() {
		c.hanging.atEnd(p.to.context, p.to.class())
	}
}

func (c *counts) cross(x *crossing) {
	c.crossings[x.kind]++
	at := changed{x.from.Written().Symbol, x.to.Written().Symbol, x.bar}
	n := c.changes[at]
	n.times++
	if x.kind == crossedByLeap {
		n.leaps++
	}
	c.changes[at] = n
	if x.kind == crossedByStep {
		c.steps[[2]string{x.beforeDegree(), x.afterDegree()}]++
	}
}

// Include adds other counts.
func (c *counts) Include(other *counts) {
	c.good.include(&other.good)
	c.phrases += other.phrases
	c.struck += other.struck
	c.longest = max(c.longest, other.longest)
	for i := range c.lengths {
		c.lengths[i] += other.lengths[i]
	}
	c.starts.include(&other.starts)
	c.ends.include(&other.ends)
	addAll(c.landings, other.landings)
	c.hanging.include(&other.hanging)
	for i := range c.crossings {
		c.crossings[i] += other.crossings[i]
	}
	addAll(c.steps, other.steps)
	for at, n := range other.changes {
		sum := c.changes[at]
		c.changes[at] = leapt{sum.times + n.times, sum.leaps + n.leaps}
	}
	c.Notes += other.Notes
	c.MilliBeats += other.MilliBeats
	c.MicroBars += other.MicroBars
	c.sounding += other.sounding
	c.rest += other.rest
}

func addAll[K comparable](to, from map[K]int64) {
	for key, n := range from {
		to[key] += n
	}
}

// Turn goes on in a chorus.
func (p *Finder) Turn(chorus int) {
	p.Figures.Turn(chorus)
	p.Sheets.Turn(chorus)
}

// Forget leaves a chorus out.
func (p *Finder) Forget(chorus int) {
	p.Figures.Forget(chorus)
	p.Sheets.Forget(chorus)
}

// Reset empties the counts; their memory is used again.
func (c *counts) Reset() {
	starts, ends, landings, steps, changes, over := c.starts, c.ends, c.landings, c.steps, c.changes, c.hanging.over
	*c = counts{
		starts: starts.emptied(), ends: ends.emptied(), landings: emptied(landings), steps: emptied(steps), changes: emptied(changes),
		hanging: hanging{over: emptied(over)},
	}
}

func (c *edgeCounts) emptied() edgeCounts {
	return edgeCounts{degrees: emptied(c.degrees), chordDegrees: emptied(c.chordDegrees), beats: emptied(c.beats)}
}

func emptied[K comparable, V any](m map[K]V) map[K]V {
	clear(m)
	return m
}

func (c *edgeCounts) add(e *edge) {
	class := e.class()
	c.places[e.context.Place[class]]++
	if degree := e.context.Degree[class]; degree != "" {
		c.degrees[degree]++
	}
	if degree := harmony.DegreeOver(e.context.Chord, class); degree != "" {
		c.chordDegrees[degree]++
	}
	if e.pulse.Known {
		c.beats[e.pulse.Part()]++
	}
}

func (c *edgeCounts) include(other *edgeCounts) {
	addAll(c.degrees, other.degrees)
	addAll(c.chordDegrees, other.chordDegrees)
	for i := range c.places {
		c.places[i] += other.places[i]
	}
	addAll(c.beats, other.beats)
}

// Report counts the phrases that are over.
type Report struct {
	Phrases   int64            `json:"phrases"`
	Notes     int64            `json:"notes"`     // of the line, in them
	Struck    int64            `json:"struck"`    // chords among those notes, but for the left hand's below a split
	Longest   int              `json:"longest"`   // in notes
	Lengths   []Lengths        `json:"lengths"`   // every class of length
	Starts    EdgeReport       `json:"starts"`    // their first notes
	Ends      EdgeReport       `json:"ends"`      // their last notes
	Landings  map[string]int64 `json:"landings"`  // "chord", "home", "hanging", each there
	Crossings map[string]int64 `json:"crossings"` // of changes of chord: "held", "repeated", "step", "leap", each there
	Steps     map[string]int64 `json:"steps"`     // the crossings by step by their degrees: "7 to 3"
	Changes   []Change         `json:"changes"`   // the crossings by the change of chord, as they come in the chart
	Rest      int64            `json:"rest"`      // share of rests between the first phrase and the last, in percent
	Good      []Phrase         `json:"good"`      // the earliest good ones, at most three: two to four bars, resolved, ended on the 3rd, 5th, 6th or 9th, then a rest
}

// Change counts how often the line went over one change of chord, and how often by a
// leap. Bar is the one in which the second chord begins.
type Change struct {
	Bar   int    `json:"bar"`
	From  string `json:"from"`
	To    string `json:"to"`
	Times int64  `json:"times"`
	Leaps int64  `json:"leaps"`
}

// Lengths counts the phrases of From to To notes; To is 0 where there is
// no upper limit.
type Lengths struct {
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
	Halves       song.PlaceCounts `json:"halves"`
	Beats        map[string]int64 `json:"beats"`
}

func (c *edgeCounts) report() EdgeReport {
	r := EdgeReport{
		Degrees: maps.Clone(c.degrees), ChordDegrees: maps.Clone(c.chordDegrees),
		Halves: song.PlaceCounts{Home: c.places[song.Home], Dim: c.places[song.Dim], Outside: c.places[song.Outside]},
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

// Report tells the phrases that are over, what was left hanging, and how dense they
// are.
func (p *Finder) Report() (Report, Hanging, song.Density) {
	c := p.Total()
	r := Report{
		Phrases: c.phrases, Notes: c.Notes, Struck: c.struck, Longest: c.longest, Lengths: []Lengths{},
		Starts: c.starts.report(), Ends: c.ends.report(),
		Landings: map[string]int64{}, Crossings: map[string]int64{}, Steps: map[string]int64{}, Changes: []Change{},
		Rest: percent(c.rest, c.rest+c.sounding), Good: []Phrase{},
	}
	for i, class := range lengthClasses {
		r.Lengths = append(r.Lengths, Lengths{From: class.from, To: class.to, Phrases: c.lengths[i]})
	}
	for _, l := range [...]Landing{LandedOnChord, EndedAtRest, LeftHanging} {
		r.Landings[string(l)] = c.landings[l]
	}
	for kind, name := range crossingNames {
		r.Crossings[name] = c.crossings[kind]
	}
	for degrees, times := range c.steps {
		r.Steps[fmt.Sprintf("%s to %s", degrees[0], degrees[1])] = times
	}
	for at, n := range c.changes {
		r.Changes = append(r.Changes, Change{Bar: at.bar, From: at.from, To: at.to, Times: n.times, Leaps: n.leaps})
	}
	slices.SortFunc(r.Changes, func(a, b Change) int {
		return cmp.Or(a.Bar-b.Bar, cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	for i := range c.good.list[:c.good.n] {
		r.Good = append(r.Good, c.good.list[i].report())
	}
	return r, c.hanging.report(), c.Density
}
