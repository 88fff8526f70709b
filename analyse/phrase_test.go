package analyse_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

const twoFiveOne = "| Dm7 | G7 | Cmaj7 | % |"

// A phrase is over after a rest of a beat, which is the meter's own (a beat in compound
// meters: common practice), but of a quarter of a second at least and 0.36 of one at
// most. A tick less and it goes on.
func TestARestOfABeatEndsAPhrase(t *testing.T) {
	for _, c := range []struct {
		meter string
		beat  float64 // quarter notes
	}{{"4/4", 1}, {"3/4", 1}, {"2/2", 2}, {"6/8", 1.5}, {"12/8", 1.5}, {"5/8", 0.5}} {
		s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+c.meter+"\n\n| C6 | C6 |\n")}
		for tempo := 50; tempo <= 280; tempo += 5 {
			quarter := 60.0 / float64(tempo) // seconds
			rest := int64(math.Floor(min(max(c.beat*quarter, 0.25), 0.36)/quarter*960 + 1e-3))
			played := func(rest int64) []int {
				line := append([]analyse.Event{{Kind: analyse.Tempo, Value: int64(60_000_000 / tempo)}}, performed(t, 0, fmt.Sprintf("C4 E4 @+%d G4 A4 C5", rest))...)
				_, phrases := review(t, s, line)
				return lengths(phrases)
			}
			require.Equal(t, []int{2, 3}, played(rest+1), "%s at %d", c.meter, tempo)
			require.Equal(t, []int{5}, played(rest-1), "%s at %d", c.meter, tempo)
		}
	}
}

// After a note of two beats a leap begins a phrase, a third does not; nor does a leap
// after a shorter note.
func TestALeapAfterALongNoteBeginsAPhrase(t *testing.T) {
	for line, want := range map[string][]int{
		"C4 E4.4 A4 C5":         {2, 2},
		"C4 E4.4 G#4 C5":        {4},
		"C4 E4.4-1 @+1 A4 C5":   {2, 2},
		"C4 E4.3 A4 C5":         {4},
		"C4 E4.5 B3 C4 E4.4 A4": {2, 3, 1},
	} {
		_, phrases := review(t, inChords(t, "| C6 | % |"), performed(t, 0, line))
		require.Equal(t, want, lengths(phrases), line)
	}
}

func TestThePhraseIsShownOnceTheRestHasPassed(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: centre(t, "C", changes.Major)})
	for _, e := range performed(t, 0, "C4 E4 G4") {
		a.Add(e)
	}
	const over = 3*eighth + 691 // 0.36 of a second after the release, where a beat has 0.5
	a.AdvanceTo(over - 1)
	require.Zero(t, a.Snapshot().Phrase.Number)
	require.True(t, a.Snapshot().InPhrase)
	a.AdvanceTo(over)
	require.Equal(t, int64(1), a.Snapshot().Phrase.Number)
	require.False(t, a.Snapshot().InPhrase)
	a.Add(on(5000, 60))
	a.AdvanceTo(5100) // it is line, not chord, once its 50 ms are over
	require.True(t, a.Snapshot().InPhrase)
	require.Equal(t, 3, a.Snapshot().Phrase.Notes, "the one before is still told")
}

