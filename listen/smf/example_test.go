package smf_test

import (
	"fmt"
	"slices"

	"shedlight/analyse"
	"shedlight/listen/smf"
)

// A damaged file is read as far as it goes.
func ExampleRead() {
	file := "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60" + // format 0, one track, 96 ticks to the quarter
		"MTrk\x00\x00\x00\x10\x00\x90\x3C\x50\x60\x3C\x00\x00\x90\x40" // C4, a quarter long, then a torn note
	f, err := smf.Read([]byte(file))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range slices.Collect(f.Stream(smf.Selection{})) {
		fmt.Println(e.Tick, e.Kind == analyse.NoteOn, e.Key, e.Velocity)
	}
	for _, d := range f.Damage {
		fmt.Println(d.Offset, d.Text)
	}
	// Output:
	// 0 true 60 80
	// 960 true 60 0
	// 18 track of 16 bytes, 10 left
	// 31 the track ends within a message
}
