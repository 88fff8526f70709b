package display

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
)

// chorusAt is a chorus of a hundred notes, ten of them outside.
func chorusAt(number int, slips int64, was analyse.Was) analyse.ChorusCount {
	return analyse.ChorusCount{Chorus: number, Was: was, Tally: analyse.Tally{Notes: 100, Outside: 10, Unresolved: slips}}
}

func atTempo120(slips ...int64) (all []analyse.ChorusCount) {
	for i, n := range slips {
		all = append(all, chorusAt(i+1, n, analyse.Was{Tempo: 120}))
	}
	return all
}

// rising has a number of slips for each chorus at its tempo.
func rising(tempi []float64, slips ...int64) (all []analyse.ChorusCount) {
	for i, n := range slips {
		all = append(all, chorusAt(i+1, n, analyse.Was{Tempo: tempi[i]}))
	}
	return all
}

func inKeys(keys ...string) (all []analyse.ChorusCount) {
	for i, key := range keys {
		all = append(all, chorusAt(i+1, int64(i), analyse.Was{Tempo: 120, Key: key}))
	}
	return all
}

// What is told over choruses, written by reason first: like with like, and what was left
// out; a fast chorus is never told worse than a slow one.
func TestTrendsOverChorusesAreOfLikes(t *testing.T) {
	sp := newSpeller(Options{ASCII: true})
	changing := []analyse.ChorusCount{chorusAt(1, 2, analyse.Was{Tempo: 120, ToTempo: 60}), chorusAt(2, 1, analyse.Was{Tempo: 120, ToTempo: 60})}
	for _, test := range []struct {
		name             string
		all              []analyse.ChorusCount
		at, trend, slips string
	}{
		{"one tempo", atTempo120(4, 3, 2), "at 120",
			"chorus 1 to 3: slips from 4 % to 2 %, outside still 10 %", "slips by chorus: 4, 3, 2"},
		{"a clock that sways", rising([]float64{119.6, 120.2, 119.4}, 4, 3, 2), "at 120",
			"chorus 1 to 3: slips from 4 % to 2 %, outside still 10 %", "slips by chorus: 4, 3, 2"},
		{"a step faster", rising([]float64{100, 104}, 4, 2), "at 100 and 104",
			"chorus 1 to 2: slips from 4 % to 2 %, outside still 10 %", "slips by chorus: 4, 2"},
		{"faster every two", rising([]float64{100, 100, 120, 120, 140, 140}, 2, 1, 3, 2, 6, 4), "at 100 to 140",
			"chorus 5 to 6, at 140: slips from 6 % to 4 %, outside still 10 %; 4 others at 100 and 120 left out",
			"slips by chorus: at 100: 2, 1; at 120: 3, 2; at 140: 6, 4"},
		{"faster every one", rising([]float64{100, 120, 140}, 2, 4, 6), "at 100 to 140",
			"chorus 3 is at 140, no other is like it", "slips by chorus: at 100: 2; at 120: 4; at 140: 6"},
		{"slower within each", changing, "at 60 and 120",
			"chorus 1 to 2: slips from 2 % to 1 %, outside still 10 %", "slips by chorus: 2, 1"},
		{"in three keys", inKeys("C", "F", "Bb"), "at 120",
			"chorus 3 is in Bb at 120, no other is like it", "slips by chorus: in C: 0; in F: 1; in Bb: 2"},
		{"round to the first key", inKeys("C", "F# minor", "C"), "at 120",
			"chorus 1 in C to 3 in C, at 120: slips from 0 % to 2 %, outside still 10 %; 1 other in F# minor at 120 left out",
			"slips by chorus: in C: 0; in F# minor: 1; in C: 2"},
		{"one chorus", atTempo120(4), "at 120", "", "slips by chorus: 4"},
		{"no tempo is known", rising([]float64{0, 0}, 4, 2), "",
			"chorus 1 to 2: slips from 4 % to 2 %, outside still 10 %", "slips by chorus: 4, 2"},
	} {
		require.Equal(t, test.at, atTempi(test.all), test.name)
		require.Equal(t, test.trend, overChoruses(test.all, sp), test.name)
		require.Equal(t, test.slips, choruses(test.all, sp), test.name)
	}
}

// The screen holds a chorus against the one before it where they are alike.
func TestAFasterChorusStandsAlone(t *testing.T) {
	f := tune()
	f.Snapshot.Chorus, f.Snapshot.Bar = 3, 1
	over := func(before, after analyse.Was) string {
		f.Snapshot.Choruses = [2]analyse.ChorusCount{chorusAt(2, 4, after), chorusAt(1, 2, before)}
		return newSpeller(Options{}).chorusOver(&f.Snapshot)
	}
	require.Equal(t, "chorus 1 to 2: slips from 2 % to 4 %, outside still 10 %", over(analyse.Was{Tempo: 120}, analyse.Was{Tempo: 124}))
	require.Equal(t, "chorus 2, at 160: slips 4 %, outside 10 %", over(analyse.Was{Tempo: 120}, analyse.Was{Tempo: 160}))
	require.Equal(t, "chorus 2 in F: slips 4 %, outside 10 %", over(analyse.Was{Tempo: 120, Key: "C"}, analyse.Was{Tempo: 120, Key: "F"}))
}

