package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/beat"
)

// --choruses counts whole choruses from the last count-off, whatever was played before
// it: here two of a form, at 120 a minute, two bars counted in. Each action is carried
// out at a bar of song time as it comes; the session is over so many bars after the last.
func TestChorusesCountFromTheLastCountOff(t *testing.T) {
	const bar = 2 * time.Second
	type step struct {
		wait   time.Duration
		action beat.Action
	}
	for name, test := range map[string]struct {
		tune  settings.Tune
		begin beat.Begin
		steps []step
		last  time.Duration // from the last action, or the beginning, to the end
	}{
		"played through":                 {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, nil, (2 + 2*4) * bar},
		"only some bars":                 {settings.Tune{Chart: "two-five-one", Bars: "2-3"}, beat.AtOnce, nil, (2 + 2*2) * bar},
		"again in the first":             {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{3 * bar, beat.Again}}, (2 + 2*4) * bar},
		"again in the last bar":          {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{10*bar - time.Second, beat.Again}}, (2 + 2*4) * bar},
		"again twice":                    {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{8 * bar, beat.Again}, {9 * bar, beat.Again}}, (2 + 2*4) * bar},
		"again in the count-in":          {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{bar, beat.Again}}, (2 + 2*4) * bar},
		"a bar on":                       {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{3 * bar, beat.BarOn}}, (2*4 - 2) * bar},
		"a bar back":                     {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{4 * bar, beat.BarBack}}, (2*4 - 1) * bar},
		"again, then a bar on":           {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{5 * bar, beat.Again}, {4 * bar, beat.BarOn}}, (2*4 - 3) * bar},
		"stopped, then again":            {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{9 * bar, beat.Stop}, {50 * bar, beat.Again}}, (2 + 2*4) * bar},
		"counted off in place of a note": {settings.Tune{Chart: "two-five-one"}, beat.OnNote, []step{{30 * bar, beat.Again}}, (2 + 2*4) * bar},
		"a bar back at the top":          {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{2 * bar, beat.BarBack}}, (1 + 2*4) * bar},
		"a bar back at the second's top": {settings.Tune{Chart: "two-five-one"}, beat.AtOnce, []step{{6 * bar, beat.BarBack}}, (2*4 - 3) * bar},
		"over a chart of meters and a pick-up": {settings.Tune{Chart: meteredChart(t)}, beat.AtOnce, []step{{3 * bar, beat.Again}},
			2*bar + 2*(4+3+3)*time.Second/2},
	} {
		tune, err := tunes.Of(test.tune, settings.Hand{}, nil)
		require.NoError(t, err, name)
		setup := tune.Beat(120)
		setup.CountIn, setup.Begin = 2, test.begin
		clock, err := beat.New(setup)
		require.NoError(t, err)
		l := &limit{line: clock.Line, choruses: 2, length: tune.Setup.Timeline.Length, lastChord: tune.LastChord()}
		now := time.Duration(0)
		over := func(at time.Duration) bool {
			for ; now < at; now += 20 * time.Millisecond {
				clock.Pass(now)
				if l.reached(clock.Tick(now)) {
					return true
				}
			}
			clock.Pass(at)
			return l.reached(clock.Tick(at))
		}
		last := time.Duration(0)
		for _, s := range test.steps {
			last += s.wait
			require.False(t, over(last), name)
			clock.Do(s.action, last)
		}
		const off = 3 * time.Millisecond // an action holds from the next tick on
		require.False(t, over(last+test.last-off), "%s: too soon", name)
		require.True(t, over(last+test.last+off), "%s: too late", name)
	}
}

// meteredChart writes a chart with a pick-up, whose three bars have four, three and, in
// 6/8, three quarter notes.
func meteredChart(t *testing.T) string {
	t.Helper()
	path := t.TempDir() + "/Three Steps.chart"
	text := "title: Three Steps\nkey: C\nmeter: 4/4\npickup: 1\n\n| C6 | {meter 3/4} G7 | {meter 6/8} C6 |\n"
	require.NoError(t, writeNewAs(path, []byte(text), 0o600))
	return path
}
