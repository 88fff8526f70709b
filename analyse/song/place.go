package song

// View says which scale is active over the changes.
type View uint8

const (
	KeyView   View = iota // the centre's scale over all its chords
	ChordView             // a scale chosen for each chord
)

// Other is the other view.
func (v View) Other() View { return ChordView - v }

// String prints the view as the contract names it: "key" or "chord".
func (v View) String() string { return [...]string{"key", "chord"}[v] }

// MarshalText writes the view as the contract names it.
func (v View) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what MarshalText writes; anything else is the key view.
func (v *View) UnmarshalText(text []byte) error {
	if *v = KeyView; string(text) == ChordView.String() {
		*v = ChordView
	}
	return nil
}

// Place is where a note lies in the active scale.
type Place uint8

const (
	NoPlace Place = iota // there is no active scale
	Home
	Dim
	Outside
)

// String prints the place as the contract names it; empty for NoPlace.
func (p Place) String() string { return [...]string{"", "home", "dim", "outside"}[p] }

// MarshalText writes the place as the contract names it.
func (p Place) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads what MarshalText writes; anything else is no place.
func (p *Place) UnmarshalText(text []byte) error {
	for *p = Outside; *p > NoPlace && p.String() != string(text); {
		*p--
	}
	return nil
}

// Spot is a point of the song as players name it.
type Spot struct {
	Chorus int     // from 1; 0 before bar 1 and without a chart
	Bar    int     // from 1 in the unrolled form; 0 as Chorus
	Beat   float64 // from 1, in thousandths; 0 as Chorus
}

// BarRef is a bar of a chorus, by their numbers: both are 0 without a chart.
type BarRef struct {
	Chorus int `json:"chorus"`
	Bar    int `json:"bar"`
}

// PlaceCounts counts notes by place.
type PlaceCounts struct {
	Home    int64 `json:"home"`
	Dim     int64 `json:"dim"`
	Outside int64 `json:"outside"`
}

// Density is what notes a beat and notes a bar are told from.
type Density struct {
	Notes      int64 // of the line, in phrases that are over
	MilliBeats int64 // from the first onset of each phrase to its end, in thousandths of a beat
	MicroBars  int64 // from the first phrase to the last, in millionths of a bar
}
