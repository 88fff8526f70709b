package analyse

// Summary is what a session came to. Its fields are the review object of the
// contract at the door, without file, damage and findings.
type Summary struct {
	Title          string           `json:"title"`
	Choruses       int              `json:"choruses"` // up to the last note; 0 without a chart
	Bars           int              `json:"bars"`     // up to the last note, over all choruses; 0 without a chart
	Notes          int64            `json:"notes"`
	Seconds        float64          `json:"seconds"` // from tick 0 to the end, in thousandths
	View           string           `json:"view"`    // "key" or "chord"
	Place          PlaceCounts      `json:"place"`
	Fate           map[string]int64 `json:"fate"` // every fate that can be met, by its contract name
	ChordTones     int64            `json:"chord_tones"`
	OnBeat         []OnBeat         `json:"on_beat"`
	Figures        FigureCounts     `json:"figures"`
	Family         []FamilyUse      `json:"family"`
	Centres        []CentreCount    `json:"centres"`
	ChorusesDetail []ChorusCount    `json:"choruses_detail"`
	Subs           []SubUse         `json:"subs"`
	BarsDetail     []BarCount       `json:"bars_detail"`   // every bar of the chart; empty without one
	ChordsDetail   []ChordCount     `json:"chords_detail"` // every chord of the chart, in order
	Meant          int64            `json:"meant"`         // unresolved notes that were meant and are in no other count of them
}

// PlaceCounts counts notes by place.
type PlaceCounts struct {
	Home    int64 `json:"home"`
	Dim     int64 `json:"dim"`
	Outside int64 `json:"outside"`
}

// OnBeat counts the scored on-beat notes over one kind of chord.
type OnBeat struct {
	View      string `json:"view"`
	ChordKind string `json:"chord_kind"`
	Scored    int64  `json:"scored"`
	Home      int64  `json:"home"`
	ChordTone int64  `json:"chord_tone"`
}

// FigureCounts counts figures found in the line.
type FigureCounts struct {
	Run      int64 `json:"run"`
	Arpeggio int64 `json:"arpeggio"`
	Chord    int64 `json:"chord"`
	Leap     int64 `json:"leap"`
}

// FamilyUse says how often one chord of a family was played.
type FamilyUse struct {
	Centre string `json:"centre"`
	Scale  string `json:"scale"`
	Family string `json:"family"`
	Step   int    `json:"step"`
	Name   string `json:"name"`
	Times  int64  `json:"times"`
}

// CentreCount counts the notes over one key centre.
type CentreCount struct {
	Centre     string `json:"centre"`
	Notes      int64  `json:"notes"`
	Outside    int64  `json:"outside"`
	Unresolved int64  `json:"unresolved"`
}

// ChorusCount counts the notes of one chorus.
type ChorusCount struct {
	Chorus     int   `json:"chorus"`
	Notes      int64 `json:"notes"`
	Outside    int64 `json:"outside"`
	Unresolved int64 `json:"unresolved"`
}

// SubUse says how often a substitute scale was heard over a kind of chord.
type SubUse struct {
	ChordKind string `json:"chord_kind"`
	Scale     string `json:"scale"`
	Times     int64  `json:"times"`
}
