//go:build jack

package main

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/listen/jacktest"
)

// zones returns what stands on the page: on the upper rail, between the rails,
// below the lower rail.
func zones(rows []string) (upper, between, lower string) {
	up, down := -1, -1
	for y, row := range rows {
		if strings.ContainsAny(row, "┴┷") {
			up = y
		}
		if strings.ContainsAny(row, "┬┯") {
			down = y
		}
	}
	if up < 0 || down < up {
		return "", "", ""
	}
	from := up
	for from > 0 && strings.Contains(rows[from-1], "│") {
		from--
	}
	to := down + 1
	for to < len(rows) && strings.Contains(rows[to], "│") {
		to++
	}
	join := func(rows []string) string { return strings.Join(rows, "\n") }
	return join(rows[from:up]), join(rows[up+1 : down]), join(rows[down+1 : to])
}

// apart is the time from note to note that leaves room for each name on the
// rails of a small screen.
const apart = 150 * time.Millisecond

// phraseNotes is how many notes knownPhrase strikes.
const phraseNotes = 6

// shares is what the screen says of so many notes, of which some are tones of the
// chord and some the scale's others.
func shares(notes, chord, scale int) string {
	percent := func(n int) int { return (200*n + notes) / (2 * notes) }
	return fmt.Sprintf("%d notes  on the chord %d %%  in the scale %d %%", notes, percent(chord), percent(scale))
}

// strikes reports whether a message strikes a note.
func strikes(message []byte) bool { return message[0]&0xF0 == 0x90 && message[2] > 0 }

// knownPhrase is a phrase with exact times and all kinds of channel messages. Of its
// notes five lie in the home half of F major and one outside. The last one
// is a note, which shows on the screen that all of it has come.
func knownPhrase() []jacktest.Message {
	const ms = time.Millisecond
	message := func(wait time.Duration, b ...byte) jacktest.Message { return jacktest.Message{After: wait, Bytes: b} }
	return []jacktest.Message{
		on(65), after(83*ms, off(65)), after(7*ms, on(68)), after(31*ms, off(68)), after(150*ms, on(65)), after(ms, on(69)), after(ms, on(72)),
		message(40*ms, 0xB0, 64, 127), off(65), message(9*ms, 0x90, 69, 0),
		message(0, 0xE3, 1, 2), message(0, 0xC3, 5), message(0, 0xD3, 77), message(0, 0xA3, 60, 9),
		after(60*ms, off(72)), message(0, 0xB0, 64, 0), message(0, 0xBF, 123, 0), after(20*ms, on(77)),
	}
}

// A phrase that is known, note by note: its names at their places, its counts,
// and the take of it.
func TestJACKSession(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	for _, s := range sizes() {
		h := newHome(t)
		c := h.listening(s, k, "--centre", "F major")
		first := counted(c.text())
		c.shows("F6 dim", "last 4 bars")
		// F major's scale is F6 (F A C D) and the diminished seventh chord a step
		// above (G Bb Db E); Gb lies outside.
		for _, note := range []struct {
			key   byte
			name  string
			place song.Place
		}{
			{69, "(A)", song.Home}, {70, "B♭", song.Dim}, {72, "(C)", song.Home}, {73, "D♭", song.Dim},
			{74, "(D)", song.Home}, {76, "E", song.Dim}, {67, "G", song.Dim}, {66, "G♭", song.Outside},
		} {
			k.play(after(apart, on(note.key)))
			c.until(fmt.Sprintf("%s is shown as %v", note.name, note.place), func(string) bool {
				upper, between, lower := zones(c.rows())
				shown := map[song.Place]string{song.Home: upper, song.Dim: lower, song.Outside: between}[note.place]
				return strings.Contains(shown, note.name)
			})
			k.play(off(note.key))
		}
		c.shows(shares(first+8, first+3, 4))
		k.play(on(53), on(57), on(60), on(62))
		c.shows("held  F6  F  A  C  D")
		k.play(off(53), off(57), off(60), off(62))
		c.shows(shares(first+12, first+7, 4))
		k.play(knownPhrase()...)
		c.shows(shares(first+18, first+12, 4))
		c.ended()
		c.shows("saved ", fmt.Sprintf("%d notes in", first+18))

		kept, _ := messages(t, theTake(t, h.takes()))
		same(t, k.sent, kept)
		t.Logf("%dx%d: the take holds the %d messages as they were sent", s.cols, s.rows, len(kept))
	}
}

