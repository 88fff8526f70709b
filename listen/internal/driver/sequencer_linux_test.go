package driver

import (
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What open(2) answers for an absent node, a node without a module behind it,
// and one of the group audio: open(2), Linux manual pages.
func TestSequencerFaults(t *testing.T) {
	for name, test := range map[string]struct {
		device, directory error
		want              error
	}{
		"there":                            {nil, nil, nil},
		"no sound system":                  {fs.ErrNotExist, fs.ErrNotExist, NoSound},
		"sound without a sequencer":        {syscall.ENOENT, nil, NoSequencer},
		"a node without a module":          {syscall.ENODEV, nil, NoSequencer},
		"a node without a device":          {syscall.ENXIO, nil, NoSequencer},
		"not in the group":                 {syscall.EACCES, nil, NoPermission},
		"forbidden to a container":         {syscall.EPERM, nil, NoPermission},
		"something that nobody thought of": {syscall.EIO, nil, Refused},
	} {
		t.Run(name, func(t *testing.T) {
			got := sequencer(func(path string) error {
				failed := test.directory
				if path == sequencerDevice {
					failed = test.device
				}
				if failed == nil {
					return nil
				}
				return &fs.PathError{Op: "open", Path: path, Err: failed}
			})
			assert.Equal(t, test.want, got)
		})
	}
}

func TestTryDevice(t *testing.T) {
	assert.NoError(t, tryDevice(t.TempDir()), "a directory is there")
	assert.ErrorIs(t, tryDevice(filepath.Join(t.TempDir(), "seq")), fs.ErrNotExist)
}

// The form is that of the kernel's sound/core/seq/seq_clientmgr.c, from memory.
const clients = `Client info
  cur  clients : 4
  peak clients : 5
  max  clients : 192

Client   0 : "System" [Kernel Legacy]
  Port   0 : "Timer" (Rwe-) [In/Out]
  Port   1 : "Announce" (R-e-) [In]
    Connecting To: 129:0
Client  14 : "Midi Through" [Kernel Legacy]
  Port   0 : "Midi Through Port-0" (RWe-) [In/Out]
Client  20 : "Keys "quoted"" [Kernel Legacy]
  Port   0 : "Keys MIDI 1" (RWeX) [In/Out]
    Connecting To: 128:0
    Connected From: 130:0
Client 128 : "shedlight 4711" [User Legacy]
  Port   0 : "in" (-We-) [Out]
    Connected From: 20:0
  Input pool :
    Pool size          : 200
Client 129 : "shedlight 4712" [User Legacy]
  Port   0 : "in" (-We-) [Out]
`

func TestFed(t *testing.T) {
	assert.True(t, fed(clients, "shedlight 4711"))
	assert.False(t, fed(clients, "shedlight 4712"), "nothing connected to it any more")
	assert.False(t, fed(clients, "shedlight 471"))
	assert.True(t, fed(clients, `Keys "quoted"`))
	assert.False(t, fed("", "shedlight 4711"))
	assert.False(t, fed(`Client 1 : "`, ""))
}

// The columns are those of unix(7) and of the kernel's net/unix/af_unix.c; the
// lines were seen with jackd 1.9.
const sockets = `Num       RefCount Protocol Flags    Type St Inode Path
0000000074922e6e: 00000002 00000000 00010000 0001 01 64427 /dev/shm/jack_default_0_0
00000000ea23a389: 00000003 00000000 00000000 0001 03 64429 /dev/shm/jack_default_0_0
00000000ea23a38a: 00000002 00000000 00010000 0001 01 70001 /dev/shm/jack_studio_1000_0
00000000ea23a38b: 00000003 00000000 00000000 0001 03 64431
`

func TestListening(t *testing.T) {
	assert.Equal(t, "64427", listening(sockets, "default"))
	assert.Equal(t, "70001", listening(sockets, "studio"))
	assert.Empty(t, listening(sockets, "stud"))
	assert.Empty(t, listening("", "default"))
}

func TestJACKServerOfNoName(t *testing.T) {
	assert.Empty(t, JACKServer("a server that nobody starts"))
}

func TestFaultsAreSentencesThatSayWhatToDo(t *testing.T) {
	seen := map[string]bool{}
	for f := NotBuilt; f <= Refused; f++ {
		text := f.Error()
		assert.False(t, seen[text], "%q stands twice", text)
		seen[text] = true
		assert.Contains(t, text, ":", "what it is, then what to do")
		assert.NotContains(t, text, "\n")
		assert.True(t, errors.Is(f, f))
		assert.False(t, strings.HasSuffix(text, "."), "an error is a part of a line")
	}
	assert.False(t, seen[Fault(0).Error()])
}
