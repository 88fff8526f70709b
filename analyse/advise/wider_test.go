package advise_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
)

// over is a chord of a chart with what was played over it.
func over(bar int, symbol, kind string, unresolved, notes int64) analyse.ChordCount {
	return analyse.ChordCount{
		Bar: bar, ToBar: bar, Symbol: symbol, ChordKind: kind, Centre: "F major",
		Tally: analyse.Tally{Notes: notes, Outside: unresolved, Unresolved: unresolved},
	}
}

// chorus is a take in F major over these chords.
func chorus(chords ...analyse.ChordCount) *analyse.Summary {
	s := &analyse.Summary{Choruses: 2, View: song.KeyView, ChordsDetail: chords, Centres: []analyse.CentreCount{{Centre: "F major"}}}
	for _, c := range chords {
		s.Notes += c.Notes
		s.Centres[0].Notes += c.Notes
		s.Centres[0].Outside += c.Outside
		s.Centres[0].Unresolved += c.Unresolved
	}
	return s
}

// told writes suggestions short: "C7 in 2: 5 of 9".
func told(all []advise.Suggestion) (out []string) {
	for _, s := range all {
		what := s.Chord + s.ChordKind
		switch {
		case s.Family != "" && s.Step > 0:
			what = fmt.Sprintf("%s chord %d", s.Family, s.Step)
		case s.Family != "":
			what = s.Family + " family"
		case s.Kind == advise.OnBeat:
			what += " on the beat"
		case what == "":
			what = s.Centre
		}
		where := fmt.Sprint(s.Bars)
		if s.Bar > 0 {
			where = fmt.Sprint(s.Bar)
		}
		out = append(out, fmt.Sprintf("%s in %s: %d of %d", what, where, s.Part, s.Whole))
	}
	return out
}

// Slips that lie in no one place are told over what they have in common: the
// chord, the kind of chord, the centre.
func TestSpreadSlips(t *testing.T) {
	for _, test := range []struct {
		name   string
		chords []analyse.ChordCount
		want   []string
	}{
		{"one chord in three places, a twentieth", []analyse.ChordCount{
			over(2, "C7", "dominant", 1, 20), over(6, "C7", "dominant", 1, 20), over(9, "C7", "dominant", 1, 20), over(10, "F6", "major", 0, 60),
		}, []string{"C7 in [2 6 9]: 3 of 60"}},
		{"less than a twentieth", []analyse.ChordCount{
			over(2, "C7", "dominant", 1, 20), over(6, "C7", "dominant", 1, 20), over(9, "C7", "dominant", 1, 21), over(10, "F6", "major", 0, 60),
		}, nil},
		{"two slips", []analyse.ChordCount{over(2, "C7", "dominant", 1, 4), over(6, "C7", "dominant", 1, 4)}, nil},
		{"all in one of its places, under a tenth", []analyse.ChordCount{
			over(2, "C7", "dominant", 3, 31), over(6, "C7", "dominant", 0, 20), over(7, "F6", "major", 0, 60),
		}, nil},
		{"a place of its own, and the rest of the chord", []analyse.ChordCount{
			over(2, "C7", "dominant", 5, 20), over(6, "C7", "dominant", 2, 20), over(7, "F6", "major", 0, 200),
		}, []string{"C7 in 2: 5 of 20", "C7 in [2 6]: 7 of 40"}},
		{"chords of one kind", []analyse.ChordCount{
			over(1, "F6", "major", 0, 60), over(2, "D7", "dominant", 2, 20), over(3, "G7", "dominant", 2, 20), over(4, "C7", "dominant", 0, 20),
		}, []string{"dominant in [2 3]: 4 of 60"}},
		{"chords of several kinds", []analyse.ChordCount{
			over(1, "F6", "major", 2, 20), over(2, "Gm7", "minor", 2, 20), over(3, "C7", "dominant", 0, 20),
		}, []string{"F major in [1 2]: 4 of 60"}},
		{"under a twentieth of a centre", []analyse.ChordCount{
			over(1, "F6", "major", 2, 20), over(2, "Gm7", "minor", 2, 20), over(3, "C7", "dominant", 0, 41),
		}, nil},
		{"a chord twice in a bar is one place", []analyse.ChordCount{
			over(1, "C7", "dominant", 2, 8), over(1, "F6", "major", 0, 60), over(1, "C7", "dominant", 1, 8),
		}, []string{"C7 in 1: 3 of 16"}},
	} {
		require.Equal(t, test.want, told(advise.Candidates(chorus(test.chords...))), test.name)
	}
}

func TestACentreWithoutAChart(t *testing.T) {
	for unresolved, want := range map[int64][]string{4: nil, 5: {"F major in []: 5 of 100"}} {
		s := &analyse.Summary{Centres: []analyse.CentreCount{{Centre: "F major", Tally: analyse.Tally{Notes: 100, Unresolved: unresolved}}}}
		require.Equal(t, want, told(advise.Candidates(s)))
	}
}

