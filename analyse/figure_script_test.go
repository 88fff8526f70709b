package analyse_test

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Scripts of what the line did: notes with ticks in, figures, beats and windows
// out. testdata/figures/README.md is the manual of the format.
const figureScripts = "../testdata/figures/*.txt"

var updateFigures = flag.Bool("update-figures", false, "write what the analyser says into testdata/figures")

func TestFigureScripts(t *testing.T) {
	files, err := filepath.Glob(figureScripts)
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			archive, err := txtar.ParseFile(file)
			require.NoError(t, err)
			s := figureScript{t: t}
			for i := range archive.Files {
				section := &archive.Files[i]
				got, isAnswer := s.section(section.Name, string(section.Data))
				switch {
				case !isAnswer:
				case *updateFigures:
					section.Data = []byte(got)
				default:
					require.Equal(t, strings.TrimSpace(string(section.Data)), strings.TrimSpace(got), "%s, section %d: %s", file, i+1, section.Name)
				}
			}
			if *updateFigures {
				require.NoError(t, os.WriteFile(file, txtar.Format(archive), 0o644))
			}
		})
	}
}

// figureScript is a script being read: a setup, then notes, then answers.
type figureScript struct {
	t        *testing.T
	setup    analyse.Setup
	counted  bool // there is a tempo
	events   []analyse.Event
	end      int64
	analyser *analyse.Analyser
}

// section reads a section of a script; got is the answer to one that asks.
func (s *figureScript) section(name, text string) (got string, isAnswer bool) {
	switch name {
	case "setup":
		s.setup, s.counted, s.events, s.end = analyse.Setup{}, false, nil, 0
		s.read(text, s.readSetup)
		return "", false
	case "notes":
		s.analyser = nil
		s.events, s.end = nil, 0
		s.read(text, s.readNotes)
		return "", false
	}
	ask, ok := figureAnswers[name]
	require.True(s.t, ok, "section %q: expected setup, notes or an answer", name)
	if s.analyser == nil {
		s.play()
	}
	return ask(s.analyser), true
}

func (s *figureScript) read(text string, line func(words []string)) {
	for text := range strings.Lines(text) {
		if words := strings.Fields(text); len(words) > 0 && words[0] != "#" {
			line(words)
		}
	}
}

func (s *figureScript) readSetup(words []string) {
	value := strings.Join(words[1:], " ")
	switch words[0] {
	case "centre":
		c, err := changes.ParseCentre(value)
		require.NoError(s.t, err)
		s.setup.Centre = &c
	case "bars":
		chart, err := changes.Parse(strings.NewReader("title: Pier Lights\nkey: C\n\n" + value + "\n"))
		require.NoError(s.t, err)
		line, err := chart.Unroll()
		require.NoError(s.t, err)
		s.setup.Timeline = &line
	case "view":
		s.setup.View = map[string]song.View{"key": song.KeyView, "chord": song.ChordView}[value]
	case "counted":
		s.counted = true
	case "voicing":
		for _, word := range words[1:] {
			s.setup.Voicing = append(s.setup.Voicing, int(s.number(word)))
		}
	default:
		require.Fail(s.t, "setup", "%q: expected centre, bars, view, counted or voicing", words[0])
	}
}

// readNotes reads "TICK NOTE..." struck together, "TICK+STEP NOTE..." one after
// another, each with "=LENGTH" behind, or "end TICK".
func (s *figureScript) readNotes(words []string) {
	if words[0] == "end" {
		s.end = s.number(words[1])
		return
	}
	at, by, apart := strings.Cut(words[0], "+")
	tick, step := s.number(at), int64(0)
	length := int64(400)
	if apart {
		step = s.number(by)
		length = step
	}
	notes := words[1:]
	if last, found := strings.CutPrefix(notes[len(notes)-1], "="); found {
		length, notes = s.number(last), notes[:len(notes)-1]
	}
	for _, name := range notes {
		p, err := tone.ParsePitch(name)
		require.NoError(s.t, err)
		s.events = append(s.events, on(tick, uint8(p.Key())), off(tick+length, uint8(p.Key())))
		s.end = max(s.end, tick+length)
		tick += step
	}
}

func (s *figureScript) number(text string) int64 {
	n, err := strconv.ParseInt(text, 10, 64)
	require.NoError(s.t, err)
	return n
}

