package fit

// Span is what a verdict is about.
type Span uint8

const (
	Phrase Span = iota + 1
	Section
	Chorus
	Take
)

// String prints the span as the contract names it.
func (s Span) String() string { return [...]string{"", "phrase", "section", "chorus", "take"}[s] }

// Says is the verdict itself.
type Says uint8

const (
	// TooLittle: too few notes, or no other place has other chords.
	TooLittle Says = iota + 1
	// Elsewhere: the line goes better with another place, by the evidence of
	// a claim.
	Elsewhere
	// Fits: nothing speaks for another place. With says what it goes with.
	Fits
	// Nowhere: the notes lie as low as notes at random.
	Nowhere
)

// String prints the verdict as the contract names it.
func (s Says) String() string {
	return [...]string{"", "too little", "elsewhere", "fits", "nowhere"}[s]
}

// With is what a line that fits goes with.
type With uint8

const (
	// Unsaid: the line lies no better than notes at random and the span is too
	// short to be told so. Nothing is to be said of it.
	Unsaid With = iota
	Chords      // the written chords, one by one
	Key         // the scale of the centre, whatever the chord
)

// String prints what it goes with as the contract names it, empty for Unsaid.
func (w With) String() string { return [...]string{"", "chords", "key"}[w] }

// MarshalText writes the span into JSON as the contract names it.
func (s Span) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// MarshalText writes the verdict into JSON as the contract names it.
func (s Says) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// MarshalText writes what it goes with into JSON as the contract names it.
func (w With) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Move is a way to another place: the move that would make the line fit. A line
// that is a bar of 4/4 late has Beats -4, one that is a half step high Semitones
// -1. One of the two is 0.
type Move struct {
	Beats     int `json:"beats"`     // of the span's first meter: half a bar, one or two
	Semitones int `json:"semitones"` // -5 to 6
}

// Verdict is how well a span goes with the changes. Bars and beats are counted
// as in a finding; To is exclusive, and the end of a chorus is beat 1 of the bar
// after its last. Where the song began or stopped within a span, it is that part
// of it. Without a chart choruses, bars and beats are 0.
type Verdict struct {
	Span      Span    `json:"span"`
	Chorus    int     `json:"chorus"`
	ToChorus  int     `json:"to_chorus"` // the chorus that its end lies in
	FromBar   int     `json:"from_bar"`
	FromBeat  float64 `json:"from_beat"`
	ToBar     int     `json:"to_bar"`
	ToBeat    float64 `json:"to_beat"`
	FromN     int64   `json:"from_n"` // the first note, as a finding counts
	ToN       int64   `json:"to_n"`   // one more than the last
	Notes     int64   `json:"notes"`  // of the line that have a chord over them
	Score     float64 `json:"score"`  // their mean, -1 to 1
	Says      Says    `json:"says"`
	With      With    `json:"with"`      // where it fits
	Elsewhere Move    `json:"elsewhere"` // the best other place, claimed or not; none where no chord differs
	BarBeats  int     `json:"bar_beats"` // beats in a bar of its first meter, in which Elsewhere counts
	Evidence  float64 `json:"evidence"`  // for that place against the written one: the base-ten logarithm of the likelihood ratio
}

// ChartMove returns by how many semitones the chart has to move up (down if
// negative) for a whole take to fit that was played in another key: what the
// instrument's transposition or --key has to make good. ok is false for every
// other verdict.
func (v *Verdict) ChartMove() (semitones int, ok bool) {
	return -v.Elsewhere.Semitones, v.Span == Take && v.Says == Elsewhere && v.Elsewhere.Semitones != 0
}

// Bars returns by how many bars a line would have to move to fit: whole ones or
// half a bar, negative back.
func (v *Verdict) Bars() float64 {
	return float64(v.Elsewhere.Beats) / float64(max(1, v.BarBeats))
}

// LastBar is the last bar of the span, by its number.
func (v *Verdict) LastBar() int {
	if v.ToBeat == 1 {
		return v.ToBar - 1
	}
	return v.ToBar
}

// Claims reports whether the verdict says something against the line.
func (v *Verdict) Claims() bool { return v.Says == Elsewhere || v.Says == Nowhere }

// Speaking returns the verdicts that claim and do not lie within a longer one
// that claims, in their order: the ones to make sentences of. The largest span
// speaks for what lies in it.
func Speaking(all []Verdict) []Verdict {
	var out []Verdict
	for i := range all {
		if all[i].Claims() && !spokenFor(all, i) {
			out = append(out, all[i])
		}
	}
	return out
}

// spokenFor reports whether a larger span that claims holds the notes of one.
func spokenFor(all []Verdict, i int) bool {
	v := &all[i]
	for j := range all {
		o := &all[j]
		if o.Claims() && o.Span > v.Span && o.FromN <= v.FromN && v.ToN <= o.ToN {
			return true
		}
	}
	return false
}
