package analyse_test

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// inKeys unrolls a chart in the keys of its choruses, each so many semitones above the one
// before.
func inKeys(t testing.TB, chart *changes.Chart, by int) (keys song.Keys) {
	t.Helper()
	for at := 0; at != 0 || keys == nil; at = int(tone.ClassOf(at + by)) {
		moved := chart.Up(at)
		line, err := moved.Unroll()
		require.NoError(t, err)
		keys = append(keys, song.Key{Name: moved.InKey().String(), Semitones: at, Timeline: &line})
	}
	return keys
}

// movedTune is a chart to move: one that comes with the program, by its name, or a file.
func movedTune(t testing.TB, name string) *changes.Chart {
	t.Helper()
	if chart, ok := changes.Generic(name); ok {
		return chart
	}
	file, err := os.Open(name)
	require.NoError(t, err)
	defer file.Close()
	chart, err := changes.Parse(file)
	require.NoError(t, err)
	return chart
}

// within leaves out what of a chorus lies so near its ends that it is heard beside the
// chorus before or after it: the first half beat and the last bar and a half.
func within(t *changes.Timeline, notes []linegen.Note) (out []linegen.Note) {
	for _, n := range notes {
		if n.Tick >= timebase.Quarter/2 && n.Tick+n.Length <= t.Length-6*timebase.Quarter {
			out = append(out, n)
		}
	}
	return out
}

// heardIn is what is said of one chorus, with notes and ticks counted from its own first.
type heardIn struct {
	Notes   []string
	Phrases []string
	Fits    []string
	Count   analyse.Tally
}

const beforeTop = 8 * timebase.Quarter // of the song before bar 1

// playMoved judges choruses, one after the other, and tells of each apart. before is a key
// that is struck ahead of the first, so that its first note has one before it, as the first
// of the others has; 0 for none.
func playMoved(t testing.TB, setup analyse.Setup, before uint8, choruses ...[]linegen.Note) (out []heardIn, s analyse.Summary) {
	a := analyser(t, setup)
	var told []analyse.Finding
	tell := func(findings []analyse.Finding) {
		for i := range findings {
			if f := &findings[i]; f.Stage == analyse.Heard {
				told = append(told, *f)
			} else {
				told[f.N].Fold(f)
			}
		}
	}
	var phrases []phrase.Phrase
	look := func(behind int64) {
		for number := int64(len(phrases)) + 1; number <= a.PhrasesOver()-behind; number++ {
			p, ok := a.Phrase(number)
			require.True(t, ok)
			phrases = append(phrases, p)
		}
	}
	tell(a.Add(analyse.Event{Kind: analyse.Origin, Key: 1, Value: -beforeTop}))
	if before > 0 {
		tell(a.Add(on(0, before)))
		tell(a.Add(off(100, before)))
	}
	length := setup.Timeline.Length
	for i, notes := range choruses {
		for _, e := range linegen.Events(notes) {
			e.Tick += beforeTop + int64(i)*length
			tell(a.Add(e))
			look(phrase.Kept - 1) // so late that what became of its notes is known
		}
	}
	tell(a.Finish(beforeTop + int64(len(choruses))*length))
	look(0)
	s = a.Summary()
	out = make([]heardIn, len(choruses))
	firsts := make([]int64, len(choruses)) // the numbers of their first notes
	for _, f := range told {
		if f.Chorus == 0 {
			continue
		}
		at := &out[f.Chorus-1]
		if at.Notes == nil {
			firsts[f.Chorus-1] = f.N
		}
		by := f.By
		if by > 0 {
			by -= firsts[f.Chorus-1]
		}
		at.Notes = append(at.Notes, fmt.Sprint(f.N-firsts[f.Chorus-1], f.Tick-beforeTop-int64(f.Chorus-1)*length, f.Key, f.Bar, f.Beat,
			f.Name, f.Place, f.Degree, f.Chord, f.ChordTone, f.Centre, f.Scale, f.Role, f.Fate, by, f.HeardScale, f.Colour, f.Against))
	}
	for _, p := range phrases {
		if p.Chorus == 0 {
			continue
		}
		at, from := &out[p.Chorus-1], firsts[p.Chorus-1]
		p.Number, p.First, p.Last = int64(len(at.Phrases)), p.First-from, p.Last-from
		p.Chorus, p.Start.Chorus, p.End.Chorus = 1, 1, 1
		for i := range p.Chords {
			p.Chords[i].Chorus = 1
		}
		for i := range p.Crossings {
			p.Crossings[i].Chorus = 1
		}
		for i := range p.Figures {
			p.Figures[i].First -= from
		}
		at.Phrases = append(at.Phrases, fmt.Sprintf("%+v", p))
	}
	for _, v := range s.Fit {
		if v.Span == fit.Chorus || v.Span == fit.Phrase && v.Chorus > 0 {
			from := firsts[v.Chorus-1]
			at := &out[v.Chorus-1]
			v.ToChorus, v.Chorus, v.FromN, v.ToN = v.ToChorus-v.Chorus, 1, v.FromN-from, v.ToN-from
			at.Fits = append(at.Fits, fmt.Sprintf("%+v", v))
		}
	}
	for _, c := range s.ChorusesDetail {
		out[c.Chorus-1].Count = c.Tally
	}
	return out, s
}

