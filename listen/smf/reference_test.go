package smf_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	reference "gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/listen/smf"
)

// readReference lists the channel messages of a file as another reader, the
// smf package of gomidi v2.3.23, has them: tick of the track, then the bytes.
// That reader panics on some files.
func readReference(data []byte) (list []string, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("panic: %v", fault)
		}
	}()
	read, err := reference.ReadFrom(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	for i, track := range read.Tracks {
		tick := int64(0)
		for _, e := range track {
			tick += int64(e.Delta)
			if e.Message.IsPlayable() {
				list = append(list, fmt.Sprintf("%d@%d % x", i, tick, e.Message.Bytes()))
			}
		}
	}
	return list, nil
}

func readOurs(t require.TestingT, data []byte) (list []string) {
	f, err := smf.Read(data)
	require.NoError(t, err)
	require.Empty(t, f.Damage)
	for i := range f.Tracks {
		for e := range f.Events(&f.Tracks[i]) {
			if e.Status < smf.StatusSysEx {
				n := 2
				if e.Status&0xE0 == 0xC0 { // program and channel pressure have one (MIDI 1.0)
					n = 1
				}
				list = append(list, fmt.Sprintf("%d@%d % x", i, e.Tick, append([]byte{e.Status}, e.Bytes[:n]...)))
			}
		}
	}
	return list
}

// On well-formed files the two readers agree, message for message: several
// tracks, running status where MIDI 1.0 allows it, texts, SysEx, waits.
func TestAgainstAnotherReader(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tracks := rapid.IntRange(1, 4).Draw(t, "tracks")
		data := header(1, uint16(tracks), quarter96...)
		for range tracks {
			var body []byte
			running := byte(0)
			for range rapid.IntRange(0, 30).Draw(t, "events") {
				body = smf.AppendVarLen(body, rapid.Uint32Range(0, 20_000).Draw(t, "wait"))
				switch rapid.IntRange(0, 9).Draw(t, "what") {
				case 0:
					body, running = append(body, 0xFF, 0x01, 2, 'h', 'i'), 0
				case 1:
					body, running = append(body, 0xF0, 3, 0x7D, 1, 0xF7), 0
				default:
					w := smf.TrackWriter{}
					e := anyEvent(t, 0)
					w.Event(e)
					message := w.Bytes[1:] // without its delta time
					switch {
					case e.Kind == analyse.Tempo || e.Kind == analyse.Meter:
						running = 0
					case message[0] == running && rapid.Bool().Draw(t, "running"):
						message = message[1:]
					default:
						running = message[0]
					}
					body = append(body, message...)
				}
			}
			data = append(data, chunk("MTrk", append(body, end...)...)...)
		}
		want, err := readReference(data)
		require.NoError(t, err)
		require.Equal(t, want, readOurs(t, data))
	})
}

// The undamaged specimens that the other reader is known to take: no SMPTE (it
// panics), no format 2 (its patterns all start at 0), no RIFF, no long header, no
// running status after a meta event.
func TestSpecimensAgainstAnotherReader(t *testing.T) {
	for _, s := range specimens() {
		switch s.name {
		case "format-0", "format-1", "division-960", "running-status", "drums", "sysex":
			want, err := readReference(s.data)
			require.NoError(t, err, s.name)
			require.Equal(t, want, readOurs(t, s.data), s.name)
		}
	}
}
