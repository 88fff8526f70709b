package analyse

import (
	"sort"

	"shedlight/analyse/fate"
	"shedlight/analyse/instrument"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// arrival is a note that has been heard and is not yet in the line or in a chord:
// its role is open, or whether it is a glitch.
type arrival struct {
	song.Note
	fate.Claim

	elsewhere bool  // the left hand's by its key, while that hand holds only keys too far below
	before    int64 // the number of the note struck before it; -1: none
	target    bool  // a tone of its scale or of its written chord
	off       int64 // tick at which it stops sounding; timebase.Never as long as it does
	nextAny   int64 // tick of the next later note-on of any kind; timebase.Never: none yet
	settled   bool  // it is outside, and its fate is settled: it is written

	// Set when the keys struck together are sorted.

	role    Role
	group   int64    // the number of the first note that its hand struck with it
	strike  strike   // in that one: the chord
	crossed bool     // it is the melody's though its key is the left hand's
	low     bool     // a pedal point, where it is struck again under another chord
	partner int64    // the one note of the line that is struck with it; -1: none
	under   bool     // and that is the higher one
	chord   tone.Set // the tones of a struck chord, in the first of its notes
}

// strike is a chord that a hand struck; without keys there is none.
type strike struct {
	keys  instrument.Set
	note  int64 // the number of its first note
	last  int64 // and of the last one that its hand struck at that moment
	named bool  // it is told as a part of what the right hand struck
}

// open reports whether its fate is to be found.
func (a *arrival) open() bool { return a.Place == song.Outside && !a.settled }

// asNote is the note as the rules of fates see it.
func (a *arrival) asNote() fate.Note {
	return fate.Note{N: a.N, Tick: a.Tick, Up: a.Up, Off: a.off, Key: a.Key, Target: a.target}
}

// arrivals is a queue of them in order of N; its memory is used again.
type arrivals struct {
	items  []arrival
	head   int
	latest [2]int64 // the tick at which a note of each hand came last, the right one's first
}

func (q *arrivals) len() int { return len(q.items) - q.head }

func (q *arrivals) first() *arrival { return &q.items[q.head] }

func (q *arrivals) push(a arrival) {
	if q.head > len(q.items)/2 && len(q.items) == cap(q.items) {
		q.items = q.items[:copy(q.items, q.items[q.head:])]
		q.head = 0
	}
	q.items = append(q.items, a)
}

func (q *arrivals) pop() {
	q.head++
	if q.head == len(q.items) {
		q.items, q.head = q.items[:0], 0
	}
}

// byNumber returns note n while it is queued.
func (q *arrivals) byNumber(n int64) *arrival {
	queued := q.items[q.head:]
	i := sort.Search(len(queued), func(i int) bool { return queued[i].N >= n })
	if i == len(queued) || queued[i].N != n {
		return nil
	}
	return &queued[i]
}

// another tells the notes of a hand before a tick that a note of any kind comes there.
// Where that was not the first one there, they know it.
func (q *arrivals) another(tick int64, left bool) {
	latest := &q.latest[0]
	if left {
		latest = &q.latest[1]
	}
	if *latest == tick {
		return
	}
	*latest = tick
	for i := q.head; i < len(q.items); i++ {
		if w := &q.items[i]; w.Left == left && w.nextAny == timebase.Never && w.Tick < tick {
			w.nextAny = tick
		}
	}
}

// bend tells the notes of a channel that sound that it is bent so many semitones
// from now, a tick, on.
func (q *arrivals) bend(ch uint8, steps int, tick int64, targets tone.Set) {
	for i := q.head; i < len(q.items); i++ {
		if w := &q.items[i]; w.off == timebase.Never {
			w.Claim.Bend(ch, steps, w.Key, tick, targets)
		}
	}
}
