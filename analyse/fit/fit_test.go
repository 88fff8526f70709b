package fit_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// unrolled reads a chart that has to hold together.
func unrolled(t testing.TB, text string) *changes.Timeline {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	return &line
}

// eighths reads a line of eighth notes; r is a rest, bar lines are for the eye.
func eighths(t testing.TB, text string) run {
	t.Helper()
	r := run{}
	for _, word := range strings.Fields(strings.ReplaceAll(text, "|", " ")) {
		if word != "r" {
			pitch, err := tone.ParsePitch(word)
			require.NoError(t, err)
			r.notes = append(r.notes, fit.Note{N: int64(len(r.notes)), Song: r.to, Key: uint8(pitch.Key()), Timed: true})
		}
		r.to += timebase.Quarter / 2
	}
	return r
}

// moved is a run at another place.
func moved(r run, ticks int64, semitones int) run {
	out := run{to: r.to + ticks}
	for _, n := range r.notes {
		n.Song, n.Key = n.Song+ticks, uint8(int(n.Key)+semitones)
		out.notes = append(out.notes, n)
	}
	return out
}

// only returns the one verdict on a kind of span.
func only(t testing.TB, vs []fit.Verdict, span fit.Span) fit.Verdict {
	t.Helper()
	var out []fit.Verdict
	for _, v := range vs {
		if v.Span == span {
			out = append(out, v)
		}
	}
	require.Len(t, out, 1, "%s", span)
	return out[0]
}

// Eight bars, and a line that spells each chord.
const (
	changes8 = "| Cmaj7 | Am7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7 | G7 |"
	line8    = `C4 E4 G4 B4 C5 B4 G4 E4 | A4 C5 E5 C5 A4 G4 E4 C4 | F4 Ab4 C5 Eb5 C5 Ab4 F4 Eb4 | D4 F4 Ab4 Bb4 D5 Bb4 Ab4 F4 |
		Eb4 G4 Bb4 D5 Bb4 G4 Eb4 D4 | C4 Eb4 G4 Ab4 C5 Ab4 G4 Eb4 | D4 F4 A4 C5 D5 C5 A4 F4 | G4 B4 D5 F5 D5 B4 G4 F4`
	bar = 4 * timebase.Quarter
)

func TestWhereALineFits(t *testing.T) {
	line := unrolled(t, changes8)
	asWritten := eighths(t, line8)
	v := only(t, tellAll(line, asWritten), fit.Section)
	assert.Equal(t, fit.Fits, v.Says)
	assert.Equal(t, fit.Chords, v.With)
	assert.Negative(t, v.Evidence, "no place is better")
	for _, test := range []struct {
		what      string
		ticks     int64
		semitones int
		move      fit.Move
	}{
		{"a half step high", 0, 1, fit.Move{Semitones: -1}},
		{"a half step low", 0, -1, fit.Move{Semitones: 1}},
		{"a whole step high", 0, 2, fit.Move{Semitones: -2}},
		{"a third low", 0, -4, fit.Move{Semitones: 4}},
		{"a tritone", 0, 6, fit.Move{Semitones: 6}},
		{"half a bar late", bar / 2, 0, fit.Move{Beats: -2}},
		{"a bar late", bar, 0, fit.Move{Beats: -4}},
		{"two bars late", 2 * bar, 0, fit.Move{Beats: -8}},
		{"half a bar early", 8*bar - bar/2, 0, fit.Move{Beats: 2}},
		{"a bar early", 7 * bar, 0, fit.Move{Beats: 4}},
		{"two bars early", 6 * bar, 0, fit.Move{Beats: 8}},
	} {
		take := only(t, tellAll(line, moved(asWritten, test.ticks, test.semitones)), fit.Take)
		assert.Equal(t, fit.Elsewhere, take.Says, test.what)
		assert.Equal(t, test.move, take.Elsewhere, test.what)
		assert.Empty(t, take.With)
	}
}

