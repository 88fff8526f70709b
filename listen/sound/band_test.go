package sound

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/changes"
	"shedlight/listen/beat"
)

// gig is a band that is heard at a MIDI output while somebody plays: the beat clock, the
// conductor, and what sends the notes.
type gig struct {
	t         *testing.T
	band      *backing.Band
	clock     *beat.Clock
	conductor *Conductor
	score     score
	now       time.Duration
	heard     []*heardOf
}

// heardOf is a note as it was heard.
type heardOf struct {
	channel, key byte
	on, off      time.Duration // off is 0 while it is held
}

// newGig lets a band play a chart with a click, at so many beats a minute, counted in by
// a bar.
func newGig(t *testing.T, text string, tempo, choruses int64) *gig {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	form := beat.Chorus(&line)
	g := &gig{t: t, band: backing.New(&line, 3)}
	g.clock, err = beat.New(beat.Setup{Form: &form, Quarter: 60_000_000 / tempo, CountIn: 1, Ahead: time.Second / 4})
	require.NoError(t, err)
	g.conductor = NewConductor(Backing(g.band, true, choruses), Until(choruses, Beats.Part(noGaps)))
	g.score = score{on: channelsOf(Options{}), level: MaxLevel}
	return g
}

// pass plays until a time, in steps of 10 ms. The conductor is asked as often as in a
// session.
func (g *gig) pass(until time.Duration) {
	for ; g.now < until; g.now += 10 * time.Millisecond {
		g.clock.Pass(g.now)
		if g.now%Every == 0 {
			for _, c := range g.conductor.Tend(g.now, g.clock.Line()) {
				g.score.obey(c, g.send)
			}
		}
		g.score.play(g.now, g.send)
	}
}

func (g *gig) send(b ...byte) {
	channel, key := b[0]&15, b[1]
	switch b[0] &^ 15 {
	case noteOn:
		g.heard = append(g.heard, &heardOf{channel: channel, key: key, on: g.now})
	case noteOff:
		for _, h := range g.heard {
			if h.channel == channel && h.key == key && h.off == 0 {
				h.off = g.now
			}
		}
	}
}

// music is what is heard but for the click.
func (g *gig) music() []*heardOf {
	return slices.DeleteFunc(slices.Clone(g.heard), func(h *heardOf) bool { return h.channel == drumChannel })
}

const (
	turnaround = "title: Ferry Bell\nkey: C\n\n| C6 | Am7 | Dm7 | G7 |\n"
	atHome     = "title: Ferry Bell\nkey: C\n\n| Dm7 | G7 | C6 | C6 |\n"
	second     = time.Second
)

// With the last chorus the tune is over: at 120 two choruses of four bars end 18.25 s
// after the start: a quarter of a second and a bar of count-in come before. A chart that ends
// at home holds its last chord until then; after a turnaround the tonic comes then and is
// held for a bar. No click and no other note begins, and none hangs.
func TestTheBandEndsTheTune(t *testing.T) {
	const end = 2*second + second/4 + 16*second
	for chart, want := range map[string]struct{ on, off time.Duration }{
		turnaround: {end, end + 2*second},
		atHome:     {end - 2*second, end},
	} {
		g := newGig(t, chart, 120, 2)
		g.pass(40 * second)
		last := 0
		for _, h := range g.heard {
			require.NotZero(t, h.off, "it hangs")
			if h.channel == drumChannel {
				assert.Less(t, h.on, end-50*time.Millisecond, "%s: no click beyond the last bar", chart)
				continue
			}
			assert.LessOrEqual(t, h.on, want.on+20*time.Millisecond, "%s: nothing is struck later", chart)
			assert.LessOrEqual(t, h.off, want.off, chart)
			if h.on >= want.on {
				last++
				assert.Greater(t, h.off-h.on, 1900*time.Millisecond, "%s: held", chart)
			}
		}
		assert.Contains(t, []int{3, 4}, last, "%s: bass and piano strike the last chord", chart)
	}
}

