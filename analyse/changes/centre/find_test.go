package centre_test

import (
	"fmt"
	"math/rand"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"shedlight/analyse/changes"
	"shedlight/analyse/changes/centre"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The progressions of testdata/centres with the centres that a player names.
// Source: common practice, as the data says.
func TestCentresOfGenericForms(t *testing.T) {
	all := loadProgressions(t)
	assert.GreaterOrEqual(t, len(all), 60)
	tonics := map[tone.Class]bool{}
	for _, p := range all {
		t.Run(p.name, func(t *testing.T) {
			require.NotEmpty(t, len(p.want)+len(p.below), p.where)
			got := p.find()
			for _, w := range p.want {
				tonics[w.Centre.Tonic.Class()] = true
				for _, c := range p.chords {
					if c.Start < w.Start || c.Start >= w.End {
						continue
					}
					if g := centreAt(t, got, c.Start); g != w.Centre {
						t.Fatalf("%s: bar %d: got %s, want %s\n%s", p.where, c.Bar, g, w.Centre, p.show(got))
					}
				}
			}
		})
	}
	assert.Len(t, tonics, 12, "the set is in all twelve keys")
}

// What lies under the centres: visits and tonics that move too fast.
func TestTheFinerLayerOfGenericForms(t *testing.T) {
	for _, p := range loadProgressions(t) {
		found := centre.Find(p.tune())
		for _, b := range p.below {
			name := fmt.Sprintf("%s: %s, bars %d-%d", p.where, p.name, b.from, b.to)
			switch b.what {
			case "passing":
				for i, c := range p.chords {
					if s := found.Senses[i]; c.Bar >= b.from && c.Bar <= b.to && c.Start%p.meter.Bar() == 0 {
						assert.True(t, s.Passes, "%s: bar %d passes nothing", name, c.Bar)
						assert.Equal(t, b.want, s.Passing.String(), name)
					}
				}
			case "moves":
				var moves []string
				for _, m := range found.Moves {
					var tonics []string
					for _, c := range m.Tonics {
						tonics = append(tonics, c.Tonic.String())
					}
					moves = append(moves, fmt.Sprintf("%d-%d %s", m.Start/p.meter.Bar()+1, (m.End-1)/p.meter.Bar()+1, strings.Join(tonics, ", ")))
				}
				assert.Contains(t, moves, fmt.Sprintf("%d-%d %s", b.from, b.to, b.want), name)
			}
		}
	}
}

// What is no move: a visit and back, visits to degrees of the key, and tonics
// that stay.
func TestWhatDoesNotMove(t *testing.T) {
	for _, bars := range [][]string{
		{"Cmaj7 Eb7", "Abmaj7 G7", "Cmaj7", "Dm7 G7"},
		{"Cmaj7 C7", "Fmaj7 E7", "Am7 A7", "Dm7 G7"},
		{"Cmaj7", "Cmaj7", "Cmaj7 Eb7", "Abmaj7", "Abmaj7", "Abmaj7 B7", "Emaj7", "Emaj7", "Emaj7 G7"},
	} {
		assert.Empty(t, centre.Find(tuneOf(t, bars...)).Moves, "%v", bars)
	}
}

// Sections of one name have the same centres where they have the same chords,
// though the chords around them say otherwise.
func TestLikeSectionsAreAlike(t *testing.T) {
	a := []string{"Cmaj7", "Dm7 G7", "Em7", "A7", "Dm7", "G7", "Cmaj7", "Fm7 Bb7"}
	b := []string{"Ebmaj7", "Cm7", "Fm7", "Bb7", "Ebmaj7", "Cm7", "Fm7", "Bb7"}
	tune := tuneOf(t, slices.Concat(a, a, b, a)...)
	bar := timebase.Common.Bar()
	for i, name := range []string{"A", "A", "B", "A"} {
		tune.Sections = append(tune.Sections, centre.Section{Name: name, Start: int64(8*i) * bar})
	}
	got := centre.Find(tune).Stretches
	for at := range 8 * bar {
		if at%timebase.Quarter == 0 {
			for _, section := range []int64{1, 3} {
				require.Equal(t, centreAt(t, got, at), centreAt(t, got, 8*section*bar+at), "tick %d of section %d", at, section)
			}
		}
	}
	assert.Equal(t, "C major", centreAt(t, got, 8*bar-1).String())
	assert.Equal(t, "Eb major", centreAt(t, got, 16*bar).String())
}

// The scale of the key view goes by the landing, and some chords take their own.
func TestTheScalesOfGenericForms(t *testing.T) {
	for _, p := range loadProgressions(t) {
		if !slices.ContainsFunc(p.below, func(b below) bool { return b.what == "scale" }) {
			continue
		}
		chart, err := changes.Parse(strings.NewReader(p.text))
		require.NoError(t, err, p.where)
		line, err := chart.Unroll()
		require.NoError(t, err, p.where)
		for _, b := range p.below {
			for _, s := range line.Slots {
				if b.what == "scale" && s.Bar >= b.from && s.Bar <= b.to {
					assert.Equal(t, b.want, s.Key.Short(), "%s: %s, bar %d", p.where, p.name, s.Bar)
				}
			}
		}
	}
}

// Stretches cover the form in order, without gaps, neighbours differ, and each
// boundary is a chord's.
func TestStretchesCoverTheForm(t *testing.T) {
	for _, p := range append(loadProgressions(t), randomProgressions(200)...) {
		boundary := map[int64]bool{p.length: true}
		for _, c := range p.chords {
			boundary[c.Start] = true
		}
		at := int64(0)
		got := p.find()
		for i, s := range got {
			require.Equal(t, at, s.Start, p.name)
			require.Less(t, s.Start, s.End, p.name)
			require.True(t, boundary[s.End], p.name)
			require.NotEmpty(t, s.Why, p.name)
			require.False(t, i > 0 && got[i-1].Centre == s.Centre, p.name)
			at = s.End
		}
		require.Equal(t, p.length, at, p.name)
	}
}

// Any chart moved by n semitones gives the same stretches moved by n.
func TestTransposingMovesTheStretches(t *testing.T) {
	for _, p := range append(loadProgressions(t), randomProgressions(200)...) {
		p.sections = nil // a bare loop
		want := p.find()
		for n := 1; n < 12; n++ {
			moved := p
			moved.chords = nil
			for _, c := range p.chords {
				c.Chord = transposed(c.Chord, n)
				moved.chords = append(moved.chords, c)
			}
			got := moved.find()
			require.Len(t, got, len(want), "%s moved by %d", p.name, n)
			for i, s := range got {
				require.Equal(t, want[i].End, s.End, "%s moved by %d", p.name, n)
				require.Equal(t, want[i].Centre.Mode, s.Centre.Mode, "%s moved by %d", p.name, n)
				require.Equal(t, tone.ClassOf(int(want[i].Centre.Tonic.Class())+n), s.Centre.Tonic.Class(), "%s moved by %d", p.name, n)
				require.Equal(t, want[i].Why, s.Why, "%s moved by %d", p.name, n)
			}
		}
	}
}

// A looped chart begun at another bar has its stretches begun there.
func TestRotatingRotatesTheStretches(t *testing.T) {
	for _, p := range append(loadProgressions(t), randomProgressions(200)...) {
		p.sections = nil // a bare loop
		want := p.find()
		for first, from := range p.chords {
			if from.Start%p.meter.Bar() != 0 {
				continue
			}
			turned := p
			turned.chords = nil
			for i := range p.chords {
				c := p.chords[(first+i)%len(p.chords)]
				long := c.End - c.Start
				c.Start = (c.Start - from.Start + p.length) % p.length
				c.End, c.Bar = c.Start+long, int(c.Start/p.meter.Bar())+1
				turned.chords = append(turned.chords, c)
			}
			got := turned.find()
			for _, c := range p.chords {
				w := centreAt(t, want, c.Start)
				g := centreAt(t, got, (c.Start-from.Start+p.length)%p.length)
				require.Equal(t, w, g, "%s begun at bar %d: chord of bar %d\n%s", p.name, from.Bar, c.Bar, turned.show(got))
			}
		}
	}
}

// Bars written one chord at a time or held over several, and meters and lengths
// of a bar, say the same thing.
func TestHeldChordsAndMetersDoNotMatter(t *testing.T) {
	for _, p := range loadProgressions(t) {
		p.sections = nil // a bare loop
		want := p.find()
		held, slow := p, p
		held.chords, slow.chords = nil, nil
		for _, c := range p.chords {
			if n := len(held.chords); n > 0 && held.chords[n-1].Chord == c.Chord {
				held.chords[n-1].End = c.End
			} else {
				held.chords = append(held.chords, c)
			}
			c.Start, c.End = 3*c.Start, 3*c.End
			slow.chords = append(slow.chords, c)
		}
		slow.length *= 3
		for i, s := range held.find() {
			require.Equal(t, want[i].End, s.End, p.name)
			require.Equal(t, want[i].Centre, s.Centre, p.name)
		}
		for i, s := range slow.find() {
			require.Equal(t, 3*want[i].End, s.End, p.name)
			require.Equal(t, want[i].Centre, s.Centre, p.name)
		}
	}
}

// The key of the header names the centres and does not choose them.
func TestKeyOnlySpells(t *testing.T) {
	keys := []string{"C", "Db", "C#", "F#", "Gb", "A", "Eb"}
	for _, p := range loadProgressions(t) {
		p.sections = nil // a bare loop
		want := p.find()
		for _, key := range keys {
			name, err := tone.ParseName(key)
			require.NoError(t, err)
			got := centre.Find(centre.Tune{Chords: p.chords, Length: p.length, Key: name, HasKey: true}).Stretches
			require.Len(t, got, len(want), p.name)
			for i, s := range got {
				require.Equal(t, want[i].End, s.End, p.name)
				require.Equal(t, want[i].Centre.Mode, s.Centre.Mode, p.name)
				require.Equal(t, want[i].Centre.Tonic.Class(), s.Centre.Tonic.Class(), p.name)
			}
		}
	}
	tune := tuneOf(t, "Abm7 Db7", "Gbmaj7", "Gbmaj7", "Gbmaj7")
	for key, want := range map[string]string{"F#": "F# major", "Gb": "Gb major", "D": "Gb major"} {
		name, err := tone.ParseName(key)
		require.NoError(t, err)
		tune.Key, tune.HasKey = name, true
		assert.Equal(t, want, centre.Find(tune).Stretches[0].Centre.String(), "key %s", key)
	}
}

// A centre is spelled as its tonic chord is written.
func TestCentresAreSpelledAsWritten(t *testing.T) {
	for _, written := range []string{"F#maj7", "Gbmaj7"} {
		tune := tuneOf(t, written, written)
		assert.Equal(t, written[:2]+" major", centre.Find(tune).Stretches[0].Centre.String())
	}
	tune := tuneOf(t, "Cbmaj7", "Cbmaj7")
	assert.Equal(t, "B major", centre.Find(tune).Stretches[0].Centre.String())
}

// The thresholds of the rules, each inside a song in C major. Source: common
// practice (the visit, the two-five-one that lands and stays, the four bars).
func TestVisitsAndStretches(t *testing.T) {
	home := []string{"Cmaj7", "Am7", "Dm7", "G7", "Cmaj7", "Cmaj7"}
	for _, c := range []struct {
		bars []string
		want string // the centre at the last of the bars
	}{
		{[]string{"Gm7 C7", "Fmaj7"}, "C major"},
		{[]string{"Em7b5 A7", "Dm7"}, "C major"},
		{[]string{"F#m7b5 B7", "Em7"}, "C major"},
		{[]string{"Bm7b5 E7", "Am7"}, "C major"},
		{[]string{"C7", "C7", "Fmaj7", "Fmaj7"}, "C major"},
		{[]string{"Gm7", "C7", "Fmaj7", "Fmaj7"}, "F major"},
		{[]string{"Gm7 C7", "Fmaj7", "Gm7 C7", "Fmaj7"}, "F major"},
		{[]string{"Bm7b5", "E7", "Am6", "Am6"}, "A minor"},
		{[]string{"C7", "Fmaj7", "Fmaj7", "Fmaj7", "Fmaj7"}, "F major"},
		{[]string{"Bbm7 Eb7", "Abmaj7", "Abmaj7"}, "Ab major"},
		{[]string{"Bbm7 Eb7", "Dm7 G7"}, "C major"},
		{[]string{"Abmaj7", "Abmaj7", "Abmaj7"}, "C major"},
		{[]string{"Abmaj7", "Abmaj7", "Abmaj7", "Abmaj7"}, "Ab major"},
		{[]string{"F#m7", "F#m7", "F#m7"}, "C major"},
		{[]string{"F#m7", "F#m7", "F#m7", "F#m7"}, "F# minor"},
		{[]string{"Dm7b5", "G7b9", "Cm6", "Cm6"}, "C minor"},
		{[]string{"Dm7b5", "G7b9", "Cmaj7", "Cmaj7"}, "C major"},
		{[]string{"Fm6", "Bb7", "Cmaj7"}, "C major"},
		{[]string{"Dm7", "Db7", "Cmaj7"}, "C major"},
		{[]string{"Ebdim7", "Ebdim7"}, "C major"},
		{[]string{"E7", "E7", "A7", "A7", "D7", "D7", "G7", "G7"}, "C major"},
	} {
		bars := append(append(append([]string(nil), home...), c.bars...), "Dm7", "G7")
		tune := tuneOf(t, bars...)
		at := int64(len(home)+len(c.bars))*timebase.Common.Bar() - 1
		got := centre.Find(tune).Stretches
		assert.Equal(t, c.want, centreAt(t, got, at).String(), "%v", c.bars)
		assert.Equal(t, "C major", got[0].Centre.String(), "%v", c.bars)
	}
}

// A diminished seventh on the leading tone is a dominant ninth without its root
// (W. Piston, Harmony, 1941; from memory), and a dominant a tritone away takes
// the place of V7 (M. Levine, The Jazz Theory Book, 1995; from memory). Neither
// changes the key.
func TestSubstitutesKeepTheCentre(t *testing.T) {
	for _, five := range []string{"G7", "G7b9", "Bdim7", "Db7", "G9sus4", "F/G", "G7#5"} {
		for tonic, want := range map[string]string{"Cmaj7": "C major", "C6": "C major", "Cm6": "C minor", "Cm7": "C minor"} {
			tune := tuneOf(t, tonic, tonic, five, five, tonic, tonic, five, five)
			got := centre.Find(tune).Stretches
			require.Len(t, got, 1, "%s %s", five, tonic)
			assert.Equal(t, want, got[0].Centre.String(), "%s %s", five, tonic)
		}
	}
}

// A stretch says in a player's words what it rests on.
func TestWhy(t *testing.T) {
	for _, c := range []struct {
		bars []string
		want string
	}{
		{[]string{"Dm7b5", "G7b9", "Cm6", "Cm6"}, "C minor: iiø-V7b9 in bars 1-2, tonic in bars 3-4"},
		{[]string{"Cmaj7", "Cmaj7", "Dm7", "G7"}, "C major: ii-V7 in bars 3-4, tonic in bars 1-2"},
		{[]string{"Fm7", "Bb7", "Cmaj7", "Cmaj7"}, "C major: iv-bVII7 in bars 1-2, tonic in bars 3-4"},
		{[]string{"Dm7", "Db7", "Cmaj7", "Cmaj7"}, "C major: ii-subV7 in bars 1-2, tonic in bars 3-4"},
		{[]string{"C7", "C7", "F7", "C7"}, "C blues: IV7 in bar 3, tonic in bars 1-2"},
		{[]string{"Dm7", "Dm7", "Dm7", "Dm7"}, "D minor: the tonic stays in bars 1-4"},
		{[]string{"N.C.", "N.C."}, "C major: no chords"},
	} {
		tune := tuneOf(t, c.bars...)
		got := centre.Find(tune).Stretches
		require.Len(t, got, 1, c.bars)
		assert.Equal(t, c.want, fmt.Sprintf("%s: %s", got[0].Centre, got[0].Why))
	}
	assert.Zero(t, centre.Find(centre.Tune{}))
}

// The search finds the cheapest path on the weights of real charts.
func TestSearchIsExactOnCharts(t *testing.T) {
	for _, p := range append(loadProgressions(t), randomProgressions(40)...) {
		found, plain := centre.SearchCosts(p.tune())
		require.Equal(t, plain, found, p.name)
	}
}

// A reason names only bars that sound in the stretch, or lead into it from the
// bar before.
func TestReasonsAreTrue(t *testing.T) {
	named := regexp.MustCompile(`bars? (\d+)(?:-(\d+))?`)
	for _, p := range append(loadProgressions(t), randomProgressions(400)...) {
		bar := p.meter.Bar()
		for _, s := range p.find() {
			for _, m := range named.FindAllStringSubmatch(s.Why, -1) {
				from, err := strconv.Atoi(m[1])
				require.NoError(t, err)
				to := from
				if m[2] != "" {
					to, err = strconv.Atoi(m[2])
					require.NoError(t, err)
				}
				first, last := int(s.Start/bar)+1, int((s.End-1)/bar)+1
				require.LessOrEqual(t, from, to, "%s: %s\n%s", p.name, s.Why, p.show(p.find()))
				require.LessOrEqual(t, to, last, "%s: %s\n%s", p.name, s.Why, p.show(p.find()))
				require.GreaterOrEqual(t, to, first-1, "%s: %s\n%s", p.name, s.Why, p.show(p.find()))
			}
		}
	}
}

// A loop is its own transposition where two dominants a tritone apart go round
// for ever: no answer could move with the key and stand still in the loop.
// Whatever it is, it must be the same each time.
func TestSymmetricLoopIsStable(t *testing.T) {
	tune := tuneOf(t, "C7", "Gb7")
	first := centre.Find(tune)
	for range 10 {
		assert.Equal(t, first, centre.Find(tune))
	}
}

func ExampleFind() {
	var chords []centre.Chord
	bar := timebase.Common.Bar()
	for i, text := range []string{"Cm7", "F7", "Bbmaj7", "Ebmaj7", "Am7b5", "D7b9", "Gm6", "Gm6"} {
		s, err := harmony.ParseSymbol(text)
		if err != nil {
			panic(err)
		}
		chords = append(chords, centre.Chord{Start: int64(i) * bar, End: int64(i+1) * bar, Bar: i + 1, Chord: s.Chord})
	}
	for _, s := range centre.Find(centre.Tune{Chords: chords, Length: 8 * bar}).Stretches {
		fmt.Printf("bars %d-%d: %s (%s)\n", s.Start/bar+1, s.End/bar, s.Centre, s.Why)
	}
	// Output:
	// bars 1-4: Bb major (ii-V7 in bars 1-2, tonic in bar 3)
	// bars 5-8: G minor (iiø-V7b9 in bars 5-6, tonic in bars 7-8)
}

// BenchmarkFind analyses a chart of sixty-four bars, a chord or two in
// each; the target is one millisecond.
func BenchmarkFind(b *testing.B) {
	p := randomProgressions(1)[0]
	for _, q := range loadProgressions(b) {
		if q.length/q.meter.Bar() == 64 {
			p = q
		}
	}
	for name, p := range map[string]progression{"song": p, "random": randomOfBars(rand.New(rand.NewSource(64)), 64)} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p.find()
			}
		})
	}
}