// The first bar of the first chorus, a bar late, is held against the last bar of
// the form: it wraps.
func TestTheFirstChorusWraps(t *testing.T) {
	line := unrolled(t, changes8)
	last := eighths(t, "G4 B4 D5 F5 G5 F5 D5 B4")
	v := only(t, tellAll(line, last), fit.Take)
	assert.Equal(t, fit.Move{Beats: -4}, v.Elsewhere)
}

// From one note to the next the evidence grows, and it is a claim from 2 on.
func TestTheClaim(t *testing.T) {
	line := unrolled(t, changes8)
	high := moved(eighths(t, line8), 0, 1)
	said := fit.Says(0)
	for n := 8; n <= len(high.notes); n++ {
		part := run{notes: high.notes[:n], to: high.notes[n-1].Song + 1}
		v := only(t, tellAll(line, part), fit.Take)
		if v.Says == fit.Elsewhere {
			assert.GreaterOrEqual(t, v.Evidence, 2.0)
		} else {
			assert.Less(t, v.Evidence, 2.0)
			assert.NotEqual(t, fit.Elsewhere, said, "claimed with fewer notes")
		}
		said = v.Says
	}
	assert.Equal(t, fit.Elsewhere, said)
}

// A line that walks in the scale of C over chords of other keys that lie in it
// goes with the key.
func TestWithTheKey(t *testing.T) {
	line := unrolled(t, "key: C\n| Dm7 | G7 | Cmaj7 | Fmaj7 | Dm7 | G7 | Cmaj7 | % |")
	scale := strings.Repeat("E4 A4 D4 G4 C5 F4 B4 C4 A4 F4 D5 B4 G4 E4 C5 A4 ", 4)
	v := only(t, tellAll(line, eighths(t, scale)), fit.Section)
	assert.Equal(t, fit.Fits, v.Says)
	assert.Equal(t, fit.Key, v.With)

	// One note in ten may lie outside, no more.
	for outside, with := range map[int]fit.With{6: fit.Key, 7: fit.Chords} {
		r := eighths(t, scale)
		for i := range outside {
			r.notes[4*i].Key = uint8(63) // E flat
		}
		v := only(t, tellAll(line, r), fit.Section)
		assert.Equal(t, with, v.With, "%d of %d outside: %+v", outside, len(r.notes), v)
	}
}

// All twelve tones in turn, in leaps, know of no chord: a take is told so, and a
// chorus of 32 bars, but not one of 31.
func TestNowhere(t *testing.T) {
	row := strings.Fields("C4 F4 Bb4 Eb4 Ab4 Db4 Gb4 B4 E4 A4 D4 G4")
	for bars, says := range map[int]fit.Says{31: fit.Fits, 32: fit.Nowhere} {
		text := strings.Repeat("| Cmaj7 | A7 | Dm7 | G7 ", 8)
		text = strings.Join(strings.Split(text, "|")[:bars+1], "|") + "|"
		var notes []string
		for i := range bars * 8 {
			notes = append(notes, row[i%len(row)])
		}
		vs := tellAll(unrolled(t, text), eighths(t, strings.Join(notes, " ")))
		chorus := only(t, vs, fit.Chorus)
		assert.Equal(t, says, chorus.Says, "%d bars: %+v", bars, chorus)
		assert.Equal(t, fit.Unsaid, chorus.With)
		assert.Equal(t, fit.Nowhere, only(t, vs, fit.Take).Says)
	}
}

