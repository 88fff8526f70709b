package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/fit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

const (
	reviewChart = "../../testdata/charts/two-bridges.chart"
	// notesExt is what the notes beside a take are called in place of .mid.
	notesExt = ".notes.json"
	// leastNotes is how many notes a take needs to be held against others.
	leastNotes = 32
	// spoilt is the share of wrong notes of a beginner.
	spoilt = 0.3
)

func notesPath(takePath string) string { return strings.TrimSuffix(takePath, ".mid") + notesExt }

// band records takes of an invented tune, a minute apart, into one folder.
type band struct {
	t     testing.TB
	dir   string
	tune  *tunes.Tune
	start time.Time

	written string // what the player reads
}

func newBand(t testing.TB, flags settings.Tune) *band {
	tune, err := tunes.Of(flags, settings.Hand{}, nil)
	require.NoError(t, err)
	return &band{t: t, dir: t.TempDir(), tune: tune, start: time.Date(2026, time.May, 2, 19, 0, 0, 0, time.UTC)}
}

// record keeps a take of some events behind what a session starts with.
func (b *band) record(events []analyse.Event) (path string) {
	under := take.Settings{Written: b.written}
	b.tune.Tell(&under)
	r, err := take.Start(b.dir, under, b.start, take.Options{})
	require.NoError(b.t, err)
	b.start = b.start.Add(time.Minute)
	events = append(opening(b.t, b.tune, 0), events...)
	for _, e := range events {
		require.True(b.t, r.Add(e))
	}
	path, err = r.Close(events[len(events)-1].Tick + timebase.Quarter)
	require.NoError(b.t, err)
	return path
}

// line is so many choruses as a good player improvises them.
func (b *band) line(seed uint64, choruses int) []linegen.Note {
	return linegen.Line(b.tune.Setup.Timeline, b.tune.Setup.View, seed, choruses)
}

func (b *band) proper(seed uint64, choruses int) string {
	return b.record(linegen.Events(b.line(seed, choruses)))
}

func (b *band) beginner(seed uint64, choruses int) string {
	return b.record(linegen.Events(linegen.Spoil(b.line(seed, choruses), spoilt, seed)))
}

// reviewCall runs a review and returns what it wrote. The notes of the takes
// are written beside them.
func reviewCall(t testing.TB, c *reviewCommand) (out, said string, err error) {
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	if c.Start == 0 {
		c.Start = 1
	}
	c.ASCII = true
	var messages bytes.Buffer
	err = c.Run(&program{out: file, messages: &messages})
	text, readErr := os.ReadFile(file.Name())
	require.NoError(t, readErr)
	return string(text), messages.String(), err
}

func page(t testing.TB, files ...string) string {
	out, said, err := reviewCall(t, &reviewCommand{Files: files})
	require.NoError(t, err)
	require.Empty(t, said)
	return out
}

// What four players read about what they played.
func TestPages(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	t.Run("a good chromatic player", func(t *testing.T) {
		text := page(t, b.proper(3, 3))
		t.Log("\n" + text)
		require.Contains(t, text, "Slipped     nowhere: everything outside has its reason")
		require.Contains(t, text, "approach ")
		require.NotRegexp(t, `\d+ slips? in`, text, "nothing to mend")
	})
	t.Run("a beginner", func(t *testing.T) {
		text := page(t, b.beginner(4, 3))
		t.Log("\n" + text)
		require.Regexp(t, `Next time   1\. \S+, bars? [0-9-]+: (?s:.+)\(\d+\s+slips\s+in\s+\d+\s+notes`, text)
		require.Regexp(t, `Slipped     (against the chord: (?s:.+?)\n +)?\d+ slips in \d+ notes: Bb major \d+ of \d+`, text)
	})
	t.Run("free time without a centre", func(t *testing.T) {
		free := newBand(t, settings.Tune{})
		text := page(t, free.record([]analyse.Event{
			{Tick: 100, Kind: analyse.NoteOn, Key: 60, Velocity: 80}, {Tick: 900, Kind: analyse.NoteOff, Key: 60},
		}))
		t.Log("\n" + text)
		require.Contains(t, text, "1 note in")
		require.Contains(t, text, "no chart and no centre was given, so no note was judged")
	})
	t.Run("silence", func(t *testing.T) {
		var track smf.TrackWriter
		track.End(timebase.Quarter)
		file := smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes)))
		t.Chdir(t.TempDir()) // a long path is cut
		require.NoError(t, os.WriteFile("silence.mid", append(file, track.Bytes...), 0o600))
		require.Equal(t, "silence.mid\nNo notes were played.\n", page(t, "silence.mid"))
	})
}

