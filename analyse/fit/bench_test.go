package fit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// endless plays one take over and over, each time where the last one ended.
type endless struct {
	f     *fit.Fit
	line  *changes.Timeline
	notes []linegen.Note
	next  int
	n     int64
	start int64
}

func newEndless(line *changes.Timeline) *endless {
	const choruses = 8
	return &endless{f: fit.New(line), line: line, notes: linegen.Line(line, song.ChordView, 1, choruses)}
}

// note plays the next note and whatever the judge calls around it.
func (e *endless) note() {
	const choruses = 8
	n := e.notes[e.next]
	song := e.start + n.Tick
	e.f.Advance(song)
	e.f.Note(fit.Note{N: e.n, Song: song, Key: n.Key, Timed: true})
	e.n++
	if e.next++; e.next == len(e.notes) {
		e.next, e.start = 0, e.start+choruses*e.line.Length
		e.f.EndPhrase(song + n.Length)
		return
	}
	if e.notes[e.next].Tick-n.Tick-n.Length >= timebase.Quarter {
		e.f.EndPhrase(song + n.Length)
	}
}

func BenchmarkNote(b *testing.B) {
	for _, bench := range []struct{ name, chart string }{{"form", tunes[0]}, {"meters", charts[6]}} {
		b.Run(bench.name, func(b *testing.B) {
			e := newEndless(unrolled(b, bench.chart))
			b.ReportAllocs()
			for b.Loop() {
				e.note()
			}
		})
	}
}

func BenchmarkNow(b *testing.B) {
	e := newEndless(unrolled(b, tunes[0]))
	for range 500 {
		e.note()
	}
	song := e.notes[500].Tick
	b.ReportAllocs()
	for b.Loop() {
		e.f.Now(song)
	}
}

// Within a chorus nothing is allocated, asked for or not.
func TestNoAllocations(t *testing.T) {
	for _, text := range []string{tunes[0], charts[6]} {
		e := newEndless(unrolled(t, text))
		for range 500 {
			e.note()
		}
		assert.Zero(t, testing.AllocsPerRun(5000, func() {
			e.note()
			e.f.Now(e.start + e.notes[e.next].Tick)
		}))
	}
}
