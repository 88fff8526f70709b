package display

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// speller turns names as the analyser writes them into names as the player
// reads them: at written pitch, with Unicode accidentals or in ASCII.
type speller struct {
	ascii   bool
	written tone.Instrument
}

func newSpeller(o Options) speller { return speller{ascii: o.ASCII, written: o.Written} }

var (
	// plainSigns says in ASCII what the other signs of chord symbols mean.
	plainSigns = strings.NewReplacer(
		"♭", "b", "♯", "#", "♮", "", "△", "maj", "Δ", "maj", "∆", "maj",
		"ø7", "m7b5", "ø", "m7b5", "Ø7", "m7b5", "Ø", "m7b5", "°", "o", "º", "o", "−", "-", "–", "-")
)

// text shows any text from outside.
func (s speller) text(t string) string { return s.lettered(Clean(t)) }

// whole shows a text from outside at its full length.
func (s speller) whole(t string) string { return s.lettered(Harmless(t)) }

// path shows the path of a file, cut from its start.
func (s speller) path(t string, cells int) string { return cutLeft(s.whole(t), cells) }

// lettered writes a text in ASCII where that is asked for.
func (s speller) lettered(t string) string {
	if !s.ascii {
		return t
	}
	return ASCII(t)
}

// ASCII writes a text in ASCII: the signs of chords in words and letters, what else is
// beyond it as what stands for any sign.
func ASCII(t string) string {
	return strings.Map(func(r rune) rune {
		if r >= utf8.RuneSelf {
			return replacement
		}
		return r
	}, plainSigns.Replace(t))
}

// print writes a name as it stands: "B♭", or "Bb" in ASCII.
func (s speller) print(n tone.Name) string {
	if s.ascii {
		return n.String()
	}
	return n.Unicode()
}

// name shows the name of a note. What is no name is shown as outside text.
func (s speller) name(t string) string {
	n, rest, ok := tone.CutName(t)
	if !ok || rest != "" {
		return s.text(t)
	}
	return s.print(s.written.Written(n))
}

// pitch shows a sounding note with the octave its letter stands in; key 60 is
// C4. Written pitch is shown less than an octave above what sounds.
func (s speller) pitch(t string, key uint8) string {
	n, rest, ok := tone.CutName(t)
	if !ok || rest != "" {
		return s.text(t)
	}
	moved := s.written.Written(n)
	up := tone.ClassOf(int(moved.Class()) - int(n.Class()))
	p, ok := moved.At(key + uint8(up))
	if !ok {
		return s.print(moved)
	}
	return s.print(moved) + strconv.Itoa(int(p.Octave))
}

// centre shows a key centre: "B♭ major".
func (s speller) centre(t string) string {
	n, rest, ok := tone.CutName(t)
	if !ok {
		return s.text(t)
	}
	return s.print(s.root(n, strings.HasPrefix(strings.TrimSpace(rest), "minor"))) + s.text(rest)
}

// root moves the root of a chord, a scale or a key to written pitch.
func (s speller) root(n tone.Name, minor bool) tone.Name {
	if minor {
		return s.written.WrittenMinorRoot(n)
	}
	return s.written.WrittenRoot(n)
}

// isMinor reports whether what follows a root in a chord symbol, or in the name
// of a scale, makes it minor.
func isMinor(root tone.Name, rest string) bool {
	if strings.HasSuffix(rest, " dim") || strings.HasPrefix(rest, " ") {
		return strings.HasPrefix(rest, "m6") || strings.HasPrefix(rest, " minor")
	}
	parsed, err := harmony.ParseSymbol(root.String() + strings.TrimRight(rest, ")]"))
	return err == nil && parsed.Chord.Formula.Has(harmony.FlatThree)
}

// symbol shows a chord symbol: "B♭7♭9/D". Root and bass move to written pitch.
// What is no chord, like N.C., stays as it is.
func (s speller) symbol(t string) string {
	body := strings.TrimLeft(t, "([")
	opening := t[:len(t)-len(body)]
	root, rest, ok := tone.CutName(body)
	if !ok {
		return s.text(t)
	}
	out := opening + s.print(s.root(root, isMinor(root, rest)))
	if i := strings.LastIndexByte(rest, '/'); i >= 0 {
		if bass, tail, ok := tone.CutName(rest[i+1:]); ok && strings.Trim(tail, ")]") == "" {
			return s.text(out + s.alterations(rest[:i]) + "/" + s.print(s.written.Written(bass)) + tail)
		}
	}
	return s.text(out + s.alterations(rest))
}

// alterations turns a b before a number and every # into the signs.
func (s speller) alterations(t string) string {
	if s.ascii {
		return t
	}
	var b strings.Builder
	for i := 0; i < len(t); i++ {
		after := strings.TrimLeft(t[i:], "b")
		switch {
		case t[i] == '#':
			b.WriteString("♯")
		case t[i] == 'b' && after != "" && '0' <= after[0] && after[0] <= '9':
			b.WriteString("♭")
		default:
			b.WriteByte(t[i])
		}
	}
	return b.String()
}

// degree shows a degree label: "♭6".
func (s speller) degree(t string) string { return s.alterations(t) }

// scale moves a scale to written pitch; its tones are then spelled there.
func (s speller) scale(sc harmony.Scale) harmony.Scale {
	if !sc.None() {
		sc.Root = s.root(sc.Root, sc.Kind == harmony.MinorSixth)
	}
	return sc
}

// halves shows the two halves of a scale as the rails are labelled:
// "B♭6: B♭ D F G" and "dim: C E♭ G♭ A".
func (s speller) halves(sc harmony.Scale) (home, dim string) {
	if sc.None() {
		return "", ""
	}
	there := speller{ascii: s.ascii}
	moved := s.scale(sc)
	home, dim = there.symbol(strings.TrimSuffix(moved.Short(), " dim"))+":", "dim:"
	for i, n := range moved.Tones() {
		if i%2 == 0 {
			home += " " + there.print(n)
		} else {
			dim += " " + there.print(n)
		}
	}
	return home, dim
}

// short shows a scale's name: "B♭6 dim".
func (s speller) short(sc harmony.Scale) string {
	if sc.None() {
		return ""
	}
	return s.symbol(sc.Short())
}

// NoteName shows the name of a note as the player reads it.
func NoteName(name string, o Options) string { return newSpeller(o).name(name) }

// Verdict is the word for what is said of a note: its fate, where it has one, or
// its place.
func Verdict(f *analyse.Finding, o Options) string {
	if f.Fate != fate.None {
		return fateWord(f.Fate, newSpeller(o).degree(f.Colour))
	}
	return placeWord(f.Place, f.Scale.Kind)
}

// placeWord is what the screen calls a place: the home half by the top tone of
// its chord.
func placeWord(p song.Place, kind harmony.ScaleKind) string {
	if p == song.Home {
		return homeWord(kind)
	}
	return p.String()
}

func homeWord(kind harmony.ScaleKind) string {
	switch kind {
	case harmony.DominantSeventh, harmony.DominantSeventhFlatFive:
		return "seven"
	}
	return "six"
}
