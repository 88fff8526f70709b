package analyse

import "math/bits"

// The controllers that end notes (MIDI 1.0 Detailed Specification, Channel Mode
// Messages and controller 64).
const (
	sustainPedal      = 64
	pedalDown         = 64 // a switch is on from this value up
	allSoundOff       = 120
	resetControllers  = 121
	allNotesOff       = 123 // and the mode changes above it, which imply it
	channels          = 16
	keys              = 128
	keyWords          = keys / 64
	soundingAsChord   = 3 // keys that make a chord
	belowSplitAsChord = 2 // keys that make one below the split
)

// keySet is a set of key numbers.
type keySet [keyWords]uint64

func (k *keySet) add(key uint8)      { k[key>>6] |= 1 << (key & 63) }
func (k *keySet) remove(key uint8)   { k[key>>6] &^= 1 << (key & 63) }
func (k *keySet) has(key uint8) bool { return k[key>>6]>>(key&63)&1 == 1 }

// sounding knows which keys sound: those held down, and those the pedal holds.
// The channels are apart, so that two strings on one pitch are two notes.
type sounding struct {
	down  [channels]keySet
	kept  [channels]keySet // released under the pedal
	pedal [channels]bool
	used  uint16 // the channels that were ever played on, a bit each
}

func (s *sounding) noteOn(ch, key uint8) {
	s.used |= 1 << ch
	s.down[ch].add(key)
	s.kept[ch].remove(key)
}

func (s *sounding) noteOff(ch, key uint8) {
	if !s.down[ch].has(key) {
		return
	}
	s.down[ch].remove(key)
	if s.pedal[ch] {
		s.kept[ch].add(key)
	}
}

func (s *sounding) control(ch, number, value uint8) {
	switch {
	case number == sustainPedal:
		s.setPedal(ch, value >= pedalDown)
	case number == allSoundOff:
		s.down[ch], s.kept[ch] = keySet{}, keySet{}
	case number == resetControllers:
		s.setPedal(ch, false)
	case number >= allNotesOff:
		// "All Notes Off" leaves what the pedal holds (MIDI 1.0).
		if s.pedal[ch] {
			for w := range s.down[ch] {
				s.kept[ch][w] |= s.down[ch][w]
			}
		}
		s.down[ch] = keySet{}
	}
}

func (s *sounding) setPedal(ch uint8, down bool) {
	s.pedal[ch] = down
	if !down {
		s.kept[ch] = keySet{}
	}
}

func (s *sounding) has(ch, key uint8) bool { return s.down[ch].has(key) || s.kept[ch].has(key) }

// word returns the keys of one word of a key set that sound on any channel.
func (s *sounding) word(w int) (any uint64) {
	for left := s.used; left != 0; left &= left - 1 {
		ch := bits.TrailingZeros16(left)
		any |= s.down[ch][w] | s.kept[ch][w]
	}
	return any
}

// each calls f for every sounding key from the lowest up, and for one key from
// the lowest channel up.
func (s *sounding) each(f func(ch, key uint8)) {
	for w := 0; w < keyWords; w++ {
		for any := s.word(w); any != 0; any &= any - 1 {
			key := uint8(w*64 + bits.TrailingZeros64(any))
			for ch := uint8(0); ch < channels; ch++ {
				if s.has(ch, key) {
					f(ch, key)
				}
			}
		}
	}
}

// join adds the keys of another set.
func (k *keySet) join(other *keySet) {
	for w := range k {
		k[w] |= other[w]
	}
}

// each calls f for every key of the set from the lowest up.
func (k keySet) each(f func(key uint8)) {
	for w, left := range k {
		for ; left != 0; left &= left - 1 {
			f(uint8(w*64 + bits.TrailingZeros64(left)))
		}
	}
}

// len returns how many keys the set holds.
func (k *keySet) len() int {
	n := 0
	for _, w := range k {
		n += bits.OnesCount64(w)
	}
	return n
}

// highest returns the highest key of the set, 0 for an empty one.
func (k *keySet) highest() uint8 {
	for w := keyWords - 1; w >= 0; w-- {
		if k[w] != 0 {
			return uint8(w*64 + bits.Len64(k[w]) - 1)
		}
	}
	return 0
}

// lowestTwo returns the two lowest keys that sound; a key that is not there is
// the number of keys.
func (s *sounding) lowestTwo() (lowest, next int) {
	lowest, next = keys, keys
	for w := range keyWords {
		for any := s.word(w); any != 0; any &= any - 1 {
			key := w*64 + bits.TrailingZeros64(any)
			if lowest < keys {
				return lowest, key
			}
			lowest = key
		}
	}
	return lowest, next
}
