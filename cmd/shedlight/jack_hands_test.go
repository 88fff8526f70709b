//go:build jack

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// pressed is a pedal that is pressed, and let go so long after.
func (k *keys) pressed(controller byte, held time.Duration) {
	k.play(jacktest.Message{Bytes: []byte{0xB0, controller, 127}}, after(held, jacktest.Message{Bytes: []byte{0xB0, controller, 0}}))
}

// found strikes a key that asks for something until it is answered: the way to the
// program is open, and nothing was played.
func (k *keys) found(c *console, key byte, word string) {
	k.connect(c.t, key, func() int { return strings.Count(c.text(), word) })
}

// A player who touches nothing but pedals and keys counts off, plays three choruses,
// starts again, lets go of that false start, marks a place, stops. The take and the
// summary say just that, and what sounds follows.
func TestAnEveningByPedalAndNotesAlone(t *testing.T) {
	const chorus = 2 * 4 * timebase.Quarter // two bars
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.open(sizes()[1], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--bars", "1-2", "--tempo", "480",
		"--begin", "note", "--map", "cc67=again", "--map", "cc68=mark/forget", "--map", "note21=stop", "--map", "note22=louder"))
	c.shows("q leave")
	r := jacktest.NewRecorder(t, soundPort)
	k.found(c, 22, "volume 5 of 10")
	blips := len(r.Onsets())

	k.pressed(67, 50*time.Millisecond)
	c.shows("again, from the top")
	until(t, "it is counted in", func() bool { return len(r.Onsets()) >= blips+6 }) // a blip, then 1, 3, 1 2 3 4
	for number, keys := range [][]byte{{62, 65}, {67, 71, 74}, {72}} {
		c.shows(fmt.Sprintf("chorus %d", number+1))
		for _, key := range keys {
			k.play(on(key), after(20*time.Millisecond, off(key)))
		}
	}
	c.shows("chorus 4")
	k.pressed(67, 50*time.Millisecond)
	c.shows("again, from the top")
	c.shows("chorus 5")
	k.play(on(61), after(20*time.Millisecond, off(61)))
	k.pressed(68, 50*time.Millisecond)
	c.shows("marked")
	k.pressed(68, 700*time.Millisecond)
	c.shows("chorus 5 forgotten")
	k.play(on(21), off(21))
	c.shows("stopped")
	until(t, "the click has stopped", func() bool {
		onsets := r.Onsets()
		return time.Since(onsets[len(onsets)-1].Called) > 625*time.Millisecond // five beats
	})
	c.ended()
	said := c.text()

	path := h.takeSaved()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	var asked []beat.Action
	var at []int64 // song ticks at which it was asked to count off
	var song analyse.Event
	for e := range kept.Events {
		switch e.Kind {
		case analyse.Origin:
			song = e
		case analyse.Asked:
			if a := beat.Action(e.Value); a != beat.Louder {
				asked = append(asked, a)
			}
			if e.Value == int64(beat.Again) {
				at = append(at, song.Value+(e.Tick-song.Tick)*int64(song.Key))
			}
		}
	}
	require.Equal(t, []beat.Action{beat.Again, beat.Again, beat.Mark, beat.Forget, beat.Stop}, asked)
	require.Zero(t, at[0], "it stood at the top")
	require.Equal(t, int64(3), at[1]/chorus, "three whole choruses were played, and the fourth was begun")
	require.Equal(t, []string{"cc67=again", "cc68=mark/forget", "note21=stop", "note22=louder"}, kept.Settings.Map)

	_, summary := h.reviewed(path)
	require.Equal(t, []any{5.0}, summary["forgotten"])
	require.Len(t, summary["marks"], 1)
	require.Equal(t, 5.0, summary["marks"].([]any)[0].(map[string]any)["chorus"])
	require.Equal(t, 6.0, summary["notes"], "the note of the false start is in no count, and no control is a note")
	played := map[float64]float64{}
	for _, row := range summary["choruses_detail"].([]any) {
		row := row.(map[string]any)
		played[row["chorus"].(float64)] = row["notes"].(float64)
	}
	require.Equal(t, map[float64]float64{1: 2, 2: 3, 3: 1}, played)

	page := h.run("review", path)
	require.Contains(t, page.out, "6 notes in ")
	require.Contains(t, page.out, "chorus 5 forgotten: in the take, in no count")
	require.Contains(t, page.out, "1 place marked: --by mark lists them")
	_, told, _ := strings.Cut(page.out, "\n") // its first row names the file
	for row := range strings.Lines(told) {
		require.Contains(t, said, strings.TrimSpace(row), "what was said at the end is what the review says")
	}
	require.Contains(t, h.run("review", "--by", "mark", path).out, ", forgotten")
}

