package main

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/listen/take"
)

// tuneFlags say what is played over: a chart, a centre, both or neither.
type tuneFlags struct {
	Chart  string `placeholder:"FILE" help:"The changes: a chart file, a MusicXML lead sheet, one of your own by its name, or one of: ${charts}."`
	Key    string `placeholder:"NOTE" help:"Move the chart to this key."`
	Centre string `placeholder:"CENTRE" help:"One key centre over everything, like \"F major\" or \"C minor\"."`
	View   string `enum:"key,chord," default:"" placeholder:"VIEW" help:"Which scale is active: key (one for each centre, the default) or chord (one for each chord)."`
	Bars   string `placeholder:"M-N" help:"Only these bars of the chart, over and over."`

	Voicing string `placeholder:"NOTES" help:"The voicing whose family is looked for, in the scale of the first centre, like \"Bb3 D4 F4 A4\"; by default its home chord, and that with its major seventh."`
}

// tune is what is played over, ready for the analyser and for the take.
type tune struct {
	setup  analyse.Setup
	chart  *changes.Chart  // nil without a chart
	source *library.Source // what it was read from, where the flags name it
	flags  tuneFlags       // with what a take says filled in
}

// merged returns the flags with the gaps filled from a take's settings. What
// is said on the command line wins.
func (f tuneFlags) merged(s *take.Settings) tuneFlags {
	if s == nil {
		return f
	}
	if f.View == "" {
		f.View = s.View
	}
	if f.Centre == "" && f.Chart == "" {
		f.Centre = s.Centre
	}
	if f.Bars == "" && f.Chart == "" {
		f.Bars = s.Bars
	}
	if f.Voicing == "" {
		f.Voicing = s.Voicing
	}
	return f
}

// tune reads what the flags name. embedded is a chart's text to use where no
// chart is named; empty for none.
func (f tuneFlags) tune(embedded string, h hand) (*tune, error) {
	t := &tune{flags: f, setup: analyse.Setup{Split: h.split, Top: h.top, Gate: h.gate, Legato: h.legato}}
	if f.View == analyse.ChordView.String() {
		t.setup.View = analyse.ChordView
	}
	if f.Centre != "" {
		c, err := changes.ParseCentre(f.Centre)
		if err != nil {
			return nil, usagef("--centre: %w", err)
		}
		t.setup.Centre = &c
	}
	var err error
	switch {
	case f.Chart != "":
		err = t.open()
	case embedded != "":
		t.chart, err = changes.Parse(strings.NewReader(embedded))
	case f.Key != "" || f.Bars != "":
		return nil, usagef("--key and --bars need a --chart")
	}
	if err == nil && t.chart != nil {
		err = t.unroll()
	}
	if err == nil && f.Voicing != "" {
		err = t.setVoicing()
	}
	return t, err
}

// setVoicing turns the notes of the voicing into places of the first centre's
// scale, so that it makes a family in every other.
func (t *tune) setVoicing() error {
	keys, err := harmony.ParseVoicing(t.flags.Voicing)
	if err != nil {
		return usagef("--voicing: %w", err)
	}
	slices.Sort(keys) // the bass is the lowest, in whatever order they were typed
	var scale harmony.Scale
	switch {
	case t.setup.Centre != nil:
		scale = t.setup.Centre.Scale()
	case t.setup.Timeline != nil:
		scale = t.setup.Timeline.Centres[0].Centre.Scale()
	default:
		return usagef("--voicing needs a --chart or a --centre")
	}
	for _, key := range keys {
		class := tone.Class(key % 12)
		place, ok := scale.Index(class)
		if !ok {
			return usagef("--voicing: %s is not in %s", class.Name(), scale.Short())
		}
		t.setup.Voicing = append(t.setup.Voicing, place)
	}
	return nil
}

// unroll moves the chart to its key, plays out its form and puts the player's
// centre, if there is one, over all of it.
func (t *tune) unroll() error {
	if t.flags.Key != "" {
		key, err := tone.ParseName(t.flags.Key)
		if err != nil {
			return usagef("--key: %w", err)
		}
		t.chart = t.chart.Transpose(key)
	}
	line, err := t.chart.Unroll()
	if err != nil {
		return err
	}
	if t.flags.Bars != "" {
		from, to, err := barRange(t.flags.Bars)
		if err != nil {
			return err
		}
		if line, err = line.Loop(from, to); err != nil {
			return usagef("--bars: %w", err)
		}
	}
	if c := t.setup.Centre; c != nil {
		for i := range line.Slots {
			line.Slots[i].Centre, line.Slots[i].Key = *c, c.Scale()
		}
	}
	t.setup.Timeline = &line
	return nil
}

