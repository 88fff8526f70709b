package tunes

import (
	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen/take"
)

// maxMarkers bounds the chord symbols of one take: eight hours of two a second.
const maxMarkers = 60_000

// Markers puts the chord symbols that sounded into a take: it is a take.Markers.
func Markers(s take.Settings, times []analyse.Event, end int64) []take.Marker {
	t, err := Of(settings.Tune{}, settings.Hand{}, &s)
	if err != nil || t.Setup.Timeline == nil {
		return nil // the settings are from a file: what cannot be read has no symbols
	}
	return symbolMarkers(t.Setup.Timeline, times, end)
}

// symbolMarkers lists the chord symbols of a timeline at the ticks at which
// they sounded, as the origins among the events say.
func symbolMarkers(line *changes.Timeline, times []analyse.Event, end int64) []take.Marker {
	var out []take.Marker
	for i, e := range times {
		if e.Kind != analyse.Origin || e.Key != 1 {
			continue
		}
		until := end
		for _, next := range times[i+1:] {
			if next.Kind == analyse.Origin {
				until = next.Tick
				break
			}
		}
		song := max(0, e.Value)
		for chorus := song - song%line.Length; e.Tick+chorus-e.Value < until; chorus += line.Length {
			for _, slot := range line.Slots {
				tick := e.Tick + chorus + slot.Start - e.Value
				if len(out) == maxMarkers {
					return out
				}
				if tick < until && slot.End+chorus > song {
					out = append(out, take.Marker{Tick: max(tick, e.Tick), Text: slot.Symbol})
				}
			}
		}
	}
	return out
}