func TestTooLittle(t *testing.T) {
	line := unrolled(t, changes8)
	long := eighths(t, line8)
	t.Run("eight notes at least", func(t *testing.T) {
		for n, too := range map[int]bool{7: true, 8: false} {
			v := only(t, tellAll(line, run{notes: long.notes[:n], to: bar}), fit.Take)
			assert.Equal(t, too, v.Says == fit.TooLittle, "%d notes", n)
		}
	})
	t.Run("three notes in five beats", func(t *testing.T) { // 32 beats: 19.2 notes
		for n, too := range map[int]bool{19: true, 20: false} {
			v := only(t, tellAll(line, run{notes: long.notes[:n], to: 8 * bar}), fit.Section)
			assert.Equal(t, too, v.Says == fit.TooLittle, "%d notes", n)
		}
	})
	t.Run("no other chord anywhere", func(t *testing.T) {
		symmetric := unrolled(t, "| N.C. | % | % | % | % | % | % | % |")
		for _, v := range tellAll(symmetric, long) {
			t.Errorf("over no chord nothing is said: %+v", v)
		}
	})
	t.Run("without a chart", func(t *testing.T) {
		r := long
		r.ends = []phraseEnd{{after: 15}, {after: 31}}
		vs := tellAll(nil, r)
		require.Len(t, vs, 4, "three phrases and the take")
		for _, v := range vs {
			assert.Equal(t, fit.TooLittle, v.Says)
			assert.Zero(t, v.Chorus+v.FromBar+v.ToBar)
		}
		assert.Equal(t, []int64{0, 16, 32, 0}, []int64{vs[0].FromN, vs[1].FromN, vs[2].FromN, vs[3].FromN})
		assert.Equal(t, []int64{16, 32, 64, 64}, []int64{vs[0].ToN, vs[1].ToN, vs[2].ToN, vs[3].ToN})
	})
}

// On equal evidence time comes before pitch, the smaller move before the larger,
// late before early.
func TestTies(t *testing.T) {
	for _, test := range []struct {
		what, chart, line string
		move              fit.Move
	}{
		{"a bar late is a half step low", "| C6 | Db6 | D6 | Eb6 | E6 | F6 | Gb6 | G6 | Ab6 | A6 | Bb6 | B6 |",
			"B3 Eb4 Gb4 Ab4 B4 Ab4 Gb4 Eb4 | C4 E4 G4 A4 C5 A4 G4 E4 | Db4 F4 Ab4 Bb4 Db5 Bb4 Ab4 F4", fit.Move{Beats: -4}},
		{"a bar late is a bar early", "| C6 | Gb6 |", "Gb4 Bb4 Db5 Eb5 Gb5 Eb5 Db5 Bb4 | C4 E4 G4 A4 C5 A4 G4 E4", fit.Move{Beats: -4}},
		{"one bar is two", "| C6 | Gb6 | Gb6 |", "Gb4 Bb4 Db5 Eb5 Gb5 Eb5 Db5 Bb4", fit.Move{Beats: -4}},
		{"a half step down is a whole step up over what repeats by minor thirds", "| Cdim7 |", "Db4 E4 E4 G4 G4 Bb4 Bb4 Db4", fit.Move{Semitones: -1}},
	} {
		v := only(t, tellAll(unrolled(t, test.chart), eighths(t, test.line)), fit.Take)
		assert.Equal(t, test.move, v.Elsewhere, test.what)
	}
}

// Lines a tritone away over dominants, and lines a fourth or a fifth away in less
// than a take, are vocabulary.
func TestVocabulary(t *testing.T) {
	dominants := "| F7 | % | Bb7 | % | F7 | % | Bb7 | % |"
	r := eighths(t, strings.Repeat("B3 Eb4 F#4 A4 B4 A4 F#4 Eb4 | B4 Eb4 F#4 A4 B4 A4 F#4 Eb4 | E4 G#4 B4 D5 E5 D5 B4 G#4 | E5 G#4 B4 D5 E5 D5 B4 G#4 |", 2))
	for _, v := range tellAll(unrolled(t, dominants), r) {
		assert.Equal(t, fit.Move{Semitones: 6}, v.Elsewhere)
		assert.Greater(t, v.Evidence, 2.0)
		assert.NotEqual(t, fit.Elsewhere, v.Says, "%s", v.Span)
	}
	mixed := strings.Replace(dominants, "F7", "F6", 1)
	assert.Equal(t, fit.Elsewhere, only(t, tellAll(unrolled(t, mixed), r), fit.Section).Says)

	for _, semitones := range []int{5, -5} {
		for _, v := range tellAll(unrolled(t, changes8), moved(eighths(t, line8), 0, semitones)) {
			assert.Equal(t, fit.Move{Semitones: -semitones}, v.Elsewhere)
			assert.Greater(t, v.Evidence, 2.0)
			assert.Equal(t, v.Span == fit.Take, v.Says == fit.Elsewhere, "%s", v.Span)
		}
	}
}

