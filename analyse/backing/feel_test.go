package backing_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/backing"
	"shedlight/analyse/timebase"
)

const sixteenBars = `title: Quay Side
meter: 4/4

| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 | G7 |
| Em7 | A7 | Dm7 | G7 | C6 | Dm7 | G7 | C6 |
`

// How many bass notes a bar has in each chorus, by the tempo (common practice: two,
// then four; all in four from 200 on).
func TestInTwoThenInFour(t *testing.T) {
	band := backing.New(tune(t, sixteenBars), 1)
	for _, c := range []struct{ tempo, first, second int64 }{{60, 2, 4}, {120, 2, 4}, {199, 2, 4}, {200, 4, 4}, {280, 4, 4}} {
		for n, want := range []int64{c.first, c.second} {
			assert.Len(t, of(band.Chorus(n, 60_000_000/c.tempo, false), backing.Bass), int(16*want), "chorus %d at %d", n+1, c.tempo)
		}
	}
}

// Off-beats lie by the swing that is common at a tempo, 2 to 1 at 80 and before, 1.8 at
// 120, 1.3 at 190, and nearly even from 200 on (common practice, from memory).
func TestSwing(t *testing.T) {
	band := backing.New(tune(t, sixteenBars), 1)
	for tempo, ratio := range map[int64]float64{100: 1.9, 120: 1.8, 155: 1.55, 190: 1.3, 240: 1.15} {
		found := 0
		for n := range 4 {
			for _, note := range of(band.Chorus(n, 60_000_000/tempo, true), backing.Piano) {
				if before := note.Tick % timebase.Quarter; before != 0 {
					found++
					assert.InDelta(t, ratio, float64(before)/float64(timebase.Quarter-before), 0.02, "at %d", tempo)
				}
			}
		}
		assert.Positive(t, found)
	}
}

// Slow chords are held until the next: two in a bar touch but for a breath.
func TestSlowChordsAreHeld(t *testing.T) {
	band := backing.New(tune(t, sixteenBars), 1)
	for _, note := range of(band.Chorus(0, 60_000_000/70, true), backing.Piano) {
		assert.Greater(t, note.Length, 3*int64(timebase.Quarter))
	}
}

// From there to 200 the piano strikes two or three short chords in two bars, most after
// the second and the fourth beat; from 200 on one in a bar or none (common practice).
func TestShortChords(t *testing.T) {
	for _, tempo := range []int64{90, 126, 190, 200, 300} {
		after, all, free := 0, 0, 0
		for seed := range uint64(20) {
			band := backing.New(tune(t, sixteenBars), seed)
			for n := range 2 {
				struck := make([]int, 16)
				notes := band.Chorus(n, 60_000_000/tempo, true)
				for hit := range chordsOf(notes) {
					struck[hit[0].Tick/bar]++
					all++
					if beat := hit[0].Tick % bar / timebase.Quarter; beat%2 == 1 && hit[0].Tick%timebase.Quarter > 0 {
						after++
					}
					assert.LessOrEqual(t, hit[0].Length, int64(timebase.Quarter/2), "short")
				}
				for i := 0; i < 16; i += 2 {
					if tempo >= 200 {
						assert.LessOrEqual(t, max(struck[i], struck[i+1]), 1, "at %d", tempo)
						if struck[i]+struck[i+1] == 0 {
							free++
						}
					} else if i%8 != 6 { // then it rests
						assert.Contains(t, []int{2, 3}, struck[i]+struck[i+1], "bars %d and %d at %d", i+1, i+2, tempo)
					}
				}
			}
		}
		t.Logf("at %d: %d of %d after the second and the fourth beat", tempo, after, all)
		assert.Greater(t, after, all*6/10, "at %d", tempo)
	}
}

const bar = 4 * timebase.Quarter