// Whatever is asked for, the band is there at once: what sounded before is let go, and
// no note of the old place begins, later than what is on its way out takes; from then on
// each note is one that the band plays at the new place, and none hangs.
func TestTheBandAnswersAtOnce(t *testing.T) {
	const onItsWay = usualBuffer + transit + Every + 20*time.Millisecond
	for _, action := range []beat.Action{beat.Again, beat.BarOn, beat.BarBack, beat.Stop} {
		for _, tempo := range []int64{60, 132, 240} {
			for at := 11 * second; at < 12*second; at += 130 * time.Millisecond {
				what := fmt.Sprintf("action %d at %v, %d", action, at, tempo)
				g := newGig(t, turnaround, tempo, 0)
				g.pass(at)
				g.clock.Do(action, g.now)
				asked := g.now
				g.pass(at + 3*second)
				line := g.clock.Line()
				notes, asNew := 0, 0
				for _, h := range g.music() {
					if h.on <= asked+onItsWay {
						require.NotZero(t, h.off, "%s: it hangs", what)
					}
					if h.on <= asked {
						require.LessOrEqual(t, h.off, asked+onItsWay, "%s: let go", what)
						continue
					}
					if h.on <= asked+onItsWay {
						continue // on its way out, or of the new place
					}
					notes++
					if g.plays(line, h) {
						asNew++
					}
				}
				require.Equal(t, notes, asNew, "%s: notes that the band plays at the new place", what)
				if action == beat.Stop {
					require.Zero(t, notes, what)
				} else if action != beat.Again { // that is counted in
					require.Positive(t, notes, what)
				}
			}
		}
	}
}

// plays reports whether the band strikes a note there, by its chorus from the top.
func (g *gig) plays(line *beat.Line, h *heardOf) bool {
	song, state := line.Song(line.Tick(h.on))
	if state != beat.Running || song < 0 {
		return false
	}
	form := line.Form()
	chorus := (song - line.Top(line.Tick(h.on))) / form.Length
	var quarter int64
	line.Stretches(line.Tick(h.on), line.Tick(h.on)+1, func(s beat.Stretch) { quarter = s.Quarter })
	near := 15_000 * 960 / quarter // the step of this test
	for _, n := range g.band.Chorus(int(chorus), quarter, true) {
		if late := song%form.Length - n.Tick; n.Key == h.key && late >= -near && late <= near {
			return true
		}
	}
	return false
}

// A chorus that is forgotten goes on sounding.
func TestForgettingIsNotHeard(t *testing.T) {
	heard := func(forget bool) (out []heardOf) {
		g := newGig(t, turnaround, 132, 0)
		g.pass(11 * second)
		if forget {
			g.clock.Do(beat.Forget, g.now)
		}
		g.pass(14 * second)
		for _, h := range g.heard {
			out = append(out, *h)
		}
		return out
	}
	assert.Equal(t, heard(false), heard(true))
}

// Where only the tempo is another, what is held is held on, and ends with its bar: at 60
// the piano holds each chord for a bar of four seconds, and four times a step of two
// beats a minute makes it shorter.
func TestAnotherTempoCutsNoChord(t *testing.T) {
	g := newGig(t, turnaround, 60, 0)
	const countIn, bar = 4*second + second/4, 4 * second
	g.pass(countIn + bar + second)
	for range 4 {
		g.clock.Do(beat.Faster, g.now)
		g.pass(g.now + 300*time.Millisecond)
	}
	g.pass(countIn + 3*bar)
	chords := 0
	for _, h := range g.music() {
		if h.channel == pianoChannel && h.on > countIn+bar/2 && h.on < countIn+bar+bar/2 {
			chords++
			assert.Greater(t, h.off-h.on, 3500*time.Millisecond)
			assert.Less(t, h.off-h.on, 3900*time.Millisecond)
		}
	}
	assert.Contains(t, []int{2, 3}, chords)
}

// A clock that is followed makes another tempo of each few of its pulses, late here by a
// half-normal 2 ms at 66: its chords sound for a bar of 3.6 s all the same.
func TestAFollowedClockCutsNoChord(t *testing.T) {
	g := newGig(t, turnaround, 66, 0)
	form := *g.clock.Line().Form()
	var err error
	g.clock, err = beat.New(beat.Setup{Form: &form, Quarter: 60_000_000 / 66, Follow: true})
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, 2))
	g.clock.Start(0)
	for n := range 24 * 4 * 8 {
		pulse := second/10 + time.Duration(n)*60*second/66/24
		g.pass(pulse.Truncate(10 * time.Millisecond))
		late := math.Abs(random.NormFloat64()) * 2
		g.clock.Pulse(pulse + time.Duration(late*float64(time.Millisecond)))
	}
	chords := 0
	for _, h := range g.music() {
		if h.channel == pianoChannel && h.on > 10*second && h.off > 0 {
			chords++
			assert.Greater(t, h.off-h.on, 3400*time.Millisecond)
		}
	}
	assert.Greater(t, chords, 6)
}