// What keeps a phrase open, and what does not.
func TestOverlapsAndRests(t *testing.T) {
	free := analyse.Setup{Centre: centre(t, "C", changes.Major)}
	for _, c := range []struct {
		name, line string
		want       []int
	}{
		{"the last of the notes that sound is released late", "C4 E4 G4.1+960 -.3 A4 C5", []int{5}},
		{"an earlier note rings on under the last", "C4 E4.2+1440 G4 -.3 A4 C5", []int{5}},
		{"three notes over it: it still sounds", "C4.1+4000 E4 G4 A4 -.4 C5", []int{5}},
		{"four notes over it: a pedal point", "C4.1+4000 E4 G4 A4 B4 -.4 C5", []int{5, 1}},
		{"a chord of the other hand is no note of the line", "C4 E4 [C3,E3,G3] -.2 G4", []int{2, 1}},
		{"staccato at less than a beat", "C4.2-400 E4.2-400 G4.2-400", []int{3}},
		{"a single note", "C4", []int{1}},
		{"a long note is no rest", "C4 E4.16 G4", []int{3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, phrases := review(t, free, performed(t, 0, c.line))
			require.Equal(t, c.want, lengths(phrases))
		})
	}
	t.Run("the pedal does not count", func(t *testing.T) {
		events := append([]analyse.Event{control(0, 64, 127)}, performed(t, 0, "C4 E4 -.2 G4")...)
		_, phrases := review(t, free, events)
		require.Equal(t, []int{2, 1}, lengths(phrases))
	})
	t.Run("a key that never comes up makes no rest", func(t *testing.T) {
		_, phrases := review(t, free, []analyse.Event{on(0, 60), on(480, 64), off(600, 60), on(9000, 67), off(9480, 67)})
		require.Equal(t, []int{3}, lengths(phrases))
	})
	t.Run("an unplugged instrument rests", func(t *testing.T) {
		gone := analyse.Event{Tick: 500, Kind: analyse.Release, Value: int64(analyse.Unplugged)}
		_, phrases := review(t, free, []analyse.Event{on(0, 60), gone, on(9000, 67)})
		require.Equal(t, []int{1, 1}, lengths(phrases))
	})
}

// What is said of a phrase: from the first word to the last.
func TestAPhraseIsTold(t *testing.T) {
	s := inChords(t, twoFiveOne)
	sum, phrases := review(t, s, performed(t, 0, "- D4 F4 A4 C5 E5 C5 A4 | B4 D5 F5 A5 Ab5 F5 D5 B4 | C5 G4 Eb4 E4.3"))
	require.Len(t, phrases, 1)
	p := phrases[0]
	require.Equal(t, "Dm7: D F A C E C A | G7: B D F A Ab F D B | Cmaj7: C G Eb E", names(p))
	require.Equal(t, []int{1, 2, 3}, []int{p.Chords[0].Bar, p.Chords[1].Bar, p.Chords[2].Bar})
	require.Equal(t, phrase.Edge{
		Chorus: 1, Bar: 1, Beat: 1.5, On: "1.5", Name: "D", Chord: "Dm7", Degree: "6", ChordDegree: "1", Half: song.Home,
		Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(5).Name()),
	}, p.Start)
	require.Equal(t, phrase.Edge{
		Chorus: 1, Bar: 3, Beat: 2.5, On: "2.5", Name: "E", Chord: "Cmaj7", Degree: "3", ChordDegree: "3", Half: song.Home,
		Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(0).Name()),
	}, p.End)
	require.Equal(t, phrase.LandedOnChord, p.Landing)
	require.Equal(t, []phrase.Crossing{
		{Chorus: 1, Bar: 2, From: "Dm7", To: "G7", Kind: "step", Before: "A", After: "B", Interval: 2, BeforeDegree: "5", AfterDegree: "3"},
		{Chorus: 1, Bar: 3, From: "G7", To: "Cmaj7", Kind: "step", Before: "B", After: "C", Interval: 1, BeforeDegree: "3", AfterDegree: "1"},
	}, p.Crossings)
	require.Equal(t, []int{19, 2, 0, 0}, []int{p.Notes, p.Outside, p.Unresolved, p.Open})
	require.Equal(t, "landed on the 3rd - 2 outside, bar 3", sayPhrase(p))

	require.Equal(t, int64(1), sum.Phrases.Phrases)
	require.Equal(t, map[string]int64{"5 to 3": 1, "3 to 1": 1}, sum.Phrases.Steps)
	require.Equal(t, map[string]int64{"1.5": 1}, sum.Phrases.Starts.Beats)
	require.Equal(t, map[string]int64{"2.5": 1}, sum.Phrases.Ends.Beats)
	require.Equal(t, map[string]int64{"6": 1}, sum.Phrases.Starts.Degrees)
	require.Equal(t, map[string]int64{"1": 1}, sum.Phrases.Starts.ChordDegrees)
	require.Equal(t, song.PlaceCounts{Home: 1}, sum.Phrases.Ends.Halves)
	require.Equal(t, []phrase.Phrase{p}, sum.Phrases.Good)
}

