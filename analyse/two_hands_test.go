package analyse_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// Two hands over a chart, parted at C#4: whatever the left one plays below that, the
// notes, the phrases, the runs and the arpeggios of the right one are what they are
// where it plays alone. Nothing here looks into the judge.

const (
	partedAt  = 61 // C#4: the voicings reach C4
	playedFor = 64 // bars
)

// aHand plays one hand at a tempo, given in microseconds a quarter.
type aHand func(r *rand.Rand, quarter int64) []analyse.Event

// ms is so many milliseconds in ticks.
func ms(quarter, milli int64) int64 { return milli * 1000 * timebase.Quarter / quarter }

// rightHand improvises down to the split: steps and leaps, outside notes, late and
// early ones, rests, octaves and a chord now and then.
func rightHand(r *rand.Rand, quarter int64) (events []analyse.Event) {
	key := 66
	for i := range int64(playedFor * 8) {
		at := i*eighth + int64(r.IntN(80)) + 40
		if i%19 > 14 {
			continue
		}
		key = min(max(key+[]int{1, -1, 2, -2, 2, -2, 3, -3, 4, -5}[r.IntN(10)], partedAt), 84)
		long := []int64{eighth - 60, eighth, eighth + ms(quarter, 20), eighth / 2}[r.IntN(4)]
		events = append(events, struck(0, key, at, long)...)
		switch r.IntN(40) {
		case 0:
			events = append(events, struck(0, key+12, at+4, long)...)
		case 1:
			events = append(events, struck(0, key+4, at+4, long)...)
			events = append(events, struck(0, key+9, at+8, long)...)
		}
	}
	return events
}

// voicings strikes a chord now and then, its keys spread over so many milliseconds.
func voicings(spread int64) aHand {
	return func(r *rand.Rand, quarter int64) (events []analyse.Event) {
		for bar := range int64(playedFor) {
			keys := [][]int{{46, 56}, {48, 52, 57, 60}, {50, 53, 57}, {43, 53, 57, 59}, {56, 60}}[r.IntN(5)]
			at := bar*8*eighth + int64(r.IntN(10))*eighth/2 + int64(r.IntN(100))
			for i, key := range keys {
				after := ms(quarter, spread*int64(i)/int64(len(keys)-1))
				events = append(events, struck(0, key, at+after, 5*eighth/2)...)
			}
		}
		return events
	}
}

// leaking plays single notes under the melody, nearer than an octave, at any time.
func leaking(r *rand.Rand, _ int64) (events []analyse.Event) {
	for at := int64(r.IntN(4000)); at < playedFor*8*eighth; at += 300 + int64(r.IntN(4000)) {
		events = append(events, struck(0, 52+r.IntN(9), at, 200+int64(r.IntN(2000)))...)
	}
	return events
}

// walking plays a bass in quarters that comes up to the split, an eighth skipped in
// now and then.
func walking(r *rand.Rand, quarter int64) (events []analyse.Event) {
	key := 45
	for beat := range int64(playedFor * 4) {
		key = min(max(key+r.IntN(9)-4, 36), partedAt-1)
		at, long := beat*timebase.Quarter+int64(r.IntN(30)), int64(timebase.Quarter)-ms(quarter, 15)
		if r.IntN(6) == 0 {
			long = 640 - ms(quarter, 15)
			events = append(events, struck(0, key-1, at+640, 300-ms(quarter, 15))...)
		}
		events = append(events, struck(0, key, at, long)...)
	}
	return events
}

