// Package settings is what a player chooses. A setting is declared once, as a
// field of a command: that makes its flag, with its help and its limits, and three
// tags say how it travels beyond the call:
//
//	take:"Gate"        a take holds it, in this field of take.Settings, and is looked
//	                   at under it later
//	take:"Bars,chart"  the same, but it belongs to the take's own chart: it says
//	                   nothing about another one
//	take:"-"           a take holds it in a form of its own
//	take:"LagMS,done"  a take holds it, as something that was done while it was
//	                   played and is not done again
//	last:"-"           it holds for this call: the next bare one does not repeat it
//	last:"file"        where it names a file it is repeated by its whole path
//	last:"chart"       the same of a chart, which can be named without its ending
//	last:"folder"      it is repeated by its whole path, there or not yet
//	settings:"-"       it is of a call: the file of settings has no line for it
//	settings:"live"    it has one, which says nothing of a MIDI file that is played
//	                   or reviewed: that has its own
//	settings:"of:chart,key"  the same, and it says nothing either where one of these
//	                   was named elsewhere
//
// Everything else is derived. What the command line says wins, then what the take
// says, then the last time, then the player's file of settings, then what is built
// in. A setting that says nothing has the zero value of its type, or what its default
// tag says.
package settings

import (
	"path/filepath"
	"reflect"
	"strings"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"

	"shedlight/analyse/changes"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen"
)

// Tune says what is played over: a chart, a centre, both or neither.
type Tune struct {
	Chart  string `take:"-" last:"chart" settings:"live" placeholder:"FILE" help:"The changes: a chart file, a MusicXML lead sheet, one of your own by its name, or one of: ${charts}."`
	Key    string `take:"-" settings:"live" type:"key" placeholder:"NOTE" help:"Move the chart to this key."`
	Centre string `take:"Centre,chart" settings:"of:chart" type:"centre" placeholder:"CENTRE" help:"One key centre over everything, like \"F major\" or \"C minor\"."`
	View   string `take:"View" enum:"key,chord," default:"" placeholder:"VIEW" help:"Which scale is active: key (one for each centre, the default) or chord (one for each chord)."`
	Bars   string `take:"Bars,chart" settings:"of:chart" type:"bars" placeholder:"M-N" help:"Only these bars of the chart, over and over."`
	Goal   string `take:"Goal,chart" settings:"of:chart" type:"goal" placeholder:"WHAT" help:"What each chorus is to be: \"no slip\", \"no slip in 9-16\" (bars) or \"no slip in B\" (a section). In how many it was met stands large on the screen and in the review."`
	Gaps   string `take:"Gaps" settings:"live" type:"gaps" placeholder:"M/N" help:"Of each N bars of the chart the last M have no click, like 2/8: how much sooner or later you come back is told with the click, and in the review."`
	Trade  int    `take:"Trade" settings:"live" placeholder:"BARS" from:"0" to:"64" unit:"bars" help:"Trade: so many bars of the chart are yours, then as many somebody else's, and only yours are judged, with a beat before and behind them."`
	Move   int    `take:"Move" settings:"live" placeholder:"SEMITONES" from:"-11" to:"11" unit:"semitones" help:"A new key every chorus: each is so many semitones above the one before, like 5 for fourths up; below it where negative. Counting off again begins in the first key."`

	Voicing string `take:"Voicing" settings:"of:chart,key,centre" type:"voicing" placeholder:"NOTES" help:"The voicing whose family is looked for, in the scale of the first centre, like \"Bb3 D4 F4 A4\"; by default its home chord, and that with its major seventh."`
}

// Hand says what the instrument is like.
type Hand struct {
	Channel Channels `take:"Channels" settings:"of:hands" placeholder:"N" help:"Only these channels, 1 to 16, like 1,3; by default all, but for channel 10 of a file that is no take."`
	Hands   Hands    `take:"Hands" settings:"of:channel,split" placeholder:"L,R" help:"The channels of the left and of the right hand, where each has its own, like 1,2; then no split counts."`

	Split  Note     `take:"Split" placeholder:"NOTE" help:"What lies below this key, like C4, is the left hand's until the hands visibly cross."`
	Top    bool     `take:"Top" help:"The highest note of a struck chord is the melody."`
	Legato bool     `take:"Legato" help:"A wind controller: a note under 30 ms between two others is a slip of the fingering."`
	Gate   uint8    `take:"Gate" placeholder:"VELOCITY" from:"0" to:"127" help:"Notes softer than this do not count: ghosts of a guitar pickup, breath noise."`
	Map    []string `take:"Map" sep:"none" placeholder:"CONTROL=ACTION" help:"A pedal, a key outside the music or a program change asks for something: cc67=again, note21=tap, program5=stop. Actions: again, forward, back, stop, tap, forget, mark, louder, softer, faster, slower, view, phrase. A second one behind a stroke is for holding it: cc67=again/forget. A pedal that rests at 127 is cc67reversed, one that latches cc67latching; learn=again asks you to press it, finds that out and keeps it. More than once."`
}