func (s *figureScript) play() {
	s.analyser = analyser(s.t, s.setup)
	if s.counted {
		s.analyser.Add(analyse.Event{Kind: analyse.Tempo, Value: timebase.Nominal})
	}
	if s.setup.Timeline != nil {
		s.analyser.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	}
	all(s.analyser, s.end, inTime(s.events)...)
}

// figureAnswers are what a script can ask for.
var figureAnswers = map[string]func(*analyse.Analyser) string{
	"figures": func(a *analyse.Analyser) string {
		var b strings.Builder
		for _, g := range a.Figures() {
			b.WriteString(figureLine(g))
		}
		return b.String()
	},
	"lately": func(a *analyse.Analyser) string {
		s := a.Snapshot()
		return "longest " + figureLine(s.Run) + "longest " + figureLine(s.Arpeggio) + "outlined " + figureLine(s.Outlined)
	},
	"struck": func(a *analyse.Analyser) string {
		c := a.Snapshot().Struck
		text := c.Name
		if c.Family != "" {
			text += fmt.Sprintf(", family %s step %d", c.Family, c.Step)
		}
		if c.Borrowed != "" {
			text += ", " + c.Borrowed
		}
		return text + "\n"
	},
	"family": func(a *analyse.Analyser) string {
		var b strings.Builder
		for _, u := range a.Summary().Family {
			fmt.Fprintf(&b, "%s, %s, family %s step %d: %s %d\n", u.Centre, u.Scale, u.Family, u.Step, u.Name, u.Times)
		}
		return b.String()
	},
	"on beat": func(a *analyse.Analyser) string {
		var b strings.Builder
		for _, r := range a.Summary().OnBeat {
			fmt.Fprintf(&b, "%s view, %s: %d scored, %d home, %d chord tones, %d reversed\n",
				r.View, r.ChordKind, r.Scored, r.Home, r.ChordTone, r.Reversed)
		}
		return b.String()
	},
	"hanging": func(a *analyse.Analyser) string {
		h := a.Summary().LeftHanging
		text := fmt.Sprintf("%d held, %d at the end of a phrase\n", h.Held, h.PhraseEnd)
		for _, o := range h.Over {
			text += fmt.Sprintf("%s over %s wants %s: %d\n", o.Name, o.Chord, o.Wants, o.Times)
		}
		return text
	},
	"half steps": func(a *analyse.Analyser) string {
		h := a.Summary().HalfSteps
		return fmt.Sprintf("%d added, %d onto the beat\n", h.Added, h.OntoBeat)
	},
	"heard": func(a *analyse.Analyser) string {
		var b strings.Builder
		for _, c := range a.Summary().HeardCentres {
			fmt.Fprintf(&b, "%s from note %d\n", c.Centre, c.From)
		}
		return b.String()
	},
}

// figureLine prints a figure as a script expects it.
func figureLine(g figure.Figure) string {
	if g.Kind == figure.None {
		return "none\n"
	}
	way := "down"
	if g.Up {
		way = "up"
	}
	text := fmt.Sprintf("%s %s, %d notes %d to %d, from %s", g.Kind, way, g.Notes, g.Tick, g.End, g.Start)
	for _, word := range []string{g.Half.String(), g.Beat.String(), strings.Join(g.Chords, " or ")} {
		if word != "" {
			text += ", " + word
		}
	}
	switch {
	case g.Complete:
		text += ", complete"
	case g.Kind == figure.Arpeggio:
		text += fmt.Sprintf(", %d of %d", g.Tones, g.Of)
	}
	for _, told := range []struct{ label, text string }{
		{"without the ", g.Without}, {"order ", g.Order}, {"degrees ", g.Degrees}, {"goal ", g.Goal},
	} {
		if told.text != "" {
			text += ", " + told.label + told.text
		}
	}
	if g.HalfSteps > 0 {
		text += fmt.Sprintf(", half steps %d", g.HalfSteps)
	}
	if g.Link != figure.NoLink {
		text += ", link " + g.Link.String()
	}
	return text + "\n"
}

// inTime puts events in order, releases before onsets.
func inTime(events []analyse.Event) []analyse.Event {
	out := slices.Clone(events)
	slices.SortStableFunc(out, func(a, b analyse.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}
