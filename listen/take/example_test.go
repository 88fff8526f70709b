package take_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"shedlight/analyse"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// A take from its first note to its review.
func Example() {
	dir, err := os.MkdirTemp("", "takes")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	began := time.Date(2026, 11, 25, 20, 0, 0, 0, time.UTC)
	recorder, err := take.Start(dir, take.Settings{Title: "Two Bridges", View: "key"}, began, take.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	recorder.Add(analyse.Event{Tick: 0, Kind: analyse.NoteOn, Key: 60, Velocity: 80})
	recorder.Add(analyse.Event{Tick: 480, Kind: analyse.NoteOff, Key: 60})
	path, err := recorder.Close(3840)
	if err != nil {
		fmt.Println(err)
		return
	}
	played, err := take.Load(path, smf.Selection{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(filepath.Base(path), played.Title, len(slices.Collect(played.Events)), played.End)
	// Output: 2026-11-25_20-00-00.mid Two Bridges 2 3840
}
