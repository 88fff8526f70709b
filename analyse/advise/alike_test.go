package advise_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/fit"
)

// at gives a summary choruses of a hundred notes at some tempi, each with so many slips.
func at(s *analyse.Summary, slips map[float64]int64, tempi ...float64) *analyse.Summary {
	s.ChorusesDetail, s.Choruses = nil, len(tempi)
	for i, tempo := range tempi {
		s.ChorusesDetail = append(s.ChorusesDetail, analyse.ChorusCount{
			Chorus: i + 1, Was: analyse.Was{Tempo: tempo}, Tally: analyse.Tally{Notes: 100, Unresolved: slips[tempo]},
		})
		s.Tempo = tempo
	}
	return s
}

// The tempo of an exercise, labelled by reason: three quarters of the tempo, as ever; of
// several, of the fastest, but no faster than what was clean; where nothing was clean, of
// the slowest.
func TestTheTempoOfAnExerciseSuits(t *testing.T) {
	for _, test := range []struct {
		name  string
		tempi []float64
		slips map[float64]int64
		want  int
	}{
		{"one tempo, not clean", []float64{120, 120}, map[float64]int64{120: 9}, 90},
		{"one tempo, clean", []float64{120, 120}, nil, 90},
		{"clean up to 120", []float64{100, 120, 140, 160}, map[float64]int64{140: 4, 160: 9}, 120},
		{"clean at 104 alone", []float64{104, 140, 160}, map[float64]int64{140: 4, 160: 9}, 100},
		{"all clean", []float64{100, 120, 140}, nil, 110},
		{"one slip in a hundred is clean", []float64{100, 140}, map[float64]int64{100: 1, 140: 2}, 100},
		{"none clean", []float64{100, 120, 140}, map[float64]int64{100: 3, 120: 4, 140: 9}, 80},
		{"slower again at the end", []float64{160, 100}, map[float64]int64{160: 9}, 100},
		{"no tempo is known", []float64{0, 0}, nil, 0},
		{"under forty", []float64{36, 36}, map[float64]int64{36: 9}, 36},
		{"at forty", []float64{40}, map[float64]int64{40: 9}, 40},
	} {
		s := at(take(10, 20), test.slips, test.tempi...)
		require.Equal(t, test.want, firstOf(t, s, advise.Unresolved).Play.Tempo, test.name)
	}

	// What goes elsewhere is not clean, however few its slips.
	s := at(take(10, 20), map[float64]int64{140: 9}, 100, 120, 140)
	s.Fit = []fit.Verdict{{Span: fit.Section, Chorus: 2, FromBar: 5, ToBar: 8, Says: fit.Elsewhere}}
	require.Equal(t, 100, firstOf(t, s, advise.Unresolved).Play.Tempo)
}

// late says of choruses that a section was a bar late in some of them.
func late(s *analyse.Summary, choruses map[int]bool) *analyse.Summary {
	for _, c := range s.ChorusesDetail {
		v := fit.Verdict{
			Span: fit.Section, Chorus: c.Chorus, FromBar: 1, ToBar: 8, ToBeat: 4, BarBeats: 4, Notes: 30, Says: fit.Fits, With: fit.Chords,
		}
		if choruses[c.Chorus] {
			v.Says, v.Elsewhere, v.Evidence = fit.Elsewhere, fit.Move{Beats: -4}, 3
		}
		s.Fit = append(s.Fit, v)
	}
	return s
}

// Two choruses of three are counted among those that are alike, or of all: what goes wrong
// at the fast tempo alone is told, and once at each of two tempi is no more than once.
func TestChorusesThatAreAlikeAreCounted(t *testing.T) {
	for _, test := range []struct {
		name        string
		tempi       []float64
		late        map[int]bool
		part, whole int64 // 0: not told
	}{
		{"two of three", []float64{100, 100, 100}, map[int]bool{1: true, 3: true}, 2, 3},
		{"two of six, those that are fast", []float64{100, 100, 100, 100, 160, 160}, map[int]bool{5: true, 6: true}, 2, 2},
		{"two of six, one fast and one slow", []float64{100, 100, 100, 160, 160, 160}, map[int]bool{3: true, 4: true}, 0, 0},
		{"two of six at one tempo", []float64{100, 100, 100, 100, 100, 100}, map[int]bool{5: true, 6: true}, 0, 0},
		{"all, each at another tempo", []float64{100, 120, 140}, map[int]bool{1: true, 2: true, 3: true}, 3, 3},
	} {
		s := late(at(&analyse.Summary{Notes: 600, Fate: map[string]int64{}}, nil, test.tempi...), test.late)
		all := advise.Candidates(s)
		if test.whole == 0 {
			require.Empty(t, all, test.name)
			continue
		}
		require.NotEmpty(t, all, test.name)
		require.Equal(t, advise.Elsewhere, all[0].Kind, test.name)
		require.Equal(t, [2]int64{test.part, test.whole}, [2]int64{all[0].Part, all[0].Whole}, test.name)
	}

	// The form is the same in every key.
	s := at(&analyse.Summary{Notes: 600, Fate: map[string]int64{}}, nil, 100, 100, 100, 100, 160, 160)
	for i, key := range []string{"C major", "F major", "Bb major", "Eb major", "Ab major", "Db major"} {
		s.ChorusesDetail[i].Key = key
	}
	require.NotEmpty(t, advise.Candidates(late(s, map[int]bool{5: true, 6: true})))
}

