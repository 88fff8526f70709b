//go:build unix

package main

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/timebase"
)

func TestDemoFastIsTheSameEachTime(t *testing.T) {
	t.Parallel()
	for _, flag := range []string{"--plain", "--json"} {
		h := newHome(t)
		first, second := h.run("demo", "--fast", flag), h.run("demo", "--fast", flag)
		assert.Zero(t, first.code)
		assert.Equal(t, first, second)
		assert.Greater(t, strings.Count(first.out, "\n"), 227, "a line for each note")
		if flag == "--json" {
			findings, summary := joined(t, objects(t, first.out))
			assert.Len(t, findings, 227)
			assert.Equal(t, "Lanterns on the Quay", summary["title"])
			assert.Empty(t, first.err[strings.Index(first.err, "\n")+1:], "only what is listened to")
		}
		assert.Empty(t, list(t, h.takes()), "nothing is saved")
	}
}

// What listen --json prints live is, finding for finding, what review --json
// says of the take that it kept, and of what was played.
func TestLiveEqualsReview(t *testing.T) {
	t.Parallel()
	chart := []string{"--chart", "minor-two-five-one", "--key", "D"}
	for seed, tune := range [][]string{{"--centre", "F major"}, {"--centre", "C minor", "--split", "C4"}, chart, append(chart, "--view", "chord"), nil} {
		h := newHome(t)
		m := improvised(uint64(seed), 40)
		file := m.save(t, h.dir, "improvised.mid")
		live := h.run(append([]string{"listen", "--in", file, "--json"}, tune...)...)
		require.Zero(t, live.code, live.err)
		findings, summary := joined(t, objects(t, live.out))
		require.Len(t, findings, m.notes())
		fates, roles := map[any]int{}, map[any]int{}
		for _, f := range findings {
			fates[f["fate"]]++
			roles[f["role"]]++
		}
		assert.Positive(t, roles["line"])
		assert.Positive(t, roles["chord"])
		assert.Zero(t, fates["pending"])
		assert.Equal(t, tune == nil, fates[""] == m.notes(), "there are outside notes where there is a scale")
		var live0 []any
		for _, f := range findings {
			live0 = append(live0, f)
		}
		reviewed, reviewedSummary := h.reviewed(theTake(t, h.takes()))
		assert.Equal(t, live0, reviewed, "the take, %v", tune)
		assert.Equal(t, summary, reviewedSummary, "the take, %v", tune)
		if len(tune) < 4 {
			reviewed, reviewedSummary = h.reviewed(file, tune...)
			assert.Equal(t, live0, reviewed, "the file, %v", tune)
			assert.Equal(t, summary, reviewedSummary, "the file, %v", tune)
		}
	}
}

// Each phrase is told when it is over. With --quiet its notes are too, each with
// what became of it, and with --plain beside it none is.
func TestPlainLinesTellOfPhrases(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	m := sung(60, 63, 64, 67)
	const held = timebase.Quarter // the last note: what became of the others is known before the rest is over
	m.events[len(m.events)-1].Tick += held
	m.end += held
	later := m.end + 3*timebase.Quarter
	for _, e := range m.events {
		e.Tick += later
		m.events = append(m.events, e)
	}
	m.end += later
	file := m.save(t, h.dir, "two-phrases.mid")
	for flag, each := range map[string][]string{
		"--plain": {"(C4)  six", "D#4  outside", "(E4)  six", "(G4)  six", "D#4  approach", "-- landed on the 5th, 1 note outside"},
		"--quiet": {"(C4)  six", "D#4  approach", "(E4)  six", "(G4)  six", "-- landed on the 5th, 1 note outside"},
		// What a screen reader can follow.
		"--quiet --plain": {"-- landed on the 5th, 1 note outside"},
	} {
		r := h.run(append([]string{"listen", "--no-take", "--ascii", "--centre", "C major", "--in", file}, strings.Fields(flag)...)...)
		require.Zero(t, r.code, r.err)
		lines, _, _ := strings.Cut(r.out, "Played ")
		_, lines, _ = strings.Cut(lines, "\n") // what is listened to
		var got []string
		for line := range strings.Lines(lines) {
			if strings.HasPrefix(line, "--") {
				got = append(got, strings.TrimSpace(line))
			} else if all := strings.Fields(line); len(all) > 0 {
				got = append(got, all[1]+"  "+all[2]) // without the time, the degree and the scale
			}
		}
		assert.Equal(t, append(each, each...), got, "%s\n%s", flag, r.out)
	}
}

// The summary at the end of a session is the page of a review, at the pitch that
// the player reads.
func TestSummaryIsThePageOfAReview(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	file := improvised(3, 60).save(t, h.dir, "evening.mid")
	rows := func(text string) (out []string) {
		_, text, _ = strings.Cut(text, "\nPlayed ")
		for row := range strings.Lines(text) {
			if row = strings.TrimSpace(row); row != "" { // the page of a review has no room to spare
				out = append(out, row)
			}
		}
		return out
	}
	for _, centre := range []string{"Eb major", "C minor", "F blues"} {
		over := []string{"--centre", centre, "--written", "Bb"}
		live := h.run(append([]string{"listen", "--plain", "--in", file}, over...)...)
		page := h.run(append([]string{"review", file}, over...)...)
		require.NotEmpty(t, rows(live.out), live.out)
		assert.Equal(t, rows(page.out), rows(live.out), centre)
	}
}

