package display

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"shedlight/analyse"
)

const (
	// pageWidth is the width a summary and a review keep to. With the numbers
	// of entries below a summary keeps to 24 rows.
	pageWidth = 80

	placeCells  = 11 // the column of places, as wide as "chord tones"
	barCells    = 30 // the longest bar of a share
	mostCentres = 4  // centres listed, those that slipped most
	mostKinds   = 3  // kinds of chord listed for the beat
	mostSubs    = 2  // substitute scales listed
	mostNews    = 2  // rows for fates
)

// WriteSummary writes what a session came to, on one screen of 80 by 24 at the
// most. A line that has nothing to say is left out. The error is the writer's.
func WriteSummary(w io.Writer, s analyse.Summary, o Options) error {
	_, err := io.WriteString(w, strings.Join(summaryLines(&s, newSpeller(o)), "\n")+"\n")
	return err
}

func summaryLines(s *analyse.Summary, sp speller) []string {
	out := played(s, sp)
	if s.Notes == 0 {
		return out
	}
	for _, block := range [][]string{fitted(s, sp), slipped(s, sp), found(s, sp)} {
		if len(block) > 0 {
			out = append(append(out, ""), block...)
		}
	}
	for i := range out {
		out[i] = strings.TrimRight(cut(out[i], pageWidth), " ")
	}
	return out
}

// played says what was played.
func played(s *analyse.Summary, sp speller) []string {
	var out []string
	if s.Title != "" {
		out = append(out, sp.text(s.Title))
	}
	if s.Notes == 0 {
		return append(out, "No notes were played.")
	}
	line := count(s.Notes, "note") + " in " + clock(s.Seconds)
	if s.Choruses > 0 {
		line += ", " + count(int64(s.Choruses), "chorus") + ", " + count(int64(s.Bars), "bar")
	}
	return append(out, line)
}

// fitted says how it lay on the scale.
func fitted(s *analyse.Summary, sp speller) []string {
	whole := s.Place.Home + s.Place.Dim + s.Place.Outside
	if whole == 0 {
		return nil
	}
	view := "over one key"
	if s.View == analyse.ChordView.String() {
		view = "over each chord"
	}
	out := []string{"How it lay on the scale, " + view}
	for _, row := range []struct {
		word string
		n    int64
	}{{"six", s.Place.Home}, {"dim", s.Place.Dim}, {"outside", s.Place.Outside}} {
		bar := strings.Repeat(sp.block(), int(row.n*barCells/whole))
		out = append(out, fmt.Sprintf("  %s %6d %6s  %s", pad(row.word, placeCells), row.n, share(row.n, whole), bar))
	}
	out = append(out, fmt.Sprintf("  %s %6d %6s", pad("chord tones", placeCells), s.ChordTones, share(s.ChordTones, whole)))
	return out
}

// slipped says where notes stayed unresolved: by centre, by chorus, and what
// became of the other outside notes.
func slipped(s *analyse.Summary, sp speller) []string {
	var out []string
	if s.Place.Outside > 0 {
		out = append(out, centres(s, sp)...)
		if len(s.ChorusesDetail) > 1 {
			out = append(out, choruses(s))
		}
	}
	type met struct {
		word string
		n    int64
	}
	var all []met
	for _, word := range slices.Sorted(maps.Keys(s.Fate)) {
		if n := s.Fate[word]; n > 0 {
			all = append(all, met{word: word, n: n})
		}
	}
	if len(all) == 0 {
		return out
	}
	slices.SortStableFunc(all, func(a, b met) int { return cmp.Compare(b.n, a.n) })
	texts := make([]string, len(all))
	for i, one := range all {
		texts[i] = fmt.Sprintf("%s %d", one.word, one.n)
	}
	return append(out, wrap("outside notes: ", texts, mostNews)...)
}