// What is said after two takes is said after two that are alike.
func TestTwoTakesAreAlike(t *testing.T) {
	hurried := func(tempo float64) *analyse.Summary {
		s := at(&analyse.Summary{Notes: 400, Bars: 32, Fate: map[string]int64{"unresolved": 0}}, nil, tempo, tempo)
		s.Phrases.Phrases, s.Phrases.Rest = 2, 4
		return s
	}
	told := func(tempi ...float64) []advise.Suggestion {
		var past []advise.Shown
		var last []advise.Suggestion
		for _, tempo := range tempi {
			s := hurried(tempo)
			all := advise.Candidates(s)
			other := advise.Suggestion{Subject: advise.Subject{Kind: advise.Hanging, ChordKind: "major"}} // so that there is something else
			last = advise.Choose(append(all, other), s.Alike(), past)
			past = append(past, advise.Shown{Noticed: advise.Noticed(all), Played: s.Alike()})
		}
		return last
	}
	kinds := func(all []advise.Suggestion) (kinds []advise.Kind) {
		for i := range all {
			kinds = append(kinds, all[i].Kind)
		}
		return kinds
	}
	require.Equal(t, []advise.Kind{advise.Hanging}, kinds(told(100)))
	require.Equal(t, []advise.Kind{advise.Hanging, advise.Rests}, kinds(told(100, 100)))
	require.Equal(t, []advise.Kind{advise.Hanging}, kinds(told(100, 160)))
	require.Equal(t, []advise.Kind{advise.Hanging, advise.Rests}, kinds(told(100, 160, 100)), "the last that is like it")
}

// Nothing is met by playing it slower.
func TestNothingIsMetByLess(t *testing.T) {
	moved := func(s *analyse.Summary, key string) *analyse.Summary {
		for i := range s.ChorusesDetail {
			s.ChorusesDetail[i].Key = key
		}
		return s
	}
	hard, easy := take(10, 20), take(0, 20)
	met := func(then, now *analyse.Summary) bool {
		past := []advise.Shown{{Suggested: advise.Choose(advise.Candidates(then), then.Alike(), nil), Played: then.Alike()}}
		return len(advise.WereMet(past, now)) > 0
	}
	require.True(t, met(at(hard, nil, 120, 120), at(easy, nil, 120, 120)))
	require.True(t, met(at(hard, nil, 120, 120), at(easy, nil, 116, 116)), "a step slower")
	require.False(t, met(at(hard, nil, 160, 160), at(easy, nil, 100, 100)), "slower")
	require.True(t, met(at(hard, nil, 100, 100), at(easy, nil, 160, 160)), "faster")
	require.False(t, met(at(hard, nil, 100, 140), at(easy, nil, 100, 100)), "the slower half of it")
	require.True(t, met(at(hard, nil, 100, 140), at(easy, nil, 140, 140)), "the faster half of it")
	require.False(t, met(moved(at(hard, nil, 120, 120), "F major"), moved(at(easy, nil, 120, 120), "C major")), "in another key")
	require.True(t, met(moved(at(hard, nil, 120, 120), "F major"), moved(at(easy, nil, 120, 120), "F major")))
}

// A whole take in another key is a key to be checked, by reason before any exercise, and
// the other candidates come from chords that were not played over; one that is late is
// played on.
func TestTheKeyIsCheckedFirst(t *testing.T) {
	whole := func(move fit.Move) *analyse.Summary {
		s := take(10, 20)
		s.Fit = []fit.Verdict{{Span: fit.Take, Notes: 200, BarBeats: 4, Says: fit.Elsewhere, Elsewhere: move, Evidence: 9}}
		return s
	}
	all := advise.Candidates(whole(fit.Move{Semitones: 5}))
	require.Len(t, all, 1)
	require.True(t, all[0].InAnotherKey())
	require.Equal(t, advise.Exercise{}, all[0].Play)
	require.Equal(t, 5, all[0].HalfStep)

	late := advise.Candidates(whole(fit.Move{Beats: -4}))
	require.Equal(t, advise.Elsewhere, late[0].Kind)
	require.NotZero(t, late[0].Play.Times)
}
