package centre

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// # How the centres are found
//
// An improviser looks at the changes once and names a few stretches: home, the
// bridge. This package does the same in five steps.
//
//  1. Read (read.go, lead.go). Without any key in mind each chord gets a function
//     from what follows it: a dominant leads to where it lands (a fifth down, a
//     semitone down as a tritone substitute, a whole step up as a backdoor), a
//     dominant that leads to a dominant belongs to where the whole chain lands, a
//     two belongs to its five, a diminished seventh stands for the dominant of
//     what lies a semitone above one of its tones and otherwise only passes. The
//     last chord leads to the first.
//
//  2. Weigh (weigh.go). In each of the 36 centres (12 tonics, 3 modes) each chord
//     costs something a bar: nothing for the tonic and what leads to it, a little
//     for the key's other chords, more for a visit, most for what is foreign. A
//     tonic on which a cadence lands earns something for each bar it sounds, half
//     of it where it does not stay: it stays where it sounds two bars or where its
//     own material leads back to it. A change of centre costs a bar and a half of
//     foreign chords. The ratio of that cost to the foreign chord is the trade's
//     "four bars", its ratio to the landing is "a two-five-one that lands and
//     stays"; the other weights order the functions between. A blues needs its I7
//     at rest and what proves it (see blues), or twelve bars. The tonic on which
//     the tune's last bars come to rest earns half a change, which settles what
//     the loop leaves open.
//
//  3. Choose (path.go). Of all ways to give each chord of the loop a centre, the
//     cheapest one, exactly: a Viterbi search closed into a ring. Costs are
//     integers (weight times ticks), so that a tie is a tie. This says where each
//     chord leads, and with it the scale that goes with the chord.
//
//  4. Name (form.go). What leads into a section belongs by name to the section it
//     stands in, and sections of one name have the centres that most of them have.
//
//  5. Look below (fine.go, moves.go). A chord that its own dominant reaches, or
//     that goes to its own dominant and comes back, is a tonic of the finer layer:
//     a visit. Where such tonics follow each other every bar or two and are no
//     degrees of one key, the tune moves, and no centre holds there.
//
// Ties go to the path with fewer steps on the circle of fifths between the
// tonics of neighbouring stretches, and so to fewer stretches; then to the later
// change: a plain two-five between the modes of one tonic belongs to what was
// before it. So that neither the key nor the bar the chart begins with can bend
// this, the search starts at a chord chosen by the loop alone (its least
// rotation) and counts tonics from its root. A loop that is its own
// transposition (two dominants a tritone apart, for ever) may tie in a way that
// no answer could follow both the bars and the key; there the first tonic
// above the search's first root is taken.
//
// Cost: reading is linear in the chords but for the chains, weighing 36 look-ups
// a chord, choosing two walks of some 200 steps a chord in nearly all charts and
// 37 in the worst case. Sixty-four bars take about a tenth of a millisecond.
//
// Known wrong answers, and why they are accepted:
//   - A IV that is prepared by its two-five and stays two bars gets a stretch;
//     some players call it home. It lands and stays, and one does think of it.
//   - A two-five that vamps and never lands is read as i and IV7 of a minor
//     centre (Dorian), never as a major key whose tonic is never heard.
//   - A ballad written in double time has stretches half as long: the rules of
//     the trade count bars, and so does this.
//   - A song whose tonic is only ever a bar long and never prepared can lose to
//     its IV, if that is prepared each time: nothing in the changes says more.
//   - Four bars around the relative minor, two cadences and no stay, are a stretch
//     even where a player hears six of home.
//   - Slow dominants to ii (two bars or more before two bars of ii) make ii a
//     stretch even where a player hears one long way home.
//   - A chord of four bars that is not the tonic, nor the IV of a blues or the iv
//     of a minor one, becomes a centre even where it is a pedal before a return.
//   - Two-fives to new keys every two bars get centres of two bars where no home
//     chord lies between them, as well as being told to move.

// Chord is one chord of the unrolled form. Start and End are song ticks, Start
// inclusive and End exclusive; Bar is the bar it starts in, from 1. N.C. has the
// zero harmony.Chord.
type Chord struct {
	Start, End int64
	Bar        int
	Chord      harmony.Chord
}

// Section is a part of the form that begins at Start (song ticks). Sections of
// one name are alike.
type Section struct {
	Name  string
	Start int64
}

