package listen

import (
	"context"
	"slices"
	"testing"
	"time"

	"shedlight/analyse"
)

// BenchmarkCallback measures a callback from its entry to its return: the time,
// the copy, the send into a queue that somebody empties.
func BenchmarkCallback(b *testing.B) {
	l := &Live{epoch: time.Now(), queue: make(chan message, queueSize)}
	receive := l.receive(1)
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range l.queue {
		}
	}()
	note := []byte{0x90, 60, 70}
	took := make([]time.Duration, 0, b.N)
	b.ReportAllocs()
	for b.Loop() {
		begun := time.Now()
		receive(note, 0.0001)
		took = append(took, time.Since(begun))
	}
	close(l.queue)
	<-done
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Nanoseconds()), "p50-ns")
	b.ReportMetric(float64(took[len(took)*99/100].Nanoseconds()), "p99-ns")
	b.ReportMetric(float64(l.lost.Load()), "lost")
}

// BenchmarkLive measures a message from the callback's entry to the caller of
// Events, one at a time.
func BenchmarkLive(b *testing.B) {
	system := &fakeSystem{ports: []string{"Keys"}}
	l, err := openLive(system, Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	heard := make(chan struct{})
	go func() {
		for e := range l.Events(ctx, nil) {
			if e.Kind == analyse.NoteOn {
				heard <- struct{}{}
			}
		}
		close(heard)
	}()
	b.ReportAllocs()
	for b.Loop() {
		system.send(0.0001, 0x90, 60, 70)
		<-heard
	}
	cancel()
	<-heard
}

// BenchmarkStamp measures the making of one stamp.
func BenchmarkStamp(b *testing.B) {
	var s stamper
	wall := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		wall += time.Millisecond
		s.stamp(wall, 0.001)
	}
}
