package display

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/fit"
	"shedlight/analyse/phrase"
)

// What was left hanging, as a teacher would say it of one tone and of several.
func TestLeftHangingInWords(t *testing.T) {
	over := []phrase.HangingOver{{Chord: "C6", Name: "F", Wants: "E", Times: 1}, {Chord: "Bb7", Name: "Eb", Wants: "D", Times: 1}}
	for want, h := range map[string]phrase.Hanging{
		"left hanging once: F over C6 wants E":                                {Held: 1, Over: over[:1]},
		"left hanging once, at the end of a phrase: F over C6 wants E":        {PhraseEnd: 1, Over: over[:1]},
		"left hanging twice, at phrase ends: F over C6 wants E, and others":   {PhraseEnd: 2, Over: over},
		"left hanging twice, 1 at phrase ends: F over C6 wants E, and others": {Held: 1, PhraseEnd: 1, Over: over},
	} {
		require.Equal(t, want, speller{ascii: true}.leftHanging(&h))
	}
}

// Choruses that went alike are told together, by number.
func TestHowChorusesWent(t *testing.T) {
	elsewhere := func(chorus int) fit.Verdict {
		v := fit.Verdict{Span: fit.Chorus, Chorus: chorus, Says: fit.Elsewhere}
		v.Elsewhere.Semitones = -1
		return v
	}
	fits := func(chorus int) fit.Verdict {
		return fit.Verdict{Span: fit.Chorus, Chorus: chorus, Says: fit.Fits, With: fit.Chords}
	}
	for _, c := range []struct {
		want     string
		choruses int
		all      []fit.Verdict
	}{
		{"it went with the changes", 1, []fit.Verdict{fits(1)}},
		{"every chorus went with the changes", 2, []fit.Verdict{fits(1), fits(2)}},
		{"choruses 1-2 and 4 with the changes, chorus 3 a half step high", 4, []fit.Verdict{fits(1), fits(2), elsewhere(3), fits(4)}},
		{"choruses 1, 3 and 5-6 with the changes", 6, []fit.Verdict{fits(1), fits(3), fits(5), fits(6)}},
	} {
		b := block{told: went(&analyse.Summary{Choruses: c.choruses, Fit: c.all})}
		require.Equal(t, c.want, strings.Join(b.rows(pageWidth), " "))
	}
}

// A take that is bars behind the changes while every chorus goes with the key is told so;
// moved by half steps, or where a chorus goes with the changes, it is not.
func TestTakeInTheKeyBehindTheChanges(t *testing.T) {
	chorus := func(n int, with fit.With) fit.Verdict {
		return fit.Verdict{Span: fit.Chorus, Chorus: n, Says: fit.Fits, With: with}
	}
	take := func(beats, semitones int) fit.Verdict {
		v := fit.Verdict{Span: fit.Take, Says: fit.Elsewhere, BarBeats: 4}
		v.Elsewhere.Beats, v.Elsewhere.Semitones = beats, semitones
		return v
	}
	told := func(all ...fit.Verdict) string {
		return strings.Join(block{told: faults(&analyse.Summary{Choruses: 2, Fit: all})}.rows(pageWidth), " ")
	}
	require.Equal(t, "the whole take: with the key, but two bars behind the changes", told(chorus(1, fit.Key), chorus(2, fit.Key), take(-8, 0)))
	require.Equal(t, "the whole take: two bars behind", told(chorus(1, fit.Key), chorus(2, fit.Chords), take(-8, 0)))
	require.Equal(t, "the whole take: a half step high; a transposing instrument wants the chart moved up a half step (--key)", told(chorus(1, fit.Key), chorus(2, fit.Key), take(0, -1)))
	require.Equal(t, "the whole take: one bar ahead", told(take(4, 0)), "no chorus says anything")
}

// Beats are said as players say them.
func TestBeatsInWords(t *testing.T) {
	require.Equal(t, []string{"beat 3", "the and of 4", "just after 1"}, []string{beatWords("3"), beatWords("4.5"), beatWords("1.25")})
}

// A list says how many more there are, of counts that there are others; it never breaks
// off.
func TestListsSayWhatTheyLeaveOut(t *testing.T) {
	texts := []string{"approach 4", "enclosure 3", "passing 2"}
	row := func(noun string, cells int) string {
		return strings.Join(list{label: "on its way 9: ", between: ", ", noun: noun, texts: texts}.on(1, cells), "|")
	}
	require.Equal(t, "on its way 9: approach 4, enclosure 3, passing 2", row(others, 48))
	require.Equal(t, "on its way 9: approach 4, and others", row(others, 47))
	require.Equal(t, "on its way 9: approach 4, and others", row(others, 36))
	require.Equal(t, "on its way 9", row(others, 35), "no room for any")
	require.Equal(t, "on its way 9: approach 4, and 2 more", row("", 47))
	require.Equal(t, "on its way 9: approach 4, and 2 more families", row("family", 47))
}

// Nine notes are too little to say anything of.
func TestTooLittleToSay(t *testing.T) {
	o := session()
	o.Notes = enoughNotes - 1
	rows := strings.Join(summaryLines(o, newSpeller(Options{}), pageRows, pageWidth), "\n")
	require.Contains(t, rows, "Fitted      15 notes: too little to say\n")
	require.NotContains(t, rows, "on the chord")
	o.Notes++
	require.Contains(t, strings.Join(summaryLines(o, newSpeller(Options{}), pageRows, pageWidth), "\n"), "on the chord")
}
