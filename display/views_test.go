package display

import (
	"bytes"
	"strings"
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
		{nil, chord, "by each chord's scale: six 15, dim 8, outside 1"},
		{[]analyse.ViewFrom{{View: key}}, key, "by the key's scale: six 15, dim 8, outside 1"},
		{[]analyse.ViewFrom{{View: key}, {View: chord, From: 9, Chorus: 2, Bar: 5}}, chord, "by the key's scale, each chord's scale from chorus 2, bar 5: six 15, dim 8, outside 1"},
		{[]analyse.ViewFrom{{View: chord}, {View: key, From: 9}}, key, "by each chord's scale, the key's scale from note 10: six 15, dim 8, outside 1"},
		{[]analyse.ViewFrom{{View: chord}, {View: key}, {View: chord}}, chord, "by each chord's scale and the key's scale in turn: six 15, dim 8, outside 1"},
	} {
		s := analyse.Summary{Notes: 24, View: test.view, Views: test.views, Place: song.PlaceCounts{Home: 15, Dim: 8, Outside: 1}}
		s.OnBeat = []feel.OnBeat{
			{View: key, ChordKind: "dominant", Scored: 8, ChordTone: 6}, {View: chord, ChordKind: "dominant", Scored: 4, ChordTone: 4},
			{View: key, ChordKind: "minor", Scored: 0}, {View: chord, ChordKind: "minor", Scored: 9},
		}
		s.Feel.WithBeat = true
		var out bytes.Buffer
		require.NoError(t, WriteSummary(&out, &Outcome{Summary: s}, Options{}))
		require.Contains(t, strings.Join(strings.Fields(out.String()), " "), test.want)
		require.Contains(t, out.String(), "chord tones on the beat: dominant 10 of 12, minor 0 of 9")
	}
}