// Landing on a chord tone, the seventh and the ninth too where they are written,
// is landing; the sixth over a major seventh belongs to its sixth chord, the ninth and
// the major seventh are at rest over a tonic; what wants to go a semitone down hangs,
// a tone outside the scale is called that (the design's rules). The degrees
// are counted by hand.
func TestLandings(t *testing.T) {
	for _, c := range []struct {
		chord, last string
		view        song.View
		want        phrase.Landing
		says        string
	}{
		{"Cmaj7", "E4", song.ChordView, phrase.LandedOnChord, "landed on the 3rd"},
		{"Cmaj7", "B4", song.ChordView, phrase.LandedOnChord, "landed on the 7th"},
		{"Cmaj9", "D4", song.ChordView, phrase.LandedOnChord, "landed on the 9th"},
		{"Cmaj7", "D4", song.ChordView, phrase.EndedAtRest, "ended on the 9th"},
		{"Cmaj7", "A4", song.ChordView, phrase.EndedAtRest, "ended on the 6th"},
		{"Cmaj7", "F4", song.ChordView, phrase.LeftHanging, "left hanging on the 4th"},
		{"C6", "B4", song.ChordView, phrase.EndedAtRest, "ended on the major 7th"},
		{"C6", "Ab4", song.ChordView, phrase.LeftHanging, "left hanging on the b13"},
		{"Cm6", "D4", song.ChordView, phrase.EndedAtRest, "ended on the 9th"},
		{"Cm6", "Ab4", song.ChordView, phrase.LeftHanging, "left hanging on the b13"},
		{"G7", "C4", song.KeyView, phrase.LeftHanging, "left hanging on the 4th"},
		{"G7", "C4", song.ChordView, phrase.LeftHanging, "ended outside, on C"},
		{"Dm7b5", "Eb4", song.KeyView, phrase.LeftHanging, "ended outside, on Eb"},
		{"Bdim7", "C4", song.KeyView, phrase.LeftHanging, "ended outside, on C"},
		{"Cmaj7", "C#4", song.ChordView, phrase.LeftHanging, "ended outside, on Db"},
		{"G7", "A4", song.ChordView, phrase.EndedAtRest, "ended on the 9th"},
		{"G7", "F4", song.ChordView, phrase.LandedOnChord, "landed on the 7th"},
		{"G7", "G4", song.ChordView, phrase.LandedOnChord, "landed on the root"},
		{"A7", "C#4", song.KeyView, phrase.LandedOnChord, "landed on the 3rd"},
		{"Am7", "C4", song.KeyView, phrase.LandedOnChord, "landed on the 3rd"},
		{"Am7", "C#4", song.KeyView, phrase.LeftHanging, "ended outside, on C#"},
		{"Bm7b5", "F4", song.KeyView, phrase.LandedOnChord, "landed on the b5"},
		{"N.C.", "C4", song.ChordView, phrase.NoLanding, "ended on C"},
	} {
		t.Run(c.chord+" "+c.last, func(t *testing.T) {
			s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| "+c.chord+" | % |\n"), View: c.view}
			_, phrases := review(t, s, performed(t, 0, c.last+".2"))
			require.Equal(t, c.want, phrases[0].Landing)
			require.Contains(t, sayPhrase(phrases[0]), c.says)
		})
	}
}

// A last note ahead of the change is heard in the chord it belongs to: up to
// six tenths of a beat ahead, held over by a tenth, or no tone of the chord that
// sounds.
func TestLandingAheadOfTheChange(t *testing.T) {
	s := inChords(t, "| G7 | Cmaj7 |")
	for _, c := range []struct{ name, line, chord, degree string }{
		{"on the last off-beat and held", "-.7 E4.3", "Cmaj7", "3"},
		{"six tenths of a beat ahead", "-.7 @-96 E4.3", "Cmaj7", "3"},
		{"a tick more", "-.7 @-97 E4.3", "G7", "13"},
		{"short: it is no tone of G7", "-.7 E4.1-100", "Cmaj7", "3"},
		{"short, and a tone of G7", "-.7 G4.1-100", "G7", "1"},
		{"held a tenth over the change", "-.7 G4.1+96", "Cmaj7", "5"},
		{"a tick less", "-.7 G4.1+95", "G7", "1"},
		{"not of the chord to come", "-.7 F4.3", "G7", "7"},
		{"into the next chorus", "-.15 D4.3", "G7", "5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, phrases := review(t, s, performed(t, 0, c.line))
			require.Equal(t, []string{c.chord, c.degree}, []string{phrases[0].End.Chord, phrases[0].End.ChordDegree})
		})
	}
}

