package analyse

import (
	"slices"

	"shedlight/analyse/fit"
	"shedlight/analyse/song"
)

// fitting hands the melody to the fit, in song time. A change of origin waits until
// the melody has come to it: what was played before belongs to the song as it was.
type fitting struct {
	*fit.Fit
	song  *song.Song
	jumps []jump
	news  []fit.Verdict // since the judge was last asked for them
	kept  []fit.Verdict // all but those on phrases that claim nothing
	gone  []int         // the choruses that are left out
	ended func() int64  // the tick at which the last phrase ended
}

// jump is a change of origin: the song came to one song tick at a tick, and went on
// from another, or stood still there.
type jump struct{ tick, from, to int64 }

// take keeps what has closed.
func (f *fitting) take(closed []fit.Verdict) {
	for i := range closed {
		v := &closed[i]
		if v.Span != fit.Take && slices.Contains(f.gone, v.Chorus) {
			continue
		}
		f.news = append(f.news, *v)
		if v.Span != fit.Phrase || v.Claims() {
			f.kept = append(f.kept, *v)
		}
	}
}

// Note takes the next note of the melody. Where the song stands still or has no
// origin it lies nowhere.
func (f *fitting) Note(n *song.Note) {
	if n.InSong && !slices.Contains(f.gone, n.Position.Chorus) {
		f.reach(n.Tick)
		f.take(f.Fit.Note(fit.Note{N: n.N, Song: n.Song, Key: uint8(n.Key), Moved: int8(n.Context.Moved), Timed: n.Pulse.Known}))
	}
}

// Rest ends the phrase where its last note was released.
func (f *fitting) Rest() {
	at, _ := f.song.SongTick(f.ended())
	f.take(f.EndPhrase(at))
}

// Turn does nothing: the fit follows the song by itself.
func (f *fitting) Turn(int) {}

// Forget leaves a chorus out, and drops what was told of it.
func (f *fitting) Forget(chorus int) {
	f.Fit.Forget(chorus)
	f.gone = append(f.gone, chorus)
	f.kept = slices.DeleteFunc(f.kept, func(v fit.Verdict) bool { return v.Chorus == chorus })
}

// origin says that the song goes on from another song tick, from a tick on.
func (f *fitting) origin(tick, from, to int64) {
	f.jumps = append(f.jumps, jump{tick: tick, from: from, to: to})
}

// reach makes the jumps up to a tick before which every note of the melody is known,
// and tells the fit how far the song has come.
func (f *fitting) reach(known int64) {
	for len(f.jumps) > 0 && f.jumps[0].tick <= known {
		j := f.jumps[0]
		f.jumps = slices.Delete(f.jumps, 0, 1)
		f.take(f.Jump(j.from, j.to))
	}
	if len(f.jumps) == 0 && f.song.Running() {
		if at, ok := f.song.SongTick(known); ok {
			f.take(f.Advance(at))
		}
	}
}

// finish ends the take at a tick.
func (f *fitting) finish(now int64) {
	f.reach(now)
	at, _ := f.song.SongTick(now)
	f.take(f.Finish(at))
}
