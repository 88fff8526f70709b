package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// PageBars is how many bars a page of the rails holds.
const PageBars = 4

// Snapshot is the state of the playing at one tick, as a screen needs it. It
// shares no memory with the analyser and may be kept and read anywhere.
type Snapshot struct {
	Tick int64

	// Song position; Chorus and Bar are 0 without a chart and before bar 1.
	// CountIn is the number of beats until bar 1 while they are counted.
	HasChart bool
	Chorus   int
	Bar      int
	Bars     int     // the number of the last bar of a chorus
	Beat     float64 // from 1
	CountIn  int
	Section  string

	Chord     string // the symbol now: the home chord of the centre without a chart
	NextChord string // the next different one, empty if there is none
	Changes   harmony.Chord
	Centre    string        // "F major"; empty when there is none
	Scale     harmony.Scale // the active scale of the view
	Scales    bool          // the view is of each chord, not of one key

	Held      []Held // keys sounding, pedal included, from the lowest up
	HeldChord string // what they are together, where they are three or more

	Page   Page
	Counts Counts
	Recent Recent

	// What the line did lately. Run and Arpeggio are the longest of the last four
	// bars or 32 notes, Outlined is the arpeggio of the last two beats or eight
	// notes, Struck the last struck chord, Fit what fits the last four bars or 32
	// notes.
	Run, Arpeggio, Outlined Figure
	Struck                  StruckChord
	Fit                     Fit

	Phrase   Phrase // the last one that is over; its Number is 0 before there is one
	InPhrase bool   // another has begun since

	// UnresolvedBefore is how many notes were left unresolved, as far as it was
	// known when the latest phrase began.
	UnresolvedBefore int64

	// While the first bar of a chorus lasts, the two choruses before it, the
	// later first. Chorus is 0 where there is none, or nothing was played in it.
	Choruses [2]ChorusCount
}

// Held is one sounding key.
type Held struct {
	Channel, Key uint8
	Name         string // spelled, without octave
	Place        Place
}

// Page is the four bars being played, or four nominal bars of free time.
type Page struct {
	Start   int64 // tick of its first beat
	End     int64 // tick after its last
	Bars    []PageBar
	Symbols []PageSymbol
	Notes   []PageNote // in order of onset; the newest 256 if there are more
}

// PageBar is a bar on the page.
type PageBar struct {
	Start  int64 // tick
	Number int   // in the unrolled form; 0 in free time
	Meter  timebase.Meter
}

// PageSymbol is a chord symbol over the page.
type PageSymbol struct {
	Start  int64 // tick
	Symbol string
}

// PageNote is a note as the rails show it.
type PageNote struct {
	N         int64
	Tick      int64 // onset
	Key       uint8
	Name      string
	Place     Place
	ChordTone bool
	Role      Role
	Fate      Fate
	SettledIn int64 // the number of the phrase in which the fate was settled; 0: in none
}

// Counts are running totals of the session.
type Counts struct {
	Notes      int64
	Home       int64
	Dim        int64
	Outside    int64
	ChordTones int64
	Ghosts     int64        // notes below the gate: in none of the others
	Fates      [fates]int64 // by Fate; Pending and NoFate stay 0
}

// Of returns how many notes met a fate.
func (c Counts) Of(f Fate) int64 { return c.Fates[f] }

// Recent counts the notes of the last four bars, or the last 32 notes where
// those are fewer.
type Recent struct {
	Notes  int
	Inside int // on the scale
}
