package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/beat"
	"shedlight/listen/take"
)

// movedTake is a take of five choruses of a blues that goes up a fourth each time and is
// counted off again before the fourth: in C, F, B flat, C and F.
func movedTake(t *testing.T) string {
	const bar = 4 * timebase.Quarter
	b := newBand(t, settings.Tune{Chart: "blues", Key: "C", Move: 5})
	keys := b.tune.Setup.Keys
	require.Len(t, keys, 12)
	length := b.tune.Setup.Timeline.Length
	var events []analyse.Event
	for chorus, key := range []int{0, 1, 2, 0, 1} {
		start := int64(chorus) * length
		if chorus == 3 {
			events = append(events, analyse.Event{Tick: start, Kind: analyse.Origin, Key: 1, Value: -bar})
		}
		if chorus >= 3 {
			start += bar
		}
		if chorus == 3 {
			events = append(events, analyse.Event{Tick: start, Kind: analyse.Origin, Key: 1, Value: 3 * length})
		}
		seed := uint64(chorus)
		for _, e := range linegen.Events(linegen.Spoil(linegen.Line(keys[key].Timeline, b.tune.Setup.View, seed, 1), 0.2, seed)) {
			if e.Tick < length { // the last note is held to the end
				e.Tick += start
				events = append(events, e)
			}
		}
	}
	return b.record(events)
}

// moving is what is told of choruses that move.
type moving struct {
	Choruses []struct {
		Chorus, Notes int
		Key           string
	} `json:"choruses_detail"`
	Chords, Bars, Centres, Family, Fit, Fate, Fights, Hanging json.RawMessage
}

func (m *moving) read(t *testing.T, text []byte) {
	t.Helper()
	require.NoError(t, json.Unmarshal(text, m))
	var all map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(text, &all))
	for name, at := range map[string]*json.RawMessage{
		"chords_detail": &m.Chords, "bars_detail": &m.Bars, "left_hanging": &m.Hanging, "centres": &m.Centres, "family": &m.Family,
		"fit": &m.Fit, "fights": &m.Fights, "fate": &m.Fate,
	} {
		require.NotEmpty(t, all[name], name)
		*at = all[name]
	}
}

// A take in moving keys, played as a session is, is judged and reviewed in the same keys,
// note for note, by what it says itself; another --move wins over that.
func TestMovedChorusesAreReviewedAsTheyWerePlayed(t *testing.T) {
	configured(t, "")
	file := movedTake(t)
	var out bytes.Buffer
	s := sessionOver(t, func(s *session) {
		s.lines = startLines(&out, func(w io.Writer) lineFormat {
			return jsonLines{w: w, Lines: display.NewLines(io.Discard, display.Options{})}
		}, func() {})
	}, "--in", file)
	_, err := s.lines.close()
	require.NoError(t, err)

	type note struct {
		N                                  int
		Chorus                             int
		Name, Place, Degree, Chord, Centre string
		Scale                              string
	}
	var live []note
	for lines := bufio.NewScanner(&out); lines.Scan(); {
		var one note
		require.NoError(t, json.Unmarshal(lines.Bytes(), &one))
		if one.Name != "" {
			live = append(live, one)
		}
	}
	summary, err := json.Marshal(s.analyser.Summary())
	require.NoError(t, err)
	var played, reviewed moving
	played.read(t, summary)

	taken := s.recorder.Status().Path
	text, _, code := runHere(t, "review", taken, "--json")
	require.Zero(t, code)
	reviewed.read(t, []byte(text))
	require.Equal(t, played, reviewed)
	var findings struct{ Findings []note }
	require.NoError(t, json.Unmarshal([]byte(text), &findings))
	require.Equal(t, live, findings.Findings)

	var keys []string
	for _, one := range reviewed.Choruses {
		require.Positive(t, one.Notes)
		keys = append(keys, one.Key)
	}
	require.Equal(t, []string{"C", "F", "Bb", "C", "F"}, keys)
	over := map[int]string{}
	for _, one := range live {
		if over[one.Chorus] == "" {
			over[one.Chorus] = one.Chord + ", " + one.Centre
		}
	}
	require.Equal(t, map[int]string{1: "C7, C blues", 2: "F7, F blues", 3: "Bb7, Bb blues", 4: "C7, C blues", 5: "F7, F blues"}, over)

	text, _, code = runHere(t, "review", taken, "--by", "chorus", "--ascii")
	require.Zero(t, code)
	require.Regexp(t, `(?m)^3 in Bb `, text)
	text, _, code = runHere(t, "review", taken, "--json", "--move", "0")
	require.Zero(t, code)
	var still moving
	still.read(t, []byte(text))
	require.Empty(t, still.Choruses[1].Key)
	require.NotEqual(t, reviewed.Fate, still.Fate)
}

