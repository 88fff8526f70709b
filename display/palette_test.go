package display

import (
	"math"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"
)

// linear is a colour in linear light, red, green and blue from 0 to 1 (sRGB, IEC 61966-2-1).
func linear(c tcell.Color) (out [3]float64) {
	r, g, b := c.RGB()
	for i, v := range []int32{r, g, b} {
		const most = 255
		x := float64(v) / most
		if out[i] = x / 12.92; x > 0.04045 {
			out[i] = math.Pow((x+0.055)/1.055, 2.4)
		}
	}
	return out
}

func luminance(l [3]float64) float64 { return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2] }

// Every hue has the contrast that Web Content Accessibility Guidelines 2.1, 1.4.3,
// asks of text, on black and on white: 4.5 to 1.
func TestHuesAreReadOnBlackAndOnWhite(t *testing.T) {
	for _, colours := range []int{paletteSize, trueColours} {
		for hue, c := range huesOf(colours) {
			if ink(hue) == plain {
				continue
			}
			y := luminance(linear(c))
			require.GreaterOrEqual(t, (y+0.05)/0.05, 4.5, "hue %d on black", hue)
			require.GreaterOrEqual(t, 1.05/(y+0.05), 4.5, "hue %d on white", hue)
		}
	}
}

// lab is a colour as CIE 1976 L*a*b* has it, for the white of D65.
func lab(l [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t = max(t, 0); t > 0.008856 {
			return math.Cbrt(t)
		}
		return 7.787*t + 16.0/116
	}
	x := f((0.4124*l[0] + 0.3576*l[1] + 0.1805*l[2]) / 0.9505)
	y := f(luminance(l))
	z := f((0.0193*l[0] + 0.1192*l[1] + 0.9505*l[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// The hues of notes stay apart for eyes that lack the cone for red or for green, as
// Vienot, Brettel and Mollon (1999, Digital video colourmaps for checking the
// legibility of displays by dichromats) simulate them; the matrices, for linear light,
// are from memory. A difference of 20 in L*a*b* is a plain one.
func TestHuesAreToldApartByColourBlindEyes(t *testing.T) {
	eyes := map[string][3][3]float64{
		"all cones": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"no red":    {{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}},
		"no green":  {{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}},
	}
	seen := func(eye [3][3]float64, c tcell.Color) [3]float64 {
		l := linear(c)
		var out [3]float64
		for i, row := range eye {
			out[i] = row[0]*l[0] + row[1]*l[1] + row[2]*l[2]
		}
		return lab(out)
	}
	hues := huesOf(trueColours)
	for name, eye := range eyes {
		for _, pair := range [][2]ink{{home, half}, {home, slip}, {half, slip}} {
			a, b := seen(eye, hues[pair[0]]), seen(eye, hues[pair[1]])
			require.Greater(t, math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]), 20.0, "%s: hues %v", name, pair)
		}
	}
}
