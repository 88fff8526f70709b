package display

import (
	"slices"
	"strings"
)

// liveFrom and liveTo are the rows of the help page that hold for an instrument that
// is played, and for nothing else.
const liveFrom, liveTo = 11, 15

// helpText is the help page, at most 76 cells wide and 22 rows high.
var helpText = []string{
	"shedlight",
	"",
	"upper rail    tones of the home half, the chord it is named by",
	"lower rail    tones of the diminished half",
	"between       outside the scale: open, or with what explains it",
	"below         slips: nothing explains them; the next line of the chart",
	"(Bb)          a tone of the written chord",
	"/ \\ =         up, down or the same, from the line note before",
	"[             struck together as a chord",
	".             a note whose name has no room",
	"*             on a rail: there are more notes here than have room",
	"a             again, counted in from the top; t taps the beat, s stops",
	"right, left   a bar on, a bar back; [ and ] make the tempo slower, faster",
	"f             forgets this chorus, in its first bar the one before; m marks",
	"v             the other view; p plays the last phrase back in the rest",
	"+  -          the volume",
	"q             leave; the take is kept",
	"?             this page; any key closes it; Ctrl-L draws the screen again",
	"",
	"Keep the volume low enough to talk over: hearing does not come back.",
	"Take breaks, vary what you repeat, and stop when something hurts.",
	"For technique and pain, ask a teacher or a clinician, not this screen.",
}

// paintHelp lays the help page over the picture, in the middle.
func (p *painter) paintHelp() {
	all := helpText
	if !p.asks {
		all = slices.Delete(slices.Clone(all), liveFrom, liveTo)
	}
	text := make([]string, len(all))
	w := 0
	for i, row := range all {
		if !p.options.ASCII {
			row = helpSigns.Replace(row)
		}
		text[i] = row
		w = max(w, width(row))
	}
	w = min(w+2*gap, p.c.w)
	h := min(len(text)+2, p.c.h)
	x, y := (p.c.w-w)/2, (p.c.h-h)/2
	for i := 0; i < h; i++ {
		row, k := "", plain
		if i > 0 && i <= len(text) {
			row = text[i-1]
		}
		if i == 1 {
			k = plain | bold
		}
		row = pad("  "+row, w)
		if h == 1 {
			row = pad(text[0], w)
		}
		p.c.put(x, y+i, row, k|reverse)
	}
}

var helpSigns = strings.NewReplacer("(Bb) ", "(B♭) ", "/ \\ =", "▴ ▾ =")
