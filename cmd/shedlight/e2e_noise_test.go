//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// beNoisy is what a MIDI library does to descriptor 2: it writes there by
// itself, and so does what it starts.
func beNoisy() int {
	p := &program{messages: os.Stderr}
	p.say("before")
	restore := p.quieten()
	os.Stderr.WriteString("noise of a library\n")
	child := exec.Command("sh", "-c", "echo noise of a child >&2")
	child.Stderr = os.Stderr
	if child.Run() != nil {
		return exitFailed
	}
	p.say("a message")
	restore()
	p.say("after")
	os.Stderr.WriteString("the library again\n")
	return exitDone
}

func TestDriverNoise(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct{ state, log string }{
		"into a log":           {state: "state", log: "noise of a library\nnoise of a child\n"},
		"where no log is kept": {state: "file/state"},
	} {
		h := newHome(t)
		require.NoError(t, os.WriteFile(filepath.Join(h.dir, "file"), nil, 0o600))
		self, err := os.Executable()
		require.NoError(t, err)
		noisy := exec.Command(self)
		noisy.Env = append(os.Environ(), noiseVariable+"=1", "XDG_STATE_HOME="+filepath.Join(h.dir, test.state))
		var said bytes.Buffer
		noisy.Stderr = &said
		require.NoError(t, noisy.Run(), name)
		assert.Equal(t, "before\na message\nafter\nthe library again\n", said.String(), name)
		if test.log != "" {
			log, err := os.ReadFile(filepath.Join(h.dir, test.state, driverLog))
			require.NoError(t, err, name)
			assert.Equal(t, test.log, string(log), name)
		}
	}
}
