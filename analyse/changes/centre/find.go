package centre

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// # How the centres are found
//
// An improviser looks at the changes once and names a few stretches: home, the
// bridge. This package does the same in three steps.
//
//  1. Read (read.go, lead.go). Without any key in mind each chord
//     gets a function from what follows it: a dominant leads to where it lands (a
//     fifth down, a semitone down as a tritone substitute, a whole step up as a
//     backdoor), a dominant that leads to a dominant belongs to where the whole
//     chain lands, a two belongs to its five, a diminished seventh stands for the
//     dominant of what lies a semitone above one of its tones and otherwise only
//     passes. The last chord leads to the first.
//
//  2. Weigh (weigh.go). In each of the 36 centres (12 tonics, 3 modes)
//     each chord costs something a bar: nothing for the tonic and what leads to
//     it, a little for the key's other chords, more for a visit, most for what
//     is foreign. A tonic on which a cadence lands earns something for each bar
//     it stays. A change of centre costs a bar and a half of foreign chords. The
//     ratio of that cost to the foreign chord is the trade's "four bars", its
//     ratio to the landing is "a two-five-one that lands and stays"; the other
//     weights order the functions between. A blues is told from a major key by
//     sevenths that stand on I and on IV, and by IV7 going back to I7.
//
//  3. Choose (path.go). Of all ways to give each chord of the loop a
//     centre, the cheapest one, exactly: a Viterbi search closed into a ring.
//     Costs are integers (weight times ticks), so that a tie is a tie.
//
// Ties go to the path with fewer steps on the circle of fifths between the
// tonics of neighbouring stretches, and so to fewer stretches; then to the later
// change. So that neither the key nor the bar the chart begins with can bend
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
//   - Whether a tune whose tonic is a sixth and whose IV7 stays a bar is a blues
//     or a major key hangs by a point; the scale of the key view is the same.
//   - A song whose tonic is only ever a bar long and never prepared can lose to
//     its IV, if that is prepared each time: nothing in the changes says more.
//   - II7 or VI7 for four bars that then turns elsewhere is named as a blues
//     centre: so is the modal stretch on a seventh chord, which looks the same.
//   - Slow dominants to ii (two bars or more before two bars of ii) make ii a
//     stretch even where a player hears one long way home.
//   - A chord of four bars that is not the tonic, nor the IV of a blues or the iv
//     of a minor one, becomes a centre even where it is a pedal before a return.

// Chord is one chord of the unrolled form. Start and End are song ticks, Start
// inclusive and End exclusive; Bar is the bar it starts in, from 1. N.C. has the
// zero harmony.Chord.
type Chord struct {
	Start, End int64
	Bar        int
	Chord      harmony.Chord
}

// Tune is one chorus, which goes round as a loop: chords in order, without gaps,
// from 0 to Length (ticks). Key is how the tune is spelled (Db or C#), where
// HasKey; it never decides a centre.
type Tune struct {
	Chords []Chord
	Length int64
	Key    tone.Name
	HasKey bool
}

// Stretch is a part of the form heard in one centre, from Start to End (song
// ticks, End exclusive). Why says what it rests on, in a player's words:
// "iiø-V7b9 in bars 5-6, tonic in bars 7-8".
type Stretch struct {
	Start, End int64
	Centre     Centre
	Why        string
}

// Find splits one chorus into the stretches an improviser names before playing.
// The stretches stand in order without gaps from 0 to the tune's length, change
// only where a chord does, and neighbours differ; a stretch that goes on over
// the end of the loop is there twice, first and last. Without any chord there is
// one stretch in the given key, else in C major.
//
// The rules are common practice; the essay above says how they are weighed.
func Find(t Tune) []Stretch {
	if t.Length <= 0 {
		return nil
	}
	r := readLoop(t.Chords, t.Length)
	if len(r.loop) == 0 {
		return []Stretch{{Start: 0, End: t.Length, Centre: Centre{Tonic: t.Key, Mode: Major}, Why: "no chords"}}
	}
	chords := t.Chords
	states := r.choose()
	parts := partsOf(states, r.place)
	out := make([]Stretch, len(parts))
	for i, p := range parts {
		out[i] = Stretch{Start: chords[p.from].Start, End: chords[p.to-1].End}
	}
	if first, last := &parts[0], &parts[len(parts)-1]; first != last && first.tonic == last.tonic && first.mode == last.mode {
		// One stretch around the end of the loop: both ends say the same of it.
		last.to = first.to + len(chords)
		first.from, first.to = last.from, last.to
	}
	for i, p := range parts {
		out[i].Centre = Centre{Tonic: t.spell(p), Mode: p.mode}
		out[i].Why = r.why(chords, p)
	}
	return out
}

// part is a stretch as a range of changes, from inclusive, to exclusive; to
// counts on past the end of the loop.
type part struct {
	tonic    int
	mode     Mode
	from, to int
}

// partsOf joins the changes that follow each other in one state.
func partsOf(states, place []int) []part {
	var out []part
	for i, at := range place {
		p := part{tonic: states[at] % octave, mode: Mode(states[at] / octave), from: i, to: i + 1}
		if n := len(out); n > 0 && out[n-1].tonic == p.tonic && out[n-1].mode == p.mode {
			out[n-1].to = p.to
			continue
		}
		out = append(out, p)
	}
	return out
}