// reviewObject is what review --json writes, as far as these tests read it.
type reviewObject struct {
	File           string
	Earlier        reviews.Earlier
	Notes          int64
	Fate           map[string]int64
	Against        int64
	Meant          int
	MeantNotes     []int64 `json:"meant_notes"`
	SlipsAhead     int64   `json:"slips_ahead"`
	Fights         []analyse.Fight
	Suggestions    []struct{ Kind, Chord, Family string }
	Fit            []reviewedFit
	Centres        []analyse.CentreCount
	ChorusesDetail []analyse.ChorusCount `json:"choruses_detail"`
	BarsDetail     []analyse.BarCount    `json:"bars_detail"`
	ChordsDetail   []analyse.ChordCount  `json:"chords_detail"`
	Findings       []reviewedNote
	Phrases        []phrase.Phrase `json:"phrases_detail"`
}

func (o *reviewObject) slips() int64 { return o.Fate["unresolved"] + o.Against }

// reviewedFit is a verdict of the fit.
type reviewedFit struct {
	Span, Says, With string
	Chorus           int
	FromN            int64 `json:"from_n"`
	FromBar          int   `json:"from_bar"`
	ToBar            int   `json:"to_bar"`
	Elsewhere        fit.Move
}

type reviewedNote struct {
	N             int64
	Fate, Against string
	Place         string
	Chorus        int
	Bar           int
	Beat          float64
	Name          string
}

func (n reviewedNote) slip() bool { return n.Fate == "unresolved" || n.Against != "" }

// slipsInTables adds up the slips by bar, by chord, by centre, by chorus and by
// phrase.
func (o *reviewObject) slipsInTables() (sums [5]int64) {
	for _, r := range o.BarsDetail {
		sums[0] += r.Slips()
	}
	for _, r := range o.ChordsDetail {
		sums[1] += r.Slips()
	}
	for _, r := range o.Centres {
		sums[2] += r.Slips()
	}
	for _, r := range o.ChorusesDetail {
		sums[3] += r.Slips()
	}
	for _, p := range o.Phrases {
		sums[4] += int64(p.Slips())
	}
	return sums
}

func readObject(t testing.TB, text string) (o reviewObject) {
	require.NoError(t, json.Unmarshal([]byte(text), &o))
	return o
}

// A take is held against those of the same tune before it, and against no
// others; what was suggested twice gives way, and what wants two takes comes in.
func TestAgainstEarlierTakes(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	var shown [][]string
	for i := range 3 {
		path := b.record(linegen.Events(linegen.Spoil(b.line(1, 2), spoilt, 1))) // the same each time
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, JSON: true})
		require.NoError(t, err)
		o := readObject(t, out)
		require.Equal(t, i, o.Earlier.Takes)
		require.Equal(t, int64(i)*o.Notes, o.Earlier.Notes)
		require.Equal(t, int64(i)*o.slips(), o.Earlier.Unresolved)
		require.NotEmpty(t, o.Suggestions)
		var kinds []string
		for _, s := range o.Suggestions {
			kinds = append(kinds, s.Kind)
		}
		shown = append(shown, kinds)
	}
	require.Equal(t, [][]string{{"unresolved"}, {"unresolved", "untouched"}, {"untouched"}}, shown)

	better := b.proper(1, 2)
	text := page(t, better)
	require.Regexp(t, `since 3 earlier takes: slips from \d+ % to 0 %`, text)
	require.Equal(t, text, page(t, better), "a second look says the same")

	other := *b
	var err error
	other.tune, err = tunes.Of(settings.Tune{Chart: "blues"}, settings.Hand{}, nil)
	require.NoError(t, err)
	require.NotContains(t, page(t, other.beginner(2, 2)), "earlier", "another tune")
	require.NoError(t, os.Remove(notesPath(better)))
	require.Contains(t, page(t, b.proper(2, 2)), "since 4 earlier takes", "one without notes is judged")
	require.FileExists(t, notesPath(better))
}

