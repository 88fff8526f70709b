//go:build unix

package main

import (
	"bytes"
	"cmp"
	"context"
	"iter"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
)

// recital is a source that plays its events as fast as they are taken.
type recital []analyse.Event

func (s recital) Events(context.Context, <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		for _, e := range s {
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (s recital) Close() error { return nil }

// listened is a session over Two Bridges in which a line was played: what was written
// to standard output, and the take.
func listened(t *testing.T, b *band, notes []linegen.Note, json bool) (out, path string) {
	t.Helper()
	events := linegen.Events(notes)
	for at := int64(0); at < notes[len(notes)-1].Tick; at += timebase.Quarter / 4 { // time goes on in rests too
		events = append(events, analyse.Event{Tick: at, Kind: analyse.Advance})
	}
	slices.SortStableFunc(events, func(x, y analyse.Event) int { return cmp.Compare(x.Tick, y.Tick) })
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	dir := t.TempDir()
	plan := &sessionPlan{
		tune: b.tune, source: append(recital(opening(b.t, b.tune, 0)), events...), name: "Keys", command: &listenCommand{},
		look: settings.Look{ASCII: true}, plain: !json, json: json, takes: dir,
	}
	require.NoError(t, (&program{out: file, messages: &bytes.Buffer{}}).play(plan))
	text, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	return string(text), theTake(t, dir)
}

// offLines are lines over Two Bridges by what is wrong with them.
func offLines(b *band) map[string][]linegen.Note {
	line, asPlayed := b.tune.Setup.Timeline, b.line(3, fitChoruses)
	return map[string][]linegen.Note{
		"as it was improvised":         asPlayed,
		"a bar late":                   delayed(asPlayed, line.Bars[0].Meter.Bar()),
		"a half step high":             linegen.Shift(asPlayed, 1),
		"a half step high in a bridge": shiftedIn(asPlayed, line.Length, line.Bars[32].Start, line.Bars[40].Start, 1),
	}
}

// A dual voice that is listened to is said at the end, where no channel was chosen.
func TestADualVoiceIsSaid(t *testing.T) {
	for channels, want := range map[settings.Channels]string{
		0:    "shedlight: every note comes twice, on channels 1 and 3: choose one with --channel\n",
		0b11: "",
	} {
		var source recital
		for i := range int64(16) { // as few as tell
			for _, channel := range []uint8{0, 2} {
				source = append(source,
					analyse.Event{Tick: i * 480, Kind: analyse.NoteOn, Channel: channel, Key: 60 + uint8(i), Velocity: 80},
					analyse.Event{Tick: i*480 + 400, Kind: analyse.NoteOff, Channel: channel, Key: 60 + uint8(i)})
			}
		}
		slices.SortStableFunc(source, func(x, y analyse.Event) int { return cmp.Compare(x.Tick, y.Tick) })
		tune, err := tunes.Of(settings.Tune{}, settings.Hand{Channel: channels}, nil)
		require.NoError(t, err)
		file, err := os.Create(filepath.Join(t.TempDir(), "out"))
		require.NoError(t, err)
		defer file.Close()
		var messages bytes.Buffer
		plan := &sessionPlan{tune: tune, source: source, command: &listenCommand{}, plain: true, played: true, noTake: true}
		require.NoError(t, (&program{in: os.Stdin, out: file, messages: &messages}).play(plan))
		require.Equal(t, want, messages.String())
	}
}

// listen --json prints a verdict on a section, a chorus or the take as soon as it is
// reached, where it claims something, and never one on a phrase: those are for the
// review. What it keeps is what the review of the take keeps.
func TestClaimsAreTold(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	spans := map[any]int{}
	for name, notes := range offLines(b) {
		out, path := listened(t, b, notes, true)
		lines := objects(t, out)
		_, summary := joined(t, lines)
		text, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, JSON: true})
		require.NoError(t, err)
		require.NotEmpty(t, summary["fit"], name)
		require.Equal(t, objects(t, text)[0]["fit"], summary["fit"], name)

		var claims []any
		for _, verdict := range summary["fit"].([]any) {
			v := verdict.(object)
			if v["says"] != "elsewhere" && v["says"] != "nowhere" {
				require.NotEqual(t, "phrase", v["span"], "a phrase is kept where it claims something")
				continue
			}
			if spans[v["span"]]++; v["span"] != "phrase" {
				claims = append(claims, v)
			}
		}
		require.Equal(t, claims, claimed(lines), name)
		require.Equal(t, name == "as it was improvised", claims == nil, name)
	}
	for _, span := range []string{"phrase", "section", "chorus", "take"} {
		require.Positive(t, spans[span], "no %s claims anything", span)
	}
}

// Plain lines tell a claim in a rest only: never between two notes of one phrase.
func TestPlainLinesTellAClaimInARest(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	isNote := regexp.MustCompile(`^ *\d+\.\d{3} +\d+\.\d+\.\d+ `)
	isClaim := regexp.MustCompile(`^-- (the whole take|chorus \d+|chorus \d+, bars? [0-9-]+|Bars? [0-9-]+): .*(one bar behind|a half step high)`)
	for name, notes := range offLines(b) {
		out, path := listened(t, b, notes, false)
		text, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, JSON: true})
		require.NoError(t, err)
		var ends []int // how many notes there are up to the end of each phrase
		for _, p := range readObject(t, text).Phrases {
			ends = append(ends, int(p.Last)+1)
		}
		told, played := 0, 0
		for line := range strings.Lines(out) {
			switch {
			case isNote.MatchString(line):
				played++
			case isClaim.MatchString(line):
				told++
				require.Contains(t, ends, played, "%s: after %d notes: %s", name, played, line)
			}
		}
		require.Equal(t, name == "as it was improvised", told == 0, name)
		require.Equal(t, len(notes), played, "every note has its line")
	}
}