// A waltz goes in one, and leads on before every second bar; then it walks in three. In
// six eight each of the two is long and short: not a plain two (common practice).
func TestOtherMeters(t *testing.T) {
	for _, c := range []struct {
		meter       string
		first, then [2]int // strikes in two bars
	}{
		{"3/4", [2]int{1, 2}, [2]int{3, 3}},
		{"6/8", [2]int{2, 2}, [2]int{3, 4}},
		{"12/8", [2]int{3, 3}, [2]int{5, 6}},
		{"5/4", [2]int{2, 2}, [2]int{5, 5}},
		{"7/4", [2]int{3, 3}, [2]int{7, 7}},
		{"7/8", [2]int{1, 2}, [2]int{3, 3}}, // two, two and three, as a waltz
		{"2/2", [2]int{2, 2}, [2]int{4, 4}},
	} {
		line := tune(t, "meter: "+c.meter+"\n| C6 | A7 | Dm7 | G7 |")
		for n, want := range [][2]int{c.first, c.then} {
			var struck [4]int
			for _, note := range backing.New(line, 1).Chorus(n, 500_000, false) {
				struck[line.BarAt(note.Tick, 0)]++
			}
			assert.Equal(t, [4]int{want[0], want[1], want[0], want[1]}, struck, "%s, chorus %d", c.meter, n+1)
		}
	}
}

// A bossa is even: root on one, fifth on three and an eighth before, in every chorus and
// at every tempo (common practice).
func TestStraight(t *testing.T) {
	band := backing.New(tune(t, "style: bossa\n| C6 | C6 | Dm7 | G7 |"), 1)
	for n := range 3 {
		for _, tempo := range []int64{70, 132, 220} {
			var places []int64
			roots := 0
			for _, note := range band.Chorus(n, 60_000_000/tempo, true) {
				assert.Zero(t, note.Tick%(timebase.Quarter/2), "even eighths")
				if note.By == backing.Bass {
					places = append(places, note.Tick%bar*2/timebase.Quarter)
					if note.Tick%bar == 0 && note.Key%12 == []uint8{0, 0, 2, 7}[note.Tick/bar] {
						roots++
					}
				}
			}
			assert.Equal(t, []int64{0, 3, 4, 0, 3, 4, 0, 3, 4, 0, 3, 4}, places)
			assert.Equal(t, 4, roots)
		}
	}
}

// On one chord for eight bars the line does not go round in a loop, and its root is heard
// in every second bar.
func TestOneChordForLong(t *testing.T) {
	line := tune(t, "| Dm7 | % | % | % | % | % | % | % |\n| Ebm7 | % | % | % | % | % | % | % |")
	again, of := 0, 0
	for seed := range uint64(20) {
		var bars [16]string
		for _, note := range backing.New(line, seed).Chorus(1, 500_000, false) {
			i := note.Tick / bar
			if note.Tick%bar == 0 && i%2 == 0 {
				assert.Equal(t, []uint8{2, 3}[i/8], note.Key%12)
			}
			bars[i] += string(rune(note.Key))
		}
		for i := range bars {
			of++
			if slices.Contains(bars[:i], bars[i]) {
				again++
			}
		}
	}
	t.Logf("%d of %d bars come again", again, of)
	assert.Less(t, again, of/10)
}

// The same values give the same notes; another seed or another chorus gives others.
func TestSameSeedSameNotes(t *testing.T) {
	line := tune(t, sixteenBars)
	play := func(seed uint64, n int) []backing.Note { return backing.New(line, seed).Chorus(n, 500_000, true) }
	assert.Equal(t, play(1, 3), play(1, 3))
	assert.NotEqual(t, play(1, 3), play(1, 4))
	assert.NotEqual(t, play(1, 3), play(2, 3))
}

// The bass alone is what it is with the piano.
func TestBassDoesNotMindThePiano(t *testing.T) {
	band := backing.New(tune(t, sixteenBars), 1)
	assert.Equal(t, band.Chorus(1, 500_000, false), of(band.Chorus(1, 500_000, true), backing.Bass))
}

// A chorus of 64 bars, both players.
func BenchmarkChorus(b *testing.B) {
	text := sixteenBars
	for range 6 {
		text += "| C6 | A7 | Dm7 | G7 | C6 | Dm7 | G7 | C6 |\n"
	}
	band := backing.New(tune(b, text), 1)
	for n := range b.N {
		band.Chorus(n, 500_000, true)
	}
}