// Guide tones over the changes (7 to 3) are the trade's own example of voice
// leading: common practice.
func TestCrossings(t *testing.T) {
	s := inChords(t, "| Dm7 | G7 | Cmaj7 | C6 |")
	for _, c := range []struct{ name, line, want string }{
		{"seven to three", "-.7 C5 B4.2", "step: 7 to 3, -1"},
		{"a whole step is a step", "-.7 A4 B4.2", "step: 5 to 3, 2"},
		{"a minor third is a leap", "-.7 D5 B4.2", "leap: 1 to 3, -3"},
		{"struck again", "-.7 F4 F4.2", "repeated: 3 to 7, 0"},
		{"held a tenth over the change", "-.6 F4.2+96 - G4.2", "held: 3 to 7, 0"},
		{"a tick less", "-.6 F4.2+95 - G4.2", "step: 3 to 1, 2"},
		{"held, but the next note comes with the change", "-.6 F4.2+300 G4.2", "step: 3 to 1, 2"},
		{"early, and judged by the new chord", "-.7 @-96 C5 B4.2", "step: 7 to 3, -1"},
		{"outside in the old chord", "-.7 Eb4 D4.2", "step: b9 to 5, -1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, phrases := review(t, s, performed(t, 0, c.line))
			require.Len(t, phrases, 1)
			require.Len(t, phrases[0].Crossings, 1)
			x := phrases[0].Crossings[0]
			require.Equal(t, c.want, fmt.Sprintf("%s: %s to %s, %d", x.Kind, x.BeforeDegree, x.AfterDegree, x.Interval))
		})
	}
	t.Run("the loop wraps", func(t *testing.T) {
		_, phrases := review(t, s, performed(t, 31*eighth, "E4 F4.2"))
		require.Equal(t, []phrase.Crossing{{
			Chorus: 2, Bar: 1, From: "C6", To: "Dm7", Kind: "step", Before: "E", After: "F", Interval: 1, BeforeDegree: "3", AfterDegree: "3",
		}}, phrases[0].Crossings)
	})
	t.Run("the same chord in the next bar is no change", func(t *testing.T) {
		sum, _ := review(t, inChords(t, "| C6 | C6 |"), performed(t, 0, "-.7 E4 G4.2"))
		require.Equal(t, map[string]int64{"held": 0, "repeated": 0, "step": 0, "leap": 0}, sum.Phrases.Crossings)
	})
	t.Run("held from before the chord was written again", func(t *testing.T) {
		for _, line := range []string{"-.6 F4.10 G4.2", "-.6 F4.10 @-96 G4.2"} { // the second early for the third bar
			_, phrases := review(t, inChords(t, "| Dm7 | G7 | % |"), performed(t, 0, line))
			require.Equal(t, "held", phrases[0].Crossings[0].Kind, line)
		}
	})
	t.Run("nothing is said over N.C.", func(t *testing.T) {
		_, phrases := review(t, inChords(t, "| C6 | N.C. |"), performed(t, 0, "-.7 E4 F4.2"))
		require.Empty(t, phrases[0].Crossings)
	})
}

// A note that waits for its chord to end is settled after its phrase is over;
// the phrase knows then.
func TestFatesComeLate(t *testing.T) {
	s := inChords(t, "| {Ab minor} G7 | % | % | % | {C major} Cmaj7 |")
	a := analyser(t, s)
	a.Add(startsAt(0))
	// D minor sixth-diminished, the default over G7, lacks C. The scales that
	// have it lack C# and Bb, so that none holds more of this.
	for _, e := range performed(t, 0, "G4 E4 C#5 Bb4 G4 C4 A4 D4") {
		a.Add(e)
	}
	a.AdvanceTo(8 * timebase.Quarter)
	p := a.Snapshot().Phrase
	require.Equal(t, []int{8, 1, 0, 1}, []int{p.Notes, p.Outside, p.Unresolved, p.Open})
	require.Empty(t, a.Summary().Phrases.Good, "nobody knows yet")
	a.AdvanceTo(17 * timebase.Quarter)
	p = a.Snapshot().Phrase
	require.Equal(t, []int{8, 1, 1, 0}, []int{p.Notes, p.Outside, p.Unresolved, p.Open})
	require.Empty(t, a.Summary().Phrases.Good)
	require.Equal(t, "landed on the 5th - 1 outside, 1 unresolved, bar 1", sayPhrase(p))
}

