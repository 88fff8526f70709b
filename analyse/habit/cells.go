package habit

import (
	"cmp"
	"math/bits"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
	"slices"
)

// Favourite cells: three intervals, four notes, that come again. Four notes in
// steps one way are a run and are told as one, so they are no cell.
//
// There are far more cells than can be kept. The table is space-saving (A.
// Metwally, D. Agrawal, A. El Abbadi, Efficient Computation of Frequent and
// Top-k Elements in Data Streams, 2005), in rows of eight so that a note costs
// the same however many cells there are: a cell that is not in its row takes the
// place of the one that was counted least there, the first of those, and takes
// over its count as what may be too much. What a cell was counted more than that
// is how often it was played at the least, and that is told.

const (
	cellRows, cellsInRow = 64, 8
	cellIntervals        = 3
	// cellsTold is how many cells are told, cellLeast how often one must have come.
	cellsTold, cellLeast = 5, 3
	// cellMix spreads the cells over the rows: 2^32 over the golden ratio.
	cellMix      = 2654435769
	cellRowShift = 32 - 6 // the upper bits, 64 rows
)

type cellCount struct {
	key   uint32
	times int64
	over  int64 // of times, how many may be another's
	last  song.BarRef
}

// cellTable is the cells that were counted. Few rows are used in a chorus, so that
// which ones is kept: a bit for each.
type cellTable struct {
	rows [cellRows][cellsInRow]cellCount
	used uint64
}

// cells finds the cells of the line.
type cells struct {
	recent [cellIntervals]int // the latest intervals, nearest last
	n      int                // how many of them there are
}

// rest ends the phrase: a cell does not go over a rest.
func (c *cells) rest() { c.n = 0 }

// add takes the interval to the next note, in semitones, and where it is.
func (c *cells) add(to *cellTable, interval int, at song.BarRef) {
	copy(c.recent[:], c.recent[1:])
	c.recent[cellIntervals-1] = interval
	if c.n = min(c.n+1, cellIntervals); c.n < cellIntervals || isRun(c.recent) {
		return
	}
	to.add(&cellCount{key: packCell(c.recent), times: 1, last: at})
}

// add counts a cell so many times.
func (t *cellTable) add(cell *cellCount) {
	at := cell.key * cellMix >> cellRowShift
	t.used |= 1 << at
	row := &t.rows[at]
	least := 0
	for i := range row {
		if row[i].key == cell.key && row[i].times > 0 {
			row[i].times += cell.times
			row[i].over += cell.over
			row[i].last = cell.last
			return
		}
		if row[i].times < row[least].times {
			least = i
		}
	}
	over := row[least].times
	row[least] = cellCount{key: cell.key, times: over + cell.times, over: over + cell.over, last: cell.last}
}

// include adds what was counted later.
func (t *cellTable) include(later *cellTable) {
	for left := later.used; left != 0; left &= left - 1 {
		row := &later.rows[bits.TrailingZeros64(left)]
		for i := range row {
			if row[i].times > 0 {
				t.add(&row[i])
			}
		}
	}
}

// reset empties the table.
func (t *cellTable) reset() {
	for left := t.used; left != 0; left &= left - 1 {
		t.rows[bits.TrailingZeros64(left)] = [cellsInRow]cellCount{}
	}
	t.used = 0
}

// isRun reports whether the intervals are all steps in one direction.
func isRun(intervals [cellIntervals]int) bool {
	up, down := true, true
	for _, i := range intervals {
		up = up && 0 < i && i <= tone.WholeStep
		down = down && -tone.WholeStep <= i && i < 0
	}
	return up || down
}

// packCell packs the intervals, -127 to 127, into a byte each.
func packCell(intervals [cellIntervals]int) uint32 {
	var key uint32
	for _, i := range intervals {
		key = key<<8 | uint32(uint8(int8(i)))
	}
	return key
}

func unpackCell(key uint32) []int {
	return []int{int(int8(key >> 16)), int(int8(key >> 8)), int(int8(key))}
}

// Cell is a shape of four notes that comes again.
type Cell struct {
	Intervals []int       `json:"intervals"` // semitones from each note to the next, three of them
	Times     int64       `json:"times"`     // at the least
	Last      song.BarRef `json:"last"`      // where it ended the last time
}

// report lists the favourite cells, the most frequent first, those that are
// even in the order of their intervals from the lowest up.
func (t *cellTable) report() []Cell {
	out := []Cell{}
	for i := range t.rows {
		for _, cell := range &t.rows[i] {
			if times := cell.times - cell.over; times >= cellLeast {
				out = append(out, Cell{Intervals: unpackCell(cell.key), Times: times, Last: cell.last})
			}
		}
	}
	slices.SortFunc(out, func(x, y Cell) int {
		return cmp.Or(cmp.Compare(y.Times, x.Times), slices.Compare(x.Intervals, y.Intervals))
	})
	return out[:min(len(out), cellsTold)]
}
