package changes

import (
	"fmt"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// What a chart may hold. The bounds are far above any tune that is played and
// keep a file that is none from taking memory or time.
const (
	// MaxChartBytes bounds a chart file: 256 KiB, some 20,000 bars of text.
	MaxChartBytes = 256 << 10
	// MaxBars bounds the unrolled form: 2,000 bars, over an hour at 120.
	MaxBars = 2000
	// MinBPM and MaxBPM bound a chart's tempo in beats a minute: outside them
	// nobody feels a beat.
	MinBPM, MaxBPM = 10, 600
)

const (
	maxTimes        = 64  // passes of a repeat: more is a slip of the typist
	maxEndings      = 9   // passes of a repeat that endings can number
	maxSections     = 128 // more than a suite has
	maxNameRunes    = 16  // a section's name: it stands in a corner of the screen
	maxTitleRunes   = 200
	maxBeatFraction = 4 // symbols and dots can stand for quarters of a beat, no less
)

// noChord is how the chart writes that nothing is played.
const noChord = "N.C."

// Chart is a tune's changes as they are written: sections of bars and the
// order they are played in. Parse, ParseMusicXML and Generic make charts that
// hold together; one chart may be shared by readers.
type Chart struct {
	Title    string
	Key      Centre // how the tune is spelled; it does not bend the key centres
	HasKey   bool
	Meter    timebase.Meter // at the start
	Tempo    int            // beats a minute; 0 where the chart says none
	Form     []string       // section names as played; nil: as written
	Pickup   int64          // ticks before bar 1
	Sections []Section
	Others   []Header // header lines that are kept and not used
	Remarks  []Remark // how it was read where there was a choice; no part of the tune
}

// Section is a stretch of the chart with a name, the form letter. Only the
// first section may be without one.
type Section struct {
	Name string
	Bars []WrittenBar
}

// WrittenBar is one bar as written, with the repeat signs around it.
type WrittenBar struct {
	Meter       timebase.Meter
	Quarter     int64  // the tempo in force, in microseconds a quarter note; 0 where none is written so far
	Stays       []Stay // at least one; their ticks add up to the bar
	RepeatStart bool   // |: stands before it
	RepeatEnd   bool   // :| stands after it
	Times       int    // how often the repeat it ends is played, from 3; 0: twice, or as its endings say
	Endings     []int  // it begins the ending with these numbers, ascending
}

// Stay is a chord and how long it is held in its bar.
type Stay struct {
	Symbol string        // as written; "N.C." for no chord
	Chord  harmony.Chord // no chord for N.C.
	Ticks  int64
	Centre Centre // the player's own, where Forced
	Forced bool   // the chart overrides the key centre here
}

// MicrosPerQuarter returns the chart's tempo as a MIDI file holds it, or 0
// where the chart says none. A beat is the one of the meter at the start.
func (c *Chart) MicrosPerQuarter() int64 {
	return microsPerQuarter(c.Tempo, c.Meter)
}

const minute = 60_000_000 // microseconds

// microsPerQuarter returns the tempo of so many beats of a meter a minute, 0 for none.
func microsPerQuarter(tempo int, m timebase.Meter) int64 {
	if tempo <= 0 {
		return 0
	}
	return minute * timebase.Quarter / (int64(tempo) * m.Beat())
}

// beatsPerMinute returns the tempo that microsPerQuarter has made, in whole beats.
func beatsPerMinute(quarter int64, m timebase.Meter) int {
	at := quarter * m.Beat()
	return int((minute*timebase.Quarter + at/2) / at)
}

// wholeTempo returns the tempo nearest to so many microseconds a quarter note that a
// chart's text can say, in whole beats a minute.
func wholeTempo(quarter int64, m timebase.Meter) int {
	return min(max(beatsPerMinute(quarter, m), MinBPM), MaxBPM)
}

// roundTempi makes the tempi of a chart that was played out whole beats of the bars in
// which its text begins them. In another order than they were written, a tempo may have
// to be said in a meter that it was not set in: 97 of 6/8 is 145.5 of 4/4. first is the
// tempo, not yet rounded, with which the chart begins.
func (c *Chart) roundTempi(first int64) {
	was, now := first, c.MicrosPerQuarter()
	for i := range c.Sections {
		for j := range c.Sections[i].Bars {
			bar := &c.Sections[i].Bars[j]
			if bar.Quarter != was {
				was, now = bar.Quarter, microsPerQuarter(wholeTempo(bar.Quarter, bar.Meter), bar.Meter)
			}
			bar.Quarter = now
		}
	}
}

// ParseCentre reads a key centre: a tonic alone for major, or a tonic and
// major, minor or blues, in full or as players shorten them: "Bb", "B flat",
// "F minor", "Fm", "F-", "F# min", "F blues".
func ParseCentre(text string) (Centre, error) {
	c, _, err := parseCentre(text)
	return c, err
}

// parseCentre reads a key centre, and reports whether its mode is named.
func parseCentre(text string) (c Centre, named bool, err error) {
	bad := fmt.Errorf("%s is no key centre: expected a tonic and major, minor or blues, like Bb major", quote(text))
	tonic, rest, ok := tone.CutName(strings.TrimSpace(text))
	if !ok {
		return Centre{}, false, bad
	}
	fields := strings.Fields(rest)
	if len(fields) > 0 && tonic.Alter == 0 {
		switch strings.ToLower(fields[0]) { // B flat minor
		case "flat", "b":
			tonic.Alter, fields = -1, fields[1:]
		case "sharp", "#":
			tonic.Alter, fields = 1, fields[1:]
		}
	}
	if tonic.Alter < -1 || tonic.Alter > 1 || len(fields) > 1 {
		return Centre{}, false, bad
	}
	c = Centre{Tonic: tonic}
	if len(fields) == 0 {
		return c, false, nil
	}
	switch word := strings.ToLower(fields[0]); {
	case fields[0] == "M", word == "maj", word == "major", word == "dur":
	case fields[0] == "m", word == "-", word == "min", word == "mi", word == "minor", word == "moll":
		c.Mode = Minor
	case word == "blues":
		c.Mode = Blues
	default:
		return Centre{}, false, bad
	}
	return c, true, nil
}

// section returns the section with a name.
func (c *Chart) section(name string) (*Section, bool) {
	for i := range c.Sections {
		if c.Sections[i].Name == name {
			return &c.Sections[i], true
		}
	}
	return nil, false
}

// clone returns a chart that shares nothing with this one but strings.
func (c *Chart) clone() *Chart {
	out := *c
	out.Form = append([]string(nil), c.Form...)
	out.Others = append([]Header(nil), c.Others...)
	out.Remarks = append([]Remark(nil), c.Remarks...)
	out.Sections = append([]Section(nil), c.Sections...)
	for i := range out.Sections {
		bars := append([]WrittenBar(nil), out.Sections[i].Bars...)
		for j := range bars {
			bars[j].Stays = append([]Stay(nil), bars[j].Stays...)
			bars[j].Endings = append([]int(nil), bars[j].Endings...)
		}
		out.Sections[i].Bars = bars
	}
	return &out
}
