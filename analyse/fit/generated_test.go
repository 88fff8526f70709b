package fit_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// Tunes to improvise over: our own, of the kinds that are played most.
var tunes = []string{
	"title: Harbour Lights Out\nform: A A B A\n[A]\n| Bb6 G7b9 | Cm7 F7 | Dm7 G7b9 | Cm7 F7 | Fm7 Bb7 | Ebmaj7 Ab7 | Dm7 G7b9 | Cm7 F7 |\n[B]\n| Am7b5 | D7b9 | Gm6 | % | Gm7 | C7 | Cm7 | F7 |",
	"title: Sound Check\nkey: F blues\n| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | Am7b5 D7b9 | Gm7 | C7 | F7 D7b9 | Gm7 C7 |",
	"title: Long Pier\n[A]\n| Cmaj7 | % | Fm7 | Bb7 | Cmaj7 | % | Bm7b5 | E7b9 |\n[B]\n| Am6 | % | Dm7b5 | G7b9 | Em7 | A7b9 | Dm7 | G7 |\n[C]\n| Cmaj7 | % | Gm7 | C7 | Fmaj7 | Fm6 | Dm7 G7 | C6 |",
	"title: Night Boat\nmeter: 3/4\n| Cm6 | % | Dm7b5 | G7b9 | Cm6 | % | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7b5 | G7b9 | Cm6 | Am7b5 | Dm7b5 | G7b9 |",
}

// heard is a generated line as a take.
func heard(notes []linegen.Note, late int64) run {
	r := run{}
	for i, n := range notes {
		r.notes = append(r.notes, fit.Note{N: int64(i), Song: n.Tick + late, Key: n.Key, Timed: true})
		r.to = n.Tick + n.Length + late
		if i+1 < len(notes) && notes[i+1].Tick-n.Tick-n.Length >= timebase.Quarter {
			r.ends = append(r.ends, phraseEnd{after: i, at: r.to})
		}
	}
	return r
}

// walk is the same rhythm on keys that know of no chord.
func walk(notes []linegen.Note, seed uint64) []linegen.Note {
	random := rand.New(rand.NewPCG(seed, 1))
	out, key := slices.Clone(notes), 66
	for i := range out {
		key = min(84, max(52, key+[...]int{-4, -3, -2, -2, -1, -1, 1, 1, 2, 2, 3, 4}[random.IntN(12)]))
		out[i].Key = uint8(key)
	}
	return out
}

// tellAll plays a run without pauses to ask.
func tellAll(line *changes.Timeline, r run) (out []fit.Verdict) {
	f := fit.New(line)
	ends := r.ends
	for i, n := range r.notes {
		out = append(out, f.Note(n)...)
		if len(ends) > 0 && ends[0].after == i {
			out = append(out, f.EndPhrase(ends[0].at)...)
			ends = ends[1:]
		}
	}
	return append(out, f.Finish(r.to)...)
}

// found counts what was said of the spans of one kind.
type found struct{ spans, elsewhere, right, nowhere, chords, key int }

func (f *found) count(vs []fit.Verdict, span fit.Span, move fit.Move) {
	for _, v := range vs {
		if v.Span != span || v.Says == fit.TooLittle {
			continue
		}
		f.spans++
		switch {
		case v.Says == fit.Elsewhere:
			f.elsewhere++
			if v.Elsewhere == move {
				f.right++
			}
		case v.Says == fit.Nowhere:
			f.nowhere++
		case v.With == fit.Chords:
			f.chords++
		case v.With == fit.Key:
			f.key++
		}
	}
}

// Whoever plays what is taught is never told to be elsewhere, in a thousand
// choruses; whoever plays the same in the wrong place mostly is. The shares are
// printed with -v.
func TestGeneratedLines(t *testing.T) {
	const seeds, choruses = 63, 4 // times the tunes and half as many views: 1,008 choruses
	kinds := []string{"as written", "a half step high", "a whole step high", "a bar late", "half a bar late", "a random walk"}
	spans := []fit.Span{fit.Phrase, fit.Section, fit.Chorus, fit.Take}
	total := map[string]map[fit.Span]*found{}
	for _, kind := range kinds {
		total[kind] = map[fit.Span]*found{}
		for _, span := range spans {
			total[kind][span] = &found{}
		}
	}
	played := 0
	for _, text := range tunes {
		line := unrolled(t, text)
		beats := int(line.Bars[0].Meter.Beats())
		for seed := range uint64(seeds) {
			played += choruses
			notes := linegen.Line(line, song.View(seed%2), seed, choruses)
			takes := map[string]run{
				"as written": heard(notes, 0), "a half step high": heard(linegen.Shift(notes, 1), 0),
				"a whole step high": heard(linegen.Shift(notes, 2), 0), "a bar late": heard(notes, line.Bars[0].Meter.Bar()),
				"a random walk": heard(walk(notes, seed), 0),
			}
			moves := map[string]fit.Move{"a half step high": {Semitones: -1}, "a whole step high": {Semitones: -2}, "a bar late": {Beats: -beats}}
			if beats%2 == 0 {
				takes["half a bar late"], moves["half a bar late"] = heard(notes, line.Bars[0].Meter.Bar()/2), fit.Move{Beats: -beats / 2}
			}
			for kind, take := range takes {
				vs := tellAll(line, take)
				for span, f := range total[kind] {
					f.count(vs, span, moves[kind])
				}
			}
		}
	}
	for _, kind := range kinds {
		for _, span := range spans {
			f := total[kind][span]
			share := func(n int) float64 { return 100 * float64(n) / float64(max(1, f.spans)) }
			t.Logf("%-17s %-7s %5d: elsewhere %5.1f %%, rightly %5.1f; nowhere %5.1f; fits chords %5.1f, key %5.1f",
				kind, span, f.spans, share(f.elsewhere), share(f.right), share(f.nowhere), share(f.chords), share(f.key))
		}
	}
	require.GreaterOrEqual(t, played, 1000)
	for _, span := range spans {
		f := total["as written"][span]
		assert.Zero(t, f.elsewhere+f.nowhere, "%s told wrongly", span)
	}
}

// On lines that are worth telling something about, too, what hears a take once
// says what is found with the whole take in hand.
func TestAgreesOnGeneratedLines(t *testing.T) {
	for i, text := range append(slices.Clone(tunes), charts...) {
		line := unrolled(t, text)
		notes := linegen.Line(line, song.View(i%2), uint64(i), 2)
		bar := line.Bars[0].Meter.Bar()
		for _, take := range []run{
			heard(notes, 0), heard(linegen.Shift(notes, 1), 0), heard(linegen.Shift(notes, 6), 0), heard(linegen.Shift(notes, -5), 0),
			heard(notes, bar), heard(notes, 2*bar), heard(notes, bar/2), heard(walk(notes, 1), 0),
		} {
			agree(t, reference(line, []run{take}), tellAll(line, take))
		}
	}
}
