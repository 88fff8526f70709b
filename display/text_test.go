package display

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// shortPhrase is what the analyser says of a short phrase over F7.
func shortPhrase() []analyse.Finding {
	note := func(n int64, ms int64, bar int, at float64, key uint8, name string, place song.Place, degree string, chordTone bool, f fate.Fate) analyse.Finding {
		return analyse.Finding{
			Stage: analyse.Heard, N: n, MS: ms, Chorus: 1, Bar: bar, Beat: at, Key: key, Velocity: 80,
			Name: name, Place: place, Degree: degree, ChordTone: chordTone, Chord: "F7b9", Fate: f,
			Centre: "Bb major", Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(10).Name()), By: -1,
		}
	}
	sorted := func(n int64, r analyse.Role) analyse.Finding {
		return analyse.Finding{Stage: analyse.Sorted, N: n, Role: r}
	}
	settled := func(n int64, f fate.Fate, by int64) analyse.Finding {
		return analyse.Finding{Stage: analyse.Settled, N: n, Fate: f, By: by}
	}
	sub := settled(4, fate.Sub, -1)
	sub.HeardScale = harmony.NewScale(harmony.MinorSixth, tone.Class(6).Flat())
	early := note(5, 4100, 0, 4.5, 65, "F", song.Home, "5", false, fate.None)
	early.Chorus, early.Chord = 0, ""
	return []analyse.Finding{
		early, sorted(5, analyse.Line),
		note(0, 12345, 3, 1, 68, "Gb", song.Dim, "b6", true, fate.None), sorted(0, analyse.Line),
		note(1, 12595, 3, 1.5, 64, "E", song.Outside, "", false, fate.Pending), sorted(1, analyse.Line),
		note(2, 12845, 3, 2, 65, "F", song.Home, "5", true, fate.None),
		settled(1, fate.Approach, 2), sorted(2, analyse.Struck),
		note(3, 13845, 3, 4, 61, "Db", song.Outside, "", false, fate.Pending), settled(3, fate.Unresolved, -1), sorted(3, analyse.Struck),
		note(4, 123456, 12, 4.999, 61, "Db", song.Outside, "", true, fate.Pending), sorted(4, analyse.Line), sub,
	}
}

func TestPlainLines(t *testing.T) {
	for file, o := range map[string]Options{"lines.txt": {}, "lines-ascii.txt": {ASCII: true}} {
		var b bytes.Buffer
		l := NewLines(&b, o)
		for _, s := range []Status{
			{Source: "Reed \x1bController"},
			{Source: "Reed \x1bController", TakePath: "takes/lindmouth-0003.mid", Recovered: 1, RecoveredAt: "takes/lindmouth-\x1b[2J" + strings.Repeat("0", 60) + "2.mid"},
		} {
			require.NoError(t, l.Show(s))
		}
		for _, f := range shortPhrase() {
			require.NoError(t, l.Add(f))
		}
		for _, s := range []Status{
			{Source: "Reed Controller", Gone: true}, {Source: "Reed Controller", Gone: true}, {Source: "Reed Controller"},
			{Source: "Reed Controller", SaveError: "no space left", Unsaved: 7, Lost: 2},
		} {
			require.NoError(t, l.Show(s))
		}
		golden(t, file, b.String())
		require.Empty(t, l.open, "nothing is remembered once its news has come")
	}
}

// twoPhrases sends what a quiet player does: a phrase of notes 0 to 3, its end, and a
// note of the next phrase; the chorus turns while the first is played.
func twoPhrases(t *testing.T, l *Lines, told func(when string)) {
	add := func(all ...analyse.Finding) {
		for _, f := range all {
			require.NoError(t, l.Add(f))
		}
	}
	settled := func(n int64, f fate.Fate) analyse.Finding {
		return analyse.Finding{Stage: analyse.Settled, N: n, Fate: f, By: -1}
	}
	all := shortPhrase()[2:] // without the note before bar 1
	first, last, sub := all[:len(all)-3], all[len(all)-3:len(all)-1], all[len(all)-1]
	state := analyse.Snapshot{Scale: scaleOn(harmony.MajorSixth, "Bb"), InPhrase: true}
	follow := func() {
		s := state
		require.NoError(t, l.Follow(&s))
	}

	add(first[0])
	follow()
	add(first[1:]...)
	state.Choruses = [2]analyse.ChorusCount{{Chorus: 1, Tally: analyse.Tally{Notes: 50, Outside: 5}}}
	follow()
	state.Choruses[0].Unresolved = 1
	follow()
	state.Choruses = [2]analyse.ChorusCount{}
	follow()
	told("it is played")

	state.Phrase = phrase.Phrase{Number: 1, Last: 3, Notes: 4, Outside: 2, Unresolved: 1, Landing: phrase.LandedOnChord, End: phrase.Edge{Bar: 3, ChordDegree: "3"}}
	state.InPhrase = false
	follow()
	told("it is over")

	add(last...)
	state.InPhrase = true
	follow()
	told("the next is played")
	require.NoError(t, l.End())
	told("all is over, but for a fate")
	add(sub, settled(4, fate.Blue)) // the second is no news
	state.Phrase.Number, state.Phrase.Last, state.InPhrase = 2, 4, false
	follow()
}

// Plain lines tell of phrases and choruses in the words of the screen; a quiet
// player's notes wait until their phrase is over and come with their verdicts.
func TestPlainLinesOfPhrases(t *testing.T) {
	for file, quiet := range map[string]bool{"lines-phrases.txt": false, "lines-quiet.txt": true} {
		var b bytes.Buffer
		l := NewLines(&b, Options{})
		require.NoError(t, l.Show(Status{Quiet: quiet}))
		twoPhrases(t, l, func(when string) { fmt.Fprintln(&b, "..", when) })
		golden(t, file, b.String())
		require.Empty(t, l.open)
		require.Empty(t, l.held)
		before, _, _ := strings.Cut(b.String(), "..")
		require.Equal(t, quiet, before == "", "a quiet player is told nothing while a phrase is played")
	}
}

// Where no phrase ever ends, what is kept back is written at last.
func TestQuietLinesAreBounded(t *testing.T) {
	var b bytes.Buffer
	l := NewLines(&b, Options{})
	require.NoError(t, l.Show(Status{Quiet: true}))
	for n := range int64(mostHeld) {
		require.Empty(t, b.String())
		require.NoError(t, l.Add(analyse.Finding{Stage: analyse.Heard, N: n, Name: "C", Role: analyse.Line}))
	}
	require.Equal(t, mostHeld, strings.Count(b.String(), "\n"))
	require.Empty(t, l.held)
}

// failing writes so many bytes and then no more.
type failing struct{ left int }

var errFull = errors.New("full")

func (w *failing) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestWriteErrorsAreTold(t *testing.T) {
	l := NewLines(&failing{left: 100}, Options{})
	var err error
	for _, f := range shortPhrase() {
		if err = l.Add(f); err != nil {
			break
		}
	}
	require.ErrorIs(t, err, errFull)
	require.ErrorIs(t, l.Show(Status{Lost: 1}), errFull)
	require.ErrorIs(t, WriteSummary(&failing{}, session(), Options{}), errFull)
	require.ErrorIs(t, WriteReview(&failing{}, Review{}, Options{}), errFull)
	require.ErrorIs(t, WriteReviewLine(&failing{}, Review{}, Options{}), errFull)
	require.ErrorIs(t, WriteTable(&failing{}, ByBar, Review{}, Options{}), errFull)
	require.ErrorIs(t, WriteTrends(&failing{}, trends(), Options{}), errFull)
}
