package driver

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"syscall"
)

const (
	soundDevices     = "/dev/snd"
	sequencerDevice  = "/dev/snd/seq"
	sequencerClients = "/proc/asound/seq/clients"
)

// sequencer says what keeps us from ALSA's sequencer, by asking the device
// itself: the library answers with noise, and with strings that are gone by the
// time they are read. try opens a path and closes it again.
func sequencer(try func(path string) error) error {
	err := try(sequencerDevice)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrPermission):
		return NoPermission
	case errors.Is(err, fs.ErrNotExist):
		if errors.Is(try(soundDevices), fs.ErrNotExist) {
			return NoSound
		}
		return NoSequencer
	case errors.Is(err, syscall.ENODEV), errors.Is(err, syscall.ENXIO):
		// The node is there and no kernel module behind it.
		return NoSequencer
	}
	return Refused
}

func tryDevice(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR|syscall.O_NONBLOCK, 0)
	if errors.Is(err, syscall.EISDIR) {
		return nil
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// fed reports whether the kernel's list of sequencer clients shows a port of
// the named client with a source connected to it. An instrument that was
// unplugged and plugged in again between two looks has the same name and the
// same number, but nothing connects it to us any more: only this list tells.
// The form of the list is that of the kernel's sound/core/seq/seq_clientmgr.c,
// from memory.
func fed(clients, name string) bool {
	ours := false
	for line := range strings.Lines(clients) {
		line = strings.TrimRight(line, "\n")
		if strings.HasPrefix(line, "Client ") {
			from, to := strings.IndexByte(line, '"'), strings.LastIndexByte(line, '"')
			ours = from >= 0 && to > from && line[from+1:to] == name
			continue
		}
		if sources, found := strings.CutPrefix(strings.TrimSpace(line), "Connected From:"); ours && found && strings.TrimSpace(sources) != "" {
			return true
		}
	}
	return false
}

// unixSockets lists the sockets of the machine without touching one.
const unixSockets = "/proc/net/unix"

// listening returns what identifies the JACK server of a name among the unix
// sockets of the machine, or "" where none listens: a server that dies and
// comes back has another one. JACK's own library cannot be asked: the ports it
// lists after the server's death are those of before.
func listening(sockets, server string) string {
	// Columns: address, references, protocol, flags, type, state, inode, path.
	const (
		columns    = 8
		flags      = 3
		inode      = 6
		path       = 7
		acceptsNew = "00010000" // the kernel's SO_ACCEPTCON
	)
	var found []string
	for line := range strings.Lines(sockets) {
		f := strings.Fields(line)
		if len(f) == columns && f[flags] == acceptsNew && strings.Contains(f[path], "/jack_"+server+"_") {
			found = append(found, f[inode])
		}
	}
	return strings.Join(found, " ")
}

// JACKServer identifies the running JACK server of a name, "" for the one
// programs use by default. It returns "" where none can be seen, which is no
// proof that there is none: other servers that speak JACK listen elsewhere.
func JACKServer(name string) string {
	if name == "" {
		name = os.Getenv("JACK_DEFAULT_SERVER")
	}
	if name == "" {
		name = "default"
	}
	sockets, err := os.ReadFile(unixSockets)
	if err != nil {
		return ""
	}
	return listening(string(sockets), name)
}

// alsaReady says what keeps us from ALSA.
func alsaReady() error { return sequencer(tryDevice) }

// alsaFeeds reports whether something feeds the named sequencer client; known
// is false where the kernel's list cannot be read.
func alsaFeeds(client string) (feeds, known bool) {
	clients, err := os.ReadFile(sequencerClients)
	if err != nil {
		return false, false
	}
	return fed(string(clients), client), true
}
