package display

import "github.com/gdamore/tcell/v2"

// palette turns inks into styles. Colour only helps: every difference it makes
// is also one of letters, place or weight. The background is the player's own,
// so the hues are of the one lightness that reads 4.5 to 1 on black and on white;
// those of notes are told apart by eyes that lack a cone as well.
type palette [256]tcell.Style

// indexed are the hues in the palette of 256 colours.
var indexed = [hues]int{faint: 243, home: 29, half: 63, slip: 163}

const (
	paletteSize  = 256     // colours of an indexed terminal
	trueColours  = 1 << 24 // colours of a terminal that takes any
	namedColours = 8
	inkHueMask   = ink(1<<6 - 1)
)

// huesOf returns the colours for a terminal of so many, as tcell counts them;
// NO_COLOR makes that 0.
func huesOf(colours int) [hues]tcell.Color {
	switch {
	case colours >= paletteSize:
		var out [hues]tcell.Color
		for hue := faint; hue < hues; hue++ {
			out[hue] = tcell.PaletteColor(indexed[hue])
			if colours >= trueColours { // the same, whatever the player has made of the palette
				out[hue] = out[hue].TrueColor()
			}
		}
		return out
	case colours >= namedColours:
		return [hues]tcell.Color{
			home: tcell.ColorTeal,
			half: tcell.ColorPurple,
			slip: tcell.ColorOlive,
		}
	}
	return [hues]tcell.Color{}
}

// newPalette returns the palette of some hues.
func newPalette(fg [hues]tcell.Color) *palette {
	var p palette
	for i := range p {
		k := ink(i)
		style := tcell.StyleDefault.Bold(k&bold != 0).Reverse(k&reverse != 0)
		if hue := k & inkHueMask; hue < hues {
			style = style.Foreground(fg[hue])
			if hue == faint && fg[faint] == tcell.ColorDefault {
				style = style.Dim(true)
			}
		}
		p[i] = style
	}
	return &p
}
