package material

import (
	"errors"
	"fmt"
	"math/rand/v2"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

// Etude writes an etude over whole choruses of a tune. tempo is in beats a minute, 0
// for the tune's own; fast ones have fewer eighths. The error says what of the request
// or of the chart cannot be.
func Etude(t *changes.Timeline, key changes.Centre, tempo int, r Request) (*Exercise, error) {
	r, err := r.filled()
	if err != nil {
		return nil, err
	}
	if !wholeEighths(t) {
		return nil, errors.New("its bars and chords do not last whole eighths of two beats or more: no etude can be written")
	}
	bars := max(r.Bars, 4*groupBars)
	choruses := (bars + len(t.Bars) - 1) / len(t.Bars)
	if n := choruses * len(t.Bars); r.Bars > MaxEtudeBars || n > MaxEtudeBars {
		return nil, fmt.Errorf("an etude of %d bars in whole choruses: expected %d at most", max(n, r.Bars), MaxEtudeBars)
	}
	line := repeated(t, choruses)
	g := newGround(line, r)
	random := rand.New(rand.NewPCG(r.Seed, uint64(r.Level)<<8))
	form := len(t.Bars)
	if form < 3*groupBars { // a few bars that go round are heard as one form
		form *= choruses
	}
	const tries = 80
	for try := range tries {
		m := &etudeMaker{Request: r, planner: newPlanner(g, random, form, r.Level), tempo: tempo, long: 0.25 + 0.02*float64(try)}
		if e, ok := m.make(); ok {
			e.Title, e.Key, e.Tempo = t.Title, key, tempo
			return e, nil
		}
	}
	return nil, errors.New("no etude was found: try another seed, a wider range or a lower level")
}

// etudeMaker makes one etude.
type etudeMaker struct {
	Request
	*planner
	tempo   int
	long    float64 // how much longer tones are liked
	motif   motif
	ceiling int // the highest key but for the peaks
	peaks   []int
	keys    []int
}

func (m *etudeMaker) make() (*Exercise, bool) {
	const above = 5 // semitones kept for the peak: every chord has a tone in them
	m.ceiling = int(m.Range.High) - above
	e := &Exercise{Level: m.Level, Seed: m.Seed, Line: m.g.line}
	plan, ok := m.planPeaks()
	if !ok {
		return nil, false
	}
	unchanged := m.comesBack(plan)
	motifs, ok := m.motifs(plan, unchanged)
	if !ok {
		return nil, false
	}
	for i, ph := range plan {
		notes, figs, ok := m.phrase(e, ph, motifs[i])
		if !ok {
			return nil, false
		}
		for _, f := range figs {
			f.From, f.To = f.From+len(e.Notes), f.To+len(e.Notes)
			e.Figure = append(e.Figure, f)
		}
		e.Notes = append(e.Notes, notes...)
	}
	if m.Density > 0 && len(e.Notes) > m.Density*(len(m.bars)-1) || !m.g.keeps(e.Notes, true) {
		return nil, false
	}
	e.Idea = m.idea(e, plan, unchanged)
	return e, true
}

// planPeaks draws a plan in which every chorus has its peak.
func (m *etudeMaker) planPeaks() ([]phrase, bool) {
	const tries = 30
	for range tries {
		if plan, ok := m.plan(); ok && m.peak(plan) {
			return plan, true
		}
	}
	return nil, false
}

// The fewest eighths from the beginning of a phrase, or from the end of its motif, to its
// peak, and those of a short motif: a longer one is not taken where the peak comes so soon.
const toPeak, shortMotif = 3, 3

// peak chooses where the highest note of each chorus stands: on a beat within a phrase,
// in the fourth fifth of the chorus.
func (m *etudeMaker) peak(plan []phrase) bool {
	m.peaks, m.keys = nil, nil
	length := m.bars[m.form]
	for chorus := range (len(m.bars) - 1) / m.form {
		from, to := chorus*length+int(peakFrom*float64(length)), chorus*length+int(peakTo*float64(length))
		var at [][]int // the places in each phrase that has some
		for _, ph := range plan {
			var in []int
			first := ph.from + toPeak
			if ph.motif {
				first += shortMotif // motifs sees to it that it is over by then
			}
			for i := max(first, from+1); i <= min(ph.to-2, to); i++ {
				if m.g.places[i].beat && m.key(i) != 0 {
					in = append(in, i)
				}
			}
			if len(in) > 0 {
				at = append(at, in)
			}
		}
		if len(at) == 0 {
			return false
		}
		i := pick(m.r, at[m.r.IntN(len(at))]...)
		m.peaks, m.keys = append(m.peaks, i), append(m.keys, m.key(i))
	}
	return true
}

// key returns the key of a peak at an eighth: a tone of its chord, the third or the
// seventh where one lies there; 0 where none does.
func (m *etudeMaker) key(at int) int {
	s := m.g.stayAt(at)
	found := 0
	for key := m.ceiling + 1; key <= int(m.Range.High); key++ {
		class := tone.ClassOf(key)
		if s.guides.Has(class) {
			return key
		}
		if found == 0 && s.tones.Has(class) {
			found = key
		}
	}
	return found
}

// comesBack returns the last phrase in which the motif can come back as it was, over
// the same chords; -1 where there is none.
func (m *etudeMaker) comesBack(plan []phrase) int {
	const bars = 2
	same := func(first int) bool {
		at := m.g.places[first].bar
		if at+bars >= len(m.bars) {
			return false
		}
		for i := 0; i < m.bars[bars]; i++ {
			j := m.bars[at] + i
			if j >= m.bars[at+bars] || m.g.stayAt(i).chord != m.g.stayAt(j).chord || m.g.stayAt(i).slot.Own != m.g.stayAt(j).slot.Own {
				return false
			}
		}
		return true
	}
	for i := len(plan) - 1; i > 0; i-- {
		if plan[i].motif && same(plan[i].from) {
			return i
		}
	}
	return -1
}

// hole lays out one phrase.
func (m *etudeMaker) hole(ph phrase) hole {
	h := hole{
		from: ph.from, to: ph.to, hold: int64(ph.end-ph.to) * eighth, falls: ph.last,
		lowest: int(m.Range.Low), highest: m.ceiling, peakAt: -1, figures: m.figures(),
	}
	for i, at := range m.peaks {
		if at > ph.from && at < ph.to {
			h.peakAt, h.peak = at, m.keys[i]
			h.highest = h.peak - 1 // it may be come to by step
		}
	}
	return h
}

// motifs finds a motif that can come back wherever the plan has it, and returns it as
// it stands at the beginning of each phrase; the others have none. It keeps its place
// in the bar.
func (m *etudeMaker) motifs(plan []phrase, unchanged int) ([]motif, bool) {
	first := m.hole(plan[0])
	const most = 40 // motifs that are tried
	all := m.g.newMotifs(m.r, first)
	for _, found := range all[:min(most, len(all))] {
		out := make([]motif, len(plan))
		fits := true
		began := []uint8{found.notes[0].Key} // the keys that it began with
		for i, ph := range plan {
			at := m.bars[m.g.places[ph.from].bar] + found.from
			switch {
			case !ph.motif || !fits:
			case i == 0:
				out[i] = found
			case i == unchanged:
				out[i] = found.unmoved(at)
			default:
				out[i], fits = m.g.moved(found, at, m.hole(ph), began)
				began = append(began, out[i].notes[0].Key)
			}
			if ph.motif {
				peak := m.hole(ph).peakAt
				fits = fits && out[i].until < ph.to-1 && (peak < 0 || out[i].until+1 < peak)
			}
		}
		if fits {
			m.motif = found
			return out, true
		}
	}
	return nil, false
}

// phrase fills one phrase.
func (m *etudeMaker) phrase(e *Exercise, ph phrase, mark motif) (notes []Note, figs []Figure, ok bool) {
	h := m.hole(ph)
	if n := len(e.Notes); n > 0 {
		h.before = int(e.Notes[n-1].Key)
	}
	if n := len(mark.notes); n > 0 {
		h.from, h.prefix = mark.until, mark.notes
	}
	const tries, enough = 30, 4 // fillings that are tried, and that are there to choose from
	best, found := -100.0, 0
	for try := range tries {
		if found == enough {
			break
		}
		h.wish = m.wish(h)
		h.figures.long = m.figures().long * (1 + 0.1*float64(try))
		n, f, filled := m.g.fill(m.r, h)
		if !filled || tooFull(e.Notes, n) {
			continue
		}
		found++
		if w := m.worth(n); w > best {
			best, notes, figs = w, n, f
		}
	}
	if len(mark.notes) > 0 {
		figs = append([]Figure{{Kind: Motif, To: len(mark.notes)}}, figs...)
	}
	return notes, figs, notes != nil
}

// tooFull reports whether notes and a phrase behind them have more eighths than an etude
// is to have.
func tooFull(notes, more []Note) bool {
	eighths := 0
	for _, all := range [][]Note{notes, more} {
		for _, n := range all {
			if n.Length == eighth {
				eighths++
			}
		}
	}
	return float64(eighths) > mostEighths*float64(len(notes)+len(more))
}

// figures is what a phrase may be made of at the level.
func (m *etudeMaker) figures() figures {
	f := figures{long: m.long, pairs: m.Level > 1, arps: m.Level > 1, homeOnly: m.Level == 2}
	const fast = 200.0 // beats a minute
	if m.tempo > 0 {
		f.long += max(0, float64(m.tempo)-fast/1.25) / fast
	}
	if m.Level >= cadenceLevel {
		f.chromatic, f.mostApproach, f.mostEnclose = true, 2, 1
	}
	f.triplets = m.Level == MaxLevel
	return f
}

// wish is the height that a phrase makes for: toward its peak, where it has one, and
// down where it is the last.
func (m *etudeMaker) wish(h hole) func(int) float64 {
	if h.falls {
		low, high := float64(h.lowest+5), float64(h.highest-3)
		return func(at int) float64 {
			x := float64(at-h.from) / float64(max(1, h.to-h.from))
			return high - (high-low)*x
		}
	}
	if h.peakAt >= 0 {
		base := float64(h.lowest+h.highest) / 2
		return func(at int) float64 {
			away := h.peakAt - at
			if away < 0 {
				away = -away
			}
			return max(base, float64(h.peak)-0.9*float64(away))
		}
	}
	return contour(m.r, h)
}

// worth says how well a phrase sings: steps, few zigzags and wide leaps, longer notes
// among eighths, a third or a seventh with each change, no turning on the spot.
func (m *etudeMaker) worth(notes []Note) float64 {
	w, eighths := 0.0, 0
	for i, n := range notes {
		if n.Length == eighth {
			eighths++
		}
		if m.g.onBeat(&notes[i]) && m.g.heardOver(&notes[i]).tones.Has(n.class()) {
			w += 0.3
		}
		if at := int(n.Tick / eighth); at == m.g.stayAt(at).from && !m.g.stayAt(at).guides.Has(n.class()) {
			w--
		}
		if i > 0 && joined(&notes[i-1], &notes[i]) {
			switch apart := tone.Apart(int(notes[i-1].Key), int(n.Key)); {
			case apart > fifth:
				w--
			case apart > 4:
				w -= 0.3
			}
		}
		if i > 1 {
			a, b := int(notes[i-1].Key)-int(notes[i-2].Key), int(n.Key)-int(notes[i-1].Key)
			if a*b < 0 && min(max(a, -a), max(b, -b)) > tone.WholeStep {
				w -= 1
			}
		}
	}
	w -= float64(circles(notes))
	w /= float64(len(notes)) / 8
	const liked = 0.65 // a little under what is allowed
	share := float64(eighths)/float64(len(notes)) - liked
	if share > 0 {
		return w - 20*share
	}
	return w + 2*share
}

// idea says in a sentence what the etude is built on.
func (m *etudeMaker) idea(e *Exercise, plan []phrase, unchanged int) string {
	bar := func(at int) int { return m.g.places[at].bar + 1 }
	text := fmt.Sprintf("Its motif, %s, opens bar %d", e.names(0, len(m.motif.notes)), bar(m.motif.from))
	var moved []string
	for i, ph := range plan {
		if ph.motif && i > 0 && i != unchanged {
			moved = append(moved, fmt.Sprint(bar(ph.from)))
		}
	}
	switch len(moved) {
	case 0:
	case 1:
		text += "; it comes back moved in bar " + moved[0]
	default:
		text += "; it comes back moved in bars " + listed(moved)
	}
	if unchanged > 0 {
		text += fmt.Sprintf("; as it was in bar %d", bar(plan[unchanged].from))
	}
	var peaks []string
	for i, at := range m.peaks {
		peaks = append(peaks, fmt.Sprintf("%s in bar %d", tone.ClassOf(m.keys[i]).Name(), bar(at)))
	}
	return text + "; the peak is " + listed(peaks) + "."
}

// names lists the names of some notes.
func (e *Exercise) names(from, to int) string {
	text := ""
	for i := from; i < to; i++ {
		if i > from {
			text += " "
		}
		text += e.Pitch(i).Name.String()
	}
	return text
}
