package display

// part is a block of rows of the screen, in order from the top.
type part int

const (
	air     part = iota // a free row at the top
	top                 // the chord now and the chord next
	boxes               // the beat as boxes, where we are, what is held
	aside               // free rows above the page
	hands               // what the left hand struck, by name
	symbols             // the chart line of the page
	upper               // notes of the home half
	upperRail
	between // notes outside, while they are open
	lowerRail
	lower  // notes of the dim half
	below  // slips
	ahead  // the chart lines that come
	space  // what is left over on a tall terminal
	spoken // the last note, or what is said in a rest, large
	lately // the sentence of a rest, what was just played
	counts // running summary
	foot   // state of instrument and take, help
	parts
)

// want is a number of rows that parts of the screen would like to have, and
// how wide the screen must be for them to be of use.
type want struct {
	width int
	rows  [parts]int
}

// wants is served from the first to the last, each as a whole or not at all,
// as long as there are rows: what stands last is dropped first. Down to the
// first entry they make the smallest screen, the chord in one line. The sums
// on the right are the heights at which all down to that entry is there; between
// 18 and 24 rows the small ones behind the rows of the tones are served before them.
var wants = [...]want{
	{width: 1, rows: [parts]int{top: 1}},   // 1
	{width: 12, rows: [parts]int{foot: 1}}, // 2
	{width: minPageWidth, rows: [parts]int{symbols: 1, upper: 1, upperRail: 1, between: 1, lowerRail: 1, lower: 1}}, // 8
	{width: 12, rows: [parts]int{boxes: 1}},                                             // 9
	{width: minPageWidth, rows: [parts]int{below: 1}},                                   // 10
	{width: minPageWidth, rows: [parts]int{ahead: 1}},                                   // 11
	{width: largeWidth, rows: [parts]int{top: letterRows - 1}},                          // 15
	{width: largeWidth, rows: [parts]int{spoken: smallRows}},                            // 18
	{width: minPageWidth, rows: [parts]int{upper: halfTones - 1, lower: halfTones - 1}}, // 24
	{width: 12, rows: [parts]int{lately: 1}},                                            // 25
	{width: 12, rows: [parts]int{counts: 1}},                                            // 26
	{width: 12, rows: [parts]int{space: 1}},                                             // 27
	{width: minPageWidth, rows: [parts]int{between: 1}},                                 // 28
	{width: 12, rows: [parts]int{aside: 1}},                                             // 29
	{width: 12, rows: [parts]int{boxes: 1}},                                             // 30
	{width: minPageWidth, rows: [parts]int{ahead: 1}},                                   // 31
	{width: 12, rows: [parts]int{air: 1}},                                               // 32
	{width: minPageWidth, rows: [parts]int{below: 1}},                                   // 33
	{width: largeWidth, rows: [parts]int{spoken: smallRows}},                            // 36
	{width: 12, rows: [parts]int{space: 1}},                                             // 37
	{width: minPageWidth, rows: [parts]int{between: 1}},                                 // 38
	{width: tallWidth, rows: [parts]int{
		symbols: smallRows - 1, upper: halfTones * (smallRows - 1), lower: halfTones * (smallRows - 1),
		below: smallRows - 2, ahead: smallRows - 2, boxes: smallRows - 2,
	}}, // 59; with a row for the left hand 60
	{width: 12, rows: [parts]int{aside: 1}},                // 60
	{width: largeWidth, rows: [parts]int{top: letterRows}}, // 65
}

// wantHands is the row of the left hand, where the hands are parted. It comes before
// all that a tall screen only looks better with.
var wantHands = want{width: minPageWidth, rows: [parts]int{hands: 1}}

const (
	// minPageWidth is the narrowest page: one bar of four quarters.
	minPageWidth = 18
	// largeWidth is where most chords fit in large letters.
	largeWidth = 40
	// tallWidth is where names three rows high stand in eighths.
	tallWidth = 180
	// halfTones is how many tones a half of the scale has, and so how many rows.
	halfTones = 4
)

// rows is where a part stands: its first row and how many it has.
type rows struct{ y, n int }

// layout shares out the rows of a screen. Rows that nothing wants go to space,
// so that the foot is the last line.
func layout(w, h int, parted bool) (at [parts]rows) {
	left := h
	serve := func(one *want) {
		need := 0
		for _, n := range one.rows {
			need += n
		}
		if one.width > w || need > left {
			return
		}
		left -= need
		for p, n := range one.rows {
			at[p].n += n
		}
	}
	for i := range wants {
		serve(&wants[i])
		if parted && wants[i].rows[lower] == halfTones-1 {
			serve(&wantHands)
		}
	}
	at[space].n += max(left, 0)
	y := 0
	for p := range at {
		at[p].y = y
		y += at[p].n
	}
	return at
}