// Of a family that was hardly begun it is said how much was played.
func TestLittleOfAFamily(t *testing.T) {
	played := func(notes int64, view song.View, times ...int64) []string {
		s := chorus(over(1, "F6", "major", 0, notes), over(2, "C7", "dominant", 0, 0))
		s.View, s.Family = view, chordsOf("Fmaj7", times...)
		return told(advise.Candidates(s))
	}
	three := []string{"Fmaj7 family in [1]: 5 of 8"}
	require.Equal(t, three, played(32, song.KeyView, 1, 2, 4, 0, 0, 0, 0, 0))
	require.Empty(t, played(31, song.KeyView, 1, 2, 4, 0, 0, 0, 0, 0), "too few notes for eight chords")
	require.Equal(t, "Fmaj7 chord 4 in []: 8 of 8", played(32, song.KeyView, 1, 2, 5, 0, 0, 0, 0, 0)[0], "eight times is enough for one of its chords")
	require.Equal(t, []string{"Fmaj7 family in [1]: 8 of 8"}, played(32, song.KeyView, 0, 0, 0, 0, 0, 0, 0, 0))
	require.Empty(t, played(32, song.ChordView, 0, 0, 0, 0, 0, 0, 0, 0), "its chord may have lasted for two beats")
	require.Equal(t, []string{"Fmaj7 family in []: 7 of 8"}, played(32, song.ChordView, 1, 0, 0, 0, 0, 0, 0, 0))
	require.Empty(t, played(400, song.KeyView, 1, 1, 1, 1, 1, 1, 1, 0)[1:], "only one is left")
	require.Empty(t, played(400, song.KeyView, 1, 1, 1, 1, 1, 1, 1, 1), "all of it was played")
	require.Empty(t, played(400, song.KeyView, 1, 1), "all two")
}

// The family that was begun comes first, then that of the centre where most was
// played.
func TestWhichFamilyFirst(t *testing.T) {
	s := chorus(over(1, "F6", "major", 0, 40))
	s.Centres = append(s.Centres, analyse.CentreCount{Centre: "Ab major", Tally: analyse.Tally{Notes: 90}}, analyse.CentreCount{Centre: "C minor", Tally: analyse.Tally{Notes: 60}})
	for _, row := range []figure.FamilyUse{
		{Centre: "C minor", Family: "Cm6"}, {Centre: "Ab major", Family: "Ab6"}, {Centre: "F major", Family: "F6", Times: 1}, {Centre: "F major", Family: "F6"},
	} {
		scale, err := harmony.ParseScale(row.Centre + " sixth-diminished")
		require.NoError(t, err)
		row.Scale = scale
		s.Family = append(s.Family, row)
	}
	require.Equal(t, []string{"F6 family in [1]: 1 of 2", "Ab6 family in []: 1 of 1", "Cm6 family in []: 1 of 1"}, told(advise.Candidates(s)))
}

// evening is a take with slips that have several names, and little of a family.
func evening() *analyse.Summary {
	s := chorus(
		over(1, "F6", "major", 0, 40), over(2, "C7", "dominant", 7, 32), over(3, "C7", "dominant", 2, 32),
		over(4, "G7", "dominant", 2, 32), over(5, "Gm7", "minor", 1, 32))
	s.Family = chordsOf("Fmaj7", 2, 0, 0, 0, 0, 0, 0, 0)
	return s
}

// The same take night after night: the place rests, and what is wider than it and holds it
// does not come in its stead.
func TestTheSameTakeNightAfterNight(t *testing.T) {
	place, family := "unresolved C70", "untouched Fmaj70"
	require.Equal(t, [][]string{{place}, {place, family}, {family}, {place}, {place, family}, {family}}, nights(6, evening))
}

// With one thing to practise it gives way for a take and comes back: it rests
// for longer only where there is another.
func TestTheOnlySuggestionComesBack(t *testing.T) {
	var past []advise.Shown
	var shown []bool
	for range 6 {
		chosen := advise.Choose(advise.Candidates(take(10, 20)), nil, past)
		past = append(past, advise.Shown{Suggested: chosen})
		shown = append(shown, len(chosen) > 0)
	}
	require.Equal(t, []bool{true, true, false, true, true, false}, shown)
}

// Who slips nowhere and played all the chords is told nothing.
func TestNothingToMend(t *testing.T) {
	s := chorus(over(1, "F6", "major", 0, 200), over(2, "C7", "dominant", 0, 200))
	s.Family = chordsOf("Fmaj7", 1, 1, 1, 1, 1, 1, 1, 1)
	require.Empty(t, advise.Choose(advise.Candidates(s), nil, nil))
	require.NotNil(t, advise.Choose(nil, nil, nil), "an empty list, which a script can read")
}