// The onsets in a take are within two JACK periods of how it was played. On a
// busy machine JACK itself is late now and then: the phrase is repeated until
// one has come in time, of which all onsets must be right.
func TestJACKOnsets(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	command := h.command("listen", "--api", "jack", "--in", k.Port, "--json")
	live := redirected(t, command)
	p := h.start(command)
	k.connect(t, 65, func() int { return live.heard(t) })
	phrases, start := 0, 0
	var worst time.Duration
	var onsets []time.Duration
	until(t, "a phrase with its onsets within two JACK periods", func() bool {
		phrases++
		start = len(k.sent)
		before := live.heard(t)
		times := k.play(knownPhrase()...)
		until(t, "the phrase is heard", func() bool { return live.heard(t) >= before+phraseNotes })
		onsets = live.onsets(t)[before:]
		worst = 0
		n := 0
		for i, m := range knownPhrase() {
			if !strikes(m.Bytes) {
				continue
			}
			worst = max(worst, (onsets[n] - onsets[0] - times[i]).Abs())
			n++
		}
		require.Equal(t, phraseNotes, n)
		return worst <= 2*jacktest.Period
	})
	p.signal(syscall.SIGINT)
	require.Zero(t, p.wait())
	kept, at := messages(t, theTake(t, h.takes()))
	same(t, k.sent, kept)
	for i, message := range kept[start:] {
		if strikes(message) {
			assert.Equal(t, onsets[0], at[start+i], "the take has the onset that was shown")
			onsets = onsets[1:]
		}
	}
	assert.Empty(t, onsets)
	t.Logf("onsets at most %v off, in phrase %d; two JACK periods are %v", worst, phrases, 2*jacktest.Period)
}

// What listen --json prints while it is played is what review --json says of
// the take, finding for finding.
func TestJACKLiveEqualsReview(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	command := h.command("listen", "--api", "jack", "--in", k.Port, "--centre", "Bb major", "--split", "C4", "--json")
	live := redirected(t, command)
	p := h.start(command)
	k.connect(t, 62, func() int { return live.heard(t) })
	r := rand.New(rand.NewPCG(7, 0))
	var improvised []jacktest.Message
	struck := 1
	for range 120 {
		key, wait := byte(48+r.IntN(36)), time.Duration(r.IntN(20))*time.Millisecond
		improvised = append(improvised, after(wait, on(key)))
		if r.IntN(4) == 0 {
			improvised = append(improvised, on(key+4), on(key+7), after(wait, off(key+7)), off(key+4))
			struck += 2
		}
		if r.IntN(3) > 0 {
			improvised = append(improvised, after(wait, off(key)))
		}
		struck++
	}
	k.play(append(improvised, on(60))...) // it is over when the last note is heard
	struck++
	until(t, "all is heard", func() bool { return live.heard(t) >= struck })
	p.signal(syscall.SIGTERM)
	require.Zero(t, p.wait())
	kept := theTake(t, h.takes())
	played, _ := messages(t, kept)
	same(t, k.sent, played)
	findings, summary := joined(t, objects(t, live.text(t)))
	reviewed, reviewedSummary := h.reviewed(kept)
	require.Len(t, reviewed, struck)
	fates := map[any]int{}
	for i, f := range findings {
		require.Equal(t, any(f), reviewed[i])
		fates[f["fate"]]++
	}
	assert.Len(t, findings, struck)
	assert.Equal(t, summary, reviewedSummary)
	assert.Positive(t, fates["unresolved"])
	t.Logf("%d findings are the same: %v", len(findings), fates)
}

// An instrument that is unplugged and plugged in again.
func TestJACKGoneAndBack(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.listening(sizes()[0], k, "--centre", "F major")
	k.play(on(65), on(69), on(72))
	c.shows("held  F")
	k.Vanish()
	begun := time.Now()
	c.shows("instrument gone: Keys:out, plug it in again")
	gone := time.Since(begun)
	k2 := newKeys(t, "Keys")
	begun = time.Now()
	c.until("the warning is taken away", func(screen string) bool { return !strings.Contains(screen, "instrument gone") })
	back := time.Since(begun)
	c.until("nothing is held any more", func(screen string) bool { return !strings.Contains(screen, "held  ") })
	k2.connect(t, 76, func() int { return counted(c.text()) })
	c.until("the note is shown", func(string) bool { _, _, lower := zones(c.rows()); return strings.Contains(lower, "E") })
	notes := counted(c.text())
	k2.play(on(65))
	c.playing(notes + 1)
	c.ended()
	kept := theTake(t, h.takes())
	played, _ := messages(t, kept)
	released := [][]byte{{0x80, 65, 64}, {0x80, 69, 64}, {0x80, 72, 64}} // for other programs
	same(t, slices.Concat(k.sent, released, k2.sent), played)
	assert.Equal(t, 1, kinds(t, kept, analyse.Release))
	assert.Equal(t, 1, kinds(t, kept, analyse.Found))
	h.reviewed(kept)
	t.Logf("the loss is shown after %v, the return after %v", gone.Round(time.Millisecond), back.Round(time.Millisecond))
}