// Twelve choruses that move are judged as so many takes over the chart in each of the
// keys: every note, phrase, fit and slip. What is counted by bar, chord, centre and family
// is what the same lines come to over the chart as written, played there.
func TestMovedChorusesAreJudgedAsTakesInTheirKeys(t *testing.T) {
	const choruses = 12
	slips := int64(0)
	for c, name := range []string{"two-five-one", "minor-blues", "rhythm-bridge", "../testdata/charts/ferry-waltz.chart", "../testdata/charts/two-bridges.chart"} {
		chart := movedTune(t, name)
		for i, by := range []int{5, 7, 1, -2} {
			keys := inKeys(t, chart, by)
			view := song.View((c + i) % 2)
			setup := analyse.Setup{Timeline: keys[0].Timeline, Keys: keys, View: view}
			var lines [][]linegen.Note
			var apart []heardIn
			var written []analyse.Summary
			before := uint8(0)
			for n := range choruses {
				key := keys[n%len(keys)]
				seed := uint64(100*i + n)
				notes := linegen.Faulty(key.Timeline, view, seed, 1, linegen.Fault(n%5))
				if n%2 == 1 {
					notes = linegen.Spoil(notes, 0.15, seed)
				}
				notes = within(key.Timeline, notes)
				lines = append(lines, notes)
				one, _ := playMoved(t, analyse.Setup{Timeline: key.Timeline, View: view}, before, notes)
				apart = append(apart, one...)
				_, s := playMoved(t, analyse.Setup{Timeline: keys[0].Timeline, View: view}, 0, linegen.Shift(notes, -key.Semitones))
				written = append(written, s)
				if len(notes) > 0 {
					before = notes[len(notes)-1].Key
				}
			}
			together, s := playMoved(t, setup, 0, lines...)
			slips += s.Slips()
			at := fmt.Sprintf("%s by %d, in the %s view", name, by, view)
			for n := range together {
				where := fmt.Sprintf("%s: chorus %d, in %s", at, n+1, keys[n%len(keys)].Name)
				require.Equal(t, apart[n], together[n], where)
				require.Equal(t, keys[n%len(keys)].Name, s.ChorusesDetail[n].Key, where)
			}
			require.Equal(t, inAll(written), inAll([]analyse.Summary{s}), at)
			require.Equal(t, tonesOver(written), tonesOver([]analyse.Summary{s}), at)
		}
	}
	require.Greater(t, slips, int64(100), "there is something to be counted")
}

// Over the tops a line is judged as over one long chart, in which the keys are written out
// one after the other: what is pushed, late or led over a top, and phrases that go on.
func TestTopsOfMovedChorusesAreJudgedAsChangesOfOneChart(t *testing.T) {
	const choruses = 12
	for c, name := range []string{"turnaround", "rhythm-bridge", "../testdata/charts/ferry-waltz.chart"} {
		for i, by := range []int{5, -1, -2} {
			keys := inKeys(t, movedTune(t, name), by)
			view := song.View((c + i) % 2)
			long := writtenOut(keys, choruses)
			line := linegen.Spoil(linegen.Line(long, view, uint64(i), 1), 0.1, uint64(i))
			require.Equal(t,
				placesAndFates(t, analyse.Setup{Timeline: long, View: view}, line),
				placesAndFates(t, analyse.Setup{Timeline: keys[0].Timeline, Keys: keys, View: view}, line), "%s by %d", name, by)
		}
	}
}