// The live summary is the review of the take that it ends with.
func TestConcludedIsTheReview(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	b.beginner(1, 2)
	path := b.beginner(2, 2)
	c := &reviewCommand{Start: 1}
	r, err := c.review(nil, path, smf.Selection{})
	require.NoError(t, err)
	live := reviews.Conclude(r.Summary, b.tune, path)
	require.NoError(t, r.Recall(reviews.Marks{}, t.Logf))
	require.Equal(t, &r.Outcome, live)
	require.Equal(t, 1, live.Earlier.Takes)
}

// Several files are listed in order, a bad one among them is said, and the
// trend is told tune by tune.
func TestSeveralFiles(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	var files []string
	for i := range 5 {
		files = append(files, b.beginner(uint64(i), 1))
	}
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "2026-05-02_19-02-30.mid"), []byte("no MIDI at all"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "setlist.txt"), nil, 0o600))

	out, said, err := reviewCall(t, &reviewCommand{Files: []string{b.dir}})
	var quietly *failedQuietly
	require.ErrorAs(t, err, &quietly)
	require.Contains(t, said, "2026-05-02_19-02-30.mid")
	require.Equal(t, 1, strings.Count(said, "\n"))
	rows := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, rows, len(files)+2)
	for i, file := range files {
		require.Contains(t, rows[i], filepath.Base(file))
		require.Regexp(t, `\d+ notes in \d+:\d\d +slips \d+ \(\d+ %\)`, rows[i])
	}
	require.Regexp(t, `^Two Bridges: slips (\d+ % -> ){4}\d+ %, over 5 takes$`, rows[len(files)+1])

	out, _, err = reviewCall(t, &reviewCommand{Files: []string{b.dir}, JSON: true})
	require.ErrorAs(t, err, &quietly)
	objects := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, objects, len(files))
	for i, text := range objects {
		o := readObject(t, text)
		require.Equal(t, files[i], o.File)
		require.Len(t, o.Findings, int(o.Notes))
	}
	require.NoFileExists(t, notesPath(files[0]), "a list writes nothing")

	_, _, err = reviewCall(t, &reviewCommand{Files: []string{t.TempDir()}})
	require.ErrorContains(t, err, "no .mid or .midi file in this folder")
	for _, c := range []*reviewCommand{
		{Files: files, By: "bar"}, {Files: files, Meant: []string{"3"}}, {Files: files[:1], By: "bar", JSON: true}, {Files: files[:1], Meant: []string{"x"}},
	} {
		var usage usage.Error
		_, _, err := reviewCall(t, c)
		require.ErrorAs(t, err, &usage)
	}
}

// A take that was played at written pitch is read so, unless another is asked
// for; the object is at concert pitch whatever is read.
func TestWrittenPitchOfATake(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	concert := b.beginner(3, 2)
	b.written = "Bb"
	written := b.beginner(3, 2)
	read := func(file, written string) string {
		c := &reviewCommand{Files: []string{file}, By: "chord"}
		c.Written = written
		out, _, err := reviewCall(t, c)
		require.NoError(t, err)
		return out
	}
	require.Equal(t, read(concert, "Bb"), read(written, ""))
	require.Equal(t, read(concert, ""), read(written, "C"))
	require.NotEqual(t, read(concert, ""), read(written, ""))
	var findings [2]any
	for i, file := range []string{concert, written} {
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{file}, JSON: true})
		require.NoError(t, err)
		findings[i] = readObject(t, out).Findings
	}
	require.Equal(t, findings[0], findings[1])
}