// A session with real MIDI that is killed, and the next one.
func TestJACKKilledAndRecovered(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.listening(sizes()[0], k, "--centre", "F major")
	k.play(on(65), on(67), off(65), off(67))
	written := len(k.sent)
	until(t, "a second is written", func() bool {
		for _, content := range files(t, h.takes()) {
			if strings.LastIndex(content, `{"watermark":`) > strings.LastIndex(content, "\x80\x43\x40") && strings.Contains(content, "\x80\x43\x40") {
				return true
			}
		}
		return false
	})
	killed := strings.TrimSuffix(journal(t, h.takes()), ".journal") + ".mid"
	require.NoError(t, c.command.Process.Kill())
	c.wait()

	until(t, "the server has let go of the dead client", func() bool { return h.run("ports", "--api", "jack").code == exitDone })
	next := h.listening(sizes()[1], k, "--centre", "F major")
	next.shows("recovered ", filepath.Base(killed))
	next.ended()
	next.shows("recovered the take of a session")
	assert.Len(t, list(t, h.takes()), 2)
	kept, _ := messages(t, killed)
	assert.Len(t, kept, written)
	assert.Equal(t, []byte{0x80, 67, 64}, kept[written-1])
}

// A flood of 10,000 messages a second, ten times what a DIN cable carries, with
// the screen up: nothing is lost.
func TestJACKFlood(t *testing.T) {
	const perSecond = 10_000
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.listening(sizes()[1], k, "--centre", "F major")
	before := len(k.sent)
	first := counted(c.text())
	sent := k.Flood(perSecond, 3*time.Second, on(65), off(65), on(66), off(66))
	c.playing(first + (sent+1)/2)
	assert.NotContains(t, c.text(), "lost")
	assert.NotContains(t, c.text(), "not saved")
	c.ended()
	played, _ := messages(t, theTake(t, h.takes()))
	assert.Len(t, played, before+sent)
	assert.Zero(t, kinds(t, theTake(t, h.takes()), analyse.Lost))
	for i, m := range played[before:] {
		require.Equal(t, []byte{0x90 - byte(i%2)<<4, 65 + byte(i/2%2)}, m[:2], "message %d", i)
	}
	t.Logf("%d messages at %d a second, with the screen up: %d in the take", sent, perSecond, len(played)-before)
}

// Two hands on channels of their own, and a third channel that is left out: all is in
// the take, and what is said live is said of it later.
func TestJACKHandsOnChannels(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	command := h.command("listen", "--api", "jack", "--in", k.Port, "--centre", "C major", "--hands", "2,1", "--json")
	live := redirected(t, command)
	p := h.start(command)
	k.connect(t, 64, func() int { return live.heard(t) })
	first := live.heard(t)
	message := func(channel, key byte) jacktest.Message {
		return jacktest.Message{After: 20 * time.Millisecond, Bytes: []byte{0x90 | channel, key, 80}}
	}
	var played []jacktest.Message
	for i := range byte(40) {
		played = append(played, message(0, 60+i%12), message(1, 59+i%5), message(2, 40+i))
	}
	k.play(append(played, message(0, 60))...)
	struck := first + 2*40 + 1
	until(t, "all is heard", func() bool { return live.heard(t) >= struck })
	p.signal(syscall.SIGTERM)
	require.Zero(t, p.wait())
	kept := theTake(t, h.takes())
	all, _ := messages(t, kept)
	same(t, k.sent, all)
	findings, summary := joined(t, objects(t, live.text(t)))
	reviewed, reviewedSummary := h.reviewed(kept)
	require.Len(t, findings, struck)
	require.Len(t, reviewed, struck)
	for i, f := range findings {
		require.Equal(t, any(f), reviewed[i])
	}
	assert.Equal(t, summary, reviewedSummary)
	other := h.run("review", "--json", "--channel", "3", kept)
	assert.Zero(t, other.code, other.err)
	assert.Len(t, objects(t, other.out)[0]["findings"], 40)
}
