package advise_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/feel"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// tune is the chords of a tune in C, a bar each, with ten notes over each.
func tune(symbols string) *analyse.Summary {
	s := &analyse.Summary{Choruses: 3, Tempo: 132, View: song.KeyView, Centres: []analyse.CentreCount{{Centre: "C major"}}}
	for i, symbol := range strings.Fields(symbols) {
		read, err := harmony.ParseSymbol(symbol)
		if err != nil {
			panic(err)
		}
		s.ChordsDetail = append(s.ChordsDetail, analyse.ChordCount{
			Bar: i + 1, ToBar: i + 1, Symbol: symbol, ChordKind: read.Chord.Kind(), Centre: "C major", Tally: analyse.Tally{Notes: 10},
		})
		s.Notes += 10
		s.Centres[0].Notes += 10
	}
	return s
}

// firstOf is the first candidate of a kind.
func firstOf(t *testing.T, s *analyse.Summary, kind advise.Kind) *advise.Suggestion {
	for _, c := range advise.Candidates(s) {
		if c.Kind == kind {
			return &c
		}
	}
	require.Fail(t, "no candidate", kind)
	return nil
}

// What is played over a chord where there were slips, and where it goes on 1: four tones
// up, on by step into the next chord. Common practice; written down before the code had it.
func TestUpIntoTheNextChord(t *testing.T) {
	for _, test := range []struct{ chords, notes, into string }{
		{"A7 Dm7", "E G Bb C#", "D"},
		{"G7 C6", "D F Ab B", "C"},
		{"G7 Cm6", "D F Ab B", "C"},
		{"G7b9 C6", "D F Ab B", "C"},
		{"G7#9 Cm6", "D F A# B", "C"},
		{"Dm7 G7", "D F A C", "B"}, // the seventh falls into the third
		{"Dm7b5 G7", "D F Ab C", "B"},
		{"Em7 A7", "E G B D", "C#"},
		{"F7 C6", "G A C Eb", "E"},
		{"C6 Fmaj7", "G A C E", "F"},
		{"C6 A7", "E G A C", "C#"},
		{"Fmaj7 Fm6", "C E F A", "Ab"},
		{"C6 C6", "C E G A", ""},
		{"Bdim7 C6", "D F Ab B", "C"},
	} {
		s := tune(test.chords)
		s.ChordsDetail[0].Unresolved = 5
		play := firstOf(t, s, advise.Unresolved).Play
		require.Equal(t, test.notes, strings.Join(play.Notes, " "), test.chords)
		require.Equal(t, test.into, strings.Join(play.Then, " "), test.chords)
		require.Equal(t, 100, play.Tempo, "three quarters of 132, to the nearest ten")
	}
}

// Over one chord the line is a half step off where its notes are the neighbour's, in this
// take or in two together; two chords that the notes fit alike are none.
func TestAHalfStepOff(t *testing.T) {
	played := func(times int, chord string) *analyse.Summary {
		s := tune("C6 F7 C6 G7")
		read, err := harmony.ParseSymbol(chord)
		require.NoError(t, err)
		for range times {
			for class := range read.Chord.Set().Each() {
				s.ChordsDetail[1].Tones.Add(class, 1)
			}
		}
		return s
	}
	off := firstOf(t, played(5, "Gb7"), advise.HalfStep)
	require.Equal(t, advise.Subject{Kind: advise.HalfStep, Bar: 2, ToBar: 2, Chord: "F7", HalfStep: -1}, off.Subject)
	require.Equal(t, int64(20), off.Part)
	require.Equal(t, []string{"A", "C", "Eb", "G"}, off.Play.Notes)
	require.GreaterOrEqual(t, off.Evidence, float64(fit.Claim))
	require.Empty(t, advise.Candidates(played(9, "F7")))
	require.Empty(t, advise.Candidates(played(9, "Abmaj7")), "another chord, and no half step")
	once := played(9, "Gb7")
	once.Choruses = 1
	require.Empty(t, advise.Candidates(once), "once can be chance")

	weak := advise.Candidates(played(2, "Gb7"))
	require.Len(t, weak, 1)
	require.Less(t, weak[0].Evidence, float64(fit.Claim))
	require.Empty(t, advise.Choose(weak, nil, nil), "too little for one take")
	before := []advise.Shown{{Noticed: advise.Noticed(weak)}}
	again := advise.Candidates(played(1, "Gb7"))
	require.Len(t, advise.Choose(again, nil, before), 1, "three times in two takes is enough")
	require.Empty(t, advise.Choose(again, nil, append(before, advise.Shown{})), "not with what was two takes ago")
	require.Empty(t, advise.Choose(again, nil, []advise.Shown{{Noticed: advise.Noticed(again)}}), "twice is not")
}

