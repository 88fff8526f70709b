package reviews

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/take"
)

// played is notes at random over the chart, among them more struck at one tick than
// are waited for.
func played(seed uint64, notes int) *take.Take {
	r := rand.New(rand.NewPCG(seed, 1))
	events := []analyse.Event{{Kind: analyse.Origin, Key: 1}}
	add := func(tick int64, key uint8) {
		events = append(events,
			analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: key, Velocity: 80},
			analyse.Event{Tick: tick, Kind: analyse.NoteOff, Key: key})
	}
	tick := int64(0)
	for i := range notes {
		tick += int64(r.IntN(timebase.Quarter))
		if r.IntN(20) == 0 {
			tick += 2 * timebase.Quarter
		}
		add(tick, uint8(50+r.IntN(36)))
		if i == notes/2 {
			for range 3 * analyse.FarBack {
				add(tick, uint8(50+r.IntN(36)))
			}
		}
	}
	return &take.Take{Events: slices.Values(events), End: tick + timebase.Quarter}
}

// What is told of a take that is judged again is what was found when it was judged at
// once and all of it kept.
func TestToldAgain(t *testing.T) {
	for seed := range uint64(20) {
		over, err := tunes.Of(settings.Tune{Chart: []string{"blues", "minor-blues"}[seed%2], Key: "F"}, settings.Hand{}, nil)
		require.NoError(t, err)
		if seed%5 == 4 {
			over = &tunes.Tune{} // in free time
		}
		played := played(seed, 1200)
		r, err := Judge("a.mid", played, over, true)
		require.NoError(t, err)

		a, err := analyse.New(over.Setup)
		require.NoError(t, err)
		var kept []analyse.Finding
		gather := func(news []analyse.Finding) {
			for i := range news {
				if f := &news[i]; f.Stage == analyse.Heard {
					kept = append(kept, *f)
				} else {
					kept[f.N].Fold(f)
				}
			}
		}
		for e := range played.Events {
			gather(a.Add(e))
		}
		gather(a.Finish(played.End))
		var told, slips []analyse.Finding
		for f := range r.Findings() {
			told = append(told, *f)
		}
		require.Equal(t, kept, told)
		var beside, alone []phrase.Phrase
		told = nil
		for f := range r.FindingsBeside(func(p *phrase.Phrase) { beside = append(beside, *p) }) {
			told = append(told, *f)
		}
		require.Equal(t, kept, told)
		for p := range r.Phrases() {
			alone = append(alone, *p)
		}
		require.Equal(t, alone, beside)
		for f := range r.slips {
			slips = append(slips, *f)
		}
		require.Len(t, slips, int(r.Slips()))

		over.Setup.Whole = false
		inMemory, err := Judge("a.mid", played, over, false)
		require.NoError(t, err)
		n, notes, unresolved := 0, int64(0), 0
		for f := range inMemory.slips {
			require.Equal(t, slips[n], *f)
			n++
		}
		require.Len(t, slips, n)
		number := int64(0)
		for p := range r.Phrases() {
			number++
			require.Equal(t, number, p.Number)
			notes += int64(p.Notes)
			unresolved += p.Slips()
			require.Zero(t, p.Open)
			require.Len(t, p.Figures, p.FigureCount)
		}
		require.Equal(t, r.Summary.Phrases.Phrases, number)
		require.Equal(t, r.Summary.Phrases.Notes, notes)
		for range r.Findings() {
			break // whoever has enough can stop
		}
		for range r.Phrases() {
			break
		}
	}
}

// What was meant is out of the counts of its phrase, however often they are told.
func TestMeantInPhrases(t *testing.T) {
	over, err := tunes.Of(settings.Tune{Chart: "blues", Key: "F"}, settings.Hand{}, nil)
	require.NoError(t, err)
	r, err := Judge("a.mid", played(3, 1200), over, true)
	require.NoError(t, err)
	slips := func() (n int) {
		for p := range r.Phrases() {
			n += p.Slips()
		}
		return n
	}
	before := slips()
	places, err := ParsePlaces([]string{"1", "2", "3"})
	require.NoError(t, err)
	r.markMeant(places)
	inLine := 0
	for _, f := range r.meant {
		if f.Role == analyse.Line {
			inLine++
		}
	}
	require.NotZero(t, inLine)
	require.Equal(t, before-inLine, slips())
	require.Equal(t, before-inLine, slips())
}