func barRange(text string) (from, to int, err error) {
	a, b, ok := strings.Cut(text, "-")
	if !ok {
		b = a
	}
	from, err1 := strconv.Atoi(a)
	to, err2 := strconv.Atoi(b)
	if err1 != nil || err2 != nil {
		return 0, 0, usagef("--bars %s: expected two bar numbers, like 5-8", text)
	}
	return from, to, nil
}

// open reads the chart of the flags.
func (t *tune) open() error {
	source, err := library.Open(t.flags.Chart)
	var missing *library.NotFound
	if errors.As(err, &missing) {
		return usageError{err}
	}
	if err == nil {
		t.source, t.chart = source, source.Chart
	}
	return err
}

// remarks says how the chart was read, a line each. One that a take holds was
// read before.
func (t *tune) remarks() []string {
	if t.source == nil {
		return nil
	}
	var out []string
	for _, r := range t.source.Chart.Remarks {
		out = append(out, t.flags.Chart+": "+r.String())
	}
	return out
}

// settings is what the take says of the tune.
func (t *tune) settings() take.Settings {
	s := take.Settings{
		Centre: t.flags.Centre, View: t.setup.View.String(), Program: version(),
		Split: t.setup.Split, Top: t.setup.Top, Gate: t.setup.Gate, Legato: t.setup.Legato, Voicing: t.flags.Voicing,
	}
	if t.chart != nil {
		s.Title, s.Chart, s.Bars = t.chart.Title, t.chart.String(), t.flags.Bars
	}
	return s
}

// tempo returns the microseconds a quarter note lasts: the player's beats a
// minute, the chart's, or the nominal tempo of a chart that says none. known
// is false in free time.
func (t *tune) tempo(perMinute float64) (quarter int64, known bool) {
	beat := int64(timebase.Quarter)
	if t.setup.Timeline != nil {
		beat = t.setup.Timeline.Bars[0].Meter.Beat()
	}
	switch {
	case perMinute > 0:
		return int64(60e6 / perMinute * timebase.Quarter / float64(beat)), true
	case t.chart != nil && t.chart.Tempo > 0:
		return t.chart.MicrosPerQuarter(), true
	}
	return timebase.Nominal, t.chart != nil
}

// opening returns the events that a session over the tune starts with: tempo,
// and where the count-in lies.
func (t *tune) opening(perMinute float64, countIn int) []analyse.Event {
	quarter, known := t.tempo(perMinute)
	if !known {
		return nil
	}
	events := []analyse.Event{{Kind: analyse.Tempo, Value: quarter}}
	if line := t.setup.Timeline; line != nil {
		meter := line.Bars[0].Meter
		before := max(int64(countIn)*meter.Bar(), line.Pickup)
		events = append(events, analyse.Event{Kind: analyse.Meter, Value: meter.Packed()})
		events = append(events, analyse.Event{Kind: analyse.Origin, Key: 1, Value: -before})
	}
	return events
}

// end returns the tick at which so many choruses behind an opening are over, and
// the one from which no other chord comes.
func (t *tune) end(opening []analyse.Event, choruses int) (lastChord, until int64) {
	line := t.setup.Timeline
	until = int64(choruses)*line.Length - opening[len(opening)-1].Value
	last := len(line.Slots) - 1
	for last > 0 && line.Slots[last-1].Symbol == line.Slots[last].Symbol {
		last--
	}
	return until - line.Length + line.Slots[last].Start, until
}

// hear tells the analyser what the events are like: whether beats are counted,
// which they are where there is a tempo, and how fine their time is, in ticks.
func (t *tune) hear(events []analyse.Event, quantum int64) {
	for _, e := range events {
		if e.Kind == analyse.Tempo {
			t.setup.Counted = true
			t.setup.Quantum = quantum * e.Value / timebase.Quarter
			return
		}
	}
}

// placed puts bar 1 of the chart at a bar of a file, counted from 1 in the
// chart's meter. A file that knows where bar 1 is keeps it unless start says
// otherwise.
func (t *tune) placed(events []analyse.Event, start int) []analyse.Event {
	isOrigin := func(e analyse.Event) bool { return e.Kind == analyse.Origin }
	if t.setup.Timeline == nil || start <= 1 && slices.ContainsFunc(events, isOrigin) {
		return events
	}
	bar := t.setup.Timeline.Bars[0].Meter.Bar()
	out := []analyse.Event{{Kind: analyse.Origin, Key: 1, Value: -int64(start-1) * bar}}
	return append(out, slices.DeleteFunc(slices.Clone(events), isOrigin)...)
}

// markers puts the chord symbols that sounded into a take.
func markers(s take.Settings, times []analyse.Event, end int64) []take.Marker {
	f := tuneFlags{}.merged(&s)
	t, err := f.tune(s.Chart, hand{})
	if err != nil || t.setup.Timeline == nil {
		return nil // the settings are from a file: what cannot be read has no symbols
	}
	return symbolMarkers(t.setup.Timeline, times, end)
}
