package main

import (
	"bytes"
	"context"
	"os"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/display"
)

// faulty is a screen that crashes.
type faulty struct{}

func (faulty) Run(context.Context) error { panic("no such colour") }
func (faulty) Post(display.Frame)        {}
func (faulty) Free() bool                { return false }
func (faulty) Freed() <-chan struct{}    { return nil }

// A crash of the screen ends the session, which then saves its take, and is told
// with where its report is.
func TestCrash(t *testing.T) {
	ownState(t)
	var said bytes.Buffer
	p := &program{messages: &said}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	read, err := leave(&session{}, p.startScreen(ctx, &session{screen: faulty{}}, stop))
	require.True(t, read)
	require.ErrorIs(t, ctx.Err(), context.Canceled, "the session ends")
	require.Equal(t, exitFailed, p.exitCode(err))
	found := regexp.MustCompile(`^shedlight has crashed: no such colour\nThe report is in (.*): please send it to us\.\n$`).FindStringSubmatch(said.String())
	require.NotNil(t, found, said.String())
	report, err := os.ReadFile(found[1])
	require.NoError(t, err)
	require.Contains(t, string(report), "no such colour")
	require.Contains(t, string(report), "faulty.Run", "the stack of the fault")
}
