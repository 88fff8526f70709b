package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/feel"
)

// What is passed over while trading, and what the click's silence showed, is the same in
// the session and in the review of its take, which holds all notes: the review without
// trading counts every one.
func TestTradingIsReviewedAsItWasPlayed(t *testing.T) {
	configured(t, "")
	folder := t.TempDir()
	file := filepath.Join(folder, "demo.mid")
	require.NoError(t, os.WriteFile(file, demoTake, 0o600))
	s := sessionOver(t, nil, "--in", file, "--trade", "4", "--gaps", "1/3")
	live := s.analyser.Summary()
	require.Positive(t, live.Passed)
	require.Positive(t, live.Notes)
	require.NotEmpty(t, live.Feel.Returns)

	taken := s.recorder.Status().Path
	type reviewed struct {
		Notes, Passed int64
		Fate          map[string]int64
		Choruses      []analyse.ChorusCount `json:"choruses_detail"`
		Feel          feel.Report
	}
	page := func(args ...string) (told reviewed) {
		out, _, code := runHere(t, append([]string{"review", taken, "--json"}, args...)...)
		require.Zero(t, code)
		require.NoError(t, json.Unmarshal([]byte(out), &told))
		return told
	}
	told := page()
	require.Equal(t, live.Notes, told.Notes)
	require.Equal(t, live.Passed, told.Passed)
	require.Equal(t, live.Fate, told.Fate)
	require.Equal(t, live.ChorusesDetail, told.Choruses)
	require.Equal(t, live.Feel.Returns, told.Feel.Returns)
	all := page("--trade", "0")
	require.Zero(t, all.Passed)
	require.Equal(t, live.Notes+live.Passed, all.Notes)
}

func TestTurnsAreTold(t *testing.T) {
	require.Equal(t, "yours for 2 bars", turns(true, 2, true))
	require.Equal(t, "yours in 1 bar", turns(false, 1, true))
	require.Empty(t, turns(true, 0, false))
	require.Equal(t, "yours in 1 bar; faster at the top: 124", both(turns(false, 1, true), "faster at the top: 124"))
	_, said, code := runHere(t, "listen", "--trade", "4")
	require.Equal(t, exitUsage, code)
	require.Equal(t, "shedlight: --trade needs a --chart\n", said)
}
