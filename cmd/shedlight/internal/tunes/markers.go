package tunes

import (
	"shedlight/analyse"
	"shedlight/analyse/song"
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
	return symbolMarkers(song.New(t.Setup.Timeline, t.Setup.Keys, nil, song.KeyView), times, end)
}

// symbolMarkers lists the chord symbols of a song at the ticks at which they sounded, as
// the origins among the events say.
func symbolMarkers(in song.Song, times []analyse.Event, end int64) []take.Marker {
	var out []take.Marker
	line := in.Timeline
	for i, e := range times {
		if e.Kind != analyse.Origin {
			continue
		}
		in.Origin(e.Tick, e.Value, e.Key == 1)
		if e.Key != 1 {
			continue
		}
		until := end
		for _, next := range times[i+1:] {
			if next.Kind == analyse.Origin {
				until = next.Tick
				break
			}
		}
		from := max(0, e.Value)
		for chorus := from - from%line.Length; e.Tick+chorus-e.Value < until; chorus += line.Length {
			for _, slot := range in.In(int(chorus/line.Length) + 1).Slots {
				tick := e.Tick + chorus + slot.Start - e.Value
				if len(out) == maxMarkers {
					return out
				}
				if tick < until && slot.End+chorus > from {
					out = append(out, take.Marker{Tick: max(tick, e.Tick), Text: slot.Symbol})
				}
			}
		}
	}
	return out
}
