package centre_test

import (
	"bufio"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"shedlight/analyse/changes/centre"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"

	"github.com/stretchr/testify/require"
)

// progression is one entry of testdata/centres.
type progression struct {
	name     string
	where    string // file and line
	text     string // as a chart file has it, each section under a name of its own
	meter    timebase.Meter
	chords   []centre.Chord
	length   int64
	want     []centre.Stretch // Why is not used; gaps are not judged
	sections []centre.Section
	below    []below
}

// below is what is wanted of the finer layer in some bars.
type below struct {
	from, to int    // bars
	what     string // passing, moves or scale
	want     string
}

// loadProgressions reads testdata/centres/*.txt, whose README says how they
// are written.
func loadProgressions(t testing.TB) []progression {
	t.Helper()
	files, err := filepath.Glob("../../../testdata/centres/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var out []progression
	for _, file := range files {
		f, err := os.Open(file)
		require.NoError(t, err)
		var p *progression
		scan := bufio.NewScanner(f)
		for n := 1; scan.Scan(); n++ {
			line, where := strings.TrimSpace(scan.Text()), fmt.Sprintf("%s:%d", filepath.Base(file), n)
			switch name, isName := strings.CutPrefix(line, "name: "); {
			case line == "" || strings.HasPrefix(line, "#"):
			case isName:
				out = append(out, progression{name: name, where: where, meter: timebase.Common})
				p = &out[len(out)-1]
			case strings.HasPrefix(line, "meter: "):
				p.text = line + "\n"
				_, err := fmt.Sscanf(line, "meter: %d/%d", &p.meter.Num, &p.meter.Den)
				require.NoError(t, err, where)
			case strings.HasPrefix(line, "["):
				p.text += fmt.Sprintf("[S%d]\n", len(p.sections))
				p.sections = append(p.sections, centre.Section{Name: strings.Trim(line, "[]"), Start: p.length})
			case strings.HasPrefix(line, "|"):
				p.addBars(t, where, line)
			default:
				p.addWant(t, where, line)
			}
		}
		require.NoError(t, scan.Err())
		require.NoError(t, f.Close())
	}
	return out
}

func (p *progression) addBars(t testing.TB, where, line string) {
	t.Helper()
	p.text += line + "\n"
	bar := p.meter.Bar()
	for _, text := range strings.Split(strings.Trim(line, "| "), "|") {
		number := int(p.length/bar) + 1
		symbols := strings.Fields(text)
		if len(symbols) == 1 && symbols[0] == "%" {
			for _, c := range p.chords {
				if c.Bar == number-1 {
					c.Start, c.End, c.Bar = c.Start+bar, c.End+bar, number
					p.chords = append(p.chords, c)
				}
			}
			p.length += bar
			continue
		}
		each := bar / int64(len(symbols))
		for _, s := range symbols {
			p.chords = append(p.chords, centre.Chord{Start: p.length, End: p.length + each, Bar: number, Chord: chordOf(t, where, s)})
			p.length += each
		}
	}
}

func (p *progression) addWant(t testing.TB, where, line string) {
	t.Helper()
	bars, rest, _ := strings.Cut(line, " ")
	what, name, ok := strings.Cut(rest, " ")
	require.True(t, ok, "%s: %q is neither bars nor an expectation", where, line)
	first, last, ok := strings.Cut(bars, "-")
	require.True(t, ok, "%s: expected bars like 1-4, found %q", where, bars)
	from, err := strconv.Atoi(first)
	require.NoError(t, err, where)
	to, err := strconv.Atoi(last)
	require.NoError(t, err, where)
	if what != "->" {
		require.Contains(t, []string{"passing", "moves", "scale"}, what, where)
		p.below = append(p.below, below{from: from, to: to, what: what, want: name})
		return
	}
	p.want = append(p.want, centre.Stretch{
		Start:  int64(from-1) * p.meter.Bar(),
		End:    int64(to) * p.meter.Bar(),
		Centre: centreOf(t, where, name),
	})
}

// show prints stretches as the data files write them.
func (p progression) show(stretches []centre.Stretch) string {
	var b strings.Builder
	place := func(tick int64) string {
		bar, rest := tick/p.meter.Bar(), tick%p.meter.Bar()
		return fmt.Sprintf("%d.%d", bar+1, rest/p.meter.Beat()+1)
	}
	for _, s := range stretches {
		fmt.Fprintf(&b, "  %s until %s -> %s (%s)\n", place(s.Start), place(s.End), s.Centre, s.Why)
	}
	return b.String()
}

func chordOf(t testing.TB, where, text string) harmony.Chord {
	t.Helper()
	s, err := harmony.ParseSymbol(text)
	require.NoError(t, err, where)
	return s.Chord
}

func centreOf(t testing.TB, where, text string) centre.Centre {
	t.Helper()
	name, modeName, _ := strings.Cut(text, " ")
	tonic, err := tone.ParseName(name)
	require.NoError(t, err, where)
	for mode := centre.Major; mode <= centre.Blues; mode++ {
		if mode.String() == modeName {
			return centre.Centre{Tonic: tonic, Mode: mode}
		}
	}
	require.Fail(t, "unknown centre", "%s: %q", where, text)
	return centre.Centre{}
}

// tuneOf makes a tune of 4/4 bars of symbols.
func tuneOf(t testing.TB, bars ...string) centre.Tune {
	t.Helper()
	p := progression{meter: timebase.Common}
	p.addBars(t, "test", strings.Join(bars, "|"))
	return p.tune()
}

func (p progression) tune() centre.Tune {
	return centre.Tune{Chords: p.chords, Sections: p.sections, Length: p.length}
}

func (p progression) find() []centre.Stretch { return centre.Find(p.tune()).Stretches }

func centreAt(t testing.TB, stretches []centre.Stretch, tick int64) centre.Centre {
	t.Helper()
	for _, s := range stretches {
		if s.Start <= tick && tick < s.End {
			return s.Centre
		}
	}
	require.Fail(t, "no stretch", "tick %d", tick)
	return centre.Centre{}
}

// transposed moves a chord, spelling its root with the plainest name.
func transposed(c harmony.Chord, n int) harmony.Chord {
	if c.None() {
		return c
	}
	move := func(name tone.Name) tone.Name {
		return tone.ClassOf(int(name.Class()) + n).Name()
	}
	return harmony.Chord{Root: move(c.Root), Bass: move(c.Bass), Formula: c.Formula}
}

// randomProgressions makes charts of 4 to 20 bars out of chords of every kind,
// the same each time. Half of their steps go down a fifth, as in tunes.
func randomProgressions(n int) []progression {
	random := rand.New(rand.NewSource(4))
	out := make([]progression, n)
	for i := range out {
		out[i] = randomOfBars(random, 4+random.Intn(17))
	}
	return out
}

func randomOfBars(random *rand.Rand, bars int) progression {
	p := progression{name: fmt.Sprintf("random chart of %d bars", bars), meter: timebase.Common}
	formulas := []harmony.Formula{
		harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five),
		harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.Seven),
		harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.FlatSeven),
		harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.FlatSeven),
		harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.Six),
		harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
		harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.DoubleFlatSeven),
	}
	bar := p.meter.Bar()
	root := random.Intn(12)
	for b := range bars {
		parts := 1 + random.Intn(2)
		for range parts {
			if random.Intn(2) == 0 {
				root += 5
			} else {
				root += random.Intn(12)
			}
			name := tone.ClassOf(root).Name()
			long := bar / int64(parts)
			p.chords = append(p.chords, centre.Chord{Start: p.length, End: p.length + long, Bar: b + 1, Chord: harmony.Chord{
				Root: name, Bass: name, Formula: formulas[random.Intn(len(formulas))],
			}})
			p.length += long
		}
	}
	return p
}
