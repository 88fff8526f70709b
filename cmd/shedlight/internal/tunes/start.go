package tunes

import (
	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/usage"
)

// BarTick returns the tick at which a bar of a take begins: of the chart in the first
// chorus that has it, by its number; without a chart counted from the take's first
// beat. The error says what bars there are.
func (t *Tune) BarTick(events []analyse.Event, end int64, bar int) (int64, error) {
	tick, ok := fileBar(events, bar), true
	if line := t.Setup.Timeline; line != nil {
		row, last := bar-line.Bars[0].Number, line.Bars[len(line.Bars)-1].Number
		if row < 0 || row >= len(line.Bars) {
			return 0, usage.Errorf("--start %d: the form has the bars %d to %d", bar, line.Bars[0].Number, last)
		}
		tick, ok = reached(events, end, line.Bars[row].Start)
	}
	if !ok || tick >= end {
		return 0, usage.Errorf("--start %d: the take ends before that bar", bar)
	}
	return tick, nil
}

// reached is the first tick at which the song comes to a song tick.
func reached(events []analyse.Event, end, song int64) (tick int64, ok bool) {
	var origin analyse.Event
	comes := func(until int64) bool {
		tick = origin.Tick + song - origin.Value
		return origin.Key == 1 && origin.Tick <= tick && tick < until
	}
	for _, e := range events {
		if e.Kind != analyse.Origin {
			continue
		}
		if comes(e.Tick) {
			return tick, true
		}
		origin = e
	}
	return tick, comes(end)
}

// fileBar is where a bar begins in the meters of a file, 4/4 before the first.
func fileBar(events []analyse.Event, bar int) (tick int64) {
	meter := timebase.Common
	left := int64(bar - 1)
	for _, e := range events {
		next, ok := timebase.Unpack(e.Value)
		if e.Kind != analyse.Meter || !ok {
			continue
		}
		if bars := (e.Tick - tick + meter.Bar() - 1) / meter.Bar(); bars <= left {
			left -= bars
			tick, meter = e.Tick, next
			continue
		}
		break
	}
	return tick + left*meter.Bar()
}
