package main

import (
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/listen"
)

// sessionOver is a session over a MIDI file that has come to its end, as it is typed, with its
// take. prepare, where there is one, is given the session before it plays.
func sessionOver(t *testing.T, prepare func(*session), args ...string) *session {
	t.Helper()
	c, call := asCalled(t, append(args, "--takes", filepath.Join(t.TempDir(), "takes"))...)
	plan := &sessionPlan{command: c, name: "Keys", takes: c.Takes}
	require.NoError(t, c.openFile(plan, call, listen.AtOnce))
	analyser, err := analyse.New(plan.tune.Setup)
	require.NoError(t, err)
	s := &session{analyser: analyser, source: plan.source, slips: reviews.NewSlips()}
	if prepare != nil {
		prepare(s)
	}
	(&program{messages: io.Discard}).startTake(s, plan)
	require.NoError(t, s.play(t.Context()))
	require.NoError(t, s.closeTake(s.now))
	return s
}