// A phrase without end is told by its first 128 notes, 32 crossings and 12 figures,
// or, where phrases are kept whole, by all of them; what is counted is the same.
func TestALongPhrase(t *testing.T) {
	line := ""
	for range 70 {
		line += "C4 D4 E4 F4 G4 E4 C4 G4 "
	}
	line += "C4.16 @-7580 "
	for range 15 { // under a held note, behind which the line goes on
		line += "[C3,E3,G3] @+500 "
	}
	line += "@+80 D4 E4" // no leap, which would begin another phrase
	setup := inChords(t, "| C6 | G7 |")
	cut, few := review(t, setup, performed(t, 0, line))
	setup.Whole = true
	whole, all := review(t, setup, performed(t, 0, line))
	require.Equal(t, 1, len(all))
	require.Equal(t, lengths(all), lengths(few))

	count := func(p phrase.Phrase) (notes int) {
		for _, c := range p.Chords {
			notes += len(c.Notes)
		}
		return notes
	}
	require.Equal(t, []int{128, 32, 12}, []int{count(few[0]), len(few[0].Crossings), len(few[0].Figures)})
	require.Equal(t, all[0].Notes, count(all[0]))
	require.Equal(t, all[0].FigureCount, len(all[0].Figures))
	crossed, struck := int64(0), int64(0)
	for _, times := range whole.Phrases.Crossings {
		crossed += times
	}
	for _, f := range all[0].Figures {
		if f.Kind == figure.StruckChord {
			struck++
		}
	}
	require.Equal(t, crossed, int64(len(all[0].Crossings)))
	require.Equal(t, int64(15), struck)
	require.Equal(t, whole.Phrases.Struck, struck)
	require.Equal(t, figure.Counts{
		Run: whole.Figures.Run, Arpeggio: whole.Figures.Arpeggio, Leap: whole.Figures.Leap, Chord: struck,
	}, whole.Figures, "all figures lie in the one phrase")
	require.Equal(t, whole.Figures.Run+whole.Figures.Arpeggio+whole.Figures.Leap+struck, int64(len(all[0].Figures)))
	require.Equal(t, few[0].Crossings, all[0].Crossings[:32])
	require.Equal(t, few[0].FigureCount, all[0].FigureCount)
	whole.Phrases.Good, cut.Phrases.Good = nil, nil
	require.Equal(t, cut, whole)
}

// In free time there are phrases, and nothing is said of beats.
func TestPhrasesInFreeTime(t *testing.T) {
	sum, phrases := review(t, analyse.Setup{}, performed(t, 0, "C4 Eb4 G4 -.2 F4"))
	require.Equal(t, []int{3, 1}, lengths(phrases))
	require.Equal(t, phrase.NoLanding, phrases[0].Landing)
	require.Equal(t, "ended on G - 3 notes", sayPhrase(phrases[0]))
	require.Empty(t, sum.Phrases.Starts.Beats)
	require.Empty(t, sum.Phrases.Starts.ChordDegrees)
	require.Zero(t, phrases[0].Start.Beat)
}

