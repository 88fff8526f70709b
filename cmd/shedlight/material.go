package main

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
)

// made is what the commands that make material have in common.
type made struct {
	Level   int    `settings:"-" placeholder:"1-5" from:"1" to:"5" help:"How much it may do, 1 to 5; by default 2. See above."`
	Length  int    `settings:"-" placeholder:"BARS" from:"1" to:"256" help:"How many bars."`
	Range   string `settings:"-" type:"range" placeholder:"LOW-HIGH" help:"The notes it may use, like Bb3-F6, or an instrument's: ${instruments}. By default C4-C6. At concert pitch."`
	Leap    int    `settings:"-" placeholder:"SEMITONES" from:"5" to:"12" help:"The largest leap; by default 9, an octave at level 5."`
	Density int    `settings:"-" placeholder:"NOTES" from:"3" to:"12" help:"At most so many notes a bar, on average."`
	Seed    int    `settings:"-" placeholder:"N" from:"1" help:"What chance is drawn from: the same seed makes the same again. By default another each time; it is always printed."`

	Written string `default:"" enum:"C,Bb,Eb,F," placeholder:"C|Bb|Eb|F" help:"Write the text and the score for an instrument in this key; chords and ranges are typed, and JSON and MIDI written, at concert pitch."`

	MIDI     string  `name:"midi" settings:"-" placeholder:"FILE" group:"Where it goes:" help:"Also write it as a MIDI file. A file that is there is left alone."`
	MusicXML string  `name:"musicxml" settings:"-" placeholder:"FILE" group:"Where it goes:" help:"Also write it as MusicXML, for a notation program. A file that is there is left alone."`
	JSON     bool    `name:"json" settings:"-" group:"Where it goes:" help:"One JSON object a line in place of text, at concert pitch."`
	Play     bool    `settings:"-" group:"How it sounds:" help:"Let it be heard, over the click."`
	Tempo    float64 `settings:"-" placeholder:"N" from:"10" to:"600" unit:"beats a minute" group:"How it sounds:" help:"Beats a minute; by default the chart's, or 120."`
	API      string  `name:"api" type:"system" placeholder:"NAME" group:"How it sounds:" help:"The system's sound to use: jack, or this machine's usual one."`

	settings.Sound `group:"How it sounds:"`
}

func (m *made) check() error { return m.Sound.Check() }

// usualTempo is that of material whose chart says none, in beats a minute.
const usualTempo = 120

// request is what is asked of the maker. A seed is drawn where none was typed.
func (m *made) request() material.Request {
	r := material.Request{Level: cmp.Or(m.Level, 2), Bars: m.Length, Leap: m.Leap, Density: m.Density}
	if m.Range != "" {
		r.Range, _ = material.ParseRange(m.Range) // it was checked when it was typed
	}
	const seeds = 10_000 // few enough to be typed
	r.Seed = uint64(cmp.Or(m.Seed, 1+rand.IntN(seeds)))
	return r
}

// again is how the same is asked for, behind the command and its argument.
func (m *made) again(r material.Request) string {
	words := []string{"--level", strconv.Itoa(r.Level)}
	add := func(flag string, n int) {
		if n != 0 {
			words = append(words, flag, strconv.Itoa(n))
		}
	}
	add("--length", m.Length)
	if m.Range != "" {
		words = append(words, "--range", m.Range)
	}
	add("--leap", m.Leap)
	add("--density", m.Density)
	if m.Written != "" {
		words = append(words, "--written", m.Written)
	}
	add("--seed", int(r.Seed))
	return strings.Join(words, " ")
}

// write writes material wherever it is to go. heading is what stands above the text.
func (m *made) write(p *program, all []*material.Exercise, heading string) error {
	if m.MIDI != "" {
		if err := writeNew(m.MIDI, materialFile(material.Joined(all), m.tempo(all[0]))); err != nil {
			return err
		}
	}
	read, err := m.written(all)
	if err != nil {
		return err
	}
	if m.MusicXML != "" {
		if err := writeNew(m.MusicXML, material.MusicXML(read, "shedlight")); err != nil {
			return err
		}
	}
	if err := m.print(p, all, heading+materialText(read, p.width())); err != nil || !m.Play {
		return err
	}
	return m.play(p, material.Joined(all))
}

// written returns material as the player's instrument reads it.
func (m *made) written(all []*material.Exercise) (out []*material.Exercise, err error) {
	instrument, _ := tone.ParseInstrument(m.Written) // what says nothing is concert pitch
	for _, e := range all {
		read, err := e.WrittenFor(instrument)
		if err != nil {
			return nil, err
		}
		out = append(out, read)
	}
	return out, nil
}