// A note a tenth of a beat before a section belongs to it, one tick earlier to
// the one before.
func TestEarlyNotes(t *testing.T) {
	line := unrolled(t, changes8+changes8[1:])
	const early = timebase.Quarter / 10
	for ticks, want := range map[int64][]int64{early: {8, 9}, early + 1: {9, 8}} {
		r := run{to: 9 * bar}
		for i := range int64(8) {
			r.notes = append(r.notes, fit.Note{N: i, Song: 7*bar + i*480, Key: 60})
		}
		r.notes = append(r.notes, fit.Note{N: 8, Song: 8*bar - ticks, Key: 60})
		for i := range int64(8) {
			r.notes = append(r.notes, fit.Note{N: 9 + i, Song: 8*bar + i*480, Key: 60})
		}
		var got []int64
		for _, v := range tellAll(line, r) {
			if v.Span == fit.Section {
				got = append(got, v.Notes)
			}
		}
		assert.Equal(t, want, got, "%d ticks before", ticks)
	}
}

// What is played before bar 1 lies over nothing; over N.C. too.
func TestOverNothing(t *testing.T) {
	line := unrolled(t, "pickup: 1\n| Cmaj7 | N.C. | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7 | G7 |")
	r := moved(eighths(t, "B3 | "+line8), -timebase.Quarter/2, 0)
	v := only(t, tellAll(line, r), fit.Take)
	assert.Equal(t, int64(1), v.FromN, "the pick-up is note 0")
	assert.Equal(t, int64(64-8), v.Notes)
}

// sectionBars lists where the sections of one played chorus or more begin and
// end, in bars.
func sectionBars(t testing.TB, text string, bars int) (out []string) {
	line := unrolled(t, text)
	r := run{to: int64(bars) * bar}
	for i := range int64(bars) * 4 {
		r.notes = append(r.notes, fit.Note{N: i, Song: i * timebase.Quarter, Key: uint8(60 + i%5), Timed: true})
	}
	for _, v := range tellAll(line, r) {
		if v.Span == fit.Section {
			out = append(out, fmt.Sprintf("%d.%d-%d.%d", v.Chorus, v.FromBar, v.ToChorus, v.ToBar))
		}
	}
	return out
}

func TestSections(t *testing.T) {
	plain := func(n int) string { return strings.Repeat("| C6 ", n) + "|\n" }
	for _, test := range []struct {
		what, chart string
		played      int
		want        []string
	}{
		{"eight", plain(8), 8, []string{"1.1-1.9"}},
		{"twelve are one", plain(12), 12, []string{"1.1-1.13"}},
		{"fifteen", plain(15), 15, []string{"1.1-1.16"}},
		{"sixteen without a name", plain(16), 16, []string{"1.1-1.9", "1.9-1.17"}},
		{"the rest joins the last", plain(20), 20, []string{"1.1-1.9", "1.9-1.21"}},
		{"sixteen with a name", "[A]\n" + plain(16), 16, []string{"1.1-1.17"}},
		{"seventeen with a name", "[A]\n" + plain(17), 17, []string{"1.1-1.9", "1.9-1.18"}},
		{"the chart's own", "form: A A B\n[A]\n" + plain(8) + "[B]\n" + plain(4), 20, []string{"1.1-1.9", "1.9-1.17", "1.17-1.21"}},
		{"three bars, three passes", plain(3), 15, []string{"1.1-3.4", "4.1-5.4"}},
		{"seven bars, two passes", plain(7), 14, []string{"1.1-2.8"}},
		{"one bar, eight passes", plain(1), 9, []string{"1.1-8.2", "9.1-9.2"}},
		{"stopped within", plain(16), 11, []string{"1.1-1.9", "1.9-1.12"}},
	} {
		assert.Equal(t, test.want, sectionBars(t, test.chart, test.played), test.what)
	}
}