// writtenOut is a chart with so many choruses in their keys, as one.
func writtenOut(keys song.Keys, choruses int) *changes.Timeline {
	out := changes.Timeline{}
	for n := range choruses {
		t := keys[n%len(keys)].Timeline
		for _, s := range t.Slots {
			s.Start, s.End, s.Bar = s.Start+out.Length, s.End+out.Length, s.Bar+len(out.Bars)
			out.Slots = append(out.Slots, s)
		}
		bars := len(out.Bars)
		for _, b := range t.Bars {
			b.Start, b.Number = b.Start+out.Length, b.Number+bars
			out.Bars = append(out.Bars, b)
		}
		out.Length += t.Length
	}
	out.Centres = keys[0].Timeline.Centres
	return &out
}

// placesAndFates is all that is said of the notes of a line and of its phrases, but for the
// numbers of bars and choruses.
func placesAndFates(t testing.TB, setup analyse.Setup, line []linegen.Note) (out []string) {
	_, phrases := review(t, setup, linegen.Events(line))
	for _, p := range phrases {
		out = append(out, fmt.Sprint(p.First, p.Last, p.Outside, p.Unresolved, p.Against, p.Landing, p.Start.Name, p.End.Chord, p.End.ChordDegree, p.End.Wants, len(p.Crossings)))
		for _, c := range p.Crossings {
			out = append(out, fmt.Sprint(c.From, c.To, c.Kind, c.Before, c.After, c.BeforeDegree, c.AfterDegree))
		}
	}
	a := analyser(t, setup)
	for _, f := range all(a, timebase.MaxTick/2, append([]analyse.Event{startsAt(0)}, linegen.Events(line)...)...) {
		out = append(out, fmt.Sprint(f.Stage, f.N, f.Name, f.Place, f.Degree, f.Chord, f.ChordTone, f.Centre, f.Scale, f.Role, f.Fate, f.By, f.HeardScale, f.Colour, f.Against))
	}
	return out
}

// tonesOver adds up which tones were played over which chord of a chart.
func tonesOver(all []analyse.Summary) (out []fit.Tones) {
	for i := range all {
		for row := range all[i].ChordsDetail {
			if len(out) == row {
				out = append(out, fit.Tones{})
			}
			out[row].Include(&all[i].ChordsDetail[row].Tones)
		}
	}
	return out
}

// inAll adds up what is counted by the rows of a chart.
func inAll(all []analyse.Summary) map[string]analyse.Tally {
	out := map[string]analyse.Tally{}
	add := func(row string, c analyse.Tally) {
		sum := out[row]
		sum.Notes, sum.Outside = sum.Notes+c.Notes, sum.Outside+c.Outside
		sum.Unresolved, sum.Against = sum.Unresolved+c.Unresolved, sum.Against+c.Against
		out[row] = sum
	}
	for i := range all {
		s := &all[i]
		for _, c := range s.Centres {
			add("centre "+c.Centre, c.Tally)
		}
		for _, c := range s.BarsDetail {
			add(fmt.Sprint("bar ", c.Bar), c.Tally)
		}
		for _, c := range s.ChordsDetail {
			add(fmt.Sprint("chord ", c.Bar, c.ToBar, c.Symbol), c.Tally)
		}
		for _, f := range s.Family {
			add(fmt.Sprint("family ", f.Centre, f.Scale, f.Family, f.Step, f.Name), analyse.Tally{Notes: f.Times})
		}
		for _, f := range s.Fights {
			add(fmt.Sprint(f.Name, f.Is, " over ", f.Chord, " against ", f.Own), analyse.Tally{Against: f.Times})
		}
		for _, h := range s.LeftHanging.Over {
			add(fmt.Sprint(h.Name, " hangs over ", h.Chord, " and wants ", h.Wants), analyse.Tally{Notes: h.Times})
		}
		for _, c := range s.Phrases.Changes {
			add(fmt.Sprint("from ", c.From, " to ", c.To, " in ", c.Bar), analyse.Tally{Notes: c.Times, Outside: c.Leaps})
		}
		for _, b := range s.OnBeat {
			add(fmt.Sprint("on the beat ", b.View, b.ChordKind), analyse.Tally{Notes: b.Scored, Outside: b.Home, Against: b.ChordTone})
		}
	}
	return out
}