// A take with hardly any notes is listed and is no part of the trend.
func TestShortTakesAreNoTrend(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	for _, notes := range []int{leastNotes, leastNotes - 1, 200, 3} {
		b.record(linegen.Events(b.line(1, 2)[:notes]))
	}
	out, _, err := reviewCall(t, &reviewCommand{Files: []string{b.dir}})
	require.NoError(t, err)
	for _, listed := range []string{" 31 notes in", " 32 notes in", " 200 notes in", " 3 notes in"} {
		require.Contains(t, out, listed)
	}
	require.Regexp(t, `\nTwo Bridges: slips \d+ % -> \d+ %, over 2 takes, 2 short takes left out\n$`, out)
}

// The tables add up to the whole.
func TestTablesAddUp(t *testing.T) {
	b := newBand(t, settings.Tune{Chart: reviewChart})
	path := b.beginner(4, 3)
	out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, JSON: true})
	require.NoError(t, err)
	o := readObject(t, out)
	n := o.slips()
	require.Positive(t, o.Fate["unresolved"])
	require.Positive(t, o.Against)
	require.Equal(t, [5]int64{n, n, n, n, n}, o.slipsInTables())
	var notes [4]int64
	counted := map[int]int64{}
	for _, r := range o.BarsDetail {
		notes[0] += r.Notes
	}
	for _, r := range o.ChordsDetail {
		notes[1] += r.Notes
	}
	for _, r := range o.Centres {
		notes[2] += r.Notes
	}
	for _, r := range o.ChorusesDetail {
		notes[3] += r.Notes
	}
	require.Equal(t, [4]int64{o.Notes, o.Notes, o.Notes, o.Notes}, notes)
	for _, f := range o.Findings {
		if f.slip() {
			counted[f.Bar]++
		}
	}
	for _, r := range o.BarsDetail {
		require.Equal(t, counted[r.Bar], r.Slips(), "bar %d", r.Bar)
	}
	require.NotEmpty(t, o.Phrases)
	for i, p := range o.Phrases {
		require.Equal(t, int64(i+1), p.Number)
		require.Zero(t, p.Open, "phrase %d", p.Number)
	}
	for _, by := range []string{"chord", "centre", "chorus", "bar", "phrase"} {
		out, _, err := reviewCall(t, &reviewCommand{Files: []string{path}, By: by})
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(out, by+" "), out)
	}
}

// Work is done on every core, not more of it than can be taken, and comes back
// in order.
func TestInOrder(t *testing.T) {
	const n = 200
	var under, most atomic.Int64
	var got []int
	for i := range inOrder(context.Background(), n, func(i int) int {
		if now := under.Add(1); now > most.Load() {
			most.Store(now)
		}
		defer under.Add(-1)
		runtime.Gosched()
		return i
	}) {
		got = append(got, i)
	}
	require.Len(t, got, n)
	require.True(t, slices.IsSorted(got))
	require.LessOrEqual(t, most.Load(), int64(runtime.GOMAXPROCS(0)+2))

	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	done := 0
	for range inOrder(ctx, n, func(i int) int { return i }) {
		if done++; done == 3 {
			stop()
		}
	}
	require.Equal(t, 3, done)

	require.PanicsWithError(t, "no such luck", func() {
		for range inOrder(context.Background(), n, func(i int) int {
			if i == n/2 {
				panic("no such luck")
			}
			return i
		}) {
		}
	}, "a crash comes up in whoever takes the results")
}

// A folder of a thousand takes, two minutes each.
func BenchmarkReviewFolder(b *testing.B) {
	const takes, choruses = 1000, 2
	play := newBand(b, settings.Tune{Chart: reviewChart})
	for i := range takes {
		play.proper(uint64(i), choruses)
	}
	line := play.tune.Setup.Timeline
	tempo := float64(line.Tempo)
	hours := float64(takes*choruses*line.Length) / timebase.Quarter * tempo / 1e6 / 3600
	b.ResetTimer()
	for range b.N {
		_, said, err := reviewCall(b, &reviewCommand{Files: []string{play.dir}})
		require.NoError(b, err)
		require.Empty(b, said)
	}
	b.ReportMetric(hours*float64(b.N)/b.Elapsed().Seconds(), "hours-of-playing/s")
}