// oneHand leaves out what a hand cannot strike: a key more than a major tenth from one
// that it holds (common practice).
func oneHand(hand []analyse.Event) (events []analyse.Event) {
	slices.SortStableFunc(hand, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	var down [128]bool
	for _, e := range hand {
		if e.Kind == analyse.NoteOff {
			if down[e.Key] {
				events = append(events, e)
			}
			down[e.Key] = false
			continue
		}
		lowest, highest := slices.Index(down[:], true), 0
		for key, held := range down {
			if held {
				highest = key
			}
		}
		if lowest < 0 || int(e.Key)-lowest <= 16 && highest-int(e.Key) <= 16 {
			events, down[e.Key] = append(events, e), true
		}
	}
	return events
}

// heardOf is what is said of one hand: each of its notes in the end, its phrases and
// figures. All is told by the hand's own numbers.
type heardOf struct {
	Notes   []string
	Phrases []string
	Figures [2]int64 // runs and arpeggios
}

func hearHand(t *testing.T, setup analyse.Setup, quarter int64, events []analyse.Event, own func(key uint8) bool) (of heardOf) {
	t.Helper()
	a, err := analyse.New(setup)
	require.NoError(t, err)
	events = slices.Clone(events)
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	events = append([]analyse.Event{{Kind: analyse.Tempo, Value: quarter}, {Kind: analyse.Origin, Key: 1}}, events...)

	number := map[int64]int64{-1: -1}
	told := map[int64]*analyse.Finding{}
	var order []int64
	look := func(found []analyse.Finding) {
		for _, f := range found {
			if f.Stage == analyse.Heard && own(f.Key) {
				number[f.N] = int64(len(order))
				order, told[f.N] = append(order, f.N), &f
			} else if told[f.N] != nil {
				told[f.N].Fold(&f)
			}
		}
		for a.PhrasesOver() > int64(len(of.Phrases)) {
			p, ok := a.Phrase(int64(len(of.Phrases)) + 1)
			require.True(t, ok)
			of.Phrases = append(of.Phrases, ofHand(t, p, number))
		}
	}
	for _, e := range events {
		look(a.Add(e))
	}
	look(a.Finish((playedFor + 4) * 8 * eighth))
	for _, n := range order {
		f := told[n]
		by, known := number[f.By]
		require.True(t, known || f.Stage == analyse.Heard, "explained by a note of the other hand")
		of.Notes = append(of.Notes, fmt.Sprint(number[n], " ", f.Tick, " ", f.Name, f.Place, f.Role, f.Fate, by, f.HeardScale, f.Colour, f.Against))
	}
	s := a.Summary()
	of.Figures = [2]int64{s.Figures.Run, s.Figures.Arpeggio}
	return of
}

// ofHand tells a phrase without the chords struck in it.
func ofHand(t *testing.T, p phrase.Phrase, number map[int64]int64) string {
	first, known := number[p.First]
	last, also := number[p.Last]
	require.True(t, known && also, "a note of the left hand begins or ends a phrase")
	text := fmt.Sprint(first, " to ", last, ": ", p.Notes, p.Outside, p.Start, p.End, p.Landing, p.Chords, p.Crossings)
	for _, f := range p.Figures {
		if f.Kind.String() == "chord" {
			continue
		}
		f.First, known = number[f.First]
		require.True(t, known, "a figure of the left hand")
		text += fmt.Sprintf("\n  %+v", f)
	}
	return text
}

func TestTheLeftHandChangesNothingOfTheRight(t *testing.T) {
	charts := chartsToJudge(t)
	for name, left := range map[string]aHand{
		"voicings": voicings(6), "rolled over 55 ms": voicings(55), "rolled over 90 ms": voicings(90),
		"rolled over 120 ms": voicings(120), "single notes": leaking, "a walking bass": walking,
		"all of it": func(r *rand.Rand, quarter int64) []analyse.Event {
			return oneHand(slices.Concat(voicings(80)(r, quarter), leaking(r, quarter), walking(r, quarter)))
		},
	} {
		for _, bpm := range []int64{50, 90, 140, 200, 300} {
			t.Run(fmt.Sprint(name, " at ", bpm), func(t *testing.T) {
				for seed, chart := range []string{"two chords", "blues", "Night Crossing", "Ropewalk", "six bars of one chord"} {
					quarter := 60_000_000 / bpm
					setup := analyse.Setup{Timeline: charts[chart], View: song.ChordView, Split: partedAt}
					require.NotNil(t, setup.Timeline, chart)
					line := rightHand(rand.New(rand.NewPCG(uint64(seed), 1)), quarter)
					under := left(rand.New(rand.NewPCG(uint64(seed), 2)), quarter)
					above := func(key uint8) bool { return key >= partedAt }
					alone := hearHand(t, setup, quarter, line, above)
					require.Greater(t, len(alone.Phrases), 10)
					require.Equal(t, alone, hearHand(t, setup, quarter, append(line, under...), above))
				}
			})
		}
	}
}

// leftRoles plays a left hand under a right one and counts what its notes are.
func leftRoles(t *testing.T, quarter int64, left aHand) (roles map[analyse.Role]int) {
	t.Helper()
	roles = map[analyse.Role]int{}
	a := analyser(t, analyse.Setup{Timeline: chartsToJudge(t)["two chords"], Split: partedAt})
	events := append(rightHand(rand.New(rand.NewPCG(3, 1)), quarter), left(rand.New(rand.NewPCG(3, 2)), quarter)...)
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	below := map[int64]bool{}
	for _, f := range all(a, 1<<20, append([]analyse.Event{{Kind: analyse.Tempo, Value: quarter}}, events...)...) {
		if f.Stage == analyse.Heard {
			below[f.N] = f.Key < partedAt
		} else if f.Stage == analyse.Sorted && below[f.N] {
			roles[f.Role]++
		}
	}
	return roles
}

// A voicing that is rolled is a chord, a bass that walks is none.
func TestWhatTheLeftHandPlays(t *testing.T) {
	for _, bpm := range []int64{50, 90, 140, 200, 300} {
		quarter := 60_000_000 / bpm
		for _, spread := range []int64{0, 20, 55, 90, 120} {
			roles := leftRoles(t, quarter, voicings(spread))
			require.Zero(t, roles[analyse.Line], "%d ms at %d", spread, bpm)
			require.Greater(t, roles[analyse.Struck], 100)
		}
		roles := leftRoles(t, quarter, walking)
		require.Zero(t, roles[analyse.Struck], bpm)
		require.Greater(t, roles[analyse.Line], 100)
	}
}

// Two hands allocate nothing once they have been heard: in free time, and in one chorus.
func TestTwoHandsAllocateNothing(t *testing.T) {
	quarter := int64(timebase.Nominal)
	r := rand.New(rand.NewPCG(5, 1))
	left := oneHand(slices.Concat(voicings(90)(r, quarter), leaking(r, quarter), walking(r, quarter)))
	events := append(rightHand(r, quarter), left...)
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return int(a.Tick - b.Tick) })
	centre, err := changes.ParseCentre("C major")
	require.NoError(t, err)
	for name, setup := range map[string]analyse.Setup{
		"free time": {Centre: &centre, Split: partedAt},
		"a chart":   {Timeline: aLongChart(t), View: song.ChordView, Split: partedAt},
	} {
		t.Run(name, func(t *testing.T) {
			a := analyser(t, setup)
			a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
			var base int64
			pass := func() {
				for _, e := range events {
					e.Tick += base
					a.Add(e)
				}
				base += (playedFor + 1) * 8 * eighth
			}
			pass()
			pass()
			require.Zero(t, testing.AllocsPerRun(1, pass))
		})
	}
}

// aLongChart is a chart whose first chorus does not end while it is measured.
func aLongChart(t *testing.T) *changes.Timeline {
	text := "| " + strings.Repeat("Cm7 | F7 | Bbmaj7 | G7b9 | ", 5*playedFor/4) + "\n"
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	timeline, err := chart.Unroll()
	require.NoError(t, err)
	return &timeline
}
