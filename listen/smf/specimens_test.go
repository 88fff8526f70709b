package smf_test

import (
	"bytes"
	"encoding/binary"
)

// specimen is a file made here, and what a reader must make of it. Layout and
// meaning of the bytes: Standard MIDI Files 1.0 and MIDI 1.0; what is done with
// damage is this project's own choice (see the package comment).
type specimen struct {
	name   string
	about  string
	data   []byte
	format int
	notes  string   // struck notes of the selected channels: tick:key, 960 ticks to the quarter
	damage []string // "offset: part of the text"
}

func chunk(id string, body ...byte) []byte {
	return append(binary.BigEndian.AppendUint32([]byte(id), uint32(len(body))), body...)
}

// header returns a header chunk; the division is given as its two bytes.
func header(format, tracks uint16, division ...byte) []byte {
	body := binary.BigEndian.AppendUint16(nil, format)
	body = binary.BigEndian.AppendUint16(body, tracks)
	return chunk("MThd", append(body, division...)...)
}

func join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// claim changes the length that a chunk claims to have.
func claim(chunk []byte, length uint32) []byte {
	out := bytes.Clone(chunk)
	binary.BigEndian.PutUint32(out[4:], length)
	return out
}

// Pieces of tracks. A quarter note is 96 ticks (0x60), so that its delta time
// is one byte.
var (
	quarter96 = []byte{0x00, 0x60}
	onC       = []byte{0x00, 0x90, 60, 80}
	offC      = []byte{0x60, 0x80, 60, 0}
	onE       = []byte{0x00, 0x90, 64, 80}
	offE      = []byte{0x60, 0x80, 64, 0}
	end       = []byte{0x00, 0xFF, 0x2F, 0x00}
	twoNotes  = join(onC, offC, onE, offE, end) // a quarter C, a quarter E
)

// one returns a format 0 file with one track.
func one(track ...[]byte) []byte {
	return join(header(0, 1, quarter96...), chunk("MTrk", join(track...)...))
}

// riff wraps a MIDI file as RIFF RMID, with a chunk before and one behind it.
func riff(file []byte) []byte {
	little := func(id string, body []byte) []byte {
		out := append(binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body))), body...)
		return append(out, make([]byte, len(body)&1)...)
	}
	return little("RIFF", join([]byte("RMID"), little("note", []byte("odd")), little("data", file), little("LIST", []byte("INFO"))))
}

// bodyAt is the offset of the first track's events behind a plain header.
const bodyAt = 14 + 8

