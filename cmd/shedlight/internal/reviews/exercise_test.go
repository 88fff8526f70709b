package reviews

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/changes"
	"shedlight/analyse/feel"
	"shedlight/analyse/figure"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// charts are tunes in several keys and meters.
func charts(t *testing.T) (out []*changes.Timeline) {
	add := func(c *changes.Chart, err error) {
		require.NoError(t, err)
		line, err := c.Unroll()
		require.NoError(t, err)
		out = append(out, &line)
	}
	for _, text := range []string{
		"key: C\n| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 | G7 |\n| Fmaj7 | Fm6 | Em7 | A7 | Dm7 | G7 | C6 | % |",
		"key: Eb\nmeter: 3/4\n| Ebmaj7 | Cm7 | Fm7 . Bb7 | Gm7b5 C7b9 |\n| Fm7 | Abm6 | Gm7 C7 F7 | Bb7sus4 Bb7 |",
		"key: F\n| F6 D7 Gm7 C7 | Am7 D7#9 | Gm7 . . C7b9 | F6 Bdim7 |",
		"key: G\nmeter: 5/4\n| Em7b5 | A7 | Dm6 | G+7 |",
	} {
		add(changes.Parse(strings.NewReader(text)))
	}
	for _, name := range []string{"blues", "minor-blues"} {
		c, ok := changes.Generic(name)
		require.True(t, ok)
		add(c, nil)
	}
	return out
}

// suggestible is every suggestion with notes that a review over a tune can make, by a
// summary with one fault at a time.
func suggestible(t *testing.T, line *changes.Timeline, view song.View) (all []advise.Suggestion) {
	summary := func() *analyse.Summary {
		a, err := analyse.New(analyse.Setup{Timeline: line, View: view})
		require.NoError(t, err)
		s := a.Summary()
		s.Tempo, s.Choruses, s.View = 140, 3, view
		for i := range s.ChordsDetail {
			s.ChordsDetail[i].Notes = 10
		}
		return &s
	}
	known := map[string]bool{}
	take := func(s *analyse.Summary, kind advise.Kind) {
		candidates := advise.Candidates(s)
		advise.Place(candidates, s, line)
		for _, c := range candidates {
			if key := fmt.Sprint(kind, c.Play); c.Kind == kind && len(c.Play.Notes) > 0 && !known[key] {
				known[key] = true
				all = append(all, c)
			}
		}
	}
	for i, row := range summary().ChordsDetail {
		s := summary()
		s.ChordsDetail[i].Unresolved = 5
		take(s, advise.Unresolved)
		chord := chordOf(t, row.Symbol)
		for class := range chord.Set().Each() {
			s.ChordsDetail[i].Tones.Add((class+11)%12, 5)
		}
		take(s, advise.HalfStep)
		s = summary()
		s.Feel.WithBeat = true
		s.OnBeat = []feel.OnBeat{{ChordKind: row.ChordKind, Scored: 20, ChordTone: 3}}
		s.ChordsDetail[i].Notes = 30
		take(s, advise.OnBeat)
		s = summary()
		next := s.ChordsDetail[(i+1)%len(s.ChordsDetail)]
		s.Phrases.Changes = []phrase.Change{{Bar: next.Bar, From: row.Symbol, To: next.Symbol, Times: 9, Leaps: 8}}
		take(s, advise.Crossing)
		s = summary()
		s.Phrases.Phrases = 12
		for class := range (chord.Hanging() &^ chord.Against()).Each() {
			s.LeftHanging.Over = append(s.LeftHanging.Over, phrase.HangingOver{
				Chord: row.Symbol, Name: class.Name().String(), Wants: ((class + 11) % 12).Name().String(), Times: 3,
			})
		}
		take(s, advise.Hanging)
	}
	scales := map[harmony.Scale]bool{{}: true}
	for _, slot := range line.Slots {
		scale := slot.Key
		if view == song.ChordView {
			scale = slot.Own
		}
		if scales[scale] {
			continue
		}
		scales[scale] = true
		for step := 1; step <= 8; step++ {
			s := summary()
			for row := 1; row <= 8; row++ {
				use := figure.FamilyUse{Centre: slot.Centre.String(), Scale: scale, Family: scale.HomeChord().Symbol(), Step: row, Times: 4}
				if row == step {
					use.Times = 0
				}
				s.Family = append(s.Family, use)
			}
			take(s, advise.Untouched)
		}
	}
	return all
}

// chordOf reads the symbol of a chart.
func chordOf(t *testing.T, symbol string) harmony.Chord {
	read, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	return read.Chord
}

// standsAt finds where the bars of an exercise stand in a tune, from a bar on: the tick of the
// first.
func standsAt(line *changes.Timeline, e *material.Exercise, bar int) (tick int64, ok bool) {
	symbols := func(t *changes.Timeline, from, to int64) (out string) {
		for tick := from; tick < to; tick += timebase.Quarter {
			out += t.Slots[t.SlotAt(tick%t.Length, 0)].Symbol + " "
		}
		return out
	}
	for _, b := range line.Bars[max(0, bar-1):] {
		if symbols(e.Line, 0, e.Line.Length) == symbols(line, b.Start, b.Start+e.Line.Length) {
			return b.Start, true
		}
	}
	return 0, false
}

