package fit_test

import (
	"cmp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
)

// The charts that takes are drawn over: plain, with sections of all lengths, short
// loops, meters that change, no chord, chords that lie alike when moved.
var charts = []string{
	"| C6 | A7b9 | Dm7 | G7 | Em7 A7 | Dm7 G7alt | C6 | % |",
	"form: A A B A\n[A]\n| Bb6 G7b9 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Fm7 Bb7 | Ebmaj7 Ab7 | Dm7 G7 | Cm7 F7 |\n[B]\n| D7 | % | G7 | % | C7 | % | F7 | % |",
	"key: F blues\n| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | Am7b5 D7b9 | Gm7 | C7 | F7 D7b9 | Gm7 C7 |",
	"pickup: 1\n| Dm7 | G7 | Cmaj7 |",
	"| Dm7 |",
	"| Cdim7 | % | Ebdim7 | % |",
	"meter: 3/4\n| Gmaj7 | Em7 | {meter 4/4} Am7 D7 | % | {meter 6/8} G6 C6 | N.C. | {meter 5/4} Gm7 | C7sus4 | {meter 3/4} F+ | Bbm6 |",
	"meter: 2/4\n[Long]\n| C6 | % | F7 | % | C6 | Am7 | Dm7 | G7 | C6 | % | F7 | % | C6 | Am7 | D7#9 | G7 | C6 | N.C. | F6 | Fm6 | % |\n[Tag]\n| Em7 | A7 |",
}

func timelines(t testing.TB) (out []*changes.Timeline) {
	for _, text := range charts {
		out = append(out, unrolled(t, text))
	}
	return out
}

// runsOver draws a take: stretches of notes as dense and as long as they come.
func runsOver(line *changes.Timeline) *rapid.Generator[[]run] {
	return rapid.Custom(func(t *rapid.T) []run {
		var runs []run
		n, key := int64(0), 60
		for i := range rapid.IntRange(1, 3).Draw(t, "runs") {
			r := run{}
			if i > 0 || rapid.Bool().Draw(t, "from the middle") {
				r.from = rapid.Int64Range(0, 3*line.Length).Draw(t, "from")
			}
			if i > 0 && r.from == runs[i-1].to {
				r.from++ // to where the song is anyhow there is no jump
			}
			song := r.from
			if r.from == 0 {
				song -= rapid.Int64Range(0, 1000).Draw(t, "pick-up")
			}
			gap := rapid.SampledFrom([]int64{240, 480, 481, 960, 1900}).Draw(t, "gap")
			timed := rapid.Bool().Draw(t, "timed")
			for range rapid.IntRange(0, 120).Draw(t, "notes") {
				r.notes = append(r.notes, fit.Note{N: n, Song: song, Key: uint8(key), Timed: timed})
				song += rapid.SampledFrom([]int64{gap, gap, gap, gap, 0, 90, 480, 960, 1440, 3 * line.Length / 2}).Draw(t, "on")
				key = min(100, max(30, key+rapid.IntRange(-5, 5).Draw(t, "step")))
				n += rapid.Int64Range(1, 3).Draw(t, "N")
				if rapid.IntRange(0, 9).Draw(t, "end") == 0 {
					r.ends = append(r.ends, phraseEnd{after: len(r.notes) - 1, at: song - 1})
				}
			}
			r.to = max(r.from, song)
			runs = append(runs, r)
		}
		return runs
	})
}

// played feeds a take as the judge does, asking as often as it likes.
func played(t *rapid.T, line *changes.Timeline, runs []run) (out []fit.Verdict) {
	f := fit.New(line)
	at := int64(0)
	for _, r := range runs {
		out = append(out, f.Jump(at, r.from)...)
		ends := r.ends
		for i, n := range r.notes {
			if n.Song > 0 && rapid.Bool().Draw(t, "advance") {
				out = append(out, f.Advance(n.Song)...)
			}
			out = append(out, f.Note(n)...)
			if len(ends) > 0 && ends[0].after == i {
				if rapid.Bool().Draw(t, "before the end") {
					out = append(out, f.Advance(ends[0].at)...)
				}
				out = append(out, f.EndPhrase(ends[0].at)...)
				ends = ends[1:]
			}
			f.Now(n.Song)
		}
		at = r.to
	}
	return append(out, f.Finish(at)...)
}

func sorted(vs []fit.Verdict) []fit.Verdict {
	slices.SortFunc(vs, func(a, b fit.Verdict) int {
		return cmp.Or(int(a.Span)-int(b.Span), cmp.Compare(a.FromN, b.FromN))
	})
	return vs
}

// What hears a take once says what is found with the whole take in hand.
func TestAgreesWithTheWholeTakeInHand(t *testing.T) {
	lines := timelines(t)
	rapid.Check(t, func(t *rapid.T) {
		line := lines[rapid.IntRange(0, len(lines)-1).Draw(t, "chart")]
		runs := runsOver(line).Draw(t, "take")
		agree(t, reference(line, runs), played(t, line, runs))
	})
}

// agree checks that both say the same of each span, whatever the order.
func agree(t require.TestingT, want, got []fit.Verdict) {
	want, got = sorted(want), sorted(got)
	require.Len(t, got, len(want))
	for i := range want {
		require.InDelta(t, want[i].Score, got[i].Score, 1e-9)
		require.InDelta(t, want[i].Evidence, got[i].Evidence, 1e-9)
		want[i].Score, want[i].Evidence = got[i].Score, got[i].Evidence
		require.Equal(t, want[i], got[i])
	}
}
