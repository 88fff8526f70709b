package changes

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// longChart is a chart of 64 bars: AABA twice, two chords a bar.
func longChart(t testing.TB) (*Chart, string) {
	bars := "| Bb6 G7b9 | Cm7 F7 | Dm7 G7 | Cm7 F7 |\n| Fm7 Bb7 | Ebmaj7 Ab7 | Dm7 G7b9 | Cm7 F7 |\n"
	bridge := "| Am7b5 D7b9 | Gm6 | Gm7b5 C7b9 | Fm6 |\n| Cm7 F7 | Bbmaj7 | C7 | Cm7 F7 |\n"
	text := fmt.Sprintf("key: Bb\nform: A A B A A A B A\n[A]\n%s[B]\n%s", bars, bridge)
	c := mustParse(t, text)
	return c, text
}

func BenchmarkParse(b *testing.B) {
	_, text := longChart(b)
	b.ReportAllocs()
	for b.Loop() {
		_, _ = Parse(strings.NewReader(text))
	}
}

// BenchmarkUnroll64 analyses a chart of 64 bars: form, centres and scales.
func BenchmarkUnroll64(b *testing.B) {
	c, _ := longChart(b)
	b.ReportAllocs()
	for b.Loop() {
		_, _ = c.Unroll()
	}
}

func BenchmarkMusicXML(b *testing.B) {
	data, err := os.ReadFile(filepath.Join(sheets, "slip-road.musicxml"))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		_, _ = ParseMusicXML(bytes.NewReader(data))
	}
}

// lookUp is a look-up of slot and bar at ticks that come step by step.
func lookUp(b *testing.B, step int64, along bool) {
	c, _ := longChart(b)
	line := mustUnroll(b, c)
	var song int64
	var slot, bar int
	b.ReportAllocs()
	for b.Loop() {
		if !along {
			slot, bar = -1, -1
		}
		slot, bar = line.SlotAt(song, slot), line.BarAt(song, bar)
		if song += step; song >= line.Length {
			song -= line.Length
		}
	}
	require.GreaterOrEqual(b, slot+bar, 0)
}

func BenchmarkLookUpAlongThePlaying(b *testing.B) { lookUp(b, 480, true) }

func BenchmarkLookUpAnywhere(b *testing.B) { lookUp(b, 99_991, false) }