// faults is what the judge finds in notes over a tune.
func faults(t *testing.T, line *changes.Timeline, notes []material.Note, tick int64, view song.View) (out []string) {
	a, err := analyse.New(analyse.Setup{Timeline: line, View: view})
	require.NoError(t, err)
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: timebase.Nominal})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	for _, n := range notes {
		a.Add(analyse.Event{Tick: tick + n.Tick, Kind: analyse.NoteOn, Key: n.Key, Velocity: 80})
		a.Add(analyse.Event{Tick: tick + n.Tick + n.Length, Kind: analyse.NoteOff, Key: n.Key})
	}
	a.Finish(tick + 2*line.Length)
	s := a.Summary()
	if s.Groups.Slip > 0 {
		out = append(out, fmt.Sprint("slips ", s.Groups.Slip))
	}
	if s.LeftHanging.Held+s.LeftHanging.PhraseEnd > 0 {
		out = append(out, fmt.Sprint("hanging ", s.LeftHanging.Over))
	}
	for _, v := range s.Fit {
		if v.Says == fit.Elsewhere || v.Says == fit.Nowhere {
			out = append(out, fmt.Sprint(v.Span, " ", v.Says, " ", v.Elsewhere))
		}
	}
	return out
}

// named is the notes that a suggestion names, in the order in which they are played.
func named(s *advise.Suggestion) (names []string) {
	p := &s.Play
	switch s.Kind {
	case advise.HalfStep: // "down"
		names = slices.Clone(p.Notes)
		slices.Reverse(names)
	case advise.Hanging: // "F-E or Ab-G"
		for i := range p.Notes {
			names = append(names, p.Notes[i], p.Then[i])
		}
	default:
		names = slices.Concat(p.Notes, p.Then)
	}
	return names
}

// What a suggestion gives to play begins with the notes that it names, is the same when it
// is read back, and is judged clean over its bars of the chart in both views.
func TestExercises(t *testing.T) {
	over, inChart := map[advise.Kind]int{}, map[advise.Kind]int{}
	for _, line := range charts(t) {
		for _, view := range []song.View{song.KeyView, song.ChordView} {
			for _, s := range suggestible(t, line, view) {
				g := given(&s, line)
				e, err := g.Over(line)
				require.NoError(t, err, "%+v", s)
				text := fmt.Sprintf("%s %v: %v", s.Kind, s.Play, e.Bars())
				requireNamed(t, &s, e, text)
				read, err := material.Read(strings.NewReader(fmt.Sprintf("centre: %s\n| %s |", e.Key, strings.Join(e.Bars(), " | "))))
				require.NoError(t, err, text)
				require.Equal(t, e.Notes, read[0].Notes, text)
				over[s.Kind]++
				on, tick := e.Line, int64(0)
				if at, ok := standsAt(line, e, s.Play.Bar); ok {
					on, tick = line, at
					inChart[s.Kind]++
				}
				if s.Kind == advise.Untouched && s.Play.Bar > 0 {
					require.Equal(t, line.Bars[s.Play.Bar-1].Start, tick, "it stands over the bars that it names: %s", text)
					require.Same(t, line, on, text)
				}
				for _, judged := range []song.View{song.KeyView, song.ChordView} {
					require.Empty(t, faults(t, on, e.Notes, tick, judged), "%s in view %v: %s", view, judged, text)
				}
			}
		}
	}
	t.Log(over, inChart)
	for _, kind := range []advise.Kind{advise.HalfStep, advise.Unresolved, advise.Hanging, advise.OnBeat, advise.Crossing, advise.Untouched} {
		require.Greater(t, over[kind], 50, kind)
		require.True(t, kind == advise.Hanging || inChart[kind] > over[kind]/2, "%s: over its bars where they have room for it", kind)
	}
}

// requireNamed checks that an exercise is the notes that a suggestion names: in their
// order, each group followed by nothing but its own way back.
func requireNamed(t *testing.T, s *advise.Suggestion, e *material.Exercise, text string) {
	want := named(s)
	for i, n := range e.Notes {
		require.Contains(t, advise.Classes(want), tone.ClassOf(int(n.Key)), "note %d: %s", i, text)
	}
	var played []tone.Class
	bars := map[int]bool{} // notes on a first beat
	for i, n := range e.Notes {
		played = append(played, tone.ClassOf(int(n.Key)))
		bars[i] = e.Line.Bars[e.Line.BarAt(n.Tick, 0)].Start == n.Tick
	}
	begins := func(at int, with []string) bool {
		return len(played) >= at+len(with) && slices.Equal(played[at:at+len(with)], advise.Classes(with))
	}
	if s.Kind != advise.Untouched {
		require.True(t, begins(0, want), text)
		return
	}
	require.True(t, bars[0] && begins(0, s.Play.Notes), text)
	for i := len(s.Play.Notes); i < len(played); i++ {
		if halved := i == len(s.Play.Notes) && s.Play.Bar > 0 && s.Play.Bar == s.Play.ToBar; (bars[i] || halved) && begins(i, s.Play.Then) {
			return
		}
	}
	require.Fail(t, "the second chord begins neither a bar nor, in one bar, its half", text)
}
