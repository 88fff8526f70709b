package sound

import (
	"bytes"
	"io"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// every is one command of each kind.
func every() []Command {
	return []Command{
		{Kind: Epoch, At: 1_700_000_000 * time.Second},
		{Kind: Strike, Voice: Click, Key: 84, Velocity: 100, At: 123_456_789 * time.Microsecond, For: 30 * time.Millisecond},
		{Kind: Strike, Voice: Piano, Key: 127, Velocity: 1, At: -time.Second, For: LongestStrike},
		{Kind: Forget, At: time.Hour},
		{Kind: Hold, Voice: Piano, Key: 60, At: time.Hour, For: time.Second},
		{Kind: Quiet},
		{Kind: Volume, Velocity: MaxLevel},
	}
}

func TestCommandsCrossThePipe(t *testing.T) {
	var b []byte
	for _, c := range every() {
		b = c.encode(b)
	}
	require.Len(t, b, commandSize*len(every()))
	r := newReader(bytes.NewReader(b))
	for _, want := range every() {
		got, err := r.next()
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, err := r.next()
	assert.ErrorIs(t, err, io.EOF)
	assert.Zero(t, r.garbled)
}

// Whatever stands between them, commands are found again, and what was none is
// counted.
func TestGarbageIsSkipped(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	var b []byte
	garbage := 0
	for _, c := range every() {
		n := random.IntN(50)
		for range n {
			v := byte(random.Uint32())
			if v == commandMark { // what looks like a command may swallow one
				v++
			}
			b = append(b, v)
		}
		garbage += n
		b = c.encode(b)
	}
	r := newReader(bytes.NewReader(b))
	for _, want := range every() {
		got, err := r.next()
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	assert.Equal(t, garbage, r.garbled)
}

func TestDecodeRefuses(t *testing.T) {
	for _, c := range []Command{
		{},
		{Kind: Volume + 1},
		{Kind: Volume, Velocity: MaxLevel + 1},
		{Kind: Strike, Voice: Piano + 1, Key: 60, Velocity: 1},
		{Kind: Strike, Voice: 0, Key: 60, Velocity: 1},
		{Kind: Strike, Voice: Click, Key: 128, Velocity: 1},
		{Kind: Strike, Voice: Click, Key: 60, Velocity: 0},
		{Kind: Strike, Voice: Click, Key: 60, Velocity: 128},
		{Kind: Forget, At: latest + time.Second},
	} {
		_, ok := decode(c.encode(nil))
		assert.False(t, ok, "%+v", c)
	}
	b := every()[1].encode(nil)
	for i := range b { // a changed byte is seen
		b[i]++
		_, ok := decode(b)
		assert.False(t, ok, "byte %d", i)
		b[i]--
	}
}

// No bytes make more than they are, and what is read can be sent again.
func FuzzCommands(f *testing.F) {
	for _, c := range every() {
		f.Add(c.encode(nil))
	}
	f.Add([]byte("\xb5\x01\x00\x00\x00\xa0\x00\x00\x00@\x1e\x18$\x00\x06\n")) // its time would overflow
	f.Fuzz(func(t *testing.T, b []byte) {
		r := newReader(bytes.NewReader(b))
		read := 0
		for {
			c, err := r.next()
			if err != nil {
				break
			}
			read += commandSize
			again, ok := decode(c.encode(nil))
			require.True(t, ok)
			require.Equal(t, c, again)
		}
		require.LessOrEqual(t, read+r.garbled, len(b))
	})
}