// A phrase is played back by the instrument at the output: the keys that were played,
// as far apart, and not before the player rests. It is in no count and not in the take.
func TestTheLastPhraseIsPlayedBackOverJACK(t *testing.T) {
	jacktest.Start(t)
	k, m := newKeys(t, "Keys"), jacktest.NewModule(t, "Module")
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--tempo", "240",
		"--sound", "midi", "--out", m.Port, "--click", "off", "--map", "cc67=phrase", "--map", "note22=softer"))
	c.shows("q leave")
	k.found(c, 22, "volume 3 of 10")
	line := []byte{62, 65, 69, 72}
	gaps := []time.Duration{0, 160 * time.Millisecond, 240 * time.Millisecond, 90 * time.Millisecond}
	for i, key := range line {
		k.play(after(gaps[i]/2, on(key)), after(gaps[(i+1)%len(gaps)]/2, off(key)))
	}
	rested := time.Now()
	k.pressed(67, 20*time.Millisecond)
	c.shows("the last phrase")
	back := func() (heard []jacktest.Heard) {
		const piano = 0x92 // the third channel
		for _, one := range m.Heard() {
			if one.Bytes[0] == piano && one.Bytes[2] > 0 {
				heard = append(heard, one)
			}
		}
		return heard
	}
	until(t, "the phrase comes back", func() bool { return len(back()) == len(line) })
	heard := back()
	require.Greater(t, heard[0].At.Sub(rested), 250*time.Millisecond, "the rest that ends a phrase")
	c.ended()

	path := h.takeSaved()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	var notes []analyse.Event
	for e := range kept.Events {
		if e.Kind == analyse.NoteOn && e.Velocity > 0 && e.Key != 22 {
			notes = append(notes, e)
		}
	}
	require.Len(t, notes, len(line))
	const tick = 250 * time.Millisecond / timebase.Quarter
	for i, note := range notes {
		require.Equal(t, note.Key, heard[i].Bytes[1])
		require.InDelta(t, time.Duration(note.Tick-notes[0].Tick)*tick, heard[i].At.Sub(heard[0].At), float64(25*time.Millisecond), "note %d", i)
	}
	_, summary := h.reviewed(path)
	require.EqualValues(t, len(line), summary["notes"])
	require.Equal(t, 1, countAsked(kept, beat.PhraseBack))
}

func countAsked(kept *take.Take, a beat.Action) (n int) {
	for e := range kept.Events {
		if e.Kind == analyse.Asked && e.Value == int64(a) {
			n++
		}
	}
	return n
}

// A pedal that rests at 127 and the sustain pedal are learnt on the terminal, then used,
// then remembered. The view is turned by one of them.
func TestAPedalIsLearntOverJACK(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--tempo", "400", "--sound", "off",
		"--map", "learn=view", "--map", "learn=mark"))
	c.shows("For view: press the pedal now and let it go, or strike the key.")
	reversed := func() {
		k.play(jacktest.Message{Bytes: []byte{0xB0, 67, 0}}, after(50*time.Millisecond, jacktest.Message{Bytes: []byte{0xB0, 67, 127}}))
	}
	// The first presses may come before JACK has connected the port: then it is asked
	// for again, or the next is the first.
	until(t, "the first press is heard", func() bool {
		reversed()
		limit := time.Now().Add(1500 * time.Millisecond)
		for !strings.Contains(c.text(), "Once more.") && time.Now().Before(limit) {
			<-time.After(lookEvery)
		}
		return strings.Contains(c.text(), "Once more.")
	})
	reversed()
	c.shows("Learnt, and kept for the next time: --map cc67reversed=view")
	c.shows("For mark: press")
	k.pressed(64, 50*time.Millisecond)
	c.until("the second press is asked for", func(screen string) bool { return strings.Count(screen, "Once more.") == 2 })
	k.pressed(64, 50*time.Millisecond)
	c.shows("This is the sustain pedal")
	c.typed("y\n")
	c.shows("q leave")
	k.connect(t, 65, func() int { return counted(c.text()) })
	reversed()
	c.shows("in each chord")
	k.pressed(64, 50*time.Millisecond)
	c.shows("marked")
	k.play(on(66), after(20*time.Millisecond, off(66)))
	c.shows("on F♯") // where its phrase ended
	c.ended()

	want := []string{"cc67reversed=view", "cc64sustaining=mark"}
	path := h.takeSaved()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	require.Equal(t, want, kept.Settings.Map)
	_, summary := h.reviewed(path)
	var views []string
	for _, one := range summary["views"].([]any) {
		views = append(views, one.(map[string]any)["view"].(string))
	}
	require.Equal(t, []string{"key", "chord"}, views)
	held := h.run("review", "--json", "--view", "key", path)
	require.Equal(t, "key", objects(t, held.out)[0]["view"], "what is typed wins over what was asked for in the take")
	last, err := os.ReadFile(filepath.Join(h.dir, "state", "shedlight", "last.json"))
	require.NoError(t, err)
	for _, line := range want {
		require.Contains(t, string(last), line)
	}
}