func centres(s *analyse.Summary, sp speller) []string {
	worst := slices.Clone(s.Centres)
	slices.SortStableFunc(worst, func(a, b analyse.CentreCount) int { return cmp.Compare(b.Unresolved, a.Unresolved) })
	worst = slices.DeleteFunc(worst, func(c analyse.CentreCount) bool { return c.Notes == 0 })
	if len(worst) == 0 {
		return nil
	}
	out := []string{fmt.Sprintf("%s %8s %8s %10s", pad("Where it slipped", nameCells), "notes", "outside", "unresolved")}
	for _, c := range worst[:min(len(worst), mostCentres)] {
		out = append(out, fmt.Sprintf("%s %8d %8d %10d", pad("  "+sp.centre(c.Centre), nameCells), c.Notes, c.Outside, c.Unresolved))
	}
	return out
}

// nameCells is the column of centres, wide enough for "  C# minor" and its
// heading.
const nameCells = 20

// choruses lists what stayed unresolved in each chorus, the last ones if there
// are too many for a line.
func choruses(s *analyse.Summary) string {
	label := "unresolved by chorus:"
	var texts []string
	used := len(label) + len(ellipsis) + 1
	for i := len(s.ChorusesDetail) - 1; i >= 0; i-- {
		c := &s.ChorusesDetail[i]
		text := fmt.Sprintf(" %d: %d", c.Chorus, c.Unresolved)
		if i > 0 {
			text = "," + text
		}
		if used += len(text); used > pageWidth {
			texts = append(texts, " "+ellipsis)
			break
		}
		texts = append(texts, text)
	}
	slices.Reverse(texts)
	return label + strings.Join(texts, "")
}

// found says what the line was made of and how it met the beat.
func found(s *analyse.Summary, sp speller) []string {
	var out, figures []string
	for _, one := range []struct {
		n    int64
		word string
	}{
		{s.Figures.Run, "run"}, {s.Figures.Arpeggio, "arpeggio"},
		{s.Figures.Chord, "chord"}, {s.Figures.Leap, "leap"},
	} {
		if one.n > 0 {
			figures = append(figures, count(one.n, one.word))
		}
	}
	if len(figures) > 0 {
		out = append(out, "figures: "+strings.Join(figures, ", "))
	}
	beats := slices.DeleteFunc(slices.Clone(s.OnBeat), func(b analyse.OnBeat) bool { return b.Scored == 0 })
	slices.SortStableFunc(beats, func(a, b analyse.OnBeat) int { return cmp.Compare(b.Scored, a.Scored) })
	for _, b := range beats[:min(len(beats), mostKinds)] {
		out = append(out, fmt.Sprintf("on the beat over %s: %d of %d in the home half, %d chord tones",
			sp.text(b.ChordKind), b.Home, b.Scored, b.ChordTone))
	}
	subs := slices.Clone(s.Subs)
	slices.SortStableFunc(subs, func(a, b analyse.SubUse) int { return cmp.Compare(b.Times, a.Times) })
	for _, u := range subs[:min(len(subs), mostSubs)] {
		out = append(out, fmt.Sprintf("%s heard as %s %s", sp.text(u.ChordKind), sp.scaleNamed(u.Scale), times(u.Times)))
	}
	return out
}

// wrap writes texts after a label, on so many rows at most.
func wrap(label string, texts []string, rows int) []string {
	out := []string{label}
	for i, text := range texts {
		if i+1 < len(texts) {
			text += ", "
		}
		last := len(out) - 1
		if width(out[last])+width(text) <= pageWidth-len(ellipsis) {
			out[last] += text
			continue
		}
		if len(out) == rows {
			out[last] += ellipsis
			return out
		}
		out = append(out, strings.Repeat(" ", width(label))+text)
	}
	return out
}

// block is the material of bars.
func (s speller) block() string {
	if s.ascii {
		return "#"
	}
	return "▬"
}

// count writes a number with its word: "1 note", "2 choruses".
func count(n int64, word string) string {
	switch {
	case n == 1:
	case strings.HasSuffix(word, "s"):
		word += "es"
	default:
		word += "s"
	}
	return fmt.Sprintf("%d %s", n, word)
}

func times(n int64) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// clock writes a time in seconds as minutes and seconds: "3:12".
func clock(s float64) string {
	const minute = 60
	return fmt.Sprintf("%d:%02d", int64(s)/minute, int64(s)%minute)
}
