package display

// part is a block of rows of the screen, in order from the top.
type part int

const (
	air        part = iota // a free row at the top
	top                    // the chord now, what comes next, where we are
	where                  // the same in one line, where it has no room beside the chord
	symbols                // the chart line of the page
	upperLabel             // home chord and its tones
	upper                  // notes of the home half
	upperRail
	between // notes outside, while they are open
	lowerRail
	lower      // notes of the dim half
	lowerLabel // dim chord
	below      // slips
	space      // what is left over on a tall terminal
	verdict    // the last note, large
	held       // sounding keys
	outlined   // what was just played
	lately     // how many of the last notes something explains; how the last phrase went
	counts     // running summary
	foot       // state of instrument and take, help
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
// on the right are the heights at which all down to that entry is there.
var wants = [...]want{
	{width: 1, rows: [parts]int{top: 1}},   // 1
	{width: 12, rows: [parts]int{foot: 1}}, // 2
	{width: minPageWidth, rows: [parts]int{symbols: 1, upper: 1, upperRail: 1, between: 1, lowerRail: 1, lower: 1}}, // 8
	{width: 12, rows: [parts]int{counts: 1}},                       // 9
	{width: minPageWidth, rows: [parts]int{below: 1}},              // 10
	{width: 24, rows: [parts]int{upperLabel: 1, lowerLabel: 1}},    // 12
	{width: largeWidth, rows: [parts]int{top: letterRows - 1}},     // 16
	{width: minPageWidth, rows: [parts]int{upper: 1, lower: 1}},    // 18
	{width: 12, rows: [parts]int{held: 1}},                         // 19
	{width: 12, rows: [parts]int{lately: 1}},                       // 20
	{width: minPageWidth, rows: [parts]int{upper: 1, lower: 1}},    // 22
	{width: 12, rows: [parts]int{where: 1}},                        // 23
	{width: minPageWidth, rows: [parts]int{between: 1}},            // 24
	{width: largeWidth, rows: [parts]int{verdict: letterRows + 1}}, // 30
	{width: 12, rows: [parts]int{space: 1}},                        // 31
	{width: outlinedWidth, rows: [parts]int{outlined: 1}},          // 32
	{width: 12, rows: [parts]int{where: 1}},                        // 33
	{width: minPageWidth, rows: [parts]int{between: 1}},            // 34
	{width: minPageWidth, rows: [parts]int{upper: 1, lower: 1}},    // 36
	{width: minPageWidth, rows: [parts]int{below: 1}},              // 37
	{width: 12, rows: [parts]int{air: 1}},                          // 38
	{width: 12, rows: [parts]int{space: 1}},                        // 39
	{width: 12, rows: [parts]int{where: 1}},                        // 40
}

const (
	// minPageWidth is the narrowest page: one bar of four quarters.
	minPageWidth = 18
	// largeWidth is where most chords fit in large letters.
	largeWidth = 40
	// outlinedWidth is where two figures fit in a line.
	outlinedWidth = 80
)

// rows is where a part stands: its first row and how many it has.
type rows struct{ y, n int }

// layout shares out the rows of a screen. Rows that nothing wants go to space,
// so that the foot is the last line.
func layout(w, h int) (at [parts]rows) {
	left := h
	for _, one := range wants {
		need := 0
		for _, n := range one.rows {
			need += n
		}
		if one.width > w || need > left {
			continue
		}
		left -= need
		for p, n := range one.rows {
			at[p].n += n
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
