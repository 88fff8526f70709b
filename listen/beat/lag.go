package beat

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// The lag of a player and an instrument is measured with notes on the click of
// 100 beats a minute: four beats lead in, four more notes do not count, sixteen
// do, and sixteen more where the doubt is too large.
const (
	LagTempo  = 600_000 // microseconds a quarter note
	LagLeadIn = 4       // beats that are only heard
	LagWarmUp = 4       // beats whose notes do not count
	LagBeats  = 16      // beats whose notes do
	LagMore   = 32      // beats at most, where Go on says so

	lagDoubt     = 5 * time.Millisecond   // go on where the doubt is larger
	lagUsed      = 12                     // notes at least
	lagScatter   = 40 * time.Millisecond  // at most
	lagAtMost    = 250 * time.Millisecond // and no more before the beat
	outlierTimes = 3                      // deviations from the median make an outlier
)

// Why there is no lag to tell. Each says what to do.
var (
	ErrTooFewTaps = errors.New("too few notes on the click: play one note on each, sixteen in all")
	ErrScattered  = errors.New("the notes lie too far apart: play shorter notes, each with the click")
	ErrFarOff     = errors.New("the notes are a quarter of a second off or more: listen to the click once more, then play with it")
)

// Lag is what notes on a click say.
type Lag struct {
	Lag       time.Duration // how late the notes come; negative: early
	Uncertain time.Duration // the true lag lies within this in 95 of 100 cases
	Scatter   time.Duration // the deviation of one note
	Used      int           // notes that count
	Played    int           // notes with a beat of their own
}

// GoOn reports whether more notes would make the lag surer, after so many beats
// that count.
func (l Lag) GoOn(beats int) bool { return l.Uncertain > lagDoubt && beats < LagMore }

// MeasureLag compares the onsets of notes with the beats that they were to be on.
// The beats are those that count, evenly spaced, in order. A beat has the note that
// is nearest to it, within half a beat; what is three deviations from the median, by the median deviation, is left out, and the mean
// of the rest is the lag. Robust statistics, common practice: 1.4826 median
// deviations estimate a standard deviation of normal errors.
//
// The error is one of those above, with the figures that were found.
func MeasureLag(onsets, beats []time.Duration) (Lag, error) {
	off := offsets(onsets, beats)
	l := Lag{Played: len(off)}
	if len(off) < lagUsed {
		return l, ErrTooFewTaps
	}
	kept := without(off)
	l.Used = len(kept)
	l.Lag, l.Scatter = meanOf(kept)
	l.Uncertain = twice(l.Scatter, l.Used)
	switch {
	case l.Used < lagUsed:
		return l, ErrTooFewTaps
	case l.Scatter > lagScatter:
		return l, ErrScattered
	case l.Lag.Abs() > lagAtMost:
		return l, ErrFarOff
	}
	return l, nil
}

// String tells the lag as a player reads it.
func (l Lag) String() string {
	return fmt.Sprintf("%d ms, give or take %d, scatter %d ms, %d of %d used",
		milliseconds(l.Lag), milliseconds(l.Uncertain), milliseconds(l.Scatter), l.Used, l.Played)
}

func milliseconds(d time.Duration) int64 { return d.Round(time.Millisecond).Milliseconds() }

// offsets gives each beat its note: the nearest within half the distance of two
// beats.
func offsets(onsets, beats []time.Duration) []time.Duration {
	if len(beats) < lagUsed {
		return nil
	}
	half := (beats[len(beats)-1] - beats[0]) / time.Duration(len(beats)-1) / 2
	var off []time.Duration
	for _, at := range beats {
		nearest := half + 1
		for _, onset := range onsets {
			if d := onset - at; d.Abs() < nearest.Abs() {
				nearest = d
			}
		}
		if nearest <= half {
			off = append(off, nearest)
		}
	}
	return off
}

// without leaves out the outliers.
func without(off []time.Duration) []time.Duration {
	middle := median(off)
	from := make([]time.Duration, len(off))
	for i, d := range off {
		from[i] = (d - middle).Abs()
	}
	// 1.4826 median deviations, in whole numbers; at least a millisecond, so that
	// a machine's even notes leave room.
	limit := outlierTimes * max(median(from)*14826/10000, time.Millisecond)
	var kept []time.Duration
	for i, d := range off {
		if from[i] <= limit {
			kept = append(kept, d)
		}
	}
	return kept
}

func median(list []time.Duration) time.Duration {
	sorted := slices.Sorted(slices.Values(list))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// meanOf returns the mean and the standard deviation of a sample.
func meanOf(list []time.Duration) (mean, deviation time.Duration) {
	n := int64(len(list))
	sum := int64(0)
	for _, d := range list {
		sum += d.Microseconds()
	}
	micros := floorDiv(sum+n/2, n)
	squares := int64(0)
	for _, d := range list {
		from := d.Microseconds() - micros
		squares += from * from
	}
	return time.Duration(micros) * time.Microsecond, time.Duration(root(squares/max(1, n-1))) * time.Microsecond
}

// twice returns two standard errors of a mean: 95 of 100 cases, and a little more
// for the few degrees of freedom (t of 15: 2.13).
func twice(deviation time.Duration, n int) time.Duration {
	const hundredths = 213
	return time.Duration(root(deviation.Microseconds()*deviation.Microseconds()/int64(n))) * hundredths / 100 * time.Microsecond
}

// root returns the whole square root.
func root(v int64) int64 {
	if v <= 0 {
		return 0
	}
	r := v
	for next := (r + 1) / 2; next < r; next = (r + v/r) / 2 {
		r = next
	}
	return r
}
