package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/fit"
	"shedlight/cmd/shedlight/internal/settings"
)

// fitChoruses is how many choruses of the 56 bars of Two Bridges these takes have; the
// second bridge are its bars 33 to 40.
const fitChoruses = 3

// delayed is a line so many ticks later.
func delayed(notes []linegen.Note, ticks int64) []linegen.Note {
	out := slices.Clone(notes)
	for i := range out {
		out[i].Tick += ticks
	}
	return out
}

// shiftedIn is a line by so many semitones higher between two song ticks of each
// chorus.
func shiftedIn(notes []linegen.Note, length, from, to int64, semitones int) []linegen.Note {
	out := slices.Clone(notes)
	for i := range out {
		if at := out[i].Tick % length; from <= at && at < to {
			out[i] = linegen.Shift(out[i:i+1], semitones)[0]
		}
	}
	return out
}

// fitOf is what the review of a take says of where its line goes, read back.
type fitOf struct {
	t      testing.TB
	path   string
	page   string
	object reviewObject
}

func newFitOf(t testing.TB, b *band, notes []linegen.Note) *fitOf {
	f := &fitOf{t: t, path: b.record(linegen.Events(notes))}
	out, _, err := reviewCall(t, &reviewCommand{Files: []string{f.path}, JSON: true})
	require.NoError(t, err)
	f.object, f.page = readObject(t, out), page(t, f.path)
	return f
}

// claims are the verdicts on spans of a kind that say something against the line.
func (f *fitOf) claims(span fit.Span) (out []reviewedFit) {
	for _, v := range f.object.Fit {
		if v.Span == span.String() && (v.Says == fit.Elsewhere.String() || v.Says == fit.Nowhere.String()) {
			out = append(out, v)
		}
	}
	return out
}

// told returns the first words of the rows of a table that hold a text.
func (f *fitOf) told(by, text string) (rows []string) {
	f.t.Helper()
	out, _, err := reviewCall(f.t, &reviewCommand{Files: []string{f.path}, By: by})
	require.NoError(f.t, err)
	out = regexp.MustCompile(`\n +`).ReplaceAllString(out, " ") // a row may go on below
	for row := range strings.Lines(out) {
		if strings.Contains(row, text) {
			rows = append(rows, strings.TrimSuffix(strings.Fields(row)[0], ":"))
		}
	}
	return rows
}

// agree holds the tables to what the object claims: they say it of the choruses, the
// bars, the chords and the phrases that lie in it, and of no others.
func (f *fitOf) agree(text string) (bars, phrases []string) {
	f.t.Helper()
	var choruses, chords []string
	for _, v := range f.claims(fit.Chorus) {
		choruses = append(choruses, fmt.Sprint(v.Chorus))
	}
	inClaim := func(from, to int) bool {
		return slices.ContainsFunc(f.claims(fit.Section), func(v reviewedFit) bool { return v.FromBar <= from && to < v.ToBar })
	}
	for _, b := range f.object.BarsDetail {
		if b.Notes > 0 && inClaim(b.Bar, b.Bar) {
			bars = append(bars, fmt.Sprint(b.Bar))
		}
	}
	for _, c := range f.object.ChordsDetail {
		if c.Notes > 0 && inClaim(c.Bar, c.ToBar) && !slices.Contains(chords, c.Symbol) {
			chords = append(chords, c.Symbol)
		}
	}
	for _, p := range f.object.Phrases {
		if slices.ContainsFunc(f.claims(fit.Phrase), func(v reviewedFit) bool { return v.FromN == p.First }) {
			phrases = append(phrases, fmt.Sprint(p.Number))
		}
	}
	require.Equal(f.t, choruses, f.told("chorus", text))
	require.Equal(f.t, bars, f.told("bar", text))
	require.ElementsMatch(f.t, chords, f.told("chord", text))
	require.Equal(f.t, phrases, f.told("phrase", text))
	return bars, phrases
}

func numbers(from, to int) (texts []string) {
	for n := from; n <= to; n++ {
		texts = append(texts, fmt.Sprint(n))
	}
	return texts
}

// What a player reads whose line would go better elsewhere. As it was improvised it
// goes with the changes, and nothing else is said.
func TestLinesThatGoElsewhere(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	line := b.tune.Setup.Timeline
	asPlayed := b.line(3, fitChoruses)

	t.Run("as it was improvised", func(t *testing.T) {
		f := newFitOf(t, b, asPlayed)
		for _, span := range []fit.Span{fit.Phrase, fit.Section, fit.Chorus, fit.Take} {
			require.Empty(t, f.claims(span))
		}
		require.Contains(t, f.page, "Fitted      every chorus went with the changes\n")
		require.NotRegexp(t, `(?m)bars? (behind|ahead)|step high|step low`, f.page)
	})
	t.Run("a bar late", func(t *testing.T) {
		bar := line.Bars[0].Meter.Bar()
		f := newFitOf(t, b, delayed(asPlayed, bar))
		require.Contains(t, f.page, "Slipped     the whole take: one bar behind\n")
		require.Contains(t, f.page, "Fitted      choruses 1-3 one bar behind\n", "the fourth chorus is a bar long")
		require.Contains(t, f.page, "Next time   1. The whole tune, bass only: play just the roots and thirds")
		require.Equal(t, []fit.Move{{Beats: -4}}, moves(f.claims(fit.Take)))
		f.agree("one bar behind")
		require.Equal(t, numbers(1, fitChoruses), f.told("chorus", "one bar behind"))
	})
	t.Run("a half step high in one section", func(t *testing.T) {
		f := newFitOf(t, b, shiftedIn(asPlayed, line.Length, line.Bars[32].Start, line.Bars[40].Start, 1))
		require.Regexp(t, `Slipped     bars 33-40, (every chorus|in \d choruses): a half step high\n`, f.page)
		require.Contains(t, f.page, "Fitted      every chorus went with the changes\n")
		require.Contains(t, f.page, "Next time   1. Bars 33-40: only chord tones, down from beat 1, as ")
		require.Empty(t, f.claims(fit.Take))
		bars, _ := f.agree("a half step high")
		require.Equal(t, numbers(33, 40), bars)
	})
	t.Run("a whole step high throughout", func(t *testing.T) {
		f := newFitOf(t, b, linegen.Shift(asPlayed, 2))
		require.Contains(t, f.page, "Slipped     the whole take: a whole step high;")
		require.Contains(t, f.page, "Fitted      every chorus went a whole step high\n")
		require.Equal(t, []fit.Move{{Semitones: -2}}, moves(f.claims(fit.Take)))
		bars, _ := f.agree("a whole step high")
		require.NotEmpty(t, bars)
		require.Equal(t, numbers(1, fitChoruses), f.told("chorus", "a whole step high"))
	})
	t.Run("a half step high throughout", func(t *testing.T) {
		f := newFitOf(t, b, linegen.Shift(asPlayed, 1))
		require.Contains(t, f.page, "Slipped     the whole take: a half step high;")
		bars, phrases := f.agree("a half step high")
		require.NotEmpty(t, bars)
		require.NotEmpty(t, phrases, "a phrase by itself is told in its table")
	})
}

func moves(all []reviewedFit) (out []fit.Move) {
	for _, v := range all {
		out = append(out, v.Elsewhere)
	}
	return out
}
