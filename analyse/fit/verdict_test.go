package fit_test

import (
	"encoding/json"
	"shedlight/analyse/fit"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The contract names every field.
func TestVerdictAsJSON(t *testing.T) {
	v := only(t, tellAll(unrolled(t, changes8), moved(eighths(t, line8), 0, 1)), fit.Take)
	v.Score, v.Evidence = -0.5, 2.5
	text, err := json.Marshal(v)
	require.NoError(t, err)
	assert.JSONEq(t, `{"span":"take","chorus":1,"to_chorus":1,"from_bar":1,"from_beat":1,"to_bar":9,"to_beat":1,"from_n":0,"to_n":64,
		"notes":64,"score":-0.5,"says":"elsewhere","with":"","elsewhere":{"beats":0,"semitones":-1},"bar_beats":4,"evidence":2.5}`, string(text))
}
