package reviews

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/display"
)

func alikeAt(tempo float64, notes, slips int64) analyse.Alike {
	return analyse.Alike{Was: analyse.Was{Tempo: tempo}, Choruses: 1, Notes: notes, Slips: slips}
}

// takeOf is a take before of such choruses.
func takeOf(played ...analyse.Alike) (n notes) {
	n.Played = played
	for _, one := range played {
		n.Notes += one.Notes
		n.Unresolved += one.Slips
	}
	return n
}

// Labelled by reason: what a page says of takes before, as slips in so many notes then and
// now, by the notes that both sides have.
func TestTakesAreHeldAgainstLikes(t *testing.T) {
	moved := alikeAt(120, 100, 4)
	moved.Key = "F major"
	for _, test := range []struct {
		name           string
		now            []analyse.Alike
		before         []notes
		takes, apart   int
		then, slipsNow int64 // in a thousand notes
		part           bool
	}{
		{"none before", []analyse.Alike{alikeAt(100, 100, 2)}, nil, 0, 0, 0, 0, true},
		{"the same tempo", []analyse.Alike{alikeAt(100, 100, 2)}, []notes{takeOf(alikeAt(100, 100, 4)), takeOf(alikeAt(104, 300, 4))}, 2, 0, 20, 20, false},
		{"faster than last week", []analyse.Alike{alikeAt(180, 100, 20)}, []notes{takeOf(alikeAt(100, 100, 2))}, 0, 1, 0, 0, true},
		{"one of two like it", []analyse.Alike{alikeAt(180, 100, 10)}, []notes{takeOf(alikeAt(100, 100, 2)), takeOf(alikeAt(180, 100, 20))}, 1, 1, 200, 100, false},
		{"in another key", []analyse.Alike{moved}, []notes{takeOf(alikeAt(120, 100, 4))}, 0, 1, 0, 0, true},
		{"in another key among others", []analyse.Alike{moved, alikeAt(120, 100, 6)}, []notes{takeOf(alikeAt(120, 100, 4))}, 1, 0, 40, 60, true},
		// Two in a hundred at 100 and ten at 140, then as now: with more of it at 140 it is no worse.
		{"more of the faster", []analyse.Alike{alikeAt(100, 100, 2), alikeAt(140, 900, 90)}, []notes{takeOf(alikeAt(100, 900, 18), alikeAt(140, 100, 10))}, 1, 0, 60, 60, false},
		{"too few alike to tell", []analyse.Alike{alikeAt(100, 10, 2), alikeAt(140, 90, 9)}, []notes{takeOf(alikeAt(100, 100, 18))}, 0, 0, 180, 200, true},
		{"notes of an older shedlight", []analyse.Alike{alikeAt(100, 100, 2)}, []notes{{Notes: 100, Unresolved: 3}}, 0, 1, 0, 0, true},
	} {
		e := against(test.now, test.before)
		shown := e.shown(test.now)
		require.Equal(t, test.takes, shown.Takes, test.name)
		require.Equal(t, test.apart, shown.Apart, test.name)
		require.Equal(t, test.part, shown.Part, test.name)
		require.Len(t, test.before, e.Takes, test.name)
		if shown.Notes > 0 {
			require.Equal(t, test.then, 1000*shown.Slips/shown.Notes, test.name)
			require.Equal(t, test.slipsNow, 1000*shown.SlipsNow/shown.Notes, test.name)
		}
	}
}

// A row of a folder's trend has only takes that are alike, and each take once.
func TestTrendsOfAFolderAreOfLikes(t *testing.T) {
	var all Trends
	for _, played := range [][]analyse.ChorusCount{
		{chorusOf(1, 100, 2), chorusOf(2, 100, 2)}, {chorusOf(1, 180, 10)}, {chorusOf(1, 100, 1), chorusOf(2, 140, 5)}, {chorusOf(1, 184, 6)},
	} {
		r := &Report{id: "harbour"}
		r.ChorusesDetail, r.Notes = played, int64(100*len(played))
		all.Add(r)
	}
	short := &Report{id: "harbour"}
	short.Notes = leastNotes - 1
	all.Add(short)
	all.Add(&Report{})
	at := func(tempo float64) analyse.Was { return analyse.Was{Tempo: tempo} }
	require.Equal(t, []display.Trend{{Takes: 4, Short: 1, Alike: []display.TrendOf{
		{Was: at(100), Takes: []int{0, 2}, Notes: []int64{200, 100}, Slips: []int64{4, 1}},
		{Was: at(180), Takes: []int{1, 3}, Notes: []int64{100, 100}, Slips: []int64{10, 6}},
		{Was: at(140), Takes: []int{2}, Notes: []int64{100}, Slips: []int64{5}},
	}}}, all.Tunes)
}

func chorusOf(number int, tempo float64, slips int64) analyse.ChorusCount {
	return analyse.ChorusCount{Chorus: number, Was: analyse.Was{Tempo: tempo}, Tally: analyse.Tally{Notes: 100, Unresolved: slips}}
}