// The codes are 0 done, 1 failed, 2 wrong use; messages go to standard error.
func TestExitCodes(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	midi, err := filepath.Abs("../../testdata/midi")
	require.NoError(t, err)
	specimen := func(name string) string { return filepath.Join(midi, name+".mid") }
	good := sung(60).save(t, h.dir, "good.mid")
	text := filepath.Join(h.dir, "text.mid")
	require.NoError(t, os.WriteFile(text, []byte("no MIDI at all"), 0o600))
	bad := filepath.Join(h.dir, "bad.chart")
	require.NoError(t, os.WriteFile(bad, []byte("key: C\n\n[A]\n| C6 X7 |\n"), 0o600))
	for _, test := range []struct {
		args     string
		code     int
		out, err string // held by what is written; "" for nothing at all
	}{
		{args: "version", out: "shedlight"},
		{args: "--help", out: "Commands:"},
		{args: "listen --help", out: "--centre"},
		{args: "demo --fast --plain", out: "227 notes in 0:58", err: ""},
		{args: "review " + good, out: "1 note in"},
		{args: "review --json " + good, out: `"notes":1`},
		{args: "review " + good + " --centre C-major", code: 2, err: "--centre"},
		{args: "frobnicate", code: 2, err: "frobnicate"},
		{args: "listen --frobnicate", code: 2, err: "--frobnicate"},
		{args: "listen --json --plain", code: 2, err: "--json and --plain"},
		{args: "listen --lag 900", code: 2, err: "--lag 900: expected -500 to 500 milliseconds"},
		{args: "listen --tempo 2", code: 2, err: "expected 10 to 600 beats a minute"},
		{args: "listen --split H4", code: 2, err: "--split"},
		{args: "listen --view sideways", code: 2, err: "--view"},
		{args: "review", code: 2, err: "file"},
		{args: "review --channel 17 " + good, code: 2, err: "--channel 17: expected 1 to 16"},
		{args: "review --start 0 " + good, code: 2, err: "--start 0"},
		{args: "review --chart none.chart " + good, code: 2, err: "no chart file none.chart"},
		{args: "review --chart " + bad + " " + good, code: 1, err: "bad.chart: line 4, column 6"},
		{args: "review none.mid", code: 1, err: "none.mid: no such file"},
		{args: "review " + text, code: 1, err: "text.mid"},
		{args: "review " + h.dir, code: 1, out: "1 note in", err: "text.mid"},
		{args: "review " + good + " none.mid", code: 1, out: "1 note in", err: "none.mid: no such file"},
		{args: "review " + specimen("track-truncated"), code: 1, out: "byte 32: the track ends within a message"},
		{args: "review --json " + specimen("track-truncated"), code: 1, out: `"damage":[{"offset":18,"text":"track of 20 bytes, 10 left"},{"offset":32,`},
		{args: "review " + specimen("data-high") + " " + good, code: 1, out: "byte 32:"},
		{args: "review " + specimen("format-1"), code: 2, err: "several tracks with notes; choose one:\n  track 1 \"\": 2 notes on channel 1\n  track 2 \"\": 1 note on channel 1\n"},
		{args: "review --track 2 " + specimen("format-1"), out: "1 note in", err: "track 1 \"\": 2 notes on channel 1 left out\n"},
		{args: "review " + specimen("drums"), out: "in ", err: "on channel 10 left out\n"},
		{args: "listen --in " + specimen("format-1"), code: 2, err: "choose one:"},
		{args: "listen --no-take --in " + good, out: "1 note in"},
		{args: "listen --in nothing-of-that-name", code: 1, err: "shedlight: "},
	} {
		r := h.run(strings.Fields(test.args)...)
		assert.Equal(t, test.code, r.code, "%s: %s%s", test.args, r.out, r.err)
		assert.Contains(t, r.out, test.out, test.args)
		assert.Contains(t, r.err, test.err, test.args)
		if test.out == "" {
			assert.Empty(t, r.out, test.args)
		}
		if test.err == "" {
			assert.Empty(t, r.err, test.args)
		}
		if strings.Contains(test.args, "--json") {
			objects(t, r.out)
		}
	}
}

// Who reads standard output may stop: the session ends and is saved.
func TestReaderGone(t *testing.T) {
	t.Parallel()
	for _, flag := range []string{"--json", "--plain"} {
		h := newHome(t)
		c := h.command("listen", "--in", long(2000).save(t, h.dir, "long.mid"), flag)
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		var said strings.Builder
		c.Stderr = &said
		p := h.start(c)
		_, err = bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.NoError(t, out.Close())
		assert.Zero(t, p.wait(), said.String())
		assert.Contains(t, said.String(), "saved "+theTake(t, h.takes()))
		assert.NotContains(t, said.String(), "shedlight:")
	}
}

// Who reads standard output may be slow: the take does not wait for it, and the
// lines come when they are read.
func TestReaderSlow(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	m := improvised(9, 400).faster(40) // more lines at once than a pipe holds
	c := h.command("listen", "--in", m.save(t, h.dir, "dense.mid"), "--json")
	read, write, err := os.Pipe()
	require.NoError(t, err)
	defer read.Close()
	c.Stdout = write
	p := h.start(c)
	require.NoError(t, write.Close())
	reviewed, _ := h.reviewed(h.takeSaved())
	assert.True(t, p.running(), "the reader still holds up the lines, or it was never slow")
	assert.Len(t, reviewed, m.notes())
	var text strings.Builder
	_, err = bufio.NewReader(read).WriteTo(&text)
	require.NoError(t, err)
	assert.Zero(t, p.wait())
	findings, _ := joined(t, objects(t, text.String()))
	assert.Len(t, findings, m.notes())
}
