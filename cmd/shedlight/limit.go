package main

import "shedlight/listen/beat"

// limit ends a session after so many choruses from where it was last counted
// off. A nil limit ends nothing.
type limit struct {
	line      func() *beat.Line
	choruses  int64
	length    int64 // of a chorus, in ticks
	lastChord int64 // the song tick in a chorus from which no other chord comes
}

// played returns how many ticks of the song have been played at a tick since the
// last top that was counted off to; below 0 while it is counted off.
func (l *limit) played(tick int64) int64 {
	line := l.line()
	song, state := line.Song(tick)
	if state != beat.Running || song < 0 {
		return -1
	}
	return song - line.Top(tick)
}

// reached reports whether the last chorus is over.
func (l *limit) reached(tick int64) bool {
	return l != nil && l.played(tick) >= l.choruses*l.length
}

// last reports whether the last chorus is being played.
func (l *limit) last(tick int64) bool {
	return l != nil && l.played(tick) >= (l.choruses-1)*l.length
}

// ending reports whether no other chord comes.
func (l *limit) ending(tick int64) bool {
	return l != nil && l.played(tick) >= (l.choruses-1)*l.length+l.lastChord
}
