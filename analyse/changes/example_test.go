package changes_test

import (
	"fmt"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

func ExampleParse() {
	c, err := changes.Parse(strings.NewReader(`
title: Two Bridges
key: Bb
form: A A B A
[A]
| Bb6 G7b9 | Cm7 F7 | Dm7 . . G7 | Cm7 F7 |
[B]
{F minor} | Gm7b5 | C7 | {auto} Fm6 | {meter 3/4} C7 |
`))
	fmt.Println(err)
	fmt.Print(c)
	// Output:
	// <nil>
	// title: Two Bridges
	// key: Bb
	// meter: 4/4
	// form: A A B A
	//
	// [A]
	// | Bb6 G7b9 | Cm7 F7 | Dm7 . . G7 | Cm7 F7 |
	//
	// [B]
	// | {F minor} Gm7b5 | C7 | {auto} Fm6 | {meter 3/4} C7 |
}

func ExampleErrors() {
	_, err := changes.Parse(strings.NewReader("key: H\n| Dm7 . G7 | Xm7 |\n| C6 / G7 |"))
	fmt.Println(err)
	// Output:
	// line 1, column 6: found "H", expected a key like Bb, C minor or F blues
	// line 2, column 3: found 2 chords and 1 dot in the bar, expected 1, 2, 4 or 8 chords, or chords and dots that make 4 beats in 4/4
	// line 2, column 14: found "Xm7", expected a root A to G, or N.C.
	// line 3, column 6: found a slash that is neither a beat nor before a bass note, expected chords and slashes that make 4 beats in 4/4
	// a dot holds a chord for one more beat: | Dm7 . . G7 |
}

func ExampleChart_Transpose() {
	c, _ := changes.Generic("minor-two-five-one")
	fmt.Print(c.Transpose(tone.Name{Letter: 3, Alter: 1}))
	// Output:
	// title: Minor Two-Five-One
	// key: F# minor
	// meter: 4/4
	// tempo: 120
	//
	// | G#m7b5 | C#7b9 | F#m6 | % |
}

func ExampleChart_Unroll() {
	c, _ := changes.Generic("two-five-one")
	line, _ := c.Unroll()
	for _, s := range line.Slots {
		bar, beat := line.Position(s.Start)
		fmt.Printf("%d.%g %-4s %s: %s or %s\n", bar, beat, s.Symbol, s.Centre, s.Key.Short(), s.Own.Short())
	}
	// Output:
	// 1.1 Dm7  C major: C6 dim or F6 dim
	// 2.1 G7   C major: C6 dim or Dm6 dim
	// 3.1 C6   C major: C6 dim or C6 dim
	// 4.1 C6   C major: C6 dim or C6 dim
}

func ExampleSlot_Lacks() {
	c, _ := changes.Generic("turnaround")
	line, _ := c.Unroll()
	for i := range line.Slots[:4] {
		s := &line.Slots[i]
		fmt.Println(s.Symbol, s.Key.Short(), s.Lacks())
	}
	// Output:
	// C6 C6 dim []
	// A7b9 C6 dim [C# Bb]
	// Dm7 C6 dim []
	// G7 C6 dim []
}

func ExampleTimeline_Loop() {
	c, _ := changes.Generic("blues")
	line, _ := c.Unroll()
	loop, err := line.Loop(9, 12)
	fmt.Println(len(loop.Bars), loop.Bars[0].Number, loop.Slots[0].Symbol, loop.Length, err)
	// Output:
	// 4 9 Gm7 15360 <nil>
}

func ExampleGenericNames() {
	for _, name := range changes.GenericNames() {
		fmt.Println(name)
	}
	// Output:
	// blues
	// diminished-turnaround
	// minor-blues
	// minor-turnaround
	// minor-two-five-one
	// rhythm-bridge
	// turnaround
	// two-five-one
}

func ExampleRead() {
	c, err := changes.Read(strings.NewReader(`<score-partwise version="4.0">
  <part id="P1">
    <measure number="1">
      <harmony><root><root-step>F</root-step></root><kind>minor-sixth</kind></harmony>
    </measure>
    <measure number="2">
      <harmony><root><root-step>C</root-step></root><kind>German</kind></harmony>
    </measure>
  </part>
</score-partwise>`))
	fmt.Println(c, err)
	// Output:
	// <nil> part P1, measure 2 (line 7, column 82): found the harmony kind German, which has no fixed tones above a root, expected it written as a dominant seventh on the flat six
}
