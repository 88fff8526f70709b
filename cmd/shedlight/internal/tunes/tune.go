// Package tunes reads what is played over: it turns a player's settings, and those
// of a take, into what the analyser judges by.
package tunes

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
	"shedlight/listen/take"
)

// Tune is what is played over, ready for the analyser and for the take.
type Tune struct {
	Setup    analyse.Setup
	Chart    *changes.Chart  // nil without a chart
	Source   *library.Source // what it was read from, where a flag names it
	Controls hands.Map       // what asks for something
	Remarks  []string        // how it was read, where there was a choice
	With     []string        // who plays along: "click", "bass", "piano", "clock" for another's time; none where nobody does or nobody says

	over settings.Tune // with what a take says filled in
	on   settings.Hand
}

// Of reads a tune: what the flags name and, where they are silent, what a take was
// played under; s may be nil. The error is a usage.Error where a flag is wrong.
func Of(over settings.Tune, on settings.Hand, s *take.Settings) (*Tune, error) {
	typed := over.View != ""
	settings.Fill(&over, s)
	settings.Fill(&on, s)
	embedded := "" // a chart's text, where none is named
	if s != nil {
		embedded = s.Chart
	}
	t, err := read(&Tune{over: over, on: on}, embedded)
	if err == nil {
		t.Setup.OneView = typed && s != nil // it wins over what was asked for in the take
		if s != nil {
			t.With = s.With
		}
	}
	return t, err
}

// OfTake reads the tune of a take or of any MIDI file, and remarks on what of it is
// not played or played twice. Where nobody names a chart and the file holds chord symbols, those are
// its changes.
func OfTake(over settings.Tune, on settings.Hand, file string, t *take.Take) (*Tune, error) {
	tune, err := ofTake(over, on, file, t)
	if err != nil {
		return nil, err
	}
	for _, line := range t.LeftOut {
		tune.Remarks = append(tune.Remarks, file+": "+line)
	}
	var doubles take.Doubles
	for e := range t.Events {
		doubles.Add(e)
	}
	if twice := tune.Twice(&doubles); twice != "" {
		tune.Remarks = append(tune.Remarks, file+": "+twice)
	}
	return tune, nil
}

// Twice says that every note was heard twice, and what to do; empty where none was.
func (t *Tune) Twice(d *take.Doubles) string {
	first, second, doubled := d.Found()
	if !doubled || t.Setup.Channels != 0 {
		return ""
	}
	return fmt.Sprintf("every note comes twice, on channels %d and %d: choose one with --channel", first+1, second+1)
}

func ofTake(over settings.Tune, on settings.Hand, file string, t *take.Take) (*Tune, error) {
	if t.Settings != nil || t.Chart == nil || over.Chart != "" {
		tune, err := Of(over, on, t.Settings)
		var wrong usage.Error
		if err != nil && over.Chart == "" && !errors.As(err, &wrong) {
			err = fmt.Errorf("%s: the chart in it: %w", file, err)
		}
		return tune, err
	}
	tune := &Tune{over: over, on: on, Remarks: []string{file + ": the chord symbols in the file are its changes"}}
	for _, r := range t.Chart.Remarks {
		tune.Remarks = append(tune.Remarks, file+": "+r.String())
	}
	return read(tune, t.Chart.String())
}

// read fills a tune in. embedded is a chart's text to use where no chart is named;
// empty for none.
func read(t *Tune, embedded string) (*Tune, error) {
	over, on := t.over, t.on
	t.Setup = analyse.Setup{
		Channels: uint16(on.Played()), LeftHand: on.Hands[0], Split: on.Split.Key, Top: on.Top, Gate: on.Gate, Legato: on.Legato,
	}
	if over.View == song.ChordView.String() {
		t.Setup.View = song.ChordView
	}
	if over.Centre != "" {
		c, err := changes.ParseCentre(over.Centre)
		if err != nil {
			return nil, usage.Errorf("--centre: %w", err)
		}
		t.Setup.Centre = &c
	}
	controls, err := hands.Parse(on.Map)
	if err != nil {
		return nil, usage.Errorf("--map %w", err)
	}
	t.Controls, t.Setup.Asks = controls, controls.Asks()
	switch {
	case over.Chart != "":
		err = t.open()
	case embedded != "":
		t.Chart, err = changes.Parse(strings.NewReader(embedded))
	case over.Key != "" || over.Bars != "":
		return nil, usage.Errorf("--key and --bars need a --chart")
	case over.Goal != "":
		return nil, usage.Errorf("--goal needs a --chart")
	case over.Trade != 0:
		return nil, usage.Errorf("--trade needs a --chart")
	case over.Gaps != "":
		return nil, usage.Errorf("--gaps needs a --chart")
	case over.Move != 0:
		return nil, usage.Errorf("--move needs a --chart")
	}
	if err == nil && t.Chart != nil {
		err = t.unroll()
	}
	if err == nil && over.Voicing != "" {
		err = t.setVoicing()
	}
	return t, err
}

