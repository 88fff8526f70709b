package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"
)

// typed is a chart as somebody types it, the bars that are played, and what is
// said, each remark without its place; or the whole refusal.
type typed struct{ text, bars, said, refused string }

// checkTyped reads a chart as typed, and its printed form once more, which plays
// the same.
func checkTyped(t *testing.T, c typed) {
	t.Helper()
	chart, err := Read(strings.NewReader(c.text))
	if c.refused != "" {
		require.Error(t, err)
		assert.Equal(t, c.refused, err.Error())
		return
	}
	require.NoError(t, err)
	assert.Equal(t, c.bars, playedBars(t, chart))
	var said []string
	for _, r := range chart.Remarks {
		said = append(said, r.Text)
	}
	assert.Equal(t, c.said, strings.Join(said, "\n"))
	back, err := Parse(strings.NewReader(chart.String()))
	require.NoError(t, err, chart.String())
	assert.Equal(t, withoutRemarks(chart), withoutRemarks(back), chart.String())
}

const (
	saidSlashes = "a slash is read as a beat of the chord before it"
	saidLine    = "a line without bar lines is one bar"
	saidThree   = "3 chords in a bar of 4/4 are read as 2, 1 and 1 beats"
	wantShares  = "expected 1, 2, 4 or 8 chords, or chords and dots that make 4 beats in 4/4\n" + hintDots
	wantSlashes = "found a slash that is neither a beat nor before a bass note, expected chords and slashes that make 4 beats in 4/4\n" + hintDots
	wantBars    = "expected bars of chords\na comment begins with #, a section is [A], a bar stands between bar lines: | Dm7 G7 |"
)

