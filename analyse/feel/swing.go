package feel

import "shedlight/analyse/timebase"

// How the pairs of eighths swing.
//
// What is told is the mean of the pairs that are divided alike. A line of straight
// eighths with a dotted figure now and then is two kinds of pairs: they are parted where
// the variance between two kinds is largest (N. Otsu, A Threshold Selection Method from
// Gray-Level Histograms, IEEE Transactions on Systems, Man, and Cybernetics 9/1, 1979;
// from memory), and taken for two where that is most of the variance, more than of
// evenly spread ones (three quarters). Of two kinds the more frequent is the swing.
//
// In a line of triplets or sixteenths, pairs are what is left where a note is missing, and
// in one of quarters they are two of these, one late and one early: nothing is told where
// crowded beats, or those with one onset, outnumber them by far. Three notes to two beats
// have a pair in each first beat, and are known by the next, which has its onset at a third.

const (
	// Kinds of pairs are told apart by the length of their first eighth, kept in steps.
	step  = 20 // thousandths of a beat
	steps = (pairMost-pairLeast)*timebase.Milli/timebase.Tenths/step + 1
	// A kind has fewest pairs, or its ratio may be an accident. Two lie apart from each other by a tenth of a beat,
	// and explain most of the variance.
	fewest    = 4
	apart     = timebase.Milli / 10
	explained = 0.8
	// leftOver crowded beats to a pair and more: the pairs are what is left of those.
	leftOver = 2
	// bare beats to a pair and more, with one onset: at the widest scatter that is measured, 0.094
	// of a beat, two quarters come within pairMost of each other in one beat of fifteen (normal
	// deviates), and most of those not in the same beat.
	bare = 8
)

// pairs holds the pairs of eighths by the length of the first.
type pairs struct {
	lengths [steps]lengths
	crowded int64 // beats of three onsets or more, and of three to two beats
	single  int64 // beats of one
}

// lengths sums lengths of first eighths, in thousandths of a beat.
type lengths struct{ n, sum int64 }

func (l lengths) mean() float64 { return float64(l.sum) / float64(l.n) }

// count takes the onsets of a beat or, where that is a half note, of one of its quarters,
// and the one after them.
func (p *pairs) count(at []int64, start, length, next int64) {
	switch {
	case len(at) > 2, len(at) == 2 && crossed(at[0]-start, at[1]-start, next-start, length):
		p.crowded++
	case len(at) == 1:
		p.single++
	case len(at) == 2 && (at[0]-start)*timebase.Tenths <= nearBeat*length:
		first := at[1] - at[0]
		if tenths := first * timebase.Tenths; pairLeast*length <= tenths && tenths <= pairMost*length {
			thousandths := first * timebase.Milli / length
			l := &p.lengths[(thousandths-pairLeast*timebase.Milli/timebase.Tenths)/step]
			l.n++
			l.sum += thousandths
		}
	}
}

// crossed reports whether three onsets that follow each other are three to two beats: the third
// lies at a third of the next, nearer than to its beginning and its half, and the second
// midway between the others, to a tenth of a beat.
func crossed(first, second, third, length int64) bool {
	after := (third - length) * timebase.Tenths
	uneven := max(2*second-first-third, first+third-2*second) * timebase.Tenths
	return nearBeat*length < after && after < pairLeast*length && uneven <= 2*length
}

func (p *pairs) add(other *pairs) {
	for i := range p.lengths {
		p.lengths[i].n += other.lengths[i].n
		p.lengths[i].sum += other.lengths[i].sum
	}
	p.crowded += other.crowded
	p.single += other.single
}

// told returns the pairs that are the swing, and those that are divided otherwise.
func (p *pairs) told() (swing, others lengths) {
	var all lengths
	for _, l := range p.lengths {
		all.n += l.n
		all.sum += l.sum
	}
	if all.n == 0 || p.crowded >= leftOver*all.n || p.single >= bare*all.n {
		return lengths{}, lengths{}
	}
	short := p.parted(all)
	long := lengths{n: all.n - short.n, sum: all.sum - short.sum}
	if long.n > short.n {
		return long, short
	}
	return short, long
}

// parted returns the shorter of two kinds of pairs, or all where there is but one.
func (p *pairs) parted(all lengths) lengths {
	var total, most float64
	for _, l := range p.lengths {
		if l.n > 0 {
			d := l.mean() - all.mean()
			total += float64(l.n) * d * d
		}
	}
	var short, best lengths
	for _, l := range p.lengths {
		short.n += l.n
		short.sum += l.sum
		long := lengths{n: all.n - short.n, sum: all.sum - short.sum}
		if short.n < fewest || long.n < fewest {
			continue
		}
		d := long.mean() - short.mean()
		between := float64(short.n) * float64(long.n) / float64(all.n) * d * d
		if d >= apart && between > most {
			most, best = between, short
		}
	}
	if best.n == 0 || most < explained*total {
		return all
	}
	return best
}

// reversed reports whether the first eighths are the shorter, which nobody swings: the ratio is
// from 1 to 3.5 (package song, pulse.go). Then the second has been taken for the first.
func (p *pairs) reversed() bool {
	swing, _ := p.told()
	return swing.n >= enough && swing.ratio() < 1
}

// ratio is the first eighth to the second; 0 where there are too few pairs to tell.
func (l lengths) ratio() Ratio {
	if l.n < fewest {
		return 0
	}
	return ratio(l.sum, l.n*timebase.Milli-l.sum)
}
