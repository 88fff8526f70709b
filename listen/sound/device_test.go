//go:build cgo && !nosound && linux

package sound

import (
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ALSA's null device takes frames as fast as it can: there is no device, which is
// said once, and the process then rests.
func TestALSANull(t *testing.T) {
	var mu sync.Mutex
	var said []News
	p, err := Start(Options{Speaker: "null"}, func(r Report) {
		mu.Lock()
		defer mu.Unlock()
		t.Log(r)
		said = append(said, r.News)
	})
	require.NoError(t, err)
	eventually(t, "it is said", func() bool {
		mu.Lock()
		defer mu.Unlock()
		return slices.Contains(said, NoDevice) || slices.Contains(said, Refused)
	})
	require.NoError(t, p.Close())
	if slices.Contains(said, Refused) {
		t.Skip("ALSA has no null device here")
	}
	state := p.command.ProcessState
	assert.Less(t, state.UserTime()+state.SystemTime(), 5*time.Second)
}

// Without a device that has the name, it is said which there are.
func TestNoSuchSpeaker(t *testing.T) {
	_, err := openerOfDevice(Options{Speaker: "no such thing"})(1)
	assert.ErrorContains(t, err, `no audio device called "no such thing" could be opened`)
}