// A tone of a chord under the name players give it. The chord's own tones are
// those of its symbol; the rest is counted by semitones (common practice).
func TestDegreesOfAChord(t *testing.T) {
	for symbol, want := range map[string]string{ // from C up in semitones
		"C":      "1 b9 9 b3 3 4 #11 5 b13 6 b7 maj7",
		"Cmaj7":  "1 b9 9 b3 3 4 #11 5 b13 6 b7 7",
		"C6":     "1 b9 9 b3 3 4 #11 5 b13 6 b7 maj7",
		"C7":     "1 b9 9 #9 3 4 #11 5 b13 13 7 maj7",
		"C13":    "1 b9 9 #9 3 4 #11 5 b13 13 7 maj7",
		"Cm7":    "1 b9 9 3 maj3 4 #11 5 b13 13 7 maj7",
		"Cm7b5":  "1 b9 9 3 maj3 4 b5 5 b13 13 7 maj7",
		"Cdim7":  "1 b9 9 3 maj3 4 b5 5 b13 7 b7 maj7",
		"C7sus4": "1 b9 9 b3 3 4 #11 5 b13 13 7 maj7",
		"C7b9":   "1 b9 9 #9 3 4 #11 5 b13 13 7 maj7",
	} {
		t.Run(symbol, func(t *testing.T) {
			_, err := harmony.ParseSymbol(symbol)
			require.NoError(t, err)
			got := ""
			for class := range tone.Class(12) {
				s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| "+symbol+" |\n")}
				_, phrases := review(t, s, []analyse.Event{on(0, 60+uint8(class)), off(960, 60+uint8(class))})
				got += " " + phrases[0].End.ChordDegree
			}
			require.Equal(t, want, got[1:])
		})
	}
}

// The line about a phrase, as the screen shows it in the rest after it.
func ExampleAnalyser_Phrase() {
	fmt.Println(sayPhrase(phrase.Phrase{
		Number: 1, Notes: 9, Outside: 1, Landing: phrase.LandedOnChord,
		End: phrase.Edge{Bar: 6, ChordDegree: "3", Half: song.Home},
	}))
	fmt.Println(sayPhrase(phrase.Phrase{
		Number: 2, Notes: 5, Landing: phrase.LeftHanging,
		End: phrase.Edge{Bar: 8, ChordDegree: "9", Half: song.Dim},
	}))
	// Output:
	// landed on the 3rd - 1 outside, bar 6
	// left hanging on the 9th - none outside, bar 8
}

// Phrases of a proper line land: the generator ends each on a tone of the chord.
func TestProperLinesLand(t *testing.T) {
	for _, name := range changes.GenericNames() {
		tl := generic(t, name, "Eb")
		sum, _ := review(t, analyse.Setup{Timeline: tl, View: song.ChordView}, linegen.Events(linegen.Line(tl, song.ChordView, 3, 8)))
		landed, all := sum.Phrases.Landings["chord"], sum.Phrases.Phrases
		t.Logf("%s: %d of %d land", name, landed, all)
		require.GreaterOrEqual(t, 100*landed, 90*all, name)
	}
}

// A tone of the chord to come, played ahead of it, is spelled as that chord
// spells it, live and in the phrase.
func TestWhatIsAheadOfAChordIsSpelledByIt(t *testing.T) {
	s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| {C major} C6 | A7 |\n")}
	a := analyser(t, s)
	a.Add(startsAt(0))
	var names []string
	for _, e := range performed(t, 6*eighth, "C#4 C#4 E4 C#4") {
		for _, f := range a.Add(e) {
			if f.Stage == analyse.Heard {
				names = append(names, f.Name)
			}
		}
	}
	a.Finish(20 * eighth)
	require.Equal(t, []string{"Db", "C#", "E", "C#"}, names, "a beat ahead, half a beat ahead, over it")
	require.Equal(t, []string{"Db", "C#"}, a.Snapshot().Phrase.Chords[0].Notes)
	require.Equal(t, "C#", a.Snapshot().Phrase.Crossings[0].Before)
}

// In the rest after a phrase the screen is told what in it was held against its chord
// (MATERIAL: "B over C7: its seventh is B flat"), and of a phrase without such a note
// nothing.
func TestWhatWasHeldAgainstItsChordIsTold(t *testing.T) {
	a := analyser(t, inChords(t, "| C7 | % | % | % |"))
	a.Add(startsAt(0))
	for _, e := range performed(t, 0, "C4 D4 B3.4") {
		a.Add(e)
	}
	a.AdvanceTo(12 * eighth)
	require.Equal(t, analyse.Fight{Chord: "C7", Name: "B", Is: "maj7", Own: "Bb", Times: 1}, a.Snapshot().Fought)
	for _, e := range performed(t, 16*eighth, "C4 D4 E4.4") {
		a.Add(e)
	}
	require.Zero(t, a.Snapshot().Fought, "while a phrase is played")
	a.AdvanceTo(28 * eighth)
	require.Equal(t, int64(2), a.Snapshot().Phrase.Number)
	require.Zero(t, a.Snapshot().Fought)
}