// print writes an object for each, or their text.
func (m *made) print(p *program, all []*material.Exercise, text string) error {
	if m.JSON {
		for _, e := range all {
			if err := writeJSON(p.out, materialObject(e)); err != nil {
				return err
			}
		}
		return nil
	}
	out := &foldedLines{w: p.out, cells: p.width()}
	_, err := fmt.Fprint(out, text)
	return err
}

// tempo is how fast material goes, in beats a minute.
func (m *made) tempo(e *material.Exercise) float64 {
	return cmp.Or(m.Tempo, float64(e.Tempo), usualTempo)
}

// linesCommand makes lines from a chord.
type linesCommand struct {
	Chord string `arg:"" help:"A chord symbol at concert pitch, like C6, Dm7 or G7b9. - reads lines from standard input, as they are printed."`
	Scale string `settings:"-" placeholder:"KIND" help:"The scale to move the chord up: major, minor, seventh or seven-flat-five, on its root. By default the one that goes with the chord."`
	Count int    `settings:"-" placeholder:"N" from:"1" to:"100" help:"How many lines; by default 5."`
	Key   string `settings:"-" type:"key" placeholder:"KEY" help:"Move them to this key, by the shorter way."`

	made
}

func (c *linesCommand) Help() string {
	return `Lines of the sixth-diminished scale that goes with a chord, the best first, each
with its idea in a sentence, why it is there, and what its notes are over the
other chords of the key. No two are alike, not even in another key.

Levels: 1 the scale alone, with one turn; 2 the home chord broken, and the scale
back; 3 chords of the family, linked by steps; 4 over a two-five-one, with a
rest, a half step into a tone and two tones around one; 5 off the beat, through
a substitute over the V, early or late at its end, in triplets.

They are two bars long, or three from level 4 on. A bar stands
between bar lines: a chord and a colon, an eighth as a note with its octave,
r for a rest, - for what is held, three notes in brackets for a triplet. The
same text is read back:

  shedlight lines C6 --seed 3
  shedlight lines Dm7 --level 4 --written Bb --musicxml line.musicxml
  shedlight lines C6 --level 3 --seed 3 | shedlight lines - --key Eb --play`
}

func (c *linesCommand) Run(p *program) error {
	if err := c.check(); err != nil {
		return err
	}
	all, heading, err := c.make(p)
	if err != nil {
		return err
	}
	if c.Key != "" {
		key, err := changes.ParseKey(c.Key)
		if err != nil {
			return usage.Errorf("--key: %w", err)
		}
		for i, e := range all {
			to, err := key.For(e.Key)
			if err != nil {
				return usage.Errorf("--key: %w", err)
			}
			if all[i], err = e.Moved(to, material.Nearest(e.Key.Tonic, to)); err != nil {
				return err
			}
		}
		heading = ""
	}
	return c.write(p, all, heading)
}

// make makes the lines, or reads them, and says how the same are asked for.
func (c *linesCommand) make(p *program) (all []*material.Exercise, heading string, err error) {
	if c.Chord == stdinName {
		if c.Level+c.Length+c.Leap+c.Density+c.Seed+c.Count != 0 || c.Range != "" || c.Scale != "" {
			return nil, "", usage.Errorf("what is read is not made: it goes with --key, --midi, --musicxml, --json and --play alone")
		}
		if all, err = material.Read(p.in); err != nil {
			err = fmt.Errorf("standard input: %w", err)
		}
		return all, "", err
	}
	written, err := harmony.ParseSymbol(c.Chord)
	switch {
	case err != nil:
		return nil, "", usage.Errorf("%q: %w", c.Chord, err)
	case written.Chord.None():
		return nil, "", usage.Errorf("%s is no chord to make lines of: expected a chord symbol, like C6", written.Text)
	}
	symbol, said := written.InChart()
	if said != "" {
		p.say("shedlight: %s", said)
	}
	r := c.request()
	r.Count = c.Count
	var scale harmony.Scale
	if c.Scale != "" {
		kind, err := harmony.ParseScaleKind(c.Scale)
		if err != nil {
			return nil, "", usage.Errorf("--scale: %w", err)
		}
		scale = harmony.NewScale(kind, symbol.Chord.Root)
	}
	if all, err = material.Lines(symbol.Chord, scale, r); err != nil {
		return nil, "", usage.Error{Err: err}
	}
	if len(all) == 0 {
		return nil, "", fmt.Errorf("no line of %s was found: try another seed, a wider range or another level", c.Chord)
	}
	if asked := cmp.Or(c.Count, len(all)); len(all) < asked {
		p.say("shedlight: no more than %d lines of this kind differ", len(all))
	}
	extra := ""
	if c.Scale != "" {
		extra += " --scale " + c.Scale
	}
	if c.Count != 0 {
		extra += fmt.Sprint(" --count ", c.Count)
	}
	return all, fmt.Sprintf("# shedlight lines %s%s %s\n", symbol.Chord.ChartSymbol(), extra, c.again(r)), nil
}
