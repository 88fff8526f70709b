package display

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/feel"
	"shedlight/analyse/song"
)

// The summary says in which view the notes were heard, and where that was turned; what
// falls on the beat is told once for a kind of chord.
func TestTheViewsOfASummary(t *testing.T) {
	key, chord := song.KeyView, song.ChordView
	for _, test := range []struct {
		views []analyse.ViewFrom
		view  song.View
		want  string
	}{
		{nil, chord, "over each chord: six 5, dim 3, outside 1"},
		{[]analyse.ViewFrom{{View: key}}, key, "over one key: six 5, dim 3, outside 1"},
		{[]analyse.ViewFrom{{View: key}, {View: chord, From: 9, Chorus: 2, Bar: 5}}, chord, "over one key, each chord from 2/5: six 5, dim 3, outside 1"},
		{[]analyse.ViewFrom{{View: chord}, {View: key, From: 9}}, key, "over each chord, one key from note 10: six 5, dim 3, outside 1"},
		{[]analyse.ViewFrom{{View: chord}, {View: key}, {View: chord}}, chord, "over each chord and one key in turn: six 5, dim 3, outside 1"},
	} {
		s := analyse.Summary{Notes: 9, View: test.view, Views: test.views, Place: song.PlaceCounts{Home: 5, Dim: 3, Outside: 1}}
		s.OnBeat = []feel.OnBeat{
			{View: key, ChordKind: "dominant", Scored: 4, ChordTone: 3}, {View: chord, ChordKind: "dominant", Scored: 2, ChordTone: 2},
			{View: key, ChordKind: "minor", Scored: 0}, {View: chord, ChordKind: "minor", Scored: 1},
		}
		s.Feel.WithBeat = true
		var out bytes.Buffer
		require.NoError(t, WriteSummary(&out, &Outcome{Summary: s}, Options{}))
		require.Contains(t, out.String(), test.want)
		require.Contains(t, out.String(), "chord tones on the beat: dominant 5 of 6, minor 0 of 1")
	}
}
