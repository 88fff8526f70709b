package display_test

import (
	"fmt"
	"os"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
	"shedlight/display"
)

func ExampleClean() {
	fmt.Println(display.Clean("Stage\x1b[2J Keys\r\n"))
	// Output: Stage?[2J Keys??
}

func ExampleLines() {
	lines := display.NewLines(os.Stdout, display.Options{})
	_ = lines.Show(display.Status{Source: "Stage Keys"})
	_ = lines.Add(analyse.Finding{
		Stage: analyse.Heard, N: 0, MS: 1250, Key: 66, Name: "F#", Place: song.Outside, Chord: "F6",
		Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(5).Name()), Role: analyse.Line, Fate: fate.Pending,
	})
	_ = lines.Add(analyse.Finding{Stage: analyse.Settled, N: 0, Fate: fate.Approach, By: 1})
	// Output:
	// -- listening to Stage Keys
	//     1.250            F♯4      outside         F6         F6 dim
	//     1.250            F♯4      approach
}

func ExampleWriteSummary() {
	_ = display.WriteSummary(os.Stdout, &display.Outcome{Summary: analyse.Summary{
		Title: "Two Bridges", Notes: 40, Seconds: 61, View: song.KeyView, ChordTones: 22,
		Place:        song.PlaceCounts{Home: 24, Dim: 12, Outside: 4},
		Fate:         map[string]int64{"passing": 3, "unresolved": 1},
		Groups:       analyse.GroupCounts{Chord: 22, Scale: 14, Way: 3, Slip: 1},
		Centres:      []analyse.CentreCount{{Centre: "Bb major", Tally: analyse.Tally{Notes: 40, Outside: 4, Unresolved: 1}}},
		ChordsDetail: []analyse.ChordCount{{Bar: 13, ToBar: 14, Symbol: "C7", Tally: analyse.Tally{Notes: 9, Outside: 3, Unresolved: 1}}},
	}}, display.Options{ASCII: true})
	// Output:
	// Two Bridges
	//
	// Played      40 notes in 1:01
	//
	// Fitted      on the chord 22 (55 %), in the scale 14 (35 %), slips 1 (3 %)
	//             on its way 3 (8 %): passing 3
	//             by the key's scale: six 24, dim 12, outside 4
	//
	// Slipped     1 slip in 40 notes
	//             bars 13-14, over C7: 1 of 9 notes
}
