package display

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"shedlight/analyse"
)

// Trend is how one tune went from take to take. Only what is alike is in one row of
// numbers: see analyse.Was.
type Trend struct {
	Title string
	Takes int // with notes enough, told or not
	Short int // takes with too few notes to be among them
	Alike []TrendOf
}

// TrendOf is what takes have of choruses that are alike, a number for each take, in order.
type TrendOf struct {
	Was          analyse.Was
	Takes        []int // by their places among the takes with notes enough
	Notes, Slips []int64
}

const (
	// mostShares is how many numbers show a trend; more takes are taken together
	// in so many groups.
	mostShares = 8
	// mostAlike is how many kinds of chorus a tune has a row for, those of most takes.
	mostAlike = 3
)

// WriteTrends writes how many slips there were from take to take, in a line
// for each tune that was played more than once, and for each tempo and key. The error is
// the writer's.
func WriteTrends(w io.Writer, all []Trend, o Options) error {
	sp := newSpeller(o)
	var rows []string
	for i := range all {
		if all[i].Takes > 1 {
			rows = append(rows, all[i].rows(sp)...)
		}
	}
	if len(rows) > 0 {
		rows = append([]string{""}, rows...)
	}
	return writeRows(w, rows, o.width())
}

// rows writes the trend of a tune, and which takes were left out.
func (t *Trend) rows(sp speller) (rows []string) {
	title := ""
	if t.Title != "" {
		title = cut(sp.text(t.Title), fileCells)
	}
	told := slices.DeleteFunc(slices.Clone(t.Alike), func(o TrendOf) bool { return len(o.Takes) < 2 })
	slices.SortStableFunc(told, func(a, b TrendOf) int { return len(b.Takes) - len(a.Takes) })
	told = told[:min(len(told), mostAlike)]
	if len(told) == 0 {
		return []string{strings.TrimPrefix(title+": ", ": ") + "no two takes are alike" + t.leftOut(nil)}
	}
	for i := range told {
		label, last := title, ""
		if len(t.Alike) > 1 {
			label += " " + sp.was(told[i].Was)
		}
		if i == len(told)-1 {
			last = t.leftOut(told)
		}
		rows = append(rows, told[i].rows(strings.TrimSpace(label), last)...)
	}
	return rows
}

// leftOut says how many takes are in none of the rows; where there are no rows that says
// itself.
func (t *Trend) leftOut(told []TrendOf) string {
	in := map[int]bool{}
	for i := range told {
		for _, take := range told[i].Takes {
			in[take] = true
		}
	}
	others := t.Takes - len(in)
	switch {
	case len(told) == 0 || others == 0:
		if t.Short == 0 {
			return ""
		}
		return ", " + count(int64(t.Short), "short take") + " left out"
	case t.Short == 0:
		return ", " + count(int64(others), "other take") + " left out"
	}
	return fmt.Sprintf(", %d other and %d short left out", others, t.Short)
}

// rows writes one row of numbers.
func (t *TrendOf) rows(label, behind string) (rows []string) {
	takes := len(t.Notes)
	groups := min(takes, mostShares)
	var shares []string
	for g := range groups {
		var notes, slips int64
		for i := g * takes / groups; i < (g+1)*takes/groups; i++ {
			notes += t.Notes[i]
			slips += t.Slips[i]
		}
		shares = append(shares, share(slips, notes))
	}
	if label != "" {
		label += ": "
	}
	shares[groups-1] += fmt.Sprintf(", over %d takes", takes) + behind
	for _, row := range flow(label+"slips ", " -> ", pageWidth, mostShares, shares) {
		rows = append(rows, strings.TrimRight(row, " "))
	}
	return rows
}
