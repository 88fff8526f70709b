package analyse

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/ear"
	"shedlight/analyse/feel"
	"shedlight/analyse/fit"
	"shedlight/analyse/habit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// listener listens to the melody. What it counts it counts by chorus (song.Sheets).
type listener interface {
	Note(n *song.Note) // the next note of the melody, in their order
	Rest()             // the phrase is over
	Turn(chorus int)   // the next note lies in this chorus; 0 is outside one
	Forget(chorus int) // it is left out of every count, what is still to come of it too
}

// melody is the listeners of the melody.
type melody struct {
	phrases   phrase.Finder // with the figures in them
	feel      feel.Feel
	alignment feel.Alignment
	habits    habit.Watch
	ear       ear.Ear
	fit       fitting

	listeners []listener
	chorus    int // the number of the latest note's
}

// start sets the listeners up, in the order in which they are told. The phrases are
// told first: they set whether a note begins one.
func (m *melody) start(s *Setup, song *song.Song, heard func(changes.Centre)) {
	m.phrases = phrase.New(s.Timeline, song.Contexts, s.Voicing, s.Whole)
	if s.Timeline != nil || s.Centre != nil {
		heard = nil
	}
	m.feel, m.alignment, m.habits, m.ear = feel.New(s.Timeline, s.Gaps), feel.NewAlignment(), habit.New(), ear.New(heard)
	m.fit = fitting{Fit: fit.New(s.Timeline), song: song, ended: m.phrases.Ended}
	if len(s.Keys) > 1 {
		m.fit.Moving(s.Keys[1].Semitones)
	}
	m.listeners = []listener{&m.phrases, &m.feel, &m.alignment, &m.habits, &m.ear, &m.fit}
}

// note tells the next note of the melody.
func (m *melody) note(n *song.Note) {
	m.rested(n.Tick)
	if m.phrases.Leaps(n) {
		m.phrases.Leap(n.Tick)
		m.rest()
	}
	if chorus := n.Position.Chorus; chorus != m.chorus {
		m.turn(chorus)
	}
	for _, l := range m.listeners {
		l.Note(n)
	}
}

// rested ends the phrase if it is over at a tick before which every note of the
// melody is known.
func (m *melody) rested(tick int64) {
	if m.phrases.Rested(tick) {
		m.rest()
	}
}

func (m *melody) rest() {
	for _, l := range m.listeners {
		l.Rest()
	}
}

func (m *melody) turn(chorus int) {
	m.chorus = chorus
	for _, l := range m.listeners {
		l.Turn(chorus)
	}
}

func (m *melody) forget(chorus int) {
	for _, l := range m.listeners {
		l.Forget(chorus)
	}
}

// end tells that the session is over, now.
func (m *melody) end(now int64) {
	if playing, _ := m.phrases.Playing(); playing {
		m.phrases.Silence(now)
		m.rest()
	}
	m.turn(m.chorus)
	m.fit.finish(now)
}
