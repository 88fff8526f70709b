package analyse_test

import (
	"fmt"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
)

// What is being outlined stays open between the chords that hold the tones, in
// C major C6 and Cmaj7, until a tone decides.
func ExampleFigure() {
	a, err := analyse.New(analyse.Setup{Centre: &changes.Centre{}})
	if err != nil {
		panic(err)
	}
	const eighth, inLine = 480, 100 // ticks; a note is in the line after 50 ms
	for i, key := range []uint8{60, 64, 67, 71} {
		tick := int64(i) * eighth
		a.Add(analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: key, Velocity: 80})
		a.AdvanceTo(tick + inLine)
		fmt.Println(strings.Join(a.Snapshot().Outlined.Chords, " or "))
		a.Add(analyse.Event{Tick: tick + 400, Kind: analyse.NoteOff, Key: key})
	}
	// Output:
	//
	//
	// C6 or Cmaj7
	// Cmaj7
}
