// Package instrument follows what an instrument does beside striking notes: which
// keys are down, what the pedal holds, how far a channel is bent.
package instrument

import "math/bits"

// The controllers that end notes (MIDI 1.0 Detailed Specification, Channel Mode
// Messages and controller 64).
const (
	sustainPedal     = 64
	pedalDown        = 64 // a switch is on from this value up
	allSoundOff      = 120
	resetControllers = 121
	allNotesOff      = 123 // and the mode changes above it, which imply it

	// Channels and KeyCount are how many channels and keys there are (MIDI 1.0).
	Channels = 16
	KeyCount = 128
	keyWords = KeyCount / 64
)

// Set is a set of key numbers.
type Set [keyWords]uint64

// Add adds a key.
func (k *Set) Add(key uint8) { k[key>>6] |= 1 << (key & 63) }

// Remove takes a key out.
func (k *Set) Remove(key uint8) { k[key>>6] &^= 1 << (key & 63) }

func (k *Set) has(key uint8) bool { return k[key>>6]>>(key&63)&1 == 1 }

// Keys knows which keys sound: those held down, and those the pedal holds.
// The channels are apart, so that two strings on one pitch are two notes.
type Keys struct {
	down  [Channels]Set
	kept  [Channels]Set // released under the pedal
	pedal [Channels]bool
	used  uint16 // the channels that were ever played on, a bit each
}

// NoteOn strikes a key.
func (s *Keys) NoteOn(ch, key uint8) {
	s.used |= 1 << ch
	s.down[ch].Add(key)
	s.kept[ch].Remove(key)
}

// NoteOff releases a key; the pedal may keep its note.
func (s *Keys) NoteOff(ch, key uint8) {
	if !s.down[ch].has(key) {
		return
	}
	s.down[ch].Remove(key)
	if s.pedal[ch] {
		s.kept[ch].Add(key)
	}
}

// Control takes a controller: the sustain pedal, and those that end notes.
func (s *Keys) Control(ch, number, value uint8) {
	switch {
	case number == sustainPedal:
		s.setPedal(ch, value >= pedalDown)
	case number == allSoundOff:
		s.down[ch], s.kept[ch] = Set{}, Set{}
	case number == resetControllers:
		s.setPedal(ch, false)
	case number >= allNotesOff:
		// "All Notes Off" leaves what the pedal holds (MIDI 1.0).
		if s.pedal[ch] {
			for w := range s.down[ch] {
				s.kept[ch][w] |= s.down[ch][w]
			}
		}
		s.down[ch] = Set{}
	}
}

func (s *Keys) setPedal(ch uint8, down bool) {
	s.pedal[ch] = down
	if !down {
		s.kept[ch] = Set{}
	}
}

// Sound reports whether a key sounds, held or kept by the pedal.
func (s *Keys) Sound(ch, key uint8) bool { return s.down[ch].has(key) || s.kept[ch].has(key) }

// word returns the keys of one word of a key set that sound on any channel.
func (s *Keys) word(w int) (any uint64) {
	for left := s.used; left != 0; left &= left - 1 {
		ch := bits.TrailingZeros16(left)
		any |= s.down[ch][w] | s.kept[ch][w]
	}
	return any
}

// Each calls f for every sounding key from the lowest up, and for one key from
// the lowest channel up.
func (s *Keys) Each(f func(ch, key uint8)) {
	for w := 0; w < keyWords; w++ {
		for any := s.word(w); any != 0; any &= any - 1 {
			key := uint8(w*64 + bits.TrailingZeros64(any))
			for ch := uint8(0); ch < Channels; ch++ {
				if s.Sound(ch, key) {
					f(ch, key)
				}
			}
		}
	}
}

// Include adds the keys of another set.
func (k *Set) Include(other *Set) {
	for w := range k {
		k[w] |= other[w]
	}
}

// Each calls f for every key of the set from the lowest up.
func (k Set) Each(f func(key uint8)) {
	for w, left := range k {
		for ; left != 0; left &= left - 1 {
			f(uint8(w*64 + bits.TrailingZeros64(left)))
		}
	}
}

// Len returns how many keys the set holds.
func (k *Set) Len() int {
	n := 0
	for _, w := range k {
		n += bits.OnesCount64(w)
	}
	return n
}

// Highest returns the highest key of the set, 0 for an empty one.
func (k *Set) Highest() uint8 {
	for w := keyWords - 1; w >= 0; w-- {
		if k[w] != 0 {
			return uint8(w*64 + bits.Len64(k[w]) - 1)
		}
	}
	return 0
}

// Lowest returns the lowest key of the set, 0 for an empty one.
func (k *Set) Lowest() uint8 {
	for w, keys := range k {
		if keys != 0 {
			return uint8(w*64 + bits.TrailingZeros64(keys))
		}
	}
	return 0
}

// LowestTwo returns the two lowest keys that sound; a key that is not there is
// the number of keys.
func (s *Keys) LowestTwo() (lowest, next int) {
	lowest, next = KeyCount, KeyCount
	for w := range keyWords {
		for any := s.word(w); any != 0; any &= any - 1 {
			key := w*64 + bits.TrailingZeros64(any)
			if lowest < KeyCount {
				return lowest, key
			}
			lowest = key
		}
	}
	return lowest, next
}

// Down reports whether a key is held down.
func (s *Keys) Down(ch, key uint8) bool { return s.down[ch].has(key) }

// Held returns the keys of a channel that are held down.
func (s *Keys) Held(ch uint8) Set { return s.down[ch] }

// AllHeld returns the keys that are held down on any channel.
func (s *Keys) AllHeld() (all Set) {
	for left := s.used; left != 0; left &= left - 1 {
		all.Include(&s.down[bits.TrailingZeros16(left)])
	}
	return all
}

// Sounding returns the keys of a channel that sound.
func (s *Keys) Sounding(ch uint8) Set {
	all := s.down[ch]
	all.Include(&s.kept[ch])
	return all
}

// Pedal reports whether the sustain pedal of a channel is down.
func (s *Keys) Pedal(ch uint8) bool { return s.pedal[ch] }

// EndsNotes reports whether a controller releases every key of its channel.
func EndsNotes(number uint8) bool { return number == allSoundOff || number >= allNotesOff }
