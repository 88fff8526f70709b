package reviews

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
)

// The boundaries of a place from both sides.
func TestPlaces(t *testing.T) {
	for _, test := range []struct {
		place       string
		chorus, bar int
		beat        float64
		want        bool
	}{
		{"13", 2, 13, 4.9, true}, {"13", 2, 12, 4.95, false}, {"2/13", 2, 13, 1, true}, {"2/13", 1, 13, 1, false},
		{"13:2", 1, 13, 1.9, true}, {"13:2", 1, 13, 1.899, false}, {"13:2", 1, 13, 2.899, true}, {"13:2", 1, 13, 2.9, false},
		{"13:2.5", 1, 13, 2.3, true}, {"13:2.5", 1, 13, 2.299, false}, {"13:2.5", 1, 13, 2.7, true}, {"13:2.5", 1, 13, 2.701, false},
	} {
		p, err := parsePlace(test.place)
		require.NoError(t, err)
		require.Equal(t, test.want, p.holds(&analyse.Finding{Chorus: test.chorus, Bar: test.bar, Beat: test.beat}), "%+v", test)
		require.Equal(t, test.place, p.String())
	}
	for _, wrong := range []string{"", "0", "-1", "x", "3:", "3:0", "3:0.9", "3:NaN", "3:Inf", "3:1e9", "/3", "0/3", "3/", "3/4:5:6", "1/2/3"} {
		_, err := parsePlace(wrong)
		require.Error(t, err, wrong)
	}
}

// A place that is read is written so that it is read the same.
func TestPlacesAreWrittenAsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := parsePlace(rapid.StringMatching(`([0-9]{1,2}/)?[0-9]{1,3}(:[0-9]{1,2}(\.[0-9]{1,3})?)?`).Draw(t, "place"))
		if err != nil {
			t.Skip()
		}
		again, err := parsePlace(p.String())
		require.NoError(t, err)
		require.Equal(t, p, again)
	})
}

// The path of notes stays beside the take whatever its name.
func TestNotesPath(t *testing.T) {
	require.Equal(t, filepath.Join("takes", "a.b.notes.json"), notesPath(filepath.Join("takes", "a.b.mid")))
	require.Equal(t, "takes.d/a.notes.json", notesPath("takes.d/a"))
}