// The chord symbols in a take are those that sounded.
func TestTheSymbolsOfATakeMove(t *testing.T) {
	const bar = 4 * timebase.Quarter
	tune, err := tunes.Of(settings.Tune{Chart: "two-five-one", Key: "C", Move: -2}, settings.Hand{}, nil)
	require.NoError(t, err)
	var under take.Settings
	tune.Tell(&under)
	got := tunes.Markers(under, []analyse.Event{
		{Kind: analyse.Origin, Key: 1, Value: -bar},
		{Tick: bar, Kind: analyse.Origin, Key: 1},
		{Tick: 6 * bar, Kind: analyse.Origin, Key: 1, Value: -bar}, // a bar into the second chorus
		{Tick: 7 * bar, Kind: analyse.Origin, Key: 1, Value: 2 * 4 * bar},
	}, 12*bar)
	var text []string
	for _, m := range got {
		text = append(text, m.Text)
	}
	require.Equal(t, []string{"Dm7", "G7", "C6", "C6", "Cm7", "Dm7", "G7", "C6", "C6", "Cm7"}, text)
	require.Equal(t, int64(11*bar), got[len(got)-1].Tick)
}

// What moves, and what of it a flag says.
func TestHowATuneMoves(t *testing.T) {
	named := func(over settings.Tune) (names []string) {
		tune, err := tunes.Of(over, settings.Hand{}, nil)
		require.NoError(t, err)
		for _, k := range tune.Setup.Keys {
			names = append(names, k.Name)
		}
		return names
	}
	require.Equal(t, []string{"C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G"}, named(settings.Tune{Chart: "two-five-one", Key: "C", Move: 5}))
	require.Equal(t, []string{"Eb", "Db", "B", "A", "G", "F"}, named(settings.Tune{Chart: "two-five-one", Key: "Eb", Move: -2}))
	require.Equal(t, []string{"C", "F#"}, named(settings.Tune{Chart: "two-five-one", Key: "C", Move: 6}))
	require.Empty(t, named(settings.Tune{Chart: "two-five-one"}))

	tune, err := tunes.Of(settings.Tune{Chart: "two-five-one", Key: "C", Move: 5, Bars: "1-2", Centre: "A minor"}, settings.Hand{}, nil)
	require.NoError(t, err)
	second := tune.Setup.Keys[1].Timeline
	require.Len(t, second.Bars, 2, "a part of the chart moves")
	require.Equal(t, "Gm7", second.Slots[0].Symbol)
	require.Equal(t, "D minor", second.Slots[0].Centre.String(), "and a centre over all of it")

	for _, test := range []struct {
		args []string
		said string
	}{
		{[]string{"listen", "--move", "5"}, "--move needs a --chart"},
		{[]string{"listen", "--chart", "blues", "--move", "12"}, "--move 12: expected -11 to 11 semitones"},
		{[]string{"listen", "--chart", "blues", "--move", "-12"}, "--move -12: expected -11 to 11 semitones"},
		{[]string{"listen", "--chart", "blues", "--move", "up"}, "--move up: expected -11 to 11 semitones"},
	} {
		_, said, code := runHere(t, test.args...)
		require.Equal(t, exitUsage, code)
		require.Equal(t, "shedlight: "+test.said+"\n", said)
	}
	file := filepath.Join(t.TempDir(), "line.mid")
	require.NoError(t, os.WriteFile(file, demoTake, 0o600))
	configured(t, "move = 5\n")
	out, _, code := runHere(t, "review", file, "--json")
	require.Zero(t, code)
	require.NotContains(t, out, `"key":"F`, "a take has its own")
}

// The next key is told four bars before its chorus and not after, but not in the last chorus
// of a session; that of the chorus from its first bar on. While it is counted in the key to
// come is told.
func TestTheNextKeyIsToldBefore(t *testing.T) {
	const bar = 4 * timebase.Quarter
	tune, err := tunes.Of(settings.Tune{Chart: "blues", Key: "C", Move: 5}, settings.Hand{}, nil)
	require.NoError(t, err)
	clock, err := beat.New(tune.Beat(120))
	require.NoError(t, err)
	analyser, err := analyse.New(tune.Setup)
	require.NoError(t, err)
	length := tune.Setup.Timeline.Length
	s := &session{analyser: analyser, limit: &limit{line: clock.Line, choruses: 2, length: length}}
	var got []string
	was := ""
	for now := time.Duration(0); now < 50*time.Second; now += 100 * time.Millisecond {
		for _, e := range clock.Pass(now) {
			analyser.Add(e)
		}
		s.now = clock.Tick(now)
		analyser.AdvanceTo(s.now)
		s.checkComing()
		if told := s.status.Key + " then " + s.status.NextKey; told != was {
			was = told
			got = append(got, fmt.Sprint(s.now/bar, ": ", told))
		}
	}
	require.Equal(t, []string{"0: C then ", "8: C then F", "12: F then ", "24: Bb then "}, got)
}
