package analyse_test

import (
	"fmt"
	"testing"

	"shedlight/analyse"
	"shedlight/analyse/changes"
)

// pile is so many notes on one tick: keys that are held, struck again and again, or
// each let go at once.
func pile(notes int, letGo bool) []analyse.Event {
	var out []analyse.Event
	for i := range notes {
		key := uint8(36 + i*7%48)
		out = append(out, analyse.Event{Kind: analyse.NoteOn, Tick: 960, Key: key, Velocity: 80})
		if letGo {
			out = append(out, analyse.Event{Kind: analyse.NoteOff, Tick: 960, Key: key})
		}
	}
	return out
}

// A note costs the same however many stand on its tick.
func BenchmarkJudgePile(b *testing.B) {
	for _, letGo := range []bool{false, true} {
		for _, legato := range []bool{false, true} {
			for _, notes := range []int{2_500, 10_000, 40_000} {
				events := pile(notes, letGo)
				b.Run(fmt.Sprintf("let go %t, legato %t, %d notes", letGo, legato, notes), func(b *testing.B) {
					for b.Loop() {
						a := analyser(b, analyse.Setup{Centre: centre(b, "C", changes.Major), Legato: legato})
						for _, e := range events {
							a.Add(e)
						}
						a.Finish(9600)
					}
					b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*notes), "ns/note")
				})
			}
		}
	}
}