// Beats, bars and the lines between them. Common practice, as are all tables of
// this file.
func TestTypedBars(t *testing.T) {
	for _, c := range []typed{
		{text: "| Dm7 / G7 / | Cmaj7 / / / |", bars: "Dm7:2 G7:2 | Cmaj7:4", said: saidSlashes},
		{text: "| Dm7 / / / | / / / / | / | G7 |", bars: "Dm7:4 | Dm7:4 | Dm7:4 | G7:4", said: saidSlashes},
		{text: "| Dm7// G7// |", bars: "Dm7:1 G7:3", refused: "line 1, column 6: " + wantSlashes},
		{text: "| Dm7/ G7/ |", bars: "Dm7:2 G7:2", said: saidSlashes},
		{text: "| Dm7 / / G7 | / / F7 / |", bars: "Dm7:3 G7:1 | G7:2 F7:2", said: saidSlashes},
		{text: "meter: 6/8\n| C / / G7 / / |", bars: "C:1 G7:1", said: saidSlashes},
		{text: "| Dm7 / G7 |", refused: "line 1, column 7: " + wantSlashes},
		{text: "| C / E | F / A / |", bars: "C/E:4 | F:2 A:2", said: saidSlashes},
		{text: "| C /E | F/ A | G / B C |", bars: "C/E:4 | F/A:4 | G:2 B:1 C:1", said: saidSlashes},
		{text: "| C / E G / B |", bars: "C/E:2 G/B:2"},
		{text: "meter: 3/4\n| C / E |", bars: "C:2 E:1", said: saidSlashes},
		{text: "Dm7 | G7 | C6", bars: "Dm7:4 | G7:4 | C6:4"},
		{text: "Dm7 G7 | C6 |\n| A7", bars: "Dm7:2 G7:2 | C6:4 | A7:4"},
		{text: "Dm7\nG7\nC6\n", bars: "Dm7:4 | G7:4 | C6:4"},
		{text: "Dm7 G7\nC6\n", bars: "Dm7:2 G7:2 | C6:4", said: saidLine},
		{text: "|| Dm7 || G7 |]", bars: "Dm7:4 | G7:4"},
		{text: "[| Dm7 | G7 |]", bars: "Dm7:4 | G7:4"},
		{text: "||: Dm7 | G7 :|| C6 ||", bars: "Dm7:4 | G7:4 | Dm7:4 | G7:4 | C6:4"},
		{text: "│ Dm7 ┃ G7 ║ C6 ‖", bars: "Dm7:4 | G7:4 | C6:4"},
		{text: "|: Dm7 | G7 | :|", bars: "Dm7:4 | G7:4 | Dm7:4 | G7:4"},
		{text: "|: Dm7 | G7\n:| C6 |", bars: "Dm7:4 | G7:4 | Dm7:4 | G7:4 | C6:4"},
		{text: "𝄆 Dm7 𝄀 G7 𝄇", bars: "Dm7:4 | G7:4 | Dm7:4 | G7:4"},
		{text: "| Dm7 | | G7 |  |", bars: "Dm7:4 | Dm7:4 | G7:4 | G7:4"},
		{text: "| Dm7 G7 | |", bars: "Dm7:2 G7:2 | G7:4"},
		{text: "| Dm7 | G7 | %% | C6 |", bars: "Dm7:4 | G7:4 | Dm7:4 | G7:4 | C6:4"},
		{text: "| Dm7 | 𝄎 | ./. |", bars: "Dm7:4 | Dm7:4 | Dm7:4"},
		{text: "| Dm7 | %% |", refused: "line 1, column 9: found %% without two bars before it in its section, expected a chord symbol or N.C."},
		{text: "| Dm7 G7 C6 | Am7 D7 G6 |", bars: "Dm7:2 G7:1 C6:1 | Am7:2 D7:1 G6:1", said: saidThree},
		{text: "meter: 3/4\n| Dm7 G7 |", bars: "Dm7:2 G7:1", said: "2 chords in a bar of 3/4 are read as 2 and 1 beats"},
		{text: "meter: 5/4\n| Dm7 G7 C6 |", bars: "Dm7:2 G7:2 C6:1", said: "3 chords in a bar of 5/4 are read as 2, 2 and 1 beats"},
		{text: "| C D E F G |", refused: "line 1, column 3: found 5 chords in the bar, " + wantShares},
		{text: "| Dm7, G7 | C6,A7 |", bars: "Dm7:2 G7:2 | C6:2 A7:2"},
		{text: "| Dm7 . . G7 | Dm7... | C6 · · A7 |", bars: "Dm7:3 G7:1 | Dm7:4 | C6:3 A7:1"},
		{text: "| Dm7 - - - |", refused: "line 1, column 7: found \"-\", expected a root A to G, or N.C.\nline 1, column 9: found \"-\", expected a root A to G, or N.C.\nline 1, column 11: found \"-\", expected a root A to G, or N.C.\n" + hintDots},
		{text: "| N.C. | N. C. | NC | no chord | n.c. C6 |", bars: "N.C.:4 | N.C.:4 | N.C.:4 | N.C.:4 | N.C.:2 C6:2"},
		{text: "| Dm7 N.C. |", bars: "Dm7:2 N.C.:2"},
		{text: "| (Dm7 G7) | (C6) |", bars: "Dm7:2 G7:2 | C6:4"},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedBlanksInSymbols(t *testing.T) {
	for _, c := range []typed{
		{text: "key: C minor\n| Dm7 b5 | G7 b9 | Cm6 | Cm6 |", bars: "Dm7b5:4 | G7b9:4 | Cm6:4 | Cm6:4"},
		{text: "| C7 (b9) | C7(b9, #11) | G7 b13 | C maj7 |", bars: "C7(b9):4 | C7(b9,#11):4 | G7b13:4 | Cmaj7:4"},
		{text: "| G7 alt | C / E | D dim7 | E half-dim |", bars: "G7alt:4 | C/E:4 | Ddim7:4 | Ehalf-dim:4"},
		{text: "| G7 b9 b13 C6 | G7 b9, b13 |", bars: "G7b9b13:2 C6:2 | G7b9b13:4"},
		{text: "| C7 #9 | F7 #11 | G7 #5 #9 |", bars: "C7#9:4 | F7#11:4 | G7#5#9:4"},
		{text: "| C7 #9 the end", bars: "", refused: "line 1, column 9: found \"the\", expected a root A to G, or N.C.\nline 1, column 14: found \"n\" in \"end\", expected a sign of a chord, such as m, maj, 7, b9 or sus, or the end\na comment begins with # or //"},
		{text: "| C 7 | D m7 | E - 7 |", refused: "line 1, column 18: found \"-\", expected a root A to G, or N.C.\nline 1, column 20: found \"7\", expected a root A to G, or N.C.\n" + hintDots},
		{text: "| E b | B b7 |", bars: "Eb:4 | Bb7:4", said: "E b is read as one chord, Eb\nB b7 is read as one chord, Bb7"},
		{text: "| C b7 |", refused: "line 1, column 4: found \" \" in \"C b7\", expected the flat and its letter written together, Cb7, or two chords, C B7"},
		{text: "| e b | b7 b9 |", bars: "E:2 B:2 | B7:2 B9:2", said: "e is read as E, and so are all small letters\nb7 is read as B7: a small letter is a capital written in a hurry"},
		{text: "| C6 (Am7) | D7(G7) |", bars: "C6(Am7):4 | D7(G7):4", said: "C6 (Am7) is read as C6: the chord in brackets is another choice, and not played\nD7(G7) is read as D7: the chord in brackets is another choice, and not played"},
		{text: "| C7sus44 |", refused: `line 1, column 9: found "4" in "C7sus44", expected no sign twice`},
		{text: "| C13b9b9 |", refused: `line 1, column 8: found "b" in "C13b9b9", expected no sign twice`},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedSymbols(t *testing.T) {
	const german = "H is B here, and B is Bb"
	for _, c := range []typed{
		{text: "| C7/9+ | C5+ | G7dim5 | C6 |", bars: "C7/9+:4 | C5+:4 | G7dim5:4 | C6:4"},
		{text: "| C7(9-) | C7(9b) | Cm7(5-) | C7(5+) |", bars: "C7(9-):4 | C7(9b):4 | Cm7(5-):4 | C7(5+):4"},
		{text: "| Hm7b5 | E7 | am | B7 |", bars: "Bm7b5:4 | E7:4 | Am:4 | Bb7:4", said: german},
		{text: "| B7 | Bb7 | H7 | C/B | C/H |", bars: "Bb7:4 | Bb7:4 | B7:4 | C/Bb:4 | C/B:4", said: german},
		{text: "| H7 | b | C |", bars: "B7:4 | Bbm:4 | C:4", said: german + "\nb is read as Bbm: beside capitals a small letter is minor"},
		{text: "| B7 | E7 |", bars: "B7:4 | E7:4"},
		{text: "| c | f | g7 | c |", bars: "C:4 | F:4 | G7:4 | C:4", said: "c is read as C, and so are all small letters\ng7 is read as G7: a small letter is a capital written in a hurry"},
		{text: "| C | am | c | g7 |", bars: "C:4 | Am:4 | Cm:4 | G7:4", said: "c is read as Cm: beside capitals a small letter is minor\ng7 is read as G7: a small letter is a capital written in a hurry"},
		{text: "| Cdim | Co | Cm(b5) |", bars: "Cdim7:4 | Cdim7:4 | Cm(b5):4", said: "Cdim is read as Cdim7, as jazz charts mean it; for the triad write Cm(b5)\nCo is read as Cdim7, as jazz charts mean it; for the triad write Cm(b5)"},
		{text: "| C2 | C11 | Csus | Csus |", bars: "C2:4 | C11:4 | Csus:4 | Csus:4", said: "C2 is read as C(add9); if you mean Csus2 write that\nC11 is read as C9sus4; if you mean C9(11) write that\nCsus is read as Csus4; if you mean C9sus4 write that"},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedRepeats(t *testing.T) {
	for _, c := range []typed{
		{text: "|: C |1. F :|2. G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |[1. F :|[2. G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |1 F :|2 G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C | 1) F :| 2) G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |\n1. F :|\n2. G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |\n1. | F :|\n2. | G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |\n[1] F :|\n[2] G |", bars: "C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |1.-3. F :|4. G |", bars: "C:4 | F:4 | C:4 | F:4 | C:4 | F:4 | C:4 | G:4"},
		{text: "|: C |1, 2. F :|3. G |", bars: "C:4 | F:4 | C:4 | F:4 | C:4 | G:4"},
		{text: "|: C | F :| x3", bars: "C:4 | F:4 | C:4 | F:4 | C:4 | F:4"},
		{text: "|: C :| 3x |: F :| (x2) | G |", bars: "C:4 | C:4 | C:4 | F:4 | F:4 | G:4"},
		{text: "|: C :|×3 G |", bars: "C:4 | C:4 | C:4 | G:4"},
		{text: "|: C :| x99", refused: "line 1, column 9: found a repeat of \"x99\", expected 2 to 64 times in all"},
		{text: "| C | x3", refused: "line 1, column 7: found \"x3\", expected a root A to G, or N.C.\nx3 stands right after a repeat sign: |: Dm7 | G7 :| x3"},
		{text: "|: C |1. F :| x3 |2. G |", refused: "line 1, column 15: found \"x3\" after an ending, expected the passes of each ending as its numbers: |1.2. C :|3. F |"},
		{text: "| 1 | 4 | 5 |", refused: "line 1, column 3: found \"1\", expected a root A to G, or N.C.\nline 1, column 7: found \"4\", expected a root A to G, or N.C.\nline 1, column 11: found \"5\", expected a root A to G, or N.C."},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedJumps(t *testing.T) {
	for _, c := range []typed{
		{text: "| C | F | D.C.", bars: "C:4 | F:4 | C:4 | F:4"},
		{text: "| C Fine | F | D.C. al Fine |", bars: "C:4 | F:4 | C:4"},
		{text: "| C | (Fine) | F |\nD.C. al Fine", bars: "C:4 | F:4 | C:4"},
		{text: "| C | Segno F | G | D.S.", bars: "C:4 | F:4 | G:4 | F:4 | G:4"},
		{text: "| C | 𝄋 F | G To Coda | A | D.S. al Coda |\nCoda | D | E |", bars: "C:4 | F:4 | G:4 | A:4 | F:4 | G:4 | D:4 | E:4"},
		{text: "[A]\n| C | F to coda | G dc al coda |\n[Coda]\n|: D :|", bars: "C:4 | F:4 | G:4 | C:4 | F:4 | D:4 | D:4"},
		{text: "| C |1. F Fine :|2. G | D da capo al fine |", bars: "C:4 | F:4 | C:4 | G:4 | D:4 | C:4 | F:4"},
		{text: "| C | F | D.S.", refused: "line 1, column 7: found a D.S. without a segno, expected a segno to go back to"},
		{text: "| C | F | D.C. al Fine", refused: "line 1, column 7: found an al Fine, expected the word Fine where it ends"},
		{text: "form: A A\n[A]\n| C | F D.C. |", refused: "line 3, column 9: found a jump like D.C. beside a form line, expected one of them to say the order"},
		{text: "D.C. | C |", refused: "line 1, column 1: found \"D.C.\" before the first bar, expected it behind a bar"},
		{text: "| C al Fine |", refused: "line 1, column 5: found \"al Fine\" by itself, expected it after D.C. or D.S."},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedSectionsAndComments(t *testing.T) {
	for _, c := range []typed{
		{text: "[A] | C |\n[B] | F |", bars: "C:4 | F:4"},
		{text: "form: A B A\nA:\n| C |\nB: | F |", bars: "C:4 | F:4 | C:4"},
		{text: "form: AB\n*A\n| C |\n*B* F | G", bars: "C:4 | F:4 | G:4"},
		{text: "form: Verse1 Chorus\n[Verse 1]\n| C |\nChorus\n| F |", bars: "C:4 | F:4"},
		{text: "Intro:\n| C |\nLast A:| F | G |\nPre-chorus: D7", bars: "C:4 | F:4 | G:4 | D7:4"},
		{text: "A: C | F :|\nBridge: G", bars: "C:4 | F:4 | C:4 | F:4 | G:4"},
		{text: "A :| B |", bars: "A:4 | A:4 | B:4"},
		{text: "| C | [B] F | G |", bars: "C:4 | F:4 | G:4"},
		{text: "| C | [F7] |", bars: "C:4 | F7:4"},
		{text: "| C | F | # the end\n# more\n| G # not # closed", bars: "C:4 | F:4 | G:4"},
		{text: "| C | F | // the end | or not\n// more\n| G // all", bars: "C:4 | F:4 | G:4"},
		{text: "| F #m7 | G |", bars: "F:4", said: "what follows is a comment, with bar lines in it: \"#m7 | G |\""},
		{text: "Chorus 2x: C | F", refused: `line 1, column 3: found "o" in "Chorus 2x:", expected a sign of a chord, such as m, maj, 7, b9 or sus, or the end`},
		{text: "| C | F |# x\n| G7 #9 # sharp", bars: "C:4 | F:4 | G7#9:4"},
		{text: "play it twice\n| C |", refused: "line 1, column 1: found \"play it twice\", " + wantBars},
		{text: "| C |\nSolos on form", refused: "line 2, column 1: found \"Solos on form\", " + wantBars},
		{text: "A nice tune by us all\nanother line\n| C |", refused: "line 1, column 1: found \"A nice tune by us all\", expected bars of chords\nline 2, column 1: found \"another line\", " + wantBars},
		{text: "A\n| C |", refused: "line 1, column 1: found \"A\", " + wantBars},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
}

func TestTypedHeaders(t *testing.T) {
	used := " is kept and not used; used are title, key, meter, tempo, form or pickup"
	for _, c := range []typed{
		{text: "composer: the band\nstyle: Swing\n| C |", bars: "C:4", said: `the header "composer"` + used + "\n" + `the header "style"` + used},
		{text: "style: Bossa Nova\n| C |", bars: "C:4"},
		{text: "Style: straight 8ths\n| C |", bars: "C:4"},
		{text: "style: straightforward\n| C |", bars: "C:4", said: `the header "style"` + used},
		{text: "time: 3/4\ntempo: 132 bpm\n| C |", bars: "C:3"},
		{text: "{3/4}\n| C | {4/4} F |", bars: "C:3 | F:4"},
		{text: "{F minor} | Gm7b5 | C7 |", bars: "Gm7b5:4 | C7:4"},
		{text: "key: F- # flat\n| C |", bars: "C:4"},
		{text: "tempo: fast\n| C |", refused: `line 1, column 8: found "fast", expected a tempo in beats a minute, 10 to 600`},
		{text: "3/4 | C | 4/4 F |", bars: "C:3 | F:4"},
		{text: "3/4\nkey: C\n| C |", bars: "C:3"},
	} {
		t.Run(c.text, func(t *testing.T) { checkTyped(t, c) })
	}
	for key, want := range map[string]string{
		"F-": "F minor", "Fm": "F minor", "F# min": "F# minor", "B flat": "Bb", "B flat minor": "Bb minor", "Bb maj": "Bb", "C sharp -": "C# minor", "Ebm": "Eb minor",
	} {
		assert.Equal(t, want, short(mustParse(t, "key: "+key+"\n| C |").Key), key)
	}
	assert.True(t, mustParse(t, "{F minor}\nkey: C\n| Gm7b5 |").Sections[0].Bars[0].Stays[0].Forced, "a brace among the headers holds")
	assert.Equal(t, 132, mustParse(t, "tempo: 132bpm\n| C |").Tempo)
	assert.Equal(t, 132, mustParse(t, "tempo: ♩ = 132\n| C |").Tempo)
}

func TestTypedEncodings(t *testing.T) {
	text := "title: Café du Port\r\n| Dm7 | G7 |\r\n"
	for name, form := range map[string]string{
		"CR alone": strings.ReplaceAll(text, "\r\n", "\r"), "UTF-16LE": utf16(t, unicode.LittleEndian, unicode.UseBOM, text),
		"UTF-16BE": utf16(t, unicode.BigEndian, unicode.UseBOM, text), "no mark": utf16(t, unicode.LittleEndian, unicode.IgnoreBOM, text),
	} {
		c, err := Read(strings.NewReader(form))
		require.NoError(t, err, name)
		assert.Equal(t, "Café du Port", c.Title, name)
		assert.Equal(t, "Dm7:4 | G7:4", playedBars(t, c), name)
	}
	_, err := Read(strings.NewReader("title: Caf\xe9\n| C |"))
	assert.EqualError(t, err, "line 1, column 11: found the byte 0xE9, expected text in UTF-8")
}

// A whole chart as it was typed between two sets, and what it says.
func TestTheNapkin(t *testing.T) {
	c := fileChart(t, "napkin.chart")
	assert.Equal(t, "Net Loft", c.Title)
	assert.Equal(t, "Bb", short(c.Key))
	assert.Equal(t, 168, c.Tempo)
	head := "Bb6:2 G7b9:2 | Cm7:2 F7:2 | Dm7b5:2 G7alt:2 | Cm7:2 F7:2"
	bridge := "D7:4 | D7:4 | G7/9+:4 | G7/9+:4 | C9:4 | C9:4 | F7:3 F#dim7:1 | F7:4"
	last := "Bb6:2 G7(9-):2 | Cm7:2 F7:2 | Dm7(b5):2 G7(alt):2 | Cm7:2 F7:2 | Bb6:4"
	want := []string{head, "Bb6:2 Bb7:2", head, "Bb6:4", bridge, last, head, "Bb6:4", "Eb6:2 Edim7:1 F7:1 | Bb6:4"}
	assert.Equal(t, strings.Join(want, " | "), playedBars(t, c))
	assert.Equal(t, []string{
		`line 2, column 1: the header "composer" is kept and not used; used are title, key, meter, tempo, form or pickup`,
		"line 9, column 1: a slash is read as a beat of the chord before it",
		"line 14, column 41: F#dim is read as F#dim7, as jazz charts mean it; for the triad write F#m(b5)",
		"line 20, column 3: 3 chords in a bar of 4/4 are read as 2, 1 and 1 beats",
		"line 20, column 7: Edim is read as Edim7, as jazz charts mean it; for the triad write Em(b5)",
	}, remarksOf(c))
	assert.Equal(t, withoutRemarks(c), withoutRemarks(mustParse(t, c.String())), c.String())
}