// Tune is one chorus, which goes round as a loop: chords in order, without gaps,
// from 0 to Length (ticks), and its sections in order, the first at 0. Without
// sections it is a bare loop that begins nowhere and ends nowhere. Key is how
// the tune is spelled (Db or C#), where HasKey; it never decides a centre.
type Tune struct {
	Chords   []Chord
	Sections []Section
	Length   int64
	Key      tone.Name
	HasKey   bool
}

// Stretch is a part of the form heard in one centre, from Start to End (song
// ticks, End exclusive). Why says what it rests on, in a player's words:
// "iiø-V7b9 in bars 5-6, tonic in bars 7-8".
type Stretch struct {
	Start, End int64
	Centre     Centre
	Why        string
}

// Sense is what one chord means to an improviser. N.C. has the zero Sense.
type Sense struct {
	// Scale is the centre whose scale goes with the chord in the key view: the
	// stretch's own, but where the chord leads into another centre, or where
	// tonics move, the one it leads to.
	Scale Centre
	// Own says that in the key view, too, the chord takes its own scale.
	Own bool
	// Passing, where Passes, is the tonic of the finer layer: a visit inside the
	// stretch.
	Passing Centre
	Passes  bool
}

// Move is a part of the form, from Start to End (song ticks, End exclusive),
// whose tonics change too fast to be centres.
type Move struct {
	Start, End int64
	Tonics     []Centre // three at least
}

// Found is what the changes of a tune say. The stretches stand in order without
// gaps from 0 to the tune's length, change only where a chord does, and
// neighbours differ; a stretch that goes on over the end of the loop is there
// twice, first and last. Senses has one entry for each chord.
type Found struct {
	Stretches []Stretch
	Senses    []Sense
	Moves     []Move
}

// Find reads one chorus: the stretches an improviser names before playing, and
// what lies under them. Without any chord there is one stretch in the given key,
// else in C major; without any length there is none.
//
// The rules are common practice; the essay above says how they are weighed.
func Find(t Tune) Found {
	if t.Length <= 0 {
		return Found{}
	}
	h := hearing{tune: &t, reading: readLoop(t.Chords, t.Length)}
	if len(h.loop) == 0 {
		only := Stretch{Start: 0, End: t.Length, Centre: Centre{Tonic: t.Key, Mode: Major}, Why: "no chords"}
		return Found{Stretches: []Stretch{only}, Senses: make([]Sense, len(t.Chords))}
	}
	h.landed = make([]int, len(t.Chords))
	states := h.choose(h.ending())
	for i, at := range h.place {
		h.landed[i] = states[at]
	}
	h.name()
	h.split()
	out := Found{Moves: h.moves()}
	for _, p := range h.parts {
		out.Stretches = append(out.Stretches, Stretch{
			Start: t.Chords[p.from].Start, End: t.Chords[p.to-1].End,
			Centre: Centre{Tonic: t.spell(h.around(p)), Mode: p.mode}, Why: h.why(p),
		})
	}
	out.Senses = h.senses(out.Stretches, out.Moves)
	return out
}

// hearing is a tune with what was found in it. Indices are those of the tune's
// chords; a state is tonic + 12*mode with the tonic a pitch class.
type hearing struct {
	tune *Tune
	reading
	landed []int  // the state of each chord by where it leads
	named  []int  // and by the section it stands in
	parts  []part // the stretches by name
}

// part is a stretch as a range of chords, from inclusive, to exclusive; to may
// count on past the end of the loop.
type part struct {
	tonic    int
	mode     Mode
	from, to int
}

// split joins the chords that follow each other in one state by name.
func (h *hearing) split() {
	for i, s := range h.named {
		if n := len(h.parts); n > 0 && s == h.named[i-1] {
			h.parts[n-1].to = i + 1
			continue
		}
		h.parts = append(h.parts, part{tonic: s % octave, mode: Mode(s / octave), from: i, to: i + 1})
	}
}

// around returns the whole stretch where one goes on over the end of the loop.
func (h *hearing) around(p part) part {
	first, last := h.parts[0], h.parts[len(h.parts)-1]
	if len(h.parts) > 1 && (p == first || p == last) && first.tonic == last.tonic && first.mode == last.mode {
		p.from, p.to = last.from, len(h.named)+first.to
	}
	return p
}

// at returns the chord of the loop at a chord of the tune.
func (h *hearing) at(i int) *loopChord { return &h.loop[h.place[i]] }
