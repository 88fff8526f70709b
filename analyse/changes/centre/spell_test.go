package centre

import (
	"testing"

	"shedlight/analyse/tone"

	"github.com/stretchr/testify/assert"
)

// Without a tonic chord as it is written a centre is spelled on the side of the key, where players use both names, else under its usual name.
func TestSpellingOfCentres(t *testing.T) {
	for _, c := range []struct {
		tonic     int
		mode      Mode
		key, want string
	}{
		{6, Major, "", "Gb"}, {6, Major, "D", "F#"}, {6, Major, "Eb", "Gb"}, {6, Major, "F#", "F#"},
		{6, Minor, "", "F#"}, {6, Minor, "F", "Gb"}, {6, Minor, "C", "F#"},
		{1, Major, "A", "C#"}, {1, Major, "Ab", "Db"}, {1, Blues, "B", "C#"},
		{8, Minor, "E", "G#"}, {8, Minor, "Db", "Ab"},
		{10, Major, "E", "Bb"}, {3, Major, "A", "Eb"}, {0, Major, "F#", "C"},
	} {
		key, err := tone.ParseName(c.key)
		tune := Tune{Key: key, HasKey: err == nil}
		got := tune.spell(part{tonic: c.tonic, mode: c.mode})
		assert.Equal(t, c.want, got.String(), "%d %s in %q", c.tonic, c.mode, c.key)
	}
}
