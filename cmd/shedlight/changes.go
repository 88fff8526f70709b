package main

import (
	"fmt"
	"math"

	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
)

type changesCommand struct {
	File string `arg:"" optional:"" help:"A chart file, a MusicXML lead sheet, one of your own by its name, or one of: ${charts}. - for standard input. Without it: a list of all."`
	Save bool   `settings:"-" help:"Keep the chart among your own, in ${own}; --chart finds it there by its name. One that is there is left alone."`
	Key  string `settings:"-" placeholder:"KEY" help:"Move the chart to this key, like Eb or Cm."`
	View string `enum:"key,chord" default:"key" placeholder:"VIEW" help:"Show the scale of each key centre (key, the default) or of each chord (chord)."`

	settings.Look `group:"How it looks:"`
	JSON          bool `name:"json" settings:"-" help:"One JSON object, at concert pitch."`
}

func (c *changesCommand) Help() string {
	return `One chorus of the chart as it is played, with repeats written out: key centres
above the bars, the scale below them, and why each centre was heard. "in Dm"
below a chord is a key that only passes; where keys move too fast to be centres
the last lines say so.
'shedlight help changes' explains how a chart is written.`
}

func (c *changesCommand) Run(p *program) error {
	if c.File == "" {
		return c.list(p)
	}
	t, err := tunes.Of(settings.Tune{Chart: c.File, Key: c.Key, View: c.View}, settings.Hand{}, nil)
	if err != nil {
		return err
	}
	for _, line := range t.Remarks {
		p.say("shedlight: %s", line)
	}
	if c.Save {
		if err := c.save(p, t); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(p.out, chartObject(t.Chart, t.Setup.Timeline))
	}
	sheet := display.ChartSheet{Chart: t.Chart, Line: t.Setup.Timeline, ChordView: t.Setup.View == song.ChordView}
	return display.WriteChart(p.out, sheet, p.pageOptions(c.Look))
}

// save keeps the chart among the player's own.
func (c *changesCommand) save(p *program, t *tunes.Tune) error {
	if c.File == stdinName {
		return usage.Errorf("--save needs a file: standard input has no name to keep it under")
	}
	source := *t.Source
	source.Chart = t.Chart
	path, err := library.Save(&source, c.Key != "", writeNew)
	if err != nil {
		return err
	}
	p.say("kept: %s", path)
	return nil
}

// list prints the charts that have a name.
func (c *changesCommand) list(p *program) error {
	if c.Key != "" || c.Save {
		return usage.Errorf("--key and --save need a chart")
	}
	entries := library.List()
	if c.JSON {
		return writeJSON(p.out, chartsJSON{Charts: entries})
	}
	const width = 24 // columns for a name
	out := &foldedLines{w: p.out, cells: p.width(), ascii: c.ASCII}
	for _, e := range entries {
		where := "built in"
		if e.Own {
			where = "yours"
		}
		if _, err := fmt.Fprintf(out, "%-*s %-9s %s\n", width, display.Clean(e.Name), where, display.Clean(e.Title)); err != nil {
			return err
		}
	}
	return nil
}

// chartsJSON is the charts that have a name.
type chartsJSON struct {
	Charts []library.Entry `json:"charts"`
}

// chartJSON is one chorus as the contract at the door has it, at concert pitch.
type chartJSON struct {
	Title   string        `json:"title"`
	Key     string        `json:"key"` // empty where the chart has none
	Meter   string        `json:"meter"`
	Bars    int           `json:"bars"`
	Chords  []chordJSON   `json:"chords"`
	Centres []stretchJSON `json:"centres"`
}

type chordJSON struct {
	Bar        int     `json:"bar"`
	Beat       float64 `json:"beat"`
	Beats      float64 `json:"beats"`
	Symbol     string  `json:"symbol"`
	Pcs        []int   `json:"pcs"`
	Centre     string  `json:"centre"`
	Passing    string  `json:"passing"` // the finer layer's tonic where it differs
	Scale      string  `json:"scale"`
	ChordScale string  `json:"chord_scale"`
}

type stretchJSON struct {
	Centre   string  `json:"centre"`
	FromBar  int     `json:"from_bar"`
	FromBeat float64 `json:"from_beat"`
	ToBar    int     `json:"to_bar"`
	ToBeat   float64 `json:"to_beat"`
	Why      string  `json:"why"`
}

func chartObject(chart *changes.Chart, line *changes.Timeline) chartJSON {
	out := chartJSON{Title: chart.Title, Meter: chart.Meter.String(), Bars: len(line.Bars), Chords: []chordJSON{}, Centres: []stretchJSON{}}
	if chart.HasKey {
		out.Key = display.KeyName(chart.Key)
	}
	for i := range line.Slots {
		s := &line.Slots[i]
		bar, beat := line.Position(s.Start)
		meter := line.Bars[line.BarAt(s.Start, bar-1)].Meter
		chord := chordJSON{
			Bar: bar, Beat: thousandths(beat), Beats: thousandths(float64(s.End-s.Start) / float64(meter.Beat())),
			Symbol: s.Symbol, Pcs: []int{}, Centre: s.Centre.String(), Scale: s.Key.String(), ChordScale: s.Own.String(),
		}
		if s.Passes {
			chord.Passing = s.Passing.String()
		}
		for class := range s.Chord.Set().Each() {
			chord.Pcs = append(chord.Pcs, int(class))
		}
		out.Chords = append(out.Chords, chord)
	}
	for _, c := range line.Centres {
		stretch := stretchJSON{Centre: c.Centre.String(), Why: c.Why}
		stretch.FromBar, stretch.FromBeat = line.Position(c.Start)
		stretch.ToBar, stretch.ToBeat = line.Position(c.End)
		stretch.FromBeat, stretch.ToBeat = thousandths(stretch.FromBeat), thousandths(stretch.ToBeat)
		out.Centres = append(out.Centres, stretch)
	}
	return out
}

// thousandths rounds a beat to the three decimals it is given in.
func thousandths(beat float64) float64 { return math.Round(beat*1000) / 1000 }
