package analyse_test

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// together puts the findings of each note together, as those that show them do.
func together(found []analyse.Finding) (notes []analyse.Finding) {
	for _, f := range found {
		if f.Stage == analyse.Heard {
			notes = append(notes, f)
		} else {
			notes[f.N].Fold(&f)
		}
	}
	return notes
}

// recount is what one row counts.
type recount struct{ notes, outside, unresolved, against int64 }

func (r *recount) add(o recount) {
	r.notes += o.notes
	r.outside += o.outside
	r.unresolved += o.unresolved
	r.against += o.against
}

// recountOf counts one note.
func recountOf(f *analyse.Finding) (r recount) {
	r.notes = 1
	if f.Place == song.Outside {
		r.outside = 1
	}
	switch {
	case f.Fate == fate.Unresolved:
		r.unresolved = 1
	case f.Against != "":
		r.against = 1
	}
	return r
}

// The counts of each chorus, bar, chord, centre and fate are what a recount of the
// findings gives, and add up to those of the session, whatever is played over
// whatever chart in either view; and a slip that was meant is in none. Notes before
// the chart have a row of their own.
func TestTallyIsARecount(t *testing.T) {
	charts := chartsToJudge(t)
	drawn := takes(charts)
	names := slices.Sorted(maps.Keys(charts))
	t.Run("over charts", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			take := drawn.Draw(t, "take")
			requireSums(t, take.setup, take.events)
		})
	})
	t.Run("improvised lines", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			requireSums(t, s, improvised(t, s.Timeline, s.View))
		})
	})
	t.Run("accidents", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			requireSums(t, s, anyEvents(t))
		})
	})
}

func requireSums(t require.TestingT, setup analyse.Setup, events []analyse.Event) {
	a, err := analyse.New(setup)
	require.NoError(t, err)
	notes := together(all(a, events[len(events)-1].Tick, events...))
	s := a.Summary()

	var whole recount
	choruses, bars, chords, centres := map[int]recount{}, map[int]recount{}, map[int]recount{}, map[string]recount{}
	fates := map[string]int64{}
	for i := range notes {
		f := &notes[i]
		if f.Velocity < setup.Gate { // a ghost is in no count but its own
			continue
		}
		whole.add(recountOf(f))
		addTo(choruses, f.Chorus, f)
		addTo(bars, f.Spot().Bar, f)
		addTo(chords, f.ChordRow(), f)
		if f.ChordRow() > 0 {
			addTo(centres, f.Centre, f)
		}
		if f.Fate != fate.None {
			fates[f.Fate.String()]++
		}
	}
	require.Equal(t, whole, recount{s.Notes, s.Place.Outside, s.Fate["unresolved"], s.Against})
	require.Equal(t, whole.unresolved+whole.against, s.Slips())
	for name, n := range s.Fate {
		if name != "glitch" { // which counts the ghosts too
			require.Equal(t, fates[name], n, name)
		}
	}
	before := recount{s.Before.Notes, s.Before.Outside, s.Before.Unresolved, s.Before.Against}
	require.Equal(t, chords[0], before)
	sum := before
	for _, c := range s.ChorusesDetail {
		require.Equal(t, choruses[c.Chorus], recount{c.Notes, c.Outside, c.Unresolved, c.Against}, "chorus %d", c.Chorus)
		sum.add(choruses[c.Chorus])
	}
	require.Equal(t, whole, sum)
	sum = before
	for _, b := range s.BarsDetail {
		require.Equal(t, bars[b.Bar], recount{b.Notes, b.Outside, b.Unresolved, b.Against}, "bar %d", b.Bar)
		sum.add(bars[b.Bar])
	}
	require.Equal(t, whole, sum)
	sum = before
	for i, c := range s.ChordsDetail {
		require.Equal(t, chords[i+1], recount{c.Notes, c.Outside, c.Unresolved, c.Against}, "chord %d", i+1)
		sum.add(chords[i+1])
	}
	require.Equal(t, whole, sum)
	sum = before
	for _, c := range s.Centres {
		require.Equal(t, centres[c.Centre], recount{c.Notes, c.Outside, c.Unresolved, c.Against}, c.Centre)
		sum.add(centres[c.Centre])
	}
	require.Equal(t, whole, sum)

	meant := int64(0)
	for i := range notes {
		if notes[i].Slip() {
			s.TakeMeant(notes[i])
			meant++
		}
	}
	require.Equal(t, meant, s.Meant)
	require.Zero(t, s.Slips())
	require.Zero(t, s.Groups.Slip)
	for _, b := range s.BarsDetail {
		require.Zero(t, b.Slips())
	}
	for _, c := range s.ChordsDetail {
		require.Zero(t, c.Slips())
	}
	for _, c := range s.Centres {
		require.Zero(t, c.Slips())
	}
	for _, c := range s.ChorusesDetail {
		require.Zero(t, c.Slips())
	}
}

func addTo[K comparable](rows map[K]recount, row K, f *analyse.Finding) {
	r := rows[row]
	r.add(recountOf(f))
	rows[row] = r
}

