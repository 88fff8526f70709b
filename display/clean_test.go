package display

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/require"
)

// Control functions as in ECMA-48 (C0, C1, control sequences, operating system
// commands), bidirectional controls as in Unicode UAX 9.
func TestClean(t *testing.T) {
	for _, row := range []struct{ name, in, want string }{
		{"plain", "Two Bridges", "Two Bridges"},
		{"letters of any language", "Brücke Ærø 橋", "Brücke Ærø 橋"},
		{"signs", "B♭△7 ø ♯", "B♭△7 ø ♯"},
		{"escape", "\x1b[31mred\x1b[0m", "?[31mred?[0m"},
		{"title of the window", "\x1b]0;boo\a", "?]0;boo?"},
		{"C1 in UTF-8", "a\u009b31m", "a?31m"},
		{"C1 as a byte", "a\x9b31m", "a?31m"},
		{"lines and tabs", "a\r\nb\tc\x00d\x7f", "a??b?c?d?"},
		{"line separators", "a\u2028b\u2029c\u0085d", "a?b?c?d"},
		{"bidirectional overrides", "\u202eabc\u202c \u2066x\u2069 \u200f", "?abc? ?x? ?"},
		{"invisible", "a\u200bb\u200dc\ufeffd\U000e0041", "a?b?c?d?"},
		{"emoji and its variation", "\u2764\ufe0f", "\u2764?"},
		{"no UTF-8", "\xff\xfe\xc3(", "???("},
		{"half a surrogate", "\xed\xa0\x80", "???"},
		{"wide spaces", "a\u00a0b\u3000c", "a b c"},
		{"a tower of marks", "a\u0301\u0302\u0303\u0304", "a\u0301\u0302?\u0304"},
	} {
		require.Equal(t, row.want, Clean(row.in), row.name)
	}
	require.Equal(t, strings.Repeat("a", cleanWidth), Clean(strings.Repeat("a", cleanWidth)))
	require.Equal(t, strings.Repeat("a", cleanWidth-3)+"...", Clean(strings.Repeat("a", cleanWidth+1)))
	require.Equal(t, strings.Repeat("橋", 30)+"...", Clean(strings.Repeat("橋", 1000)))
}

func FuzzClean(f *testing.F) {
	for _, seed := range []string{"", "B♭7", "\x1b[2J", "\u202e", "\xff", "a\u0301\u0301\u0301", "🇳🇴🇳", "한국어", "\u0600\u1100\u1161"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Clean(s)
		require.True(t, utf8.ValidString(got))
		require.LessOrEqual(t, width(got), cleanWidth)
		for _, r := range got {
			require.True(t, unicode.IsPrint(r), "%U in %q", r, got)
		}
		require.Equal(t, got, Clean(got), "clean is clean")
		for _, r := range (speller{ascii: true}).text(s) {
			require.Less(t, r, rune(utf8.RuneSelf))
		}
	})
}

func TestCutting(t *testing.T) {
	require.Equal(t, "Lindmouth", cut("Lindmouth", 9))
	require.Equal(t, "Lindm...", cut("Lindmouth", 8))
	require.Equal(t, "Lin", cut("Lindmouth", 3))
	require.Equal(t, "", cut("Lindmouth", 0))
	require.Equal(t, "", cut("橋", 1), "a wide character is not halved")
	require.Equal(t, "...uth.mid", cutLeft("lindmouth.mid", 10))
	require.Equal(t, "li", cutLeft("lindmouth.mid", 2))
}

// Letters that show nothing would hide in a name, and let two look alike.
func TestInvisibleLetters(t *testing.T) {
	for _, r := range []rune{0x115F, 0x1160, 0x3164, 0xFFA0} {
		require.Equal(t, "a?b", Clean("a"+string(r)+"b"), "%U", r)
	}
	require.Equal(t, "한글", Clean("한글"), "those that show are kept")
}

// What is quick about the plain characters changes no width: those of a general library
// (UAX 11 and 29) hold, for marks that join what stands before them too.
func TestWidthsAreThoseOfUnicode(t *testing.T) {
	signs := []string{"a", " ", "─", "█", "▟", "■", "┷", "♭", "▴", "漢", "\u0301", "\u200d", "\ufe0f", "é"}
	for _, a := range signs {
		for _, b := range signs {
			for _, c := range signs {
				text := a + b + c
				require.Equal(t, uniseg.StringWidth(text), width(text), "%q", text)
				var on canvas
				on.reset(8, 1)
				require.Equal(t, uniseg.StringWidth(text), on.put(0, 0, text, plain), "%q", text)
			}
		}
	}
}
