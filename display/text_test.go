package display

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
)

// pageHeight is the height of the smallest common terminal.
const pageHeight = 24

// phrase is what the analyser says of a short phrase over F7.
func phrase() []analyse.Finding {
	note := func(n int64, ms int64, bar int, at float64, key uint8, name string, place analyse.Place, degree string, tone bool, fate analyse.Fate) analyse.Finding {
		return analyse.Finding{
			Stage: analyse.Heard, N: n, MS: ms, Chorus: 1, Bar: bar, Beat: at, Key: key, Velocity: 80,
			Name: name, Place: place, Degree: degree, ChordTone: tone, Chord: "F7b9", Fate: fate,
			Centre: "Bb major", Scale: "Bb major sixth-diminished", By: -1,
		}
	}
	sorted := func(n int64, r analyse.Role) analyse.Finding {
		return analyse.Finding{Stage: analyse.Sorted, N: n, Role: r}
	}
	settled := func(n int64, f analyse.Fate, by int64) analyse.Finding {
		return analyse.Finding{Stage: analyse.Settled, N: n, Fate: f, By: by}
	}
	sub := settled(4, analyse.Sub, -1)
	sub.HeardScale = "Gb minor sixth-diminished"
	early := note(5, 4100, 0, 4.5, 65, "F", analyse.Home, "5", false, analyse.NoFate)
	early.Chorus, early.Chord = 0, ""
	return []analyse.Finding{
		early, sorted(5, analyse.Line),
		note(0, 12345, 3, 1, 68, "Gb", analyse.Dim, "b6", true, analyse.NoFate), sorted(0, analyse.Line),
		note(1, 12595, 3, 1.5, 64, "E", analyse.Outside, "", false, analyse.Pending), sorted(1, analyse.Line),
		note(2, 12845, 3, 2, 65, "F", analyse.Home, "5", true, analyse.NoFate),
		settled(1, analyse.Approach, 2), sorted(2, analyse.Struck),
		note(3, 13845, 3, 4, 61, "Db", analyse.Outside, "", false, analyse.Pending), settled(3, analyse.Unresolved, -1), sorted(3, analyse.Struck),
		note(4, 123456, 12, 4.999, 61, "Db", analyse.Outside, "", true, analyse.Pending), sorted(4, analyse.Line), sub,
	}
}

func TestPlainLines(t *testing.T) {
	for file, o := range map[string]Options{"lines.txt": {}, "lines-ascii.txt": {ASCII: true}} {
		var b bytes.Buffer
		l := NewLines(&b, o)
		for _, s := range []Status{
			{Source: "Reed \x1bController", Waiting: true},
			{Source: "Reed \x1bController", TakePath: "takes/lindmouth-0003.mid", Recovered: 1},
		} {
			require.NoError(t, l.Show(s))
		}
		for _, f := range phrase() {
			require.NoError(t, l.Add(f))
		}
		for _, s := range []Status{
			{Source: "Reed Controller", Gone: true}, {Source: "Reed Controller", Gone: true}, {Source: "Reed Controller"},
			{Source: "Reed Controller", SaveError: "no space left", Unsaved: 7, Lost: 2, Message: "chorus 2 of 2"},
		} {
			require.NoError(t, l.Show(s))
		}
		golden(t, file, b.String())
		require.Empty(t, l.open, "nothing is remembered once its news has come")
	}
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
	for _, f := range phrase() {
		if err = l.Add(f); err != nil {
			break
		}
	}
	require.ErrorIs(t, err, errFull)
	require.ErrorIs(t, l.Show(Status{Lost: 1}), errFull)
	require.ErrorIs(t, WriteSummary(&failing{}, session(), Options{}), errFull)
	require.ErrorIs(t, WriteReview(&failing{}, Review{}, Options{}), errFull)
	require.ErrorIs(t, WriteReviews(&failing{}, []Review{{}}, Options{}), errFull)
}

func session() analyse.Summary {
	return analyse.Summary{
		Title: "Two Bridges", Choruses: 2, Bars: 64, Notes: 214, Seconds: 192.4, View: "key",
		Place: analyse.PlaceCounts{Home: 121, Dim: 74, Outside: 19}, ChordTones: 118,
		Fate:           map[string]int64{"passing": 4, "approach": 6, "enclosure": 2, "push": 0, "written": 4, "unresolved": 3},
		Centres:        []analyse.CentreCount{{Centre: "Bb major", Notes: 150, Outside: 12, Unresolved: 1}, {Centre: "F minor", Notes: 64, Outside: 7, Unresolved: 2}},
		ChorusesDetail: []analyse.ChorusCount{{Chorus: 1, Notes: 110, Outside: 11, Unresolved: 2}, {Chorus: 2, Notes: 104, Outside: 8, Unresolved: 1}},
	}
}

// fullest has more of everything than a page shows.
func fullest() analyse.Summary {
	s := session()
	s.Title = strings.Repeat("The Long Way Round to Lindmouth ", 9)
	s.View = "chord"
	s.Notes, s.Place.Home = 1<<40, 1<<40
	s.Figures = analyse.FigureCounts{Run: 12, Arpeggio: 1, Chord: 3, Leap: 20}
	for f := analyse.Glitch; f <= analyse.Unresolved; f++ {
		s.Fate[f.String()] = int64(f) * 1000
	}
	for range 50 {
		s.Centres = append(s.Centres, s.Centres...)[:min(2*len(s.Centres), 40)]
		s.ChorusesDetail = append(s.ChorusesDetail, analyse.ChorusCount{Chorus: len(s.ChorusesDetail) + 1, Unresolved: 17})
		s.OnBeat = append(s.OnBeat, analyse.OnBeat{View: "chord", ChordKind: "7", Scored: 40, Home: 34, ChordTone: 30})
		s.Subs = append(s.Subs, analyse.SubUse{ChordKind: "7", Scale: "Gb minor sixth-diminished", Times: 6})
	}
	return s
}

func TestSummary(t *testing.T) {
	bare := analyse.Summary{Notes: 1, Seconds: 3}
	for file, s := range map[string]analyse.Summary{
		"summary.txt": session(), "summary-fullest.txt": fullest(), "summary-bare.txt": bare, "summary-silent.txt": {},
	} {
		var b bytes.Buffer
		require.NoError(t, WriteSummary(&b, s, Options{}))
		golden(t, file, b.String())
		rows := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
		require.LessOrEqual(t, len(rows), pageHeight, file)
		for _, row := range rows {
			require.LessOrEqual(t, width(row), pageWidth, row)
		}
	}
	var b bytes.Buffer
	require.NoError(t, WriteSummary(&b, session(), Options{ASCII: true}))
	golden(t, "summary-ascii.txt", b.String())
}

func TestReview(t *testing.T) {
	var b bytes.Buffer
	r := Review{File: "takes/lindmouth-\x1b[5m0003.mid", Summary: session()}
	for i := range int64(10) {
		r.Damage = append(r.Damage, Damage{Offset: 1024 * i, Text: "track 2 ends early: \x1b[2J12 bytes of 40"})
	}
	require.NoError(t, WriteReview(&b, r, Options{}))
	golden(t, "review.txt", b.String())

	b.Reset()
	whole := Review{File: strings.Repeat("a/long/way/", 9) + "lindmouth-0004.mid", Summary: session()}
	require.NoError(t, WriteReviews(&b, []Review{r, whole, {File: "empty.mid"}}, Options{}))
	golden(t, "reviews.txt", b.String())
}