func specimens() []specimen {
	both := "0:60 960:64"
	text := func(kind byte, s string) []byte { return join([]byte{0, 0xFF, kind, byte(len(s))}, []byte(s)) }
	sysex := []byte{0x00, 0xF0, 0x03, 0x7D, 0x01, 0xF7}
	song := func(key byte) []byte {
		return chunk("MTrk", join([]byte{0x00, 0x90, key, 80, 0x60, 0x80, key, 0}, end)...)
	}
	return []specimen{
		{name: "format-0", about: "one track", data: one(twoNotes), notes: both},
		{name: "format-1", about: "tempo and meter in one track, notes in two", format: 1, notes: "0:60 0:67 960:64",
			data: join(header(1, 3, quarter96...),
				chunk("MTrk", join(text(3, "Harbour Lights Waltz"), []byte{0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20, 0, 0xFF, 0x58, 4, 3, 2, 24, 8}, end)...),
				chunk("MTrk", twoNotes...), song(67))},
		{name: "format-2", about: "two patterns, played one after the other", format: 2, notes: "0:60 960:64 1920:67",
			data: join(header(2, 2, quarter96...), chunk("MTrk", twoNotes...), song(67))},
		{name: "division-960", about: "the house's own division", notes: "0:60 96:64", data: join(header(0, 1, 0x03, 0xC0), chunk("MTrk", twoNotes...))},
		{name: "smpte-25-40", about: "25 frames of 40 ticks: a tick is a millisecond, 96 of them 184.32 ticks at 500 ms a quarter", notes: "0:60 184:64",
			data: join(header(0, 1, 0xE7, 40), chunk("MTrk", twoNotes...))},
		{name: "smpte-29-80", about: "30000/1001 frames of 80 ticks: 96 of them are 40.04 ms or 76.87 ticks; tempo means nothing here", notes: "0:60 76:64",
			data: join(header(0, 1, 0xE3, 80), chunk("MTrk", join([]byte{0, 0xFF, 0x51, 3, 0x01, 0x00, 0x00}, twoNotes)...))},
		{name: "running-status", about: "status bytes left out, releases as velocity 0", notes: both,
			data: one(onC, []byte{0x60, 60, 0, 0x00, 64, 80, 0x60, 64, 0}, end)},
		{name: "running-after-meta", about: "running status goes on after a text and after SysEx, as in files in use", notes: both,
			data: one(onC, text(1, "slip"), []byte{0x60, 60, 0}, sysex, []byte{0x00, 64, 80, 0x60, 64, 0}, end)},
		{name: "drums", about: "notes on channel 10 are not the player's", notes: both, data: one([]byte{0, 0x99, 36, 100}, twoNotes)},
		{name: "sysex", about: "SysEx in packets, and an escape", notes: both, data: one(sysex, []byte{0, 0xF0, 2, 0x7D, 1, 0, 0xF7, 2, 2, 0xF7, 0, 0xF7, 1, 0xFA}, twoNotes)},
		{name: "header-longer", about: "a header of 8 bytes is allowed", notes: both,
			data: join(chunk("MThd", 0, 0, 0, 1, 0, 0x60, 9, 9), chunk("MTrk", twoNotes...))},
		{name: "unknown-chunk", about: "unknown chunks are allowed", notes: both,
			data: join(header(0, 1, quarter96...), chunk("XFIH", 1, 2, 3), chunk("MTrk", twoNotes...))},
		{name: "riff", about: "wrapped as RIFF RMID", notes: both, data: riff(one(twoNotes))},
		{name: "text-hostile", about: "a track name with terminal escapes", notes: both, data: one(text(3, "\x1b]0;owned\x07\x1b[2Jwaltz\x9b31m"), twoNotes)},

		{name: "leading-junk", about: "bytes before the header", notes: both, data: join([]byte("\r\n\r\n"), one(twoNotes)), damage: []string{"0: 4 bytes before the header"}},
		{name: "header-shorter", about: "a header that claims 4 bytes", notes: both, data: join(claim(header(0, 1, quarter96...), 4), chunk("MTrk", twoNotes...)),
			damage: []string{"4: header of 4 bytes, expected 6"}},
		{name: "format-7", about: "an unknown format", format: 1, notes: both, data: join(header(7, 1, quarter96...), chunk("MTrk", twoNotes...)), damage: []string{"8: format 7"}},
		{name: "division-0", about: "no ticks in a quarter note: read as 480", notes: "0:60 192:64", data: join(header(0, 1, 0, 0), chunk("MTrk", twoNotes...)),
			damage: []string{"12: 0 ticks in a quarter note"}},
		{name: "smpte-0", about: "no ticks in a frame: read as 480 a quarter note", notes: "0:60 192:64", data: join(header(0, 1, 0xE7, 0), chunk("MTrk", twoNotes...)),
			damage: []string{"12: 0 ticks in a frame"}},
		{name: "smpte-rate", about: "10 frames a second, 96 ticks each", notes: "0:60 192:64", data: join(header(0, 1, 0xF6, 100), chunk("MTrk", join(onC, []byte{0x64, 0x80, 60, 0}, onE, end)...)),
			damage: []string{"12: 10 frames a second"}},
		{name: "tracks-fewer", about: "65,535 tracks announced, one there", format: 1, notes: both, data: join(header(1, 65535, quarter96...), chunk("MTrk", twoNotes...)),
			damage: []string{"10: announces 65535 tracks, there are 1"}},
		{name: "tracks-more", about: "one track announced, two there", format: 1, notes: "0:60 0:67 960:64", data: join(header(1, 1, quarter96...), chunk("MTrk", twoNotes...), song(67)),
			damage: []string{"10: announces 1 tracks, there are 2"}},
		{name: "track-length-0", about: "a track whose length was never filled in", notes: both, data: join(header(0, 1, quarter96...), claim(chunk("MTrk", twoNotes...), 0)),
			damage: []string{"18: track of 0 bytes, but it neither ends there"}},
		{name: "track-length-4gib", about: "a short file that claims 4 GiB", notes: "0:60", data: join(header(0, 1, quarter96...), claim(chunk("MTrk", onC...), 1<<32-1)),
			damage: []string{"18: track of 4294967295 bytes, 4 left", "26: no end of track"}},
		{name: "track-length-middle", about: "a length that swallows the track behind", format: 1, notes: "0:60 0:67 960:64",
			data: join(header(1, 2, quarter96...), claim(chunk("MTrk", twoNotes...), 9999), song(67)), damage: []string{"18: track of 9999 bytes, 40 left"}},
		{name: "track-truncated", about: "cut within a message", notes: "0:60", data: one(twoNotes)[:bodyAt+10],
			damage: []string{"18: track of 20 bytes, 10 left", "32: within a message"}},
		{name: "track-torn-in-the-middle", about: "a length never filled in, a torn text, and a whole track behind it", format: 1, notes: "0:60 0:67",
			data:   join(header(1, 2, quarter96...), claim(chunk("MTrk", join(onC, []byte{0, 0xFF, 1, 0x7F, 'a'})...), 0), song(67)),
			damage: []string{"18: track of 0 bytes, but", "29: a meta event of 127 bytes, 21 left"}},
		{name: "header-of-track-truncated", about: "cut within a track header", data: one(twoNotes)[:18], damage: []string{"10: announces 1 tracks", "14: within a track header"}},
		{name: "end-missing", about: "no end of track", notes: both, data: one(onC, offC, onE, offE), damage: []string{"38: no end of track"}},
		{name: "end-early", about: "bytes behind the end of track", notes: both, data: one(twoNotes, onC), damage: []string{"42: 4 bytes after the end of track"}},
		{name: "trailing-junk", about: "bytes behind the last track", notes: both, data: join(one(twoNotes), make([]byte, 5)), damage: []string{"42: 5 bytes at the end"}},
		{name: "junk-between", about: "bytes between two tracks", format: 1, notes: "0:60 0:67 960:64",
			data: join(header(1, 2, quarter96...), chunk("MTrk", twoNotes...), []byte{0, 0, 1}, song(67)), damage: []string{"42: 3 bytes between tracks"}},
		{name: "chunk-too-long", about: "an unknown chunk that claims more than there is", notes: both,
			data: join(header(0, 1, quarter96...), claim(chunk("XFIH", 1, 2), 1<<31), chunk("MTrk", twoNotes...)), damage: []string{`18: chunk "XFIH" of 2147483648 bytes`, "22: 2 bytes between tracks"}},
		{name: "status-illegal", about: "system common and real-time bytes within a track", notes: both,
			data:   one(onC, []byte{0, 0xF2, 1, 2, 0, 0xF8}, offC, []byte{0, 0xF1, 7}, []byte{0, 0xF4}, onE, offE, end),
			damage: []string{"27: status byte 0xf2", "31: status byte 0xf8", "37: status byte 0xf1", "40: status byte 0xf4"}},
		{name: "data-high", about: "a data byte over 127: that message is lost, the others are not", notes: "0:60",
			data: one(onC, offC, []byte{0, 0x90, 0xC0, 80}, offE, end), damage: []string{"32: data byte 0xc0"}},
		{name: "data-without-status", about: "data bytes before any status", notes: both, data: one([]byte{0, 60, 80, 64}, onC[1:], offC, onE, offE, end),
			damage: []string{"23: data byte 0x3c with no status before it: 3 bytes"}},
		{name: "delta-five-bytes", about: "a delta time of five bytes ends the track", notes: "0:60", data: one(onC, []byte{0x81, 0x80, 0x80, 0x80, 0x00, 0x90, 64, 80}, end),
			damage: []string{"26: a delta time of more than 4 bytes"}},
		{name: "meta-length", about: "a text that claims 256 MiB", notes: "0:60", data: one(onC, []byte{0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0x7F, 'a'}, end),
			damage: []string{"29: a meta event of 268435455 bytes, 5 left"}},
		{name: "meta-length-five-bytes", about: "a length of five bytes", notes: "0:60", data: one(onC, []byte{0, 0xFF, 1, 0x81, 0x80, 0x80, 0x80, 0x00}, end),
			damage: []string{"29: a length of more than 4 bytes"}},
		{name: "sysex-length", about: "a SysEx longer than its track", notes: "0:60", data: one(onC, []byte{0, 0xF0, 0x70, 1, 2}, end),
			damage: []string{"28: SysEx of 112 bytes, 6 left"}},
		{name: "tempo-bad", about: "a tempo of 0 and one of two bytes", notes: both, data: one([]byte{0, 0xFF, 0x51, 3, 0, 0, 0, 0, 0xFF, 0x51, 2, 7, 7}, twoNotes),
			damage: []string{"23: tempo of 0", "30: tempo of 2 bytes"}},
		{name: "meter-bad", about: "a meter of 0/4, one over 2^200, one of one byte", notes: both,
			data:   one([]byte{0, 0xFF, 0x58, 4, 0, 2, 24, 8, 0, 0xFF, 0x58, 4, 4, 200, 24, 8, 0, 0xFF, 0x58, 1, 4}, twoNotes),
			damage: []string{"23: time signature of 0 over", "31: time signature of 4 over 2 to the power of 200", "39: time signature of 1 bytes"}},
		{name: "ticks-too-many", about: "one tick a quarter note and the longest waits: beyond the last tick", notes: "0:60",
			data:   join(header(0, 1, 0, 1), chunk("MTrk", join(onC, []byte{0xFF, 0xFF, 0xFF, 0x7F, 0x90, 64, 80}, end)...)),
			damage: []string{"26: a tick beyond 143165"}},
		{name: "zeros-at-end", about: "a tail that the file system never filled in", notes: "0:60", data: one(join(onC, text(1, "x"), make([]byte, 2))),
			damage: []string{"32: the track ends within a message"}},
	}
}
