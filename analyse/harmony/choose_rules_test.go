package harmony

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every rule of the table is the first to match some chord: none is hidden by
// those above it. Chords without a third or a fifth count too.
func TestEveryRuleOfTheTableIsReached(t *testing.T) {
	reached := map[string]int{}
	for formula := Formula(1); formula != 0; formula++ {
		f := Chord{Formula: formula}.matching()
		if !formula.Has(One) || f.diminished() {
			continue
		}
		for _, r := range chordRules {
			if r.matches(f) {
				reached[r.kind]++
				break
			}
		}
	}
	for _, r := range chordRules {
		assert.Positive(t, reached[r.kind], r.kind)
	}
	assert.Len(t, reached, len(chordRules))
}
