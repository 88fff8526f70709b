package display

import "github.com/gdamore/tcell/v2"

// palette turns inks into styles. Colour only helps: every difference it makes
// is also one of letters, place or weight. The background is the player's own,
// so the hues are of middle lightness, to be read on dark and on light; none
// of them is an alarm.
type palette [256]tcell.Style

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
	case colours >= trueColours:
		return [hues]tcell.Color{
			faint: tcell.NewRGBColor(0x86, 0x8c, 0x94),
			home:  tcell.NewRGBColor(0x2f, 0x9e, 0x8c),
			half:  tcell.NewRGBColor(0x8d, 0x7c, 0xcf),
			slip:  tcell.NewRGBColor(0xb8, 0x86, 0x32),
		}
	case colours >= paletteSize:
		return [hues]tcell.Color{
			faint: tcell.PaletteColor(245),
			home:  tcell.PaletteColor(36),
			half:  tcell.PaletteColor(104),
			slip:  tcell.PaletteColor(136),
		}
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
