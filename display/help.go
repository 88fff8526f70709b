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
	"?             the words; any other key closes this; Ctrl-L draws anew",
	"",
	talkOver,
	takeBreaks,
	askSomebody,
}

// What stands below both pages of keys.
const (
	talkOver    = "Keep the volume low enough to talk over: hearing does not come back."
	takeBreaks  = "Take breaks, vary what you repeat, and stop when something hurts."
	askSomebody = "For technique and pain, ask a teacher or a clinician, not this screen."
)

// startText is the help page of the start screen, no larger than that of a session.
var startText = []string{
	"before playing",
	"",
	"Enter         plays; so does the pedal for again",
	"up, down      choose a row",
	"right, left   its next value, or the one before; so do the pedals for a bar",
	"e             types a value; Enter takes it, Esc leaves it as it was",
	"Backspace     takes it back: what your settings say, or else what is usual",
	"q             leaves",
	"?             the words; any other key closes this; Ctrl-L draws anew",
	"",
	"instrument    moves when you play; a MIDI file is typed by its name",
	"chart         those played last come first; a file is typed by its name",
	"key           where the chart is moved to; without one, the key of it all",
	"tempo         beats a minute; free: no beat is kept",
	"view          one key: its scale over all its chords; each chord: its own",
	"sound         the click, and what else is heard",
	"goal          what each chorus is to be",
	"on the right  who said it: you now, you the last time, or your settings",
	"",
	talkOver,
	takeBreaks,
	askSomebody,
}

// wordsText is the page of the words that are said, no larger than the help page.
var wordsText = []string{
	"the words",
	"",
	"six           a tone of the chord that a scale is named by, as Bb6; over a",
	"              dominant scale it is called seven",
	"dim           a tone of the diminished chord between",
	"outside       in neither half, and its word is still to come",
	"written       a tone of the chord of the chart that the scale lacks",
	"approach, passing, neighbour, enclosure, double-chromatic, ornament",
	"              on its way by half steps, from one side, both or around",
	"push, late    the edge of a change; a pedal is held or repeated through it",
	"13, #9, blue  colour: a tension, a blue note; sub: another scale for it",
	"slip          nothing explains it, or it was held against its chord",
	"landed        the phrase ended on a tone of the chord",
	"it wants E    the phrase hangs: a half step down is the way on",
	"too soon to tell    an outside note of the phrase may still be explained",
	"3 of 4 tones  only so many tones of that chord were played",
	"1-2-3-5       the degrees of the chord, in the order played",
	"a bar behind, a half step high    as you lie where the notes fit the changes",
	"last 4 bars   the share of their notes that something explains",
	"2 of 3        in 2 of 3 choruses the goal was met; on changes, for thirds",
}

// helpPage is one of the pages that the help key turns.
type helpPage uint8

const (
	noHelp helpPage = iota
	helpSignsPage
	helpWords
)

// paintHelp lays a page of help over the picture, in the middle. starting says that it is
// that of the start screen.
func (p *painter) paintHelp(starting bool) {
	all := helpText
	switch {
	case p.help == helpWords:
		all = wordsText
	case starting:
		all = startText
	case !p.asks:
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

var helpSigns = strings.NewReplacer("(Bb) ", "(B♭) ", "/ \\ =", "▴ ▾ =", "Bb6", "B♭6", "#9", "♯9")