func TestEarlierTakesAreHeldAgainstLikes(t *testing.T) {
	sp := newSpeller(Options{ASCII: true})
	at := func(tempi ...float64) (was []analyse.Was) {
		for _, tempo := range tempi {
			was = append(was, analyse.Was{Tempo: tempo})
		}
		return was
	}
	for want, e := range map[string]Earlier{
		"": {Now: at(120)},
		"since 2 earlier takes: slips from 4 % to 2 %":                               {Takes: 2, Notes: 100, Slips: 4, SlipsNow: 2, At: at(120), Now: at(120)},
		"since 2 earlier takes, at 180: slips from 4 % to 2 %; 1, at 100, left out":  {Takes: 2, Notes: 100, Slips: 4, SlipsNow: 2, At: at(180), Now: at(180), Apart: 1, ApartAt: at(100)},
		"since 1 earlier take, at 100: slips still 2 %":                              {Takes: 1, Notes: 100, Slips: 2, SlipsNow: 2, At: at(100), Part: true, Now: at(100, 140)},
		"1 earlier take, at 100, left out: this one is at 180":                       {Apart: 1, ApartAt: at(100), Now: at(180)},
		"3 earlier takes, at 100 to 140, left out: this one is traded at 120":        {Apart: 3, ApartAt: at(100, 140, 120), Now: []analyse.Was{{Tempo: 120, Trade: 4}}},
		"1 earlier take, in 3 keys at 120, left out: this one is in C at 60 and 120": {Apart: 1, ApartAt: []analyse.Was{{Tempo: 120, Key: "C"}, {Tempo: 120, Key: "F"}, {Tempo: 120, Key: "D minor"}}, Now: []analyse.Was{{Tempo: 120, Key: "C"}, {Tempo: 60, Key: "C"}}},
	} {
		require.Equal(t, want, e.text(sp))
	}
}

// The table of choruses says what each was where that differs.
func TestTheTableOfChorusesSaysWhatEachWas(t *testing.T) {
	sp := newSpeller(Options{ASCII: true})
	of := func(all []analyse.ChorusCount) (texts [][]string) {
		s := analyse.Summary{ChorusesDetail: all}
		for i := range all {
			texts = append(texts, chorusWas(&s, &all[i], sp))
		}
		return texts
	}
	require.Equal(t, [][]string{nil, nil}, of(atTempo120(1, 2)))
	anew := atTempo120(1, 2)
	anew[1].Anew = true
	require.Equal(t, [][]string{nil, {"counted off anew"}}, of(anew))
	require.Equal(t, [][]string{{"at 100"}, {"at 120"}}, of(rising([]float64{100, 120}, 1, 2)))
	require.Equal(t, [][]string{nil, nil}, of(inKeys("C", "F")), "its number says its key")
	slower := []analyse.ChorusCount{chorusAt(1, 2, analyse.Was{Tempo: 120, ToTempo: 60})}
	require.Equal(t, [][]string{{"at 120 to 60"}}, of(slower))
	both := append(inKeys("C", "F"), chorusAt(3, 0, analyse.Was{Tempo: 140, Key: "F"}))
	require.Equal(t, [][]string{{"at 120"}, {"at 120"}, {"at 140"}}, of(both))
}

func TestWhoPlayedAlong(t *testing.T) {
	sp := newSpeller(Options{})
	for want, with := range map[string][]string{
		"": nil, "the click": {"click"}, "the click and a bass": {"click", "bass"},
		"a bass and a piano": {"bass", "piano"}, "another's clock, a bass and a piano": {"clock", "bass", "piano"},
	} {
		require.Equal(t, want, inWords(with, sp))
	}
	require.False(t, withBand(nil))
	require.False(t, withBand([]string{"click"}), "every session has one")
	require.True(t, withBand([]string{"click", "bass"}))
	require.True(t, withBand([]string{"clock"}))
}

// Below the table stands what all choruses have in common, and what is not in it.
func TestBelowTheTableOfChoruses(t *testing.T) {
	sp := newSpeller(Options{})
	of := func(all []analyse.ChorusCount, with []string, forgotten ...int) []string {
		return underChoruses(&Outcome{Summary: analyse.Summary{ChorusesDetail: all, Forgotten: forgotten}, With: with}, sp)
	}
	require.Equal(t, []string{"every chorus at 120"}, of(atTempo120(1, 2), []string{"click"}))
	require.Equal(t, []string{"every chorus at 120, with the click and a bass", "chorus 3 forgotten: in the take, in no count"},
		of(atTempo120(1, 2), []string{"click", "bass"}, 3))
	require.Empty(t, of(rising([]float64{100, 120}, 1, 2), nil), "the rows say it")
	require.Empty(t, of(atTempo120(1), nil), "one row is no table")
}
