package analyse_test

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Thirty bars labelled by hand before the program heard them: testdata/bars says how
// they are written. What of it is not found from its first note to its last, or not
// called what a player calls it, and what is told beside it, stands here word for word:
// none may come that is not among them, and one that is found goes from the list.
//
// The first is a known wrong answer, an arpeggio over a change: the last note of C A F D is
// over G7, and A F D is told, as of a chord of both. The cell and the enclosure are there
// to be heard; whoever wrote the labels left them out.
func TestThirtyBars(t *testing.T) {
	var figures, phrases int
	missed, beside := []string{}, []string{}
	for _, p := range readPassages(t, "../testdata/bars/thirty.txt") {
		said, played := p.play(t)
		figures, phrases = figures+len(p.figures), phrases+len(p.phrases)
		for span, name := range p.figures {
			if said[span] != name {
				missed = append(missed, fmt.Sprintf("%s, %s: %s", p.name, span, name))
			}
		}
		for span, name := range said {
			if p.figures[span] != name {
				beside = append(beside, fmt.Sprintf("%s, %s: %s", p.name, span, name))
			}
		}
		require.ElementsMatch(t, p.phrases, played, p.name)
	}
	require.Equal(t, [2]int{37, 14}, [2]int{figures, phrases})
	require.ElementsMatch(t, []string{
		"The towpath, 3:3.5 to 4:1: arpeggio down of Dm7",
	}, missed)
	require.ElementsMatch(t, []string{
		"The towpath, 3:4 to 4:1: arpeggio down of Bm7b5",
		"Lamp room, 4:1 to 4:2.5: cell 5-3-2-1 of Bb7",
		"Lamp room, 4:4 to 5:1: enclosure of G",
	}, beside)
}

// passage is some bars with what is in them.
type passage struct {
	name    string
	setup   analyse.Setup
	tempo   int64 // quarter notes a minute
	events  []analyse.Event
	end     int64
	figures map[barSpan]string
	phrases []barSpan
}

// barSpan is the ticks of a first and a last onset.
type barSpan struct{ from, to int64 }

const barTicks, beatTicks = 3840, 960

func (s barSpan) String() string {
	at := func(tick int64) string {
		return fmt.Sprintf("%d:%g", tick/barTicks+1, float64(tick%barTicks)/beatTicks+1)
	}
	return at(s.from) + " to " + at(s.to)
}

func readPassages(t *testing.T, file string) (out []*passage) {
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	var p *passage
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		word, rest, _ := strings.Cut(line, " ")
		switch word {
		case "", "#":
		case "--":
			p = &passage{name: strings.Trim(rest, "- "), figures: map[barSpan]string{}}
			out = append(out, p)
		case "chart":
			chart, err := changes.Parse(strings.NewReader("title: Pier Lights\nkey: C\n\n" + rest + "\n"))
			require.NoError(t, err)
			timeline, err := chart.Unroll()
			require.NoError(t, err)
			p.setup.Timeline = &timeline
		case "tempo":
			p.tempo, err = strconv.ParseInt(rest, 10, 64)
			require.NoError(t, err)
		case "view":
			p.setup.View = map[string]song.View{"key": song.KeyView, "chord": song.ChordView}[rest]
		case "bar":
			p.bar(t, rest)
		case "figure":
			span, name, ok := strings.Cut(rest, ": ")
			require.True(t, ok, line)
			p.figures[readSpan(t, span)] = name
		case "phrase":
			p.phrases = append(p.phrases, readSpan(t, rest))
		default:
			require.Fail(t, "a line of the bars", "%q", line)
		}
	}
	return out
}

func readSpan(t *testing.T, text string) barSpan {
	at := func(text string) int64 {
		var bar int64
		var beat float64
		_, err := fmt.Sscanf(text, "%d:%g", &bar, &beat)
		require.NoError(t, err, text)
		return (bar-1)*barTicks + int64((beat-1)*beatTicks)
	}
	from, to, ok := strings.Cut(text, " to ")
	require.True(t, ok, text)
	return barSpan{at(from), at(to)}
}

// bar adds four beats, parted by commas; what stands in a beat divides it evenly.
func (p *passage) bar(t *testing.T, text string) {
	beats := strings.Split(text, ",")
	require.Len(t, beats, 4, text)
	for _, beat := range beats {
		words := strings.Fields(beat)
		step := beatTicks / int64(len(words))
		for _, word := range words {
			last := len(p.events) - 1
			switch word {
			case "r":
			case "-":
				p.events[last].Tick += step
			default:
				pitch, err := tone.ParsePitch(word)
				require.NoError(t, err)
				key := uint8(pitch.Key())
				p.events = append(p.events, on(p.end, key), off(p.end+step, key))
			}
			p.end += step
		}
	}
}

// play returns what the program says is in the passage.
func (p *passage) play(t *testing.T) (map[barSpan]string, []barSpan) {
	a, err := analyse.New(p.setup)
	require.NoError(t, err)
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: 60_000_000 / p.tempo})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	slices.SortStableFunc(p.events, func(a, b analyse.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(b.Kind, a.Kind))
	})
	onsets, spans := map[int64]int64{}, map[int64]barSpan{}
	look := func() {
		if last := a.Snapshot().Phrase; last.Number > 0 {
			spans[last.Number] = barSpan{onsets[last.First], onsets[last.Last]}
		}
	}
	var n int64
	for _, e := range p.events {
		if e.Kind == analyse.NoteOn {
			onsets[n] = e.Tick
			n++
		}
		a.Add(e)
		look()
	}
	a.Finish(p.end)
	look()
	figures := map[barSpan]string{}
	for _, g := range a.Figures() {
		if g.Kind != figure.Leap {
			figures[barSpan{g.Tick, g.End}] = labelled(&g)
		}
	}
	var phrases []barSpan
	for number := range int64(len(spans)) {
		phrases = append(phrases, spans[number+1])
	}
	return figures, phrases
}

// labelled names a figure in the words of the labels.
func labelled(g *figure.Figure) string {
	told := g.OfPhrase()
	text := strings.TrimSpace(g.Kind.String() + " " + told.Direction)
	of := func(text string) string { return text + " of " + strings.Join(g.Chords, " or ") }
	switch g.Kind {
	case figure.Run:
		text = fmt.Sprintf("%s of %d", text, g.Notes)
		if g.Without != "" {
			text += ", without the " + g.Without
		}
		if len(g.Chords) > 0 {
			text = of(text + ",")
		}
	case figure.Arpeggio:
		text = of(text)
		if g.Degrees != "" {
			text += ", " + g.Degrees
		}
		if g.Order != "" {
			text += ", " + g.Order
		}
		if g.HalfSteps > 0 {
			text += fmt.Sprintf(", half steps %d", g.HalfSteps)
		}
	case figure.Cell:
		text = of(text + " " + g.Degrees)
	case figure.Thirds:
		text = fmt.Sprintf("%s of %d", text, g.Notes)
	case figure.Enclosure:
		text += " of " + g.Goal
	case figure.Repeated:
		text += " " + g.Start
	case figure.Trill:
		text += " " + g.Start + " " + g.Goal
	}
	return text
}
