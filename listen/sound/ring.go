package sound

import "sync/atomic"

// ring hands commands from one goroutine to the audio callback without a lock and
// without allocating. A full ring refuses.
type ring struct {
	slots [ringSize]Command
	put   atomic.Uint32 // by the goroutine alone
	taken atomic.Uint32 // by the callback alone
}

// ringSize is a power of two; the conductor sends a handful of commands every
// 50 ms, and a turn of the line some forty at once.
const ringSize = 1024

func (r *ring) push(c Command) bool {
	put := r.put.Load()
	if put-r.taken.Load() == ringSize {
		return false
	}
	r.slots[put%ringSize] = c
	r.put.Store(put + 1)
	return true
}

func (r *ring) pop() (c Command, ok bool) {
	taken := r.taken.Load()
	if taken == r.put.Load() {
		return c, false
	}
	c = r.slots[taken%ringSize]
	r.taken.Store(taken + 1)
	return c, true
}
