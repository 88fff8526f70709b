package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

// echoTick is a tick at 120 quarter notes a minute.
const echoTick = 500 * time.Millisecond / timebase.Quarter

// echoLine is a clock in free time, or with a beat.
func echoLine(t *testing.T, s beat.Setup) *beat.Clock {
	t.Helper()
	clock, err := beat.New(s)
	require.NoError(t, err)
	return clock
}

// playedNote tells an echo of a note and its release.
func playedNote(e *echo, line *beat.Line, n, tick, off int64, key uint8) {
	e.heard(&analyse.Finding{Stage: analyse.Heard, N: n, Tick: tick, Key: key, Velocity: 90}, line)
	e.released(analyse.Event{Tick: off, Kind: analyse.NoteOff, Key: key})
}

// struckBack is what an echo sounds between two ticks, asked for piece by piece as a
// conductor does.
func struckBack(e *echo, line *beat.Line, from, to int64) (at []int64, notes []sound.Note) {
	for tick := from; tick < to; tick += 37 {
		line.Stretches(tick, min(tick+37, to), func(s beat.Stretch) {
			e.part(line.Form(), s, func(tick int64, n sound.Note) { at, notes = append(at, tick), append(notes, n) })
		})
	}
	return at, notes
}

// The last phrase comes back with the same keys, as hard, as long and as far apart: it
// begins later by whole beats, and not before a conductor can send it. Notes before
// and behind the phrase do not come.
func TestAPhraseIsSoundedAgain(t *testing.T) {
	var e echo
	clock := echoLine(t, beat.Setup{Quarter: 500_000, CountIn: 1})
	clock.Pass(3 * time.Second)
	line := clock.Line()
	playedNote(&e, line, 0, 1000, 1100, 40)
	playedNote(&e, line, 1, 5*960+480, 5*960+900, 60) // off the beat
	playedNote(&e, line, 2, 6*960+7, 6*960+300, 64)
	playedNote(&e, line, 3, 6*960+7, 6*960+500, 67)
	e.heard(&analyse.Finding{Stage: analyse.Heard, N: 4, Tick: 7 * 960, Key: 72, Velocity: 50}, line) // still down
	at, _ := struckBack(&e, line, 0, 30_000)
	require.Empty(t, at, "nobody has asked")

	now := 4100 * time.Millisecond // tick 7872
	clock.Pass(now)
	line = clock.Line()
	e.start(&phrase.Phrase{First: 1, Last: 4}, 7872, line, now)
	at, notes := struckBack(&e, line, 0, 30_000)
	soonest := int64((now + sound.Soonest) / echoTick) // 8736: its beat is 9.1
	shift := at[0] - (5*960 + 480)
	require.Zero(t, shift%960, "whole beats")
	require.GreaterOrEqual(t, at[0], soonest)
	require.Less(t, at[0], soonest+960+2)
	require.Equal(t, []int64{5*960 + 480 + shift, 6*960 + 7 + shift, 6*960 + 7 + shift, 7*960 + shift}, at)
	require.Equal(t, []sound.Note{
		{Voice: sound.Piano, Key: 60, Velocity: 90, Ticks: 420}, {Voice: sound.Piano, Key: 64, Velocity: 90, Ticks: 293},
		{Voice: sound.Piano, Key: 67, Velocity: 90, Ticks: 493}, {Voice: sound.Piano, Key: 72, Velocity: 50, Ticks: 7872 - 7*960},
	}, notes)

	again, _ := struckBack(&e, line, 0, 30_000)
	require.Equal(t, at, again, "a part says the same twice")
	playedNote(&e, line, 5, 8000, 8100, 62)
	at, _ = struckBack(&e, line, 0, 30_000)
	require.Empty(t, at, "the player has begun again")
}

// Counted off anew in the middle of a beat, it comes in the same place of the new ones;
// without a beat it comes at once.
func TestAPhraseIsSoundedAgainInTime(t *testing.T) {
	var e echo
	clock := echoLine(t, beat.Setup{Quarter: 500_000, CountIn: 1})
	clock.Pass(time.Second)
	playedNote(&e, clock.Line(), 0, 960+240, 1500, 60)
	clock.Do(beat.Again, 1700*time.Millisecond)
	now := 2 * time.Second
	clock.Pass(now)
	line := clock.Line()
	e.start(&phrase.Phrase{}, 2000, line, now)
	at, _ := struckBack(&e, line, 0, 30_000)
	require.Len(t, at, 1)
	song, _ := line.Song(at[0])
	require.EqualValues(t, 240, timebase.Mod(song, 960), "a sixteenth behind the beat, as it was")
	require.NotZero(t, (at[0]-960-240)%960, "which lies elsewhere now")

	e = echo{}
	free := echoLine(t, beat.Setup{})
	free.Pass(now)
	line = free.Line()
	playedNote(&e, line, 0, 1200, 1500, 60)
	e.start(&phrase.Phrase{}, 2000, line, now)
	at, _ = struckBack(&e, line, 0, 30_000)
	require.Equal(t, []int64{int64((now+sound.Soonest)/echoTick) + 1}, at)
}