// What is a slip does not depend on the view: that only says what is outside.
func TestSlipsAreTheSameInBothViews(t *testing.T) {
	charts := chartsToJudge(t)
	names := slices.Sorted(maps.Keys(charts))
	slips := func(t require.TestingT, s analyse.Setup, view song.View, events []analyse.Event) (out []int64) {
		s.View = view
		a, err := analyse.New(s)
		require.NoError(t, err)
		for _, f := range together(all(a, events[len(events)-1].Tick, events...)) {
			if f.Slip() {
				out = append(out, f.N)
			}
		}
		return out
	}
	found := 0
	same := func(t require.TestingT, s analyse.Setup, events []analyse.Event) {
		key, chord := slips(t, s, song.KeyView, events), slips(t, s, song.ChordView, events)
		require.Equal(t, key, chord, "slips over %s of\n%s", s.Timeline.Title, written(events))
		found += len(key)
	}
	drawn := takes(charts)
	t.Run("over charts", func(t *testing.T) {
		const examples = 4000
		for seed := range examples {
			take := drawn.Example(seed)
			same(t, take.setup, take.events)
		}
	})
	t.Run("improvised lines", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			same(t, s, improvised(t, s.Timeline, s.View))
		})
	})
	t.Run("accidents", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			same(t, s, anyEvents(t))
		})
	})
	t.Log(found, "slips")
	require.NotZero(t, found)
}

// A chord that is written again goes on, and one that is not is told from bar
// to bar: what a player would say of the places.
func TestPlacesOfChords(t *testing.T) {
	tl := twoChords()
	tl.Slots[2].Symbol = "G6"
	a := analyser(t, analyse.Setup{Timeline: tl})
	chords := a.Summary().ChordsDetail
	require.Len(t, chords, 2)
	require.Equal(t, [2]int{1, 1}, [2]int{chords[0].Bar, chords[0].ToBar})
	require.Equal(t, [2]int{2, 3}, [2]int{chords[1].Bar, chords[1].ToBar})
	require.NotNil(t, analyser(t, analyse.Setup{}).Summary().BarsDetail, "a list is never null")
	require.NotNil(t, analyser(t, analyse.Setup{}).Summary().ChordsDetail)
}

// While the first bar of a chorus lasts, and no longer, the two before it are
// shown.
func TestChorusesAtTheBoundary(t *testing.T) {
	tl := twoChords()
	a := analyser(t, analyse.Setup{Timeline: tl})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	at := func(tick int64) [2]int {
		a.AdvanceTo(tick)
		c := a.Snapshot().Choruses
		return [2]int{c[0].Chorus, c[1].Chorus}
	}
	const bar = 4 * timebase.Quarter
	a.Add(on(10, 60))
	require.Equal(t, [2]int{}, at(bar))
	require.Equal(t, [2]int{1, 0}, at(tl.Length))
	a.Add(on(tl.Length+10, 60))
	require.Equal(t, [2]int{}, at(tl.Length+bar))
	require.Equal(t, [2]int{2, 1}, at(2*tl.Length))
	require.Equal(t, [2]int{2, 1}, at(2*tl.Length+bar-1))
	require.Equal(t, [2]int{}, at(2*tl.Length+bar))
	require.Equal(t, [2]int{0, 2}, at(3*tl.Length), "nothing was played in the third")
}

// A phrase can be read by its number for as long as it is kept.
func TestPhraseByNumber(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: &changes.Centre{Tonic: tone.Name{}, Mode: changes.Major}})
	const bar = 4 * timebase.Quarter
	for i := range int64(20) {
		a.Add(on(i*bar, 60))
		a.Add(off(i*bar+100, 60))
	}
	require.Equal(t, int64(19), a.PhrasesOver())
	a.Finish(20 * bar)
	require.Equal(t, int64(20), a.PhrasesOver())
	for number := int64(-1); number <= 22; number++ {
		p, ok := a.Phrase(number)
		require.Equal(t, number > 5 && number <= 20, ok, number)
		if ok {
			require.Equal(t, number, p.Number)
		}
	}
}

// Notes below the gate are in no count but their own, as if they had not been
// sent: a pickup sends more of them than of the others.
func TestGhostsCountNowhere(t *testing.T) {
	s := inChords(t, "| C6 | Dm7 |")
	s.Gate = 20
	line := performed(t, 0, "C4 E4 G4 F#4 G4 A4 B4 C5 D5 C5 A4 F4")
	var haunted []analyse.Event
	for _, e := range line {
		ghost := e
		ghost.Channel, ghost.Key, ghost.Velocity = 3, e.Key-11, min(e.Velocity, 19)
		haunted = append(haunted, e, ghost)
	}
	clean, _ := review(t, s, line)
	got, _ := review(t, s, haunted)
	require.Equal(t, int64(12), got.Ghosts)
	got.Ghosts, got.Phrases.Good, clean.Phrases.Good = 0, nil, nil // they tell the numbers of notes
	for _, verdicts := range [...][]fit.Verdict{got.Fit, clean.Fit} {
		for i := range verdicts {
			verdicts[i].FromN, verdicts[i].ToN = 0, 0 // and so do these
		}
	}
	require.Equal(t, clean, got)
}
