package sound

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// struckAt is a note of a part, at its tick.
type struckAt struct {
	tick int64
	note Note
}

// trio is a band, the form of its chorus of four bars, and its part.
func trio(t *testing.T) (*backing.Band, *beat.Form, Part) {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader("title: Ferry Bell\n\n| C6 | Am7 | Dm7 | G7 |\n"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	form := beat.Chorus(&line)
	band := backing.New(&line, 1)
	return band, &form, Backing(band, true, 0)
}

func strikes(part Part, form *beat.Form, stretches ...beat.Stretch) (out []struckAt) {
	for _, s := range stretches {
		part(form, s, func(tick int64, n Note) { out = append(out, struckAt{tick, n}) })
	}
	return out
}

// However a stretch is cut, the band plays the same, each note once, in the count-in
// none; and choruses count from the top.
func TestBackingPlaysEachNoteOnce(t *testing.T) {
	band, form, part := trio(t)
	const quarter, choruses = 500_000, 3
	countIn := int64(2 * 4 * timebase.Quarter)
	whole := beat.Stretch{To: countIn + choruses*form.Length, Song: -countIn, Quarter: quarter, State: beat.Running}

	var want []struckAt
	for n := range choruses {
		for _, note := range band.Chorus(n, quarter, true) {
			voice := Bass
			if note.By == backing.Piano {
				voice = Piano
			}
			want = append(want, struckAt{countIn + int64(n)*form.Length + note.Tick, Note{Voice: voice, Key: note.Key, Velocity: note.Velocity, Ticks: note.Length}})
		}
	}
	assert.Equal(t, want, strikes(part, form, whole))

	for _, size := range []int64{1, 37, 960, 5000} {
		var cut []beat.Stretch
		for from := whole.From; from < whole.To; from += size {
			s := whole
			s.From, s.To, s.Song = from, min(whole.To, from+size), whole.Song+from
			cut = append(cut, s)
		}
		assert.Equal(t, want, strikes(part, form, cut...), "cut every %d ticks", size)
	}
}

// While the tempo wavers around one at which the feel is another, here 200 a minute, the
// chorus goes on as it began: a first one in two. A tempo that is another is played.
func TestTheBandKeepsItsFeel(t *testing.T) {
	band, form, part := trio(t)
	const slower, faster, fast = 301_000, 298_000, 250_000 // in two; walking
	require.NotEqual(t, len(band.Chorus(0, slower, false)), len(band.Chorus(0, faster, false)))
	played := func(quarters ...int64) (got []struckAt) {
		size := form.Length / int64(len(quarters))
		var cut []beat.Stretch
		for i, quarter := range quarters {
			from := int64(i) * size
			cut = append(cut, beat.Stretch{From: from, To: from + size, Song: from, Quarter: quarter, State: beat.Running})
		}
		return strikes(part, form, cut...)
	}
	inTwo := played(slower)
	assert.Equal(t, inTwo, played(slower, faster, slower, faster))
	assert.Len(t, inTwo, len(band.Chorus(0, slower, true)))
	assert.NotEqual(t, inTwo, played(slower, fast))
}

// Counted off again, the band begins with a first chorus: in two.
func TestBackingBeginsAgain(t *testing.T) {
	_, form, part := trio(t)
	bass := func(s beat.Stretch) int {
		s.Quarter, s.State = 500_000, beat.Running
		played := strikes(part, form, s)
		return len(slices.DeleteFunc(played, func(s struckAt) bool { return s.note.Voice != Bass }))
	}
	five := 5 * form.Length
	assert.Equal(t, 8, bass(beat.Stretch{To: form.Length}))
	assert.Equal(t, 16, bass(beat.Stretch{To: form.Length, Song: form.Length}))
	assert.Equal(t, 8, bass(beat.Stretch{To: form.Length, Song: five, Top: five}))
	assert.Equal(t, 16, bass(beat.Stretch{To: form.Length, Song: five}))
}

// The band is silent where the song stands.
func TestBackingWaits(t *testing.T) {
	_, form, part := trio(t)
	for _, state := range []beat.State{beat.Free, beat.Waiting, beat.Halted} {
		assert.Empty(t, strikes(part, form, beat.Stretch{To: form.Length, Quarter: 500_000, State: state}))
	}
}

// What a clock says of its line reaches the band: the top and the tempo.
func TestStretchesSayTopAndTempo(t *testing.T) {
	_, form, _ := trio(t)
	clock, err := beat.New(beat.Setup{Form: form, Quarter: 400_000, CountIn: 1})
	require.NoError(t, err)
	clock.Pass(3_000_000_000)
	line := clock.Line()
	line.Stretches(0, 100, func(s beat.Stretch) {
		assert.EqualValues(t, 400_000, s.Quarter)
		assert.Equal(t, line.Top(s.From), s.Top)
	})
}
