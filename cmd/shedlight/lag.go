package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/beat"
)

// lagCommand measures what to take off.
type lagCommand struct {
	In  string `placeholder:"PORT" help:"The instrument's port, as 'shedlight ports' lists it. Needed where there is more than one instrument."`
	API string `name:"api" type:"system" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`

	settings.Sound `group:"How it sounds:"`
	JSON           bool `name:"json" settings:"-" help:"One JSON object on standard output."`
}

func (c *lagCommand) Help() string {
	return `After four clicks play one short note on each: four that do not count, then sixteen,
and sixteen more where they leave a doubt. What is found is kept for this instrument
on this output, and 'shedlight listen' takes it off.`
}

func (c *lagCommand) check() error {
	if c.Sound.Sound == "off" || c.Click == "off" {
		return usage.Errorf("--sound off and --click off leave no click to play with")
	}
	return c.Sound.Check()
}

// Run measures the lag.
func (c *lagCommand) Run(p *program) (err error) {
	if err := c.check(); err != nil {
		return err
	}
	restore := p.quieten()
	defer restore()
	s := p.startSound(c.Sound, settings.BandChannels{}, c.API, true, clickWithin)
	defer func() { err = errors.Join(err, s.close(p)) }()
	if !s.on() {
		_, news := s.told()
		return fmt.Errorf("there is no click to play with: %s", news)
	}
	live, err := listen.OpenLive(listen.Options{Port: c.In, Shown: display.Clean, API: c.API, Beat: lagClock()})
	if err != nil {
		return err
	}
	defer live.Close()
	s.line, s.zero = live.Line, live.Zero
	_, news := s.told()
	p.say("%s", news)
	p.say("After four clicks play one short note on each.")

	ctx, stop := untilSignal()
	defer stop()
	found, err := measureLag(ctx, live, s.begin)
	s.hush()
	if ctx.Err() != nil {
		return &stopped{}
	}
	if err != nil {
		return fmt.Errorf("%w (%v)", err, found)
	}
	if err := settings.KeepLag(live.Instrument(), s.output(), int(found.Lag.Round(time.Millisecond).Milliseconds())); err != nil {
		p.fail("it could not be kept: %v", err)
	}
	if c.JSON {
		return writeJSON(p.out, lagFound{
			Lag: found.Lag.Milliseconds(), Uncertain: found.Uncertain.Milliseconds(), Scatter: found.Scatter.Milliseconds(),
			Used: found.Used, Played: found.Played,
		})
	}
	_, err = fmt.Fprintln(p.out, found)
	return err
}

// lagFound is what --json says.
type lagFound struct {
	Lag       int64 `json:"lag_ms"`
	Uncertain int64 `json:"uncertain_ms"`
	Scatter   int64 `json:"scatter_ms"`
	Used      int   `json:"used"`
	Played    int   `json:"played"`
}

// lagClock is the clock of the click that is played with: bars of four, of which
// one leads in.
func lagClock() beat.Setup {
	return beat.Setup{Quarter: beat.LagTempo, CountIn: 1, Ahead: soundAhead}
}

// timedSource is a source that knows when its ticks are.
type timedSource interface {
	listen.Source
	Line() *beat.Line
}

// measureLag hears what is played on the click until it is sure, or has heard
// enough. begun is called when the time begins.
func measureLag(ctx context.Context, source timedSource, begun func()) (beat.Lag, error) {
	top := -int64(1) // the tick at which the lead-in is over
	wanted := int64(beat.LagBeats)
	var onsets []time.Duration
	var found beat.Lag
	var err error
	for e, failed := range source.Events(ctx, nil) {
		if failed != nil {
			return found, failed
		}
		if top < 0 {
			begun()
			song, _ := source.Line().Song(0)
			top = -song
		}
		if e.Kind == analyse.NoteOn && e.Velocity > 0 {
			onsets = append(onsets, source.Line().Time(e.Tick))
		}
		first := top + beat.LagWarmUp*timebase.Quarter
		if e.Tick < first+wanted*timebase.Quarter-timebase.Quarter/2 { // half a beat for the last note to come
			continue
		}
		const quarter = beat.LagTempo * time.Microsecond
		beats := make([]time.Duration, wanted)
		for i := range beats {
			beats[i] = time.Duration(first/timebase.Quarter)*quarter + time.Duration(first%timebase.Quarter)*quarter/timebase.Quarter + time.Duration(i)*quarter
		}
		if found, err = beat.MeasureLag(onsets, beats); err != nil || !found.GoOn(int(wanted)) {
			return found, err
		}
		wanted = beat.LagMore
	}
	return found, err
}
