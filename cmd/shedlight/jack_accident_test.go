//go:build jack

package main

import (
	"fmt"
	"regexp"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/listen/jacktest"
)

// drums is the channel of the click at a MIDI output, as a note-on.
const drums = 0x99

// A machine that stands still for some seconds, as one does whose lid is closed: the song
// has gone on with the clock on the wall, the click is on the beat that it would have had,
// nothing of what was due meanwhile is played, nothing sounds on, and judging goes on.
func TestTheSongGoesOnOverAStandstill(t *testing.T) {
	const (
		beats  = 240 // a minute
		every  = time.Minute / beats
		still  = 3 * time.Second
		bars   = 4
		bar    = 4 * every
		chorus = bars * bar
	)
	jacktest.StartLoose(t)
	k := newKeys(t, "Keys")
	m := jacktest.NewModule(t, "Module")
	h := newHome(t)
	c := h.open(sizes()[1], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--tempo", strconv.Itoa(beats),
		"--sound", "midi", "--out", m.Port, "--backing", "full", "--trade", "4"))
	k.connect(t, 65, func() int { return counted(c.text()) })
	clicks := func() (at []time.Time) {
		for _, one := range m.Heard() {
			if one.Bytes[0] == drums && one.Bytes[2] > 0 {
				at = append(at, one.At)
			}
		}
		return at
	}
	until(t, "the band plays", func() bool { return len(clicks()) > 12 })
	top := clicks()[6] // behind one, three, and four
	all := []int{c.soundProcess(), c.command.Process.Pid}
	for _, pid := range all {
		require.NoError(t, syscall.Kill(pid, syscall.SIGSTOP))
	}
	stopped := time.Now()
	until(t, "it has stood still", func() bool { return time.Since(stopped) > still })
	for _, pid := range all {
		require.NoError(t, syscall.Kill(pid, syscall.SIGCONT))
	}
	woken := time.Now()
	place := regexp.MustCompile(`bar (\d+) of 4  chorus (\d+)`)
	c.until("the song is where the wall clock has it", func(screen string) bool {
		found := place.FindStringSubmatch(screen)
		since := time.Since(top)
		want := fmt.Sprintf("bar %d of 4  chorus %d", since%chorus/bar+1, since/chorus+1)
		return found != nil && found[0] == want && since > still
	})
	require.Less(t, time.Since(woken), time.Second)
	k.connect(t, 65, func() int { return counted(c.text()) })
	until(t, "the click goes on", func() bool { at := clicks(); return at[len(at)-1].Sub(woken) > 2*time.Second })
	var off, on []time.Duration
	for _, at := range clicks() {
		if at.After(woken) {
			since := at.Sub(top)
			off, on = append(off, since-since.Round(every)), append(on, since.Round(every)/every)
		}
	}
	t.Logf("clicks off their beats after the standstill: %v", off)
	for i := range on[1:] {
		require.Equal(t, on[i]+1, on[i+1], "each once")
	}
	for _, one := range off[1:] { // the first may have been on its way
		require.InDelta(t, 0, one, float64(every)/4)
	}
	c.ended()
	require.Zero(t, heardBy(m).held)
	h.takeSaved()
}
