package fit_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
)

// unrolled reads a chart that has to hold together.
func unrolled(t testing.TB, text string) *changes.Timeline {
	t.Helper()
	chart, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	return &line
}