// Sections that are off alike in two of three choruses are told, though none claims
// alone: what speaks for it adds up.
func TestSectionsAddUp(t *testing.T) {
	section := func(chorus int, beats int, evidence float64) fit.Verdict {
		return fit.Verdict{
			Span: fit.Section, Chorus: chorus, FromBar: 5, FromBeat: 1, ToBar: 9, ToBeat: 1, Notes: 20, BarBeats: 4,
			Says: fit.Fits, Elsewhere: fit.Move{Beats: beats}, Evidence: evidence,
		}
	}
	for _, test := range []struct {
		name string
		fit  []fit.Verdict
		want bool
	}{
		{"two of three", []fit.Verdict{section(1, -4, 1), section(2, -4, 1), section(3, -2, 0.5)}, true},
		{"a little less", []fit.Verdict{section(1, -4, 0.9), section(2, -4, 1), section(3, -2, 0.5)}, false},
		{"two of four", []fit.Verdict{section(1, -4, 2), section(2, -4, 2), section(3, -2, 0.5), section(4, -2, 1)}, false},
		{"once", []fit.Verdict{section(1, -4, 3)}, false},
	} {
		s := tune("C6 A7 Dm7 G7 C6 A7 Dm7 G7")
		s.Fit = test.fit
		candidates := advise.Candidates(s)
		require.Equal(t, test.want, len(candidates) == 1, test.name)
		if test.want {
			require.Equal(t, advise.Exercise{Bar: 5, ToBar: 8, Tempo: 100, Times: 2}, candidates[0].Play)
			require.Equal(t, int64(2), candidates[0].Part)
		}
	}
}

// What hangs, what falls on the beat, what is leapt over, and how little rests are: each
// bound from both sides, and what to play.
func TestTheLine(t *testing.T) {
	for times, want := range map[int64]bool{2: false, 3: true} {
		s := tune("C6 G7")
		s.Phrases.Phrases = 12
		s.LeftHanging.Over = []phrase.HangingOver{{Chord: "C6", Name: "F", Wants: "E", Times: times}, {Chord: "C6", Name: "Ab", Wants: "G", Times: 1}}
		require.Equal(t, want, len(advise.Candidates(s)) == 1)
		if want {
			require.Equal(t, advise.Exercise{Chord: "C6", Notes: []string{"F", "Ab"}, Then: []string{"E", "G"}, Tempo: 100, Times: 4},
				firstOf(t, s, advise.Hanging).Play)
		}
	}
	for _, test := range []struct {
		times, leaps int64
		want         bool
	}{{5, 5, false}, {6, 4, true}, {7, 4, false}} {
		s := tune("C6 A7 Dm7 G7 C6 Dm7 G7 C6")
		s.Phrases.Changes = []phrase.Change{
			{Bar: 5, From: "G7", To: "C6", Times: test.times - 2, Leaps: test.leaps}, {Bar: 8, From: "G7", To: "C6", Times: 2},
			{Bar: 2, From: "C6", To: "A7", Times: 3, Leaps: 3},
		}
		require.Equal(t, test.want, len(advise.Candidates(s)) == 1, "%+v", test)
		if test.want {
			require.Equal(t, advise.Exercise{Bar: 4, ToBar: 5, Chord: "G7", Next: "C6", Notes: []string{"F"}, Then: []string{"E"}, Tempo: 100, Times: 8},
				firstOf(t, s, advise.Crossing).Play)
		}
	}
	s := tune("C6 A7 Dm7 G7 C6 A7 Dm7 G7")
	s.Feel.WithBeat = true
	s.OnBeat = []feel.OnBeat{{ChordKind: "dominant", Scored: 20, ChordTone: 3}}
	s.ChordsDetail[3].Notes = 12
	beat := firstOf(t, s, advise.OnBeat)
	require.Equal(t, advise.Exercise{Chord: "G7", Notes: []string{"B", "D", "F", "Ab"}, Tempo: 100, Times: 4}, beat.Play)
	require.Equal(t, []int{4, 8}, beat.Bars)

	for _, test := range []struct {
		rest, phrases int64
		want          bool
	}{{9, 3, true}, {10, 3, false}, {0, 4, false}, {0, 3, true}} {
		s := tune("C6 A7 Dm7 G7 C6 A7 Dm7 G7")
		s.Bars, s.Phrases.Rest, s.Phrases.Phrases = 24, test.rest, test.phrases
		require.Equal(t, test.want, len(advise.Candidates(s)) == 1, "%+v", test)
	}
}

// A chord of the family that was not played, and the first behind it.
func TestAChordOfTheFamily(t *testing.T) {
	require.Equal(t, advise.Exercise{
		Notes: []string{"D", "F", "Ab", "C"}, Then: []string{"C", "E", "G", "B"}, Tempo: 120, Times: 4,
	}, firstOf(t, missing(tune("Dm7 G7 C6 C6"), "Cmaj7", []uint8{60, 64, 67, 71}, 2), advise.Untouched).Play)
}

// missing is a take in which one chord of a family of C major was not played.
func missing(s *analyse.Summary, name string, keys []uint8, step int) *analyse.Summary {
	scale := harmony.NewScale(harmony.MajorSixth, tone.Class(0).Name())
	family, err := harmony.Expand(scale, keys)
	if err != nil {
		panic(err)
	}
	for i := range family.Steps {
		row := chordsOf(name, 1)[0]
		row.Centre, row.Scale, row.Step, row.Times = "C major", scale, i+1, 4
		if i+1 == step {
			row.Times = 0
		}
		s.Family = append(s.Family, row)
	}
	return s
}
