//go:build unix

package main

import (
	"bytes"
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

// What a sound process says reaches the player once: the caution with the first
// sound, a loss for as long as it lasts.
func TestWhatTheSoundSays(t *testing.T) {
	s := &sounding{first: func() {}, level: sound.DefaultLevel}
	told := func(r sound.Report) (lost, news string) {
		t.Helper()
		s.hear(r)
		lost, news = s.told()
		_, again := s.told()
		require.Empty(t, again, "said once")
		return lost, news
	}
	lost, news := told(sound.Report{News: sound.Refused, Text: "this machine has no audio device"})
	require.Equal(t, []string{"", "no sound: this machine has no audio device"}, []string{lost, news})
	require.False(t, s.on())

	_, news = told(sound.Report{News: sound.Sounding, Name: "Headphones"})
	require.Equal(t, "volume 4 of 10 (+ -); keep it low enough to talk over. On Headphones", news)
	require.True(t, s.on())

	_, news = told(sound.Report{News: sound.Enlarged, Buffer: 42 * time.Millisecond})
	require.Equal(t, "the sound has stumbled: it comes 21 ms later now", news)
	_, news = told(sound.Report{News: sound.Sounding, Name: "Headphones"})
	require.Empty(t, news, "on with another buffer: the caution is said once")

	lost, news = told(sound.Report{News: sound.LostSound, Name: "Headphones", Text: "the server is gone"})
	require.Equal(t, []string{"the server is gone", ""}, []string{lost, news})
	lost, news = told(sound.Report{News: sound.Refused, Text: "no server"})
	require.Equal(t, []string{"the server is gone", ""}, []string{lost, news}, "it is said already")
	lost, news = told(sound.Report{News: sound.Sounding, Name: "Headphones"})
	require.Equal(t, []string{"", "sound again: Headphones"}, []string{lost, news})

	_, news = told(sound.Report{News: sound.NoDevice, Name: "Null"})
	require.Equal(t, "no sound device: nobody hears Null", news)
	require.False(t, s.on())
}

// A session without a device judges on, and says once that there is no sound; at
// its end the sound process is gone. The instrument here is a MIDI output that a
// machine does not have.
func TestASessionWithoutADeviceGoesOn(t *testing.T) {
	var said bytes.Buffer
	p := &program{messages: &said}
	s := p.startSound(settings.Sound{Sound: "midi", Out: "no such instrument", Click: "beats"}, settings.BandChannels{}, "", true, soundWithin)
	require.NotNil(t, s)
	require.False(t, s.on())
	clock, err := beat.New(beat.Setup{Quarter: 500_000, CountIn: 1})
	require.NoError(t, err)
	zero := time.Now()
	s.line, s.zero = clock.Line, func() time.Time { return zero }
	analyser, err := analyse.New(analyse.Setup{})
	require.NoError(t, err)
	ses := &session{analyser: analyser, slips: reviews.NewSlips(), sound: s, source: recital{
		{Kind: analyse.Tempo, Value: 500_000},
		{Tick: 960, Kind: analyse.NoteOn, Key: 60, Velocity: 80},
		{Tick: 960, Kind: analyse.Asked, Value: int64(beat.Tap)},
	}}
	require.NoError(t, ses.play(t.Context()))
	require.Equal(t, "tap", ses.status.Notice, "the answer")
	ses.source = recital{{Tick: 961, Kind: analyse.Asked, Value: int64(beat.PhraseBack)}}
	require.NoError(t, ses.play(t.Context()))
	require.Equal(t, "no sound: no phrase is played back", ses.status.Notice)
	require.Equal(t, int64(1), analyser.Snapshot().Counts.Notes)
	s.close(p)
	require.Empty(t, said.String())
}

// No sound is wanted where nobody asks for one and there is no tempo.
func TestWhenThereIsSound(t *testing.T) {
	for _, c := range []struct {
		sound  settings.Sound
		timed  bool
		silent bool
	}{
		{settings.Sound{}, true, false},
		{settings.Sound{}, false, true},
		{settings.Sound{Sound: "off"}, true, true},
		{settings.Sound{Sound: "own"}, false, false},
		{settings.Sound{Out: "Module"}, false, false},
	} {
		require.Equal(t, c.silent, c.sound.Silent(c.timed), "%+v", c)
	}
	for _, wrong := range []settings.Sound{
		{Sound: "own", Out: "Module"}, {Sound: "midi", Speaker: "Headphones"}, {Sound: "off", Speaker: "Headphones"},
	} {
		require.Error(t, wrong.Check(), "%+v", wrong)
	}
}

// The demo's player strikes each note at its tick, once, for as long as it was held.
func TestTheDemoIsPlayed(t *testing.T) {
	part := playing([]analyse.Event{
		{Tick: 0, Kind: analyse.NoteOn, Key: 60, Velocity: 80},
		{Tick: 480, Kind: analyse.NoteOn, Key: 60, Velocity: 0},
		{Tick: 480, Kind: analyse.NoteOn, Key: 64, Velocity: 70},
		{Tick: 700, Kind: analyse.NoteOff, Key: 64},
		{Tick: 960, Kind: analyse.NoteOn, Key: 67, Velocity: 60},
	})
	type struck struct {
		tick int64
		note sound.Note
	}
	var got []struck
	for from := int64(0); from < 1920; from += 240 {
		part(nil, beat.Stretch{From: from, To: from + 240}, func(tick int64, n sound.Note) { got = append(got, struck{tick, n}) })
	}
	require.Equal(t, []struck{
		{0, sound.Note{Voice: sound.Piano, Key: 60, Velocity: 80, Ticks: 480}},
		{480, sound.Note{Voice: sound.Piano, Key: 64, Velocity: 70, Ticks: 220}},
		{960, sound.Note{Voice: sound.Piano, Key: 67, Velocity: 60, Ticks: timebase.Quarter}},
	}, got)
}

// A session waits for the band's last chord, a bar of a tenth of a second here, but not
// for longer than the player does; where the tune ends within its last bar it waits for
// nothing.
func TestTheLastChordRings(t *testing.T) {
	form := beat.Form{Bars: []beat.Bar{{Meter: timebase.Common}}, Length: timebase.Common.Bar()}
	clock, err := beat.New(beat.Setup{Form: &form, Quarter: beat.Fastest})
	require.NoError(t, err)
	zero := time.Now()
	clock.Pass(time.Second)
	line := clock.Line()
	s := &sounding{
		name: "Module", choruses: 3, rings: form.Length,
		line: func() *beat.Line { return line }, zero: func() time.Time { return zero },
	}
	s.ring(t.Context())
	require.GreaterOrEqual(t, time.Since(zero), 400*time.Millisecond, "three bars and one")

	s.choruses = 1_000_000
	ctx, stop := context.WithCancel(t.Context())
	stop()
	s.ring(ctx)
	s.rings = 0
	s.ring(t.Context())
	(*sounding)(nil).ring(t.Context())
}