// Bars that are looped keep their numbers, and wrap round the loop.
func TestLoop(t *testing.T) {
	line := unrolled(t, changes8)
	loop, err := line.Loop(5, 8)
	require.NoError(t, err)
	r := eighths(t, line8)
	half := run{notes: moved(run{notes: r.notes[32:]}, -4*bar, 0).notes}
	// Every pass a bar late, the first too: its last bar comes first.
	late := run{to: 8 * bar}
	for pass := range int64(2) {
		for _, n := range half.notes {
			n.Song = pass*loop.Length + (n.Song+bar)%loop.Length
			late.notes = append(late.notes, n)
		}
	}
	slices.SortFunc(late.notes, func(a, b fit.Note) int { return int(a.Song - b.Song) })
	for i := range late.notes {
		late.notes[i].N = int64(i)
	}
	v := only(t, tellAll(&loop, late), fit.Section)
	assert.Equal(t, []int{1, 5, 2, 9}, []int{v.Chorus, v.FromBar, v.ToChorus, v.ToBar})
	assert.Equal(t, fit.Elsewhere, v.Says)
	assert.Equal(t, fit.Move{Beats: -4}, v.Elsewhere)
}

// A chorus that is forgotten, open or over, leaves the take as it would be
// without it.
func TestForget(t *testing.T) {
	line := unrolled(t, changes8)
	good := eighths(t, line8)
	bad := moved(good, line.Length, 1)
	feed := func(f *fit.Fit, notes []fit.Note) {
		for _, n := range notes {
			f.Note(n)
		}
	}
	want := only(t, tellAll(line, good), fit.Take)
	t.Run("while it is open", func(t *testing.T) {
		f := fit.New(line)
		feed(f, good.notes)
		feed(f, bad.notes[:40])
		f.Forget(2)
		feed(f, bad.notes[40:])
		assert.Equal(t, want, only(t, f.Finish(bad.to), fit.Take))
	})
	t.Run("when it is over", func(t *testing.T) {
		f := fit.New(line)
		feed(f, good.notes)
		feed(f, bad.notes)
		f.Jump(bad.to, 2*line.Length)
		f.Forget(2)
		assert.Equal(t, want, only(t, f.Finish(2*line.Length), fit.Take))
	})
	t.Run("what follows a jump counts again", func(t *testing.T) {
		f := fit.New(line)
		feed(f, moved(good, 0, 1).notes[:40])
		f.Forget(1)
		f.Jump(5*bar, 0)
		feed(f, good.notes)
		assert.Equal(t, want, only(t, f.Finish(good.to), fit.Take))
	})
	t.Run("a pass that was joined", func(t *testing.T) {
		loop := unrolled(t, "| Cmaj7 | Am7 | Fm7 |")
		three := run{notes: good.notes[:24]}
		f := fit.New(loop)
		for pass := range int64(3) {
			feed(f, moved(three, pass*loop.Length, 0).notes)
			if pass == 2 {
				f.Forget(2)
			}
		}
		assert.Equal(t, int64(48), only(t, f.Finish(3*loop.Length), fit.Section).Notes)
	})
	t.Run("the open pass of joined ones", func(t *testing.T) {
		loop := unrolled(t, "| Cmaj7 | Am7 | Fm7 | Bb7 |")
		f := fit.New(loop)
		half := run{notes: good.notes[:32]}
		feed(f, half.notes)
		feed(f, moved(half, loop.Length, 1).notes)
		f.Forget(2)
		f.Jump(2*loop.Length, 2*loop.Length+loop.Length)
		feed(f, moved(half, 3*loop.Length, 0).notes)
		var sections []int64
		for _, v := range f.Finish(4 * loop.Length) {
			if v.Span == fit.Section {
				sections = append(sections, v.Notes)
			}
		}
		assert.Equal(t, []int64{32}, sections)
	})
}

