package main

import (
	"shedlight/analyse/tone"
	"shedlight/listen/take"
)

// maxKey is the greatest key number (MIDI 1.0).
const maxKey = 127

// handFlags say what the instrument is like.
type handFlags struct {
	Split  string `placeholder:"NOTE" help:"Chords in the left hand lie below this key, like C4."`
	Top    bool   `help:"The highest note of a struck chord is the melody."`
	Legato bool   `help:"A wind controller: a note under 30 ms between two others is a slip of the fingering."`
	Gate   uint8  `placeholder:"VELOCITY" from:"0" to:"127" help:"Notes softer than this do not count: ghosts of a guitar pickup, breath noise."`
}

// hand reads the flags.
func (f handFlags) hand() (hand, error) {
	h := hand{top: f.Top, gate: f.Gate, legato: f.Legato}
	if f.Split == "" {
		return h, nil
	}
	pitch, err := tone.ParsePitch(f.Split)
	if err != nil {
		return h, usagef("--split: %w", err)
	}
	key := pitch.Key()
	if key < 0 || key > maxKey {
		return h, usagef("--split %s: expected C-1 to G9", f.Split)
	}
	h.split = uint8(key)
	return h, nil
}

// hand is what the analyser knows of the instrument.
type hand struct {
	split  uint8
	top    bool
	gate   uint8
	legato bool
}

// handOf returns what a take says of its instrument.
func handOf(s *take.Settings) hand {
	if s == nil {
		return hand{}
	}
	return hand{split: s.Split, top: s.Top, gate: s.Gate, legato: s.Legato}
}

// merged returns the hand with what is not said taken from a take.
func (h hand) merged(said hand) hand {
	if h.split == 0 {
		h.split = said.split
	}
	if h.gate == 0 {
		h.gate = said.gate
	}
	h.top = h.top || said.top
	h.legato = h.legato || said.legato
	return h
}
