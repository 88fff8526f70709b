package analyse

// Summary is what a session came to. Its fields are the review object of the
// contract at the door, without file, damage and findings.
type Summary struct {
	Title          string           `json:"title"`
	Choruses       int              `json:"choruses"` // up to the last note; 0 without a chart
	Bars           int              `json:"bars"`     // up to the last note, over all choruses; 0 without a chart
	Notes          int64            `json:"notes"`
	Ghosts         int64            `json:"ghosts"`  // notes below the gate: in no other count
	Seconds        float64          `json:"seconds"` // from tick 0 to the end, in thousandths
	View           string           `json:"view"`    // "key" or "chord"
	Place          PlaceCounts      `json:"place"`
	Fate           map[string]int64 `json:"fate"` // every fate that can be met, by its contract name
	ChordTones     int64            `json:"chord_tones"`
	OnBeat         []OnBeat         `json:"on_beat"`
	LeftHanging    Hanging          `json:"left_hanging"`
	Figures        FigureCounts     `json:"figures"`
	Links          LinkCounts       `json:"links"`      // of runs and arpeggios
	HalfSteps      HalfStepCounts   `json:"half_steps"` // in runs
	Family         []FamilyUse      `json:"family"`
	Centres        []CentreCount    `json:"centres"`
	HeardCentres   []HeardCentre    `json:"heard_centres"` // where no centre and no chart is given
	ChorusesDetail []ChorusCount    `json:"choruses_detail"`
	Subs           []SubUse         `json:"subs"`
	Phrases        PhraseReport     `json:"phrases"`
	Feel           FeelReport       `json:"feel"`
	Habits         HabitReport      `json:"habits"`
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

// OnBeat counts the scored on-beat notes over one kind of chord. Home counts
// those in the half that has more of the chord's tones: the home half or, over a
// chord such as G7 in C, the dim half. Reversed of the scored ones lay over chords
// of the latter sort. Over a chord whose tones are halved nothing is scored.
type OnBeat struct {
	View      string `json:"view"`
	ChordKind string `json:"chord_kind"`
	Scored    int64  `json:"scored"`
	Home      int64  `json:"home"`
	ChordTone int64  `json:"chord_tone"`
	Reversed  int64  `json:"reversed"`
}

// FigureCounts counts figures found in the line.
type FigureCounts struct {
	Run      int64 `json:"run"`
	Arpeggio int64 `json:"arpeggio"`
	Chord    int64 `json:"chord"`
	Leap     int64 `json:"leap"`
}

// FamilyUse says how often one chord of a family was played, struck or as an
// arpeggio; an arpeggio that fits several is counted for each. There is a row for
// every chord, touched or not, of a family that closes early as far as its first
// return.
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