// In a rest the last bars are asked about, from four bars up.
func TestNow(t *testing.T) {
	line := unrolled(t, changes8)
	good := eighths(t, line8)
	after := func(bars int, r run) (fit.Verdict, bool) {
		f := fit.New(line)
		for _, n := range good.notes {
			f.Note(n)
		}
		for i, n := range moved(r, line.Length, 0).notes {
			n.N = int64(len(good.notes) + i)
			if n.Song < line.Length+int64(bars)*bar {
				f.Note(n)
			}
		}
		song := line.Length + int64(bars)*bar - 1
		f.Advance(song)
		return f.Now(song)
	}
	high := moved(good, 0, 1)
	v, ok := after(4, high)
	require.True(t, ok)
	assert.Equal(t, fit.Move{Semitones: -1}, v.Elsewhere)
	assert.Equal(t, []int{2, 1, 2, 5}, []int{v.Chorus, v.FromBar, v.ToChorus, v.ToBar + 1}, "bars 1 to 4, up to the end of the fourth")
	assert.Equal(t, int64(64), v.FromN)

	late := run{notes: append(append([]fit.Note{}, good.notes[56:]...), good.notes[:56]...)}
	for i := range late.notes {
		late.notes[i].Song = int64(i) * bar / 8
	}
	v, ok = after(8, late)
	require.True(t, ok)
	assert.Equal(t, fit.Move{Beats: -4}, v.Elsewhere)

	_, ok = after(8, good)
	assert.False(t, ok, "as written")
	_, ok = after(8, moved(good, 0, 4))
	assert.False(t, ok, "a third is nothing to mend in the next bar")
	f := fit.New(line)
	for _, n := range high.notes[:24] {
		f.Note(n)
	}
	_, ok = f.Now(3*bar - 1)
	assert.False(t, ok, "three bars")
}

// The largest span that claims speaks for what lies in it, and a take in another
// key says by how much the chart has to move.
func TestSpeaking(t *testing.T) {
	line := unrolled(t, changes8)
	good := eighths(t, line8)
	vs := tellAll(line, moved(good, 0, 1))
	speaking := fit.Speaking(vs)
	require.Len(t, speaking, 1)
	assert.Equal(t, fit.Take, speaking[0].Span)
	move, ok := speaking[0].ChartMove()
	assert.True(t, ok)
	assert.Equal(t, 1, move)

	assert.Empty(t, fit.Speaking(tellAll(line, good)))
	for _, r := range []run{good, moved(good, bar, 0)} {
		take := only(t, tellAll(line, r), fit.Take)
		_, ok = take.ChartMove()
		assert.False(t, ok)
	}

	one := run{notes: append(append([]fit.Note{}, good.notes...), moved(good, line.Length, 1).notes...)}
	one.notes = append(one.notes, moved(good, 2*line.Length, 0).notes...)
	one.notes = append(one.notes, moved(good, 3*line.Length, 0).notes...)
	for i := range one.notes {
		one.notes[i].N = int64(i)
	}
	one.to = 4 * line.Length
	speaking = fit.Speaking(tellAll(line, one))
	require.Len(t, speaking, 1, "%+v", speaking)
	assert.Equal(t, fit.Chorus, speaking[0].Span)
	assert.Equal(t, 2, speaking[0].Chorus)
}