// Look says how things are shown.
type Look struct {
	Written string `take:"Written" placeholder:"C|Bb|Eb|F" default:"" enum:"C,Bb,Eb,F," help:"Show written pitch for an instrument in this key; by default as a take says, else C."`
	ASCII   bool   `name:"ascii" help:"Write b and # and no other character beyond ASCII."`
}

// Played returns the channels that are played, none for the usual ones.
func (h Hand) Played() Channels {
	if h.Channel == 0 {
		return h.Hands.Both()
	}
	return h.Channel
}

// Options are the options of all that is shown.
func (l Look) Options() display.Options {
	instrument, _ := tone.ParseInstrument(l.Written) // what says nothing, or nothing known, is concert pitch
	return display.Options{ASCII: l.ASCII, Written: instrument}
}

// Delay says how late the player's notes come by themselves.
type Delay struct {
	Lag int `take:"LagMS,done" placeholder:"MS" from:"-500" to:"500" unit:"milliseconds" help:"Take this many milliseconds off every onset: what your instrument or ears add; by default what 'shedlight lag' has measured."`
}

// TakesFolder is where takes go unless told otherwise.
func TakesFolder() string { return filepath.Join(xdg.DataHome, "shedlight", "takes") }

// Parsing is what a parser of the command line needs to read settings.
func Parsing() []kong.Option {
	return []kong.Option{
		kong.Vars{
			"charts": strings.Join(changes.GenericNames(), ", "),
			"apis":   strings.Join(listen.APIs(), ", "),
			"takes":  TakesFolder(),
			"own":    library.Folder(),

			"instruments": strings.Join(material.Instruments(), ", "),
		},
		kong.NamedMapper("system", checked(checkSystem)),
		kong.NamedMapper("key", checked(checkKey)),
		kong.NamedMapper("centre", checked(checkCentre)),
		kong.NamedMapper("bars", checked(checkBars)),
		kong.NamedMapper("goal", checked(checkGoal)),
		kong.NamedMapper("rise", kong.MapperFunc(rise)),
		kong.NamedMapper("gaps", checked(checkGaps)),
		kong.NamedMapper("voicing", checked(checkVoicing)),
		kong.NamedMapper("range", checked(checkRange)),
		kong.KindMapper(reflect.Int, kong.MapperFunc(number)),
		kong.KindMapper(reflect.Uint8, kong.MapperFunc(number)),
		kong.KindMapper(reflect.Float64, kong.MapperFunc(number)),
	}
}

// Sound says what is heard of the session.
type Sound struct {
	Sound   string `enum:"own,midi,off," default:"" placeholder:"own|midi|off" help:"What sounds: this machine (own), an instrument at a MIDI output (midi), nothing (off). By default own, where there is a tempo and an audio device."`
	Click   string `enum:"beats,2-4,off" default:"beats" placeholder:"beats|2-4|off" help:"When the click sounds; the count-in always does."`
	Out     string `placeholder:"PORT" help:"The MIDI output to sound at, as 'shedlight ports' lists it."`
	Speaker string `placeholder:"NAME" help:"The audio device to sound on."`
}

// Band says who else plays.
type Band struct {
	Backing string `enum:"off,bass,full" default:"off" placeholder:"off|bass|full" help:"A band that plays the chart: a bass, or a bass and a piano (full)."`
}

// Plays reports whether there is a band.
func (b Band) Plays() bool { return b.Backing != "off" && b.Backing != "" }

// Sync says whose time it is.
type Sync struct {
	Sync  string `enum:"own,clock," default:"" placeholder:"own|clock" help:"Whose tempo it is: one of our own, or that of a MIDI clock, whose start begins the song (clock)."`
	Clock string `placeholder:"PORT" help:"The MIDI input that the clock comes from; by default the instrument's."`
}

// Follows reports whether a clock is followed.
func (s Sync) Follows() bool { return s.Sync == "clock" || s.Sync == "" && s.Clock != "" }

// Silent reports whether no sound is wanted. timed says that there is a tempo.
func (s Sound) Silent(timed bool) bool {
	return s.Sound == "off" || s.Sound == "" && s.Out == "" && s.Speaker == "" && !timed
}

// MIDI reports whether an instrument is to sound.
func (s Sound) MIDI() bool { return s.Sound == "midi" || s.Sound == "" && s.Out != "" }

// Wanted reports whether some sound is asked for.
func (s Sound) Wanted() bool {
	return s.Sound != "off" && (s.Sound != "" || s.Out != "" || s.Speaker != "")
}

// Check refuses what does not go together.
func (s Sound) Check() error {
	switch {
	case s.Out != "" && !s.MIDI():
		return usage.Errorf("--out is for --sound midi")
	case s.Speaker != "" && s.MIDI():
		return usage.Errorf("--speaker is for --sound own")
	case s.Sound == "off" && s.Speaker != "":
		return usage.Errorf("--sound off and --speaker: choose one")
	}
	return nil
}
