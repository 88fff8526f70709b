package beat

import (
	"time"

	"shedlight/analyse/timebase"
)

// Rise is a tempo that rises with the choruses, at their tops only, and begins anew
// where it is counted off again.
type Rise struct {
	By    int64 // beats a minute of the first bar; negative: slower
	Every int64 // choruses; 0: never
}

// by returns by how many beats a minute the choruses have made it faster that many
// ticks after the top that was counted off to.
func (r Rise) by(f *Form, played int64) int64 {
	if r.Every == 0 || played < 0 {
		return 0
	}
	return played / (r.Every * f.Length) * r.By
}

// left returns how many ticks it is from there to the next rise; ok is false where there
// is none.
func (r Rise) left(f *Form, played int64) (ticks int64, ok bool) {
	if r.Every == 0 || played < 0 {
		return 0, false
	}
	span := r.Every * f.Length
	return span - played%span, true
}

// What a tempo rises to, and falls to, in beats a minute: as far as a player may set it.
// One that is tapped beyond stays.
const risesTo, fallsTo = 600, 10

// faster returns a tempo of bar 1 that is so many beats a minute faster, as far as it
// rises.
func (f *Form) faster(quarter, by int64) int64 {
	minute := f.minute()
	rate := minute + by*quarter // quarter times what it comes to
	switch {
	case by > 0:
		rate = min(rate, max(minute, risesTo*quarter))
	case by < 0:
		rate = max(rate, min(minute, fallsTo*quarter))
	default:
		return quarter
	}
	return bounded((minute*quarter + rate/2) / rate)
}

// minute is how many microseconds a quarter note lasts at one beat a minute.
func (f *Form) minute() int64 {
	return int64(time.Minute/time.Microsecond) * timebase.Quarter / f.Bars[0].Meter.Beat()
}

// BarsIn counts the bars from the top that the song at a tick was last counted off to,
// from 0; below 0 while it does not run and before bar 1.
func (l *Line) BarsIn(tick int64) int {
	p := l.at(tick)
	if p.state != Running {
		return -1
	}
	return l.form.BarsIn(p.songAt(tick), p.base)
}

// Rise returns how the tempo of the line rises.
func (l *Line) Rise() Rise { return l.rise }

// Rises returns how many ticks it is from a tick to the top where the tempo rises next,
// and the beats a minute of bar 1 from there on. ok is false where it does not rise or has
// risen as far as it does, and while the song does not run or is counted in.
func (l *Line) Rises(tick int64) (left int64, perMinute float64, ok bool) {
	p := l.at(tick)
	song := p.songAt(tick)
	if p.state != Running || song < 0 {
		return 0, 0, false
	}
	if left, ok = l.rise.left(l.form, song-p.base); !ok {
		return 0, 0, false
	}
	holds := l.form.faster(l.quarter, l.rise.by(l.form, song-p.base))
	quarter := l.form.faster(l.quarter, l.rise.by(l.form, song-p.base+left))
	return left, float64(l.form.minute()) / float64(quarter), quarter != holds
}