// setVoicing turns the notes of the voicing into places of the first centre's
// scale, so that it makes a family in every other.
func (t *Tune) setVoicing() error {
	keys, err := harmony.ParseVoicing(t.over.Voicing)
	if err != nil {
		return usage.Errorf("--voicing: %w", err)
	}
	slices.Sort(keys) // the bass is the lowest, in whatever order they were typed
	var scale harmony.Scale
	switch {
	case t.Setup.Centre != nil:
		scale = t.Setup.Centre.Scale()
	case t.Setup.Timeline != nil:
		scale = t.Setup.Timeline.Centres[0].Centre.Scale()
	default:
		return usage.Errorf("--voicing needs a --chart or a --centre")
	}
	for _, key := range keys {
		class := tone.Class(key % 12)
		place, ok := scale.Index(class)
		if !ok {
			return usage.Errorf("--voicing: %s is not in %s", class.Name(), scale.Short())
		}
		t.Setup.Voicing = append(t.Setup.Voicing, place)
	}
	return nil
}

// unroll moves the chart to its key, plays out its form and puts the player's
// centre, if there is one, over all of it.
func (t *Tune) unroll() error {
	if t.over.Key != "" {
		key, err := changes.ParseKey(t.over.Key)
		if err == nil {
			t.Chart, err = t.Chart.In(key)
		}
		if err != nil {
			return usage.Errorf("--key: %w", err)
		}
	}
	line, err := t.played(t.Chart, t.Setup.Centre)
	if err != nil {
		return err
	}
	t.Setup.Timeline, t.Setup.Trade = line, t.over.Trade
	if err := t.move(); err != nil {
		return err
	}
	if t.over.Gaps != "" {
		if t.Setup.Gaps, err = settings.Gaps(t.over.Gaps); err != nil {
			return usage.Errorf("--gaps%w", err)
		}
	}
	return t.setGoal()
}

// played plays out the form of a chart, as much of it as is played, with a centre over all
// of it where there is one.
func (t *Tune) played(chart *changes.Chart, over *changes.Centre) (*changes.Timeline, error) {
	line, err := chart.Unroll()
	if err != nil {
		return nil, err
	}
	if t.over.Bars != "" {
		from, to, err := settings.BarRange(t.over.Bars)
		if err != nil {
			return nil, usage.Errorf("--bars%w", err)
		}
		if line, err = line.Loop(from, to); err != nil {
			return nil, usage.Errorf("--bars: %w", err)
		}
	}
	if over != nil {
		for i := range line.Slots {
			line.Slots[i].Centre, line.Slots[i].Key = *over, over.Scale()
		}
	}
	return &line, nil
}

// move makes the keys of the choruses, where they move: as many as it takes to come back
// to the first.
func (t *Tune) move() error {
	by := tone.ClassOf(t.over.Move)
	if by == 0 {
		return nil
	}
	for at := tone.Class(0); at != 0 || len(t.Setup.Keys) == 0; at = tone.ClassOf(int(at + by)) {
		chart := t.Chart.Up(int(at))
		key := song.Key{Name: keyName(chart.InKey()), Semitones: int(at), Timeline: t.Setup.Timeline}
		if at != 0 {
			over := t.Setup.Centre
			if over != nil {
				moved := changes.Up(*over, int(at))
				over = &moved
			}
			line, err := t.played(chart, over)
			if err != nil {
				return err
			}
			key.Timeline = line
		}
		t.Setup.Keys = append(t.Setup.Keys, key)
	}
	return nil
}

// keyName is what players call a key: "F", also of a blues, or "F minor".
func keyName(key changes.Centre) string {
	if key.Mode == changes.Minor {
		return key.String()
	}
	return key.Tonic.String()
}

// Goal is what each chorus is to be, as the player says it; empty for nothing.
func (t *Tune) Goal() string { return t.over.Goal }

