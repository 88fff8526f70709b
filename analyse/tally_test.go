package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The counts of each bar and each chord are what a recount of the findings
// gives, whatever is played; and an unresolved note that was meant is in none.
func TestTallyIsARecount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, err := analyse.New(analyse.Setup{Timeline: twoChords()})
		require.NoError(t, err)
		events := anyEvents(t)
		end := events[len(events)-1].Tick
		notes := map[int64]analyse.Finding{}
		bars := map[int]analyse.BarCount{1: {Bar: 1}, 2: {Bar: 2}, 3: {Bar: 3}}
		var chords [3]int64 // C6, G6, C6 again
		var slips []analyse.Finding
		for _, f := range all(a, end, events...) {
			b := bars[f.Spot().Bar]
			switch f.Stage {
			case analyse.Heard:
				notes[f.N] = f
				if b.Notes++; f.Place == song.Outside {
					b.Outside++
				}
				if f.Spot().Bar > 0 && f.Chord == "G6" {
					chords[1]++
				} else if f.Spot().Bar > 0 {
					chords[0]++
				}
				bars[f.Spot().Bar] = b
			case analyse.Settled:
				if n := notes[f.N]; f.Fate == fate.Unresolved {
					n.Fold(&f)
					slips = append(slips, n)
					b := bars[n.Spot().Bar]
					b.Unresolved++
					bars[n.Spot().Bar] = b
				}
			}
		}
		s := a.Summary()
		require.Equal(t, []analyse.BarCount{bars[1], bars[2], bars[3]}, s.BarsDetail)
		require.Len(t, s.ChordsDetail, 3)
		require.Equal(t, chords[1], s.ChordsDetail[1].Notes)
		require.Equal(t, chords[0], s.ChordsDetail[0].Notes+s.ChordsDetail[2].Notes)
		for _, f := range slips {
			s.TakeMeant(f)
		}
		require.Equal(t, int64(len(slips)), s.Meant)
		require.Zero(t, s.Fate["unresolved"])
		for _, b := range s.BarsDetail {
			require.Zero(t, b.Unresolved)
		}
		for _, c := range s.ChordsDetail {
			require.Zero(t, c.Unresolved)
		}
		for _, c := range s.Centres {
			require.Zero(t, c.Unresolved)
		}
		for _, c := range s.ChorusesDetail {
			require.Zero(t, c.Unresolved)
		}
	})
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
	require.Equal(t, clean, got)
}
