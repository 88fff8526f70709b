package display

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// beforePlaying is a start screen on which the chart is chosen, while a key is down.
func beforePlaying() *Start {
	return &Start{Chosen: 1, Rows: []StartRow{
		{Name: "instrument", Value: "Stage Keys MIDI 1", Heard: &Heard{Name: "Eb", Level: 5}},
		{Name: "chart", Value: "Lanterns on the Quay", From: "as last time", Bars: [][]string{{"F6"}, {"Dm7"}, {"Am7", "D7b9"}, {"Gm7", "C7"}}},
		{Name: "key", Value: "the chart's, F major"},
		{Name: "tempo", Value: "132", From: "chosen now"},
		{Name: "view", Value: "each chord", From: "settings"},
		{Name: "sound", Value: "this machine"},
		{Name: "goal", Value: "no slip in B"},
	}}
}

func TestStartScreens(t *testing.T) {
	typing, wrong, hostileStart := beforePlaying(), beforePlaying(), beforePlaying()
	typing.Chosen, typing.Typing, typing.Rows[3].Value = 3, true, "1320"
	typing.Wrong = "--tempo 1320: expected 10 to 600 beats a minute"
	wrong.Wrong = "no chart file none.chart, and no built-in chart of that name: there are blues, diminished-turnaround, minor-blues, minor-two-five-one, passing-turnaround, rhythm-bridge, two-five-one; of your own quay, harbour"
	hostileStart.Rows[0].Value, hostileStart.Rows[1].Value = "\x1b]0;owned\x07", strings.Repeat("Brücke\u202e 橋 ", 30)
	hostileStart.Rows[1].Bars = [][]string{{"\x1b[2J", strings.Repeat("Db7alt/", 40)}}
	for name, start := range map[string]*Start{"start": beforePlaying(), "start-typing": typing, "start-wrong": wrong, "start-hostile": hostileStart} {
		for _, size := range sizes {
			got := onTerminal(t, "", Frame{Start: start}, Options{}, size.w, size.h, nil)
			require.NotContains(t, got, "\x1b")
			if name == "start" || size.w == 80 || size.w == 40 {
				golden(t, fmt.Sprintf("%s-%dx%d.txt", name, size.w, size.h), got)
			}
		}
	}
	ascii := onTerminal(t, "", Frame{Start: beforePlaying()}, Options{ASCII: true}, 80, 24, nil)
	golden(t, "start-ascii-80x24.txt", ascii)
	require.Equal(t, ascii, onTerminal(t, "US-ASCII", Frame{Start: beforePlaying()}, Options{}, 80, 24, nil))
	for _, r := range ascii {
		require.Less(t, r, rune(0x80))
	}
	golden(t, "start-help-80x24.txt", onTerminal(t, "", Frame{Start: beforePlaying()}, Options{}, 80, 24, func(s *Screen) { s.painter.help = helpSignsPage }))
	golden(t, "start-written-bb-80x24.txt", onTerminal(t, "", Frame{Start: beforePlaying()}, Options{Written: tenor}, 80, 24, nil))
}

// Whatever the size, the chosen row is there, and the foot where there are two rows.
func TestStartScreenShowsWhatIsChosen(t *testing.T) {
	p := newPainter(Options{})
	for w := 1; w <= 210; w += 19 {
		for h := 1; h <= 70; h += 3 {
			for chosen := range beforePlaying().Rows {
				s := beforePlaying()
				s.Chosen = chosen
				got := p.paint(&Frame{Start: s}, w, h).String()
				require.Equal(t, 1, strings.Count(got, ">"), "%dx%d\n%s", w, h, got)
				if w > 2*gap {
					name := head(s.Rows[chosen].Name, min(w, largeWidth)-3)
					require.Contains(t, got, "> "+name, "%dx%d\n%s", w, h, got)
				}
				if w >= largeWidth && h > 1 {
					rows := strings.Split(strings.TrimRight(got, "\n"), "\n")
					require.Contains(t, rows[len(rows)-1], "Enter plays", "%dx%d", w, h)
				}
			}
		}
	}
}