// open reads the chart that the settings name.
func (t *Tune) open() error {
	source, err := library.Open(t.over.Chart)
	var missing *library.NotFound
	if errors.As(err, &missing) {
		return usage.Errorf("%w", err)
	}
	if err != nil {
		return err
	}
	t.Source, t.Chart = source, source.Chart
	for _, r := range t.Chart.Remarks {
		t.Remarks = append(t.Remarks, t.over.Chart+": "+r.String())
	}
	return nil
}

// Tell writes into a take's settings what is played over.
func (t *Tune) Tell(s *take.Settings) {
	settings.Tell(&t.over, s)
	settings.Tell(&t.on, s)
	s.View, s.With = t.Setup.View.String(), t.With
	if t.Chart != nil {
		s.Title, s.Chart = t.Chart.Title, t.Chart.String()
	}
}

// tempo returns the microseconds a quarter note lasts: the player's beats a
// minute, the chart's, or the nominal tempo of a chart that says none. known
// is false in free time.
func (t *Tune) tempo(perMinute float64) (quarter int64, known bool) {
	beat := int64(timebase.Quarter)
	if t.Setup.Timeline != nil {
		beat = t.Setup.Timeline.Bars[0].Meter.Beat()
	}
	switch {
	case perMinute > 0:
		return int64(60e6 / perMinute * timebase.Quarter / float64(beat)), true
	case t.Chart != nil && t.Chart.Tempo > 0:
		return t.Chart.MicrosPerQuarter(), true
	}
	return timebase.Nominal, t.Chart != nil
}

// Beat returns what the beat clock needs of the tune: its form, and the tempo,
// the player's in beats a minute or else its own. In free time there is none.
func (t *Tune) Beat(perMinute float64) beat.Setup {
	var s beat.Setup
	if quarter, known := t.tempo(perMinute); known {
		s.Quarter = quarter
	}
	if line := t.Setup.Timeline; line != nil {
		form := beat.Chorus(line)
		s.Form = &form
	}
	return s
}

// LastChord returns the song tick in the form from which no other chord comes.
func (t *Tune) LastChord() int64 {
	slots := t.Setup.Timeline.Slots
	last := len(slots) - 1
	for last > 0 && slots[last-1].Symbol == slots[last].Symbol {
		last--
	}
	return slots[last].Start
}

// Hear tells the analyser how fine the time of the events is, in ticks.
func (t *Tune) Hear(events iter.Seq[analyse.Event], quantum int64) {
	for e := range events {
		if e.Kind == analyse.Tempo {
			t.Setup.Quantum = quantum * e.Value / timebase.Quarter
			return
		}
	}
}

// Placed puts bar 1 of the chart at a bar of a file, counted from 1 in the
// chart's meter; a pick-up of the chart comes before it, at the start of the file.
// A file that knows where bar 1 is keeps it unless start says otherwise.
func (t *Tune) Placed(events iter.Seq[analyse.Event], start int) iter.Seq[analyse.Event] {
	if t.Setup.Timeline == nil || start <= 1 && knowsBarOne(events) {
		return events
	}
	before := t.Setup.Timeline.Pickup
	if start > 1 {
		before = int64(start-1) * t.Setup.Timeline.Bars[0].Meter.Bar()
	}
	return func(yield func(analyse.Event) bool) {
		if !yield(analyse.Event{Kind: analyse.Origin, Key: 1, Value: -before}) {
			return
		}
		for e := range events {
			if e.Kind != analyse.Origin && !yield(e) {
				return
			}
		}
	}
}

func knowsBarOne(events iter.Seq[analyse.Event]) bool {
	for e := range events {
		if e.Kind == analyse.Origin {
			return true
		}
	}
	return false
}

// ID tells tunes apart: the chart, which part of it, the centre, the view and how the
// choruses move.
// It is empty where nothing was judged.
func (t *Tune) ID() string {
	if t.Chart == nil && t.Setup.Centre == nil {
		return ""
	}
	const enough = 16 // bytes of the hash
	h := sha256.New()
	chart := ""
	if t.Chart != nil {
		chart = t.Chart.String()
	}
	parts := []string{chart, t.over.Bars, t.over.Centre, t.Setup.View.String()}
	if t.over.Move != 0 {
		parts = append(parts, strconv.Itoa(t.over.Move))
	}
	for _, part := range parts {
		fmt.Fprintf(h, "%d:%s", len(part), part)
	}
	return hex.EncodeToString(h.Sum(nil)[:enough])
}

// Unsplit reports whether nothing parts the hands.
func (t *Tune) Unsplit() bool { return t.Setup.Split == 0 && t.Setup.LeftHand == 0 && !t.Setup.Top }
