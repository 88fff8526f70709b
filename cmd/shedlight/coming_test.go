package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/beat"
)

// What comes is told four bars before it and not after, and says the tempo that then
// holds: twelve bars of blues, faster at every second top, at 120 a minute without a
// count-in. The last top of a session brings no other tempo.
func TestARiseIsToldBefore(t *testing.T) {
	tune, err := tunes.Of(settings.Tune{Chart: "blues"}, settings.Hand{}, nil)
	require.NoError(t, err)
	setup := tune.Beat(120)
	setup.Rise, err = settings.Rise("4/2")
	require.NoError(t, err)
	clock, err := beat.New(setup)
	require.NoError(t, err)
	length := tune.Setup.Timeline.Length
	told := &coming{line: clock.Line, limit: &limit{line: clock.Line, choruses: 4, length: length}}

	type change struct {
		bar  int64 // from 0, over all choruses
		says string
	}
	var got []change
	says := ""
	bar := length / 12
	for now := time.Duration(0); now < 100*time.Second; now += 10 * time.Millisecond {
		clock.Pass(now)
		tick := clock.Tick(now)
		if comes := told.at(tick); comes != says {
			says = comes
			got = append(got, change{tick / bar, says})
		}
	}
	require.Equal(t, []change{{20, "faster at the top: 124"}, {24, ""}}, got)
	require.Greater(t, clock.Tick(100*time.Second), 48*bar, "past the end of the fourth")

	told.limit = nil
	require.NotEmpty(t, told.at(48*bar-1), "where the session goes on")
}

// The click's silence is told in the bar before, and meanwhile when it is back: here in
// four-bar choruses, of five bars two.
func TestAGapIsToldBefore(t *testing.T) {
	tune, err := tunes.Of(settings.Tune{Chart: "two-five-one", Gaps: "2/5"}, settings.Hand{}, nil)
	require.NoError(t, err)
	clock, err := beat.New(tune.Beat(120))
	require.NoError(t, err)
	told := &coming{line: clock.Line, gaps: tune.Setup.Gaps}
	for bar, want := range []string{
		"", "", "then 2 bars without a click", "the click is back in 2 bars", "the click is back in 1 bar", "", "",
		"then 2 bars without a click", "the click is back in 2 bars", "the click is back in 1 bar", "",
	} {
		now := time.Duration(bar)*2*time.Second + time.Second
		clock.Pass(now)
		require.Equal(t, want, told.at(clock.Tick(now)), "bar %d", bar+1)
	}
}

// A song that follows a clock says what it waits for: for its pulses, then for its start,
// and where it was stopped.
func TestWhatAFollowedSongWaitsForIsTold(t *testing.T) {
	tune, err := tunes.Of(settings.Tune{Chart: "two-five-one"}, settings.Hand{}, nil)
	require.NoError(t, err)
	setup := tune.Beat(0)
	setup.Follow = true
	clock, err := beat.New(setup)
	require.NoError(t, err)
	told := &coming{line: clock.Line, ticks: clock.Ticking}
	now := time.Duration(0)
	pulses := func() {
		for range 12 {
			now += 20 * time.Millisecond
			clock.Pulse(now)
		}
	}
	says := func(want string) {
		t.Helper()
		clock.Pass(now)
		require.Equal(t, want, told.at(clock.Tick(now)))
	}
	says("no clock yet: its start begins the song")
	pulses()
	says("the clock ticks: its start, a, or t on one begins the song")
	clock.Start(now)
	pulses()
	says("")
	clock.Halt(now)
	now += 20 * time.Millisecond
	says("stopped: the clock's start or continue goes on")
	clock.Continue(now)
	pulses()
	says("")
}

func TestGapsAreRefused(t *testing.T) {
	const alone = "--gaps is for a click that alone keeps the time: no --backing, no --sync clock"
	const expected = "--gaps 7/8: expected how many bars of how many are silent, like 2/8: two at least are not"
	for _, test := range []struct {
		args []string
		said string
	}{
		{[]string{"--gaps", "2/8"}, "--gaps needs a --chart"},
		{[]string{"--chart", "blues", "--gaps", "7/8"}, expected},
		{[]string{"--chart", "blues", "--gaps", "2/8", "--backing", "bass"}, alone},
		{[]string{"--chart", "blues", "--gaps", "2/8", "--click", "off"}, alone},
		{[]string{"--chart", "blues", "--gaps", "2/8", "--sync", "clock"}, alone},
	} {
		_, said, code := runHere(t, append([]string{"listen"}, test.args...)...)
		require.Equal(t, exitUsage, code)
		require.Equal(t, "shedlight: "+test.said+"\n", said)
	}
}

func TestFasterIsRefused(t *testing.T) {
	for _, test := range []struct {
		args []string
		said string
	}{
		{[]string{"--faster", "4/2"}, "--faster needs a --chart"},
		{[]string{"--chart", "blues", "--faster", "4"}, "--faster 4: expected beats a minute, 100 at most, and choruses, like 4/2 or -4/2"},
		{[]string{"--chart", "blues", "--faster", "0/2"}, "--faster 0/2: expected beats a minute, 100 at most, and choruses, like 4/2 or -4/2"},
		{[]string{"--chart", "blues", "--faster", "-101/2"}, "--faster -101/2: expected beats a minute, 100 at most, and choruses, like 4/2 or -4/2"},
		{[]string{"--chart", "blues", "--sync", "clock", "--faster", "4/2"}, "--tempo, --faster, --count-in and --begin note are for --sync own: a clock has its own time"},
	} {
		_, said, code := runHere(t, append([]string{"listen"}, test.args...)...)
		require.Equal(t, exitUsage, code)
		require.Equal(t, "shedlight: "+test.said+"\n", said)
	}
}
