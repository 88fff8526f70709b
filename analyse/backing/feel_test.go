package backing_test

import (
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
