package fit_test

import (
	"fmt"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/timebase"
)

// A player who rests in bar 1 by mistake and spells every chord a bar late.
func ExampleFit() {
	chart, _ := changes.Parse(strings.NewReader("| Cmaj7 | Am7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7 | G7 |"))
	line, _ := chart.Unroll()
	f := fit.New(&line)
	arpeggios := [][4]uint8{
		{60, 64, 67, 71}, {57, 60, 64, 67}, {65, 68, 72, 75}, {58, 62, 65, 68}, {63, 67, 70, 74}, {56, 60, 63, 67}, {62, 65, 69, 72},
	}
	var said []fit.Verdict
	n := int64(0)
	for bar, tones := range arpeggios {
		for i := range 8 {
			song := int64(8*(bar+1)+i) * timebase.Quarter / 2
			said = append(said, f.Note(fit.Note{N: n, Song: song, Key: tones[i%4], Timed: true})...)
			n++
		}
	}
	said = append(said, f.Finish(line.Length)...)
	for _, v := range said {
		fmt.Printf("%s, bars %d-%d: %s, beats %d\n", v.Span, v.FromBar, v.ToBar-1, v.Says, v.Elsewhere.Beats)
	}
	fmt.Println(len(fit.Speaking(said)), "sentence")
	// Output:
	// phrase, bars 2-8: elsewhere, beats -4
	// section, bars 1-8: elsewhere, beats -4
	// chorus, bars 1-8: elsewhere, beats -4
	// take, bars 1-8: elsewhere, beats -4
	// 1 sentence
}

// In a rest a player is told of the last bars at once.
func ExampleFit_Now() {
	chart, _ := changes.Parse(strings.NewReader("| Cmaj7 | Am7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7 | G7 |"))
	line, _ := chart.Unroll()
	f := fit.New(&line)
	arpeggios := [][4]uint8{{60, 64, 67, 71}, {57, 60, 64, 67}, {65, 68, 72, 75}, {58, 62, 65, 68}}
	for bar, tones := range arpeggios {
		for i := range 7 { // and a rest
			f.Note(fit.Note{N: int64(7*bar + i), Song: int64(8*bar+i) * timebase.Quarter / 2, Key: tones[i%4] + 1, Timed: true})
		}
	}
	rest := int64(4)*4*timebase.Quarter - 1
	f.Advance(rest)
	v, ok := f.Now(rest)
	fmt.Println(ok, v.FromBar, v.ToBar, v.Elsewhere.Semitones)
	// Output: true 1 4 -1
}

// Where the whole take fits in another key, the chart can move to the player.
func ExampleVerdict_ChartMove() {
	v := fit.Verdict{Span: fit.Take, Says: fit.Elsewhere, Elsewhere: fit.Move{Semitones: -2}}
	fmt.Println(v.ChartMove())
	// Output: 2 true
}
