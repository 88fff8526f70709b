package harmony_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/tone"
)

// What is said of a tone that a chord does not hold, in semitones over the root, for
// every kind of chord (common practice, no source).
func TestColoursAgainstAndHanging(t *testing.T) {
	none := []int(nil)
	for _, c := range []struct {
		qualities        []string
		resolving, not   []int
		against, hanging []int
	}{
		{[]string{"7", "9", "13", "7#11"}, []int{1, 2, 3, 6, 8, 9}, []int{2, 3, 6, 9}, []int{11}, []int{5}},
		{[]string{"7b9", "7#9", "13b9"}, []int{1, 3, 6, 8, 9}, []int{1, 3, 6, 9}, []int{11}, []int{5}},
		{[]string{"7alt", "7b5", "7#5", "7#9#5", "7b9b5"}, []int{1, 3, 6, 8}, []int{1, 3, 6, 8}, []int{11}, []int{5}},
		{[]string{"7sus4", "9sus4"}, []int{1, 4, 8}, []int{4, 8}, none, none},
		{[]string{"m7b5"}, []int{2, 5, 8, 9}, []int{2, 5, 8, 9}, []int{4, 7}, []int{1}},
		{[]string{"dim7"}, []int{2, 5, 8, 11}, []int{2, 5, 8, 11}, none, []int{1, 4, 7, 10}},
		{[]string{"m7", "m9", "m11"}, []int{2, 9}, []int{2, 9}, []int{4}, []int{1, 8}},
		{[]string{"m", "m6", "m6/9", "m(maj7)"}, []int{10}, []int{10}, []int{1, 4}, []int{1, 8}},
		{[]string{"", "6", "maj7", "6/9", "maj9"}, none, none, []int{1}, []int{5, 8}},
		{[]string{"sus4", "aug", "5"}, none, none, none, none},
	} {
		for _, quality := range c.qualities {
			for _, root := range []string{"C", "F#", "Bb"} {
				x := chord(t, root, quality)
				above := func(s tone.Set) (out []int) {
					for i := range 12 {
						if s.Has(tone.ClassOf(int(x.Root.Class()) + i)) {
							out = append(out, i)
						}
					}
					return out
				}
				assert.Equal(t, c.resolving, above(x.Colours(true)), "%s%s resolving", root, quality)
				assert.Equal(t, c.not, above(x.Colours(false)), "%s%s", root, quality)
				assert.Equal(t, c.against, above(x.Against()), "against %s%s", root, quality)
				assert.Equal(t, c.hanging, above(x.Hanging()), "hanging over %s%s", root, quality)
			}
		}
	}
}
