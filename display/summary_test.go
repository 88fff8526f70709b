package display

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/fate"
	"shedlight/analyse/feel"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// session is a good evening with a tune: two choruses, little unresolved.
func session() *Outcome {
	return &Outcome{Summary: analyse.Summary{
		Title: "Two Bridges", Choruses: 2, Bars: 64, Notes: 214, Seconds: 192.4, View: song.KeyView,
		Place: song.PlaceCounts{Home: 121, Dim: 74, Outside: 19}, ChordTones: 118,
		Fate:           map[string]int64{"passing": 4, "approach": 6, "enclosure": 2, "push": 0, "written": 4, "unresolved": 3},
		Groups:         analyse.GroupCounts{Chord: 118, Scale: 81, Way: 12, Slip: 3},
		Centres:        []analyse.CentreCount{{Centre: "Bb major", Tally: analyse.Tally{Notes: 150, Outside: 12, Unresolved: 1}}, {Centre: "F minor", Tally: analyse.Tally{Notes: 64, Outside: 7, Unresolved: 2}}},
		ChorusesDetail: []analyse.ChorusCount{{Chorus: 1, Tally: analyse.Tally{Notes: 110, Outside: 11, Unresolved: 2}}, {Chorus: 2, Tally: analyse.Tally{Notes: 104, Outside: 8, Unresolved: 1}}},
		BarsDetail:     bars(32, analyse.BarCount{Bar: 1, Tally: analyse.Tally{Notes: 120, Outside: 5}}, analyse.BarCount{Bar: 3, Tally: analyse.Tally{Notes: 94, Outside: 14, Unresolved: 3}}),
		ChordsDetail: []analyse.ChordCount{
			{Bar: 1, ToBar: 1, Symbol: "Bb6", Centre: "Bb major", Tally: analyse.Tally{Notes: 120, Outside: 5}},
			{Bar: 3, ToBar: 4, Symbol: "C7", Centre: "F minor", Tally: analyse.Tally{Notes: 64, Outside: 7, Unresolved: 2}},
			{Bar: 5, ToBar: 5, Symbol: "Bb6", Centre: "Bb major", Tally: analyse.Tally{Notes: 30, Outside: 7, Unresolved: 1}},
		},
		HalfSteps: figure.HalfStepCounts{Added: 3, OntoBeat: 2}, LeftHanging: phrase.Hanging{PhraseEnd: 1},
		Subs: []analyse.SubUse{{ChordKind: "dominant", Scale: harmony.NewScale(harmony.MinorSixth, tone.Class(6).Flat()), Times: 2}},
	}, SlipNames: map[int][]string{2: {"E", "B"}, 3: {"Db"}}}
}

// bars are the bars of a form with what was played in some of them.
func bars(n int, played ...analyse.BarCount) []analyse.BarCount {
	out := make([]analyse.BarCount, n)
	for i := range out {
		out[i].Bar = i + 1
	}
	for _, b := range played {
		out[b.Bar-1] = b
	}
	return out
}

// beginner has slips in many places and plays the same few chords.
func beginner() *Outcome {
	o := session()
	o.Fate["unresolved"], o.Groups.Slip, o.Groups.Scale, o.Place.Outside = 31, 31, 53, 47
	o.Centres[0].Unresolved, o.Centres[1].Unresolved = 22, 9
	o.ChorusesDetail[0].Unresolved, o.ChorusesDetail[1].Unresolved = 20, 11
	o.ChordsDetail[1].Unresolved, o.ChordsDetail[2].Unresolved = 9, 13
	o.ChordsDetail[0].Unresolved = 9
	o.SlipNames = map[int][]string{1: {"B", "B", "Gb", "E"}, 2: {"Db", "Gb", "Db", "Eb"}, 3: {"Db", "E", "E", "B"}}
	o.Ghosts, o.Feel.WithBeat = 64, true
	o.OnBeat = []feel.OnBeat{{View: song.KeyView, ChordKind: "dominant", Scored: 40, Home: 20, ChordTone: 9}}
	for i, times := range []int64{12, 0, 3, 0, 4, 0, 0, 1} {
		o.Family = append(o.Family, figure.FamilyUse{Centre: "F minor", Scale: harmony.NewScale(harmony.MinorSixth, tone.Class(5).Name()), Family: "Fm6", Step: i + 1, Times: times})
	}
	o.Earlier = Earlier{Takes: 3, Notes: 600, Slips: 120, SlipsNow: 86}
	then := advise.Suggestion{Subject: advise.Subject{Kind: advise.Unresolved, Bar: 1, ToBar: 2, Chord: "Bb6"}, Part: 9, Whole: 30}
	now := then
	now.Part, now.Whole = 1, 28
	o.Met = []advise.Met{{Then: then, Now: now}}
	o.Suggestions = suggested(o)
	return o
}

// chromatic plays many outside notes, and every one resolves.
func chromatic() *Outcome {
	o := session()
	o.Fate = map[string]int64{"enclosure": 24, "approach": 31, "double-chromatic": 8, "passing": 12, "unresolved": 0}
	o.Groups = analyse.GroupCounts{Chord: 118, Scale: 21, Way: 75}
	o.Place = song.PlaceCounts{Home: 84, Dim: 55, Outside: 75}
	o.Phrases = phrase.Report{Phrases: 20, Notes: 214, Longest: 16, Rest: 30, Good: []phrase.Phrase{{
		Number: 4, Notes: 16, Outside: 5, Landing: phrase.LandedOnChord,
		Start: phrase.Edge{Chorus: 1, Bar: 8}, End: phrase.Edge{Chorus: 1, Bar: 9, ChordDegree: "5"},
		Figures: []figure.OfPhrase{
			{Kind: figure.Run, Direction: "up", Notes: 5}, {Kind: figure.Arpeggio, Direction: "down", Notes: 4, Chords: []string{"Dm7b5"}},
			{Kind: figure.Leap, Direction: "up", Notes: 2},
		},
		FigureCount: 3,
	}}}
	o.Feel = feel.Report{Counted: true, WithBeat: true, Measured: true, Onsets: 60, OffsetMS: -5, ScatterMS: 15, NotesPerBeat: 1.9, NotesPerBar: 5.2}
	for i := range o.Centres {
		o.Centres[i].Unresolved = 0
	}
	for i := range o.ChorusesDetail {
		o.ChorusesDetail[i].Unresolved = 0
	}
	for i := range o.ChordsDetail {
		o.ChordsDetail[i].Unresolved = 0
	}
	o.Suggestions = suggested(o)
	return o
}

// free is playing in free time, with neither a chart nor a centre.
func freeTime() *Outcome {
	return &Outcome{Summary: analyse.Summary{Notes: 48, Seconds: 61, View: song.KeyView, Figures: figure.Counts{Chord: 5}}}
}

// heardCentre is playing without a chart from which a centre was heard.
func heardCentre() *Outcome {
	o := freeTime()
	o.Place = song.PlaceCounts{Home: 20, Dim: 12, Outside: 2}
	o.Fate, o.Groups = map[string]int64{"approach": 2}, analyse.GroupCounts{Chord: 20, Scale: 12, Way: 2}
	o.Centres = []analyse.CentreCount{{Centre: "Eb major", Tally: analyse.Tally{Notes: 34, Outside: 2}}}
	o.HeardCentres = []analyse.HeardCentre{{Centre: "Eb major", From: 14}}
	return o
}

// fullest has more of everything than a page shows.
func fullest() *Outcome {
	o := beginner()
	o.Title = strings.Repeat("The Long Way Round to Lindmouth ", 9)
	o.View = song.ChordView
	o.Notes, o.Place.Home, o.Bars = 1<<40, 1<<40, 1<<38
	o.Figures = figure.Counts{Run: 12, Arpeggio: 1, Chord: 3, Leap: 20}
	o.Groups = analyse.GroupCounts{Chord: 1 << 39, Scale: 1 << 39, Way: 57_000, Change: 18_000, Colour: 42_000, Slip: 16_000}
	for f := fate.Glitch; f <= fate.Unresolved; f++ {
		o.Fate[f.String()] = int64(f) * 1000
	}
	for range 50 {
		o.Centres = append(o.Centres, o.Centres...)[:min(2*len(o.Centres), 40)]
		o.ChordsDetail = append(o.ChordsDetail, o.ChordsDetail...)[:min(2*len(o.ChordsDetail), 40)]
		o.ChorusesDetail = append(o.ChorusesDetail, analyse.ChorusCount{Chorus: len(o.ChorusesDetail) + 1, Tally: analyse.Tally{Notes: 90, Unresolved: 17}})
		o.OnBeat = append(o.OnBeat, o.OnBeat[0])
		o.Subs = append(o.Subs, o.Subs[0])
		o.Met = append(o.Met, o.Met[0])
	}
	good := phrase.Phrase{Number: 3, Notes: 14, Outside: 2, Landing: phrase.LandedOnChord,
		Start: phrase.Edge{Chorus: 1, Bar: 4}, End: phrase.Edge{Chorus: 1, Bar: 6, ChordDegree: "3"},
		Figures: []figure.OfPhrase{{Kind: figure.Run, Direction: "up", Notes: 5}, {Kind: figure.Leap, Direction: "up"}, {Kind: figure.Leap, Direction: "down"}}, FigureCount: 3}
	o.Phrases = phrase.Report{Phrases: 31, Struck: 8, Longest: 20, Rest: 22, Good: []phrase.Phrase{good, good, good}}
	o.Feel = feel.Report{Counted: true, WithBeat: true, Measured: true, Onsets: 90, OffsetMS: 15, ScatterMS: 20, Pairs: 40, Swing: 1.6, NotesPerBar: 5.2}
	o.HalfSteps = figure.HalfStepCounts{Added: 5, OntoBeat: 4}
	o.LeftHanging = phrase.Hanging{Held: 2, PhraseEnd: 1}
	o.Meant = 4
	o.Unsplit, o.Kept = true, true
	o.Earlier = Earlier{Takes: 20, Notes: 1 << 40, Slips: 1 << 36, SlipsNow: 16000}
	return o
}

// Each page fits into 80 by 24 and says what a player must read in it.
func TestSummary(t *testing.T) {
	for file, o := range map[string]*Outcome{
		"summary.txt": session(), "summary-beginner.txt": beginner(), "summary-chromatic.txt": chromatic(),
		"summary-free.txt": freeTime(), "summary-heard.txt": heardCentre(), "summary-fullest.txt": fullest(),
		"summary-bare.txt": {Summary: analyse.Summary{Notes: 1, Seconds: 3}}, "summary-silent.txt": {},
	} {
		var b bytes.Buffer
		require.NoError(t, WriteSummary(&b, o, Options{}))
		golden(t, file, b.String())
		onOnePage(t, b.String())
	}
	var b bytes.Buffer
	require.NoError(t, WriteSummary(&b, beginner(), Options{ASCII: true, Written: tone.InBFlat}))
	golden(t, "summary-ascii-bb.txt", b.String())
}

func onOnePage(t require.TestingT, text string) {
	rows := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	require.LessOrEqual(t, len(rows), pageRows)
	for _, row := range rows {
		require.LessOrEqual(t, width(row), pageWidth, row)
	}
}

// The form is told so that it divides, with how far it went the last time, and
// the notes a bar are those of the bars that are told.
func TestFormIsTold(t *testing.T) {
	told := func(choruses, to int, form []analyse.BarCount) string {
		o := session()
		o.Choruses, o.Bars, o.BarsDetail, o.Notes = choruses, to, form, 304
		o.Phrases = phrase.Report{Phrases: 1, Longest: 2}
		o.Feel = feel.Report{Counted: true, NotesPerBar: 9.7}
		return strings.Join(played(o, newSpeller(Options{})).rows(pageWidth)[:2], "; ")
	}
	for want, got := range map[string]string{
		"304 notes in 3:12, 2 choruses of 16 bars; 1 phrase of 2 notes, 9.5 notes a bar":                     told(2, 32, bars(16)),
		"304 notes in 3:12, 4 choruses of 4 bars, the last to bar 3; 1 phrase of 2 notes, 20.3 notes a bar":  told(4, 15, bars(4)),
		"304 notes in 3:12, 3 choruses of 4 bars, the last to bar 25; 1 phrase of 2 notes, 33.8 notes a bar": told(3, 9, bars(28)[24:]),
		"304 notes in 3:12; 1 phrase of 2 notes, 9.7 notes a bar":                                            told(0, 0, nil),
	} {
		require.Equal(t, want, got)
	}
}

// Chords that both hands play amid a melody are told apart by a split: that is
// said once, to who has set nothing that parts them.
func TestSplitIsOffered(t *testing.T) {
	for _, test := range []struct {
		struck  int64
		found   uint8
		unsplit bool
		says    string
		want    int
	}{
		{8, 0, true, "--split C4 ", 1}, {7, 0, true, "--split", 0}, {8, 0, false, "--split", 0},
		{8, 61, true, "--split Db4 ", 1}, {0, 51, true, "--split Eb3 ", 1}, {0, 51, false, "--split", 0},
	} {
		o := session()
		o.Phrases.Struck, o.SplitFound, o.Unsplit = test.struck, test.found, test.unsplit
		var b bytes.Buffer
		require.NoError(t, WriteSummary(&b, o, Options{Written: tone.InBFlat}))
		require.Equal(t, test.want, strings.Count(b.String(), test.says), test)
	}
	for key := uint8(1); key < 128; key++ { // the flag takes what is said
		pitch, err := tone.ParsePitch(splitName(key))
		require.NoError(t, err)
		require.Equal(t, int(key), pitch.Key())
	}
}

// The notes that slipped are named, some of them where there are many; without a
// chart in the first row.
func TestSlipsAreNamed(t *testing.T) {
	rows := func(o *Outcome) string {
		return strings.Join(slipped(o, newSpeller(Options{ASCII: true})).rows(pageWidth), "\n")
	}
	require.Contains(t, rows(session()), "bars 3-4, over C7: E, B (2 of 64 notes);\nbar 5, over Bb6: Db (1 of 30 notes)")
	require.Contains(t, rows(beginner()), "bar 5, over Bb6: Db, E, B and more (13 of 30 notes);")
	o := heardCentre()
	o.Fate["unresolved"] = 2
	o.Centres[0].Unresolved = 2
	o.SlipNames = map[int][]string{0: {"Gb", "E"}}
	require.Equal(t, "2 slips in 48 notes: Gb, E", rows(o))
	o.SlipNames = nil
	require.Equal(t, "2 slips in 48 notes", rows(o))
}

// A good phrase is told by where the table of phrases has it.
func TestGoodPhraseCanBeFound(t *testing.T) {
	o := chromatic()
	sp := newSpeller(Options{})
	require.Equal(t, "a good phrase in chorus 1, bars 8-9: 16 notes, landed on the 5th", goodPhrase(&o.Summary, sp)[0].rows[0])
	p := &o.Phrases.Good[0]
	p.Start.Bar, p.End.Bar = 0, 0
	require.Equal(t, "a good phrase, number 4 of --by phrase: 16 notes, landed on the 5th", goodPhrase(&o.Summary, sp)[0].rows[0])
}

// Who resolves everything is not called wrong, and is told nothing to mend.
func TestResolvedReadsAsGood(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteSummary(&b, chromatic(), Options{}))
	require.Contains(t, b.String(), "nowhere: everything outside has its reason")
	require.NotContains(t, b.String(), "Next time")
}

// The page tells each kind of goal by what is counted of it.
func TestGoalIsTold(t *testing.T) {
	o := session()
	o.ChorusesDetail[0].Goal = analyse.GoalCount{Tally: analyse.Tally{Notes: 40, Unresolved: 1}, Changes: 14, Thirds: 11, Chords: 2}
	o.ChorusesDetail[1].Goal = analyse.GoalCount{Tally: analyse.Tally{Notes: 38}, Changes: 10, Thirds: 6}
	for _, test := range []struct {
		goal string
		kind analyse.GoalKind
		want string
	}{
		{"no slip in B", analyse.NoSlip, "goal, no slip in B: met in 1 of 2 choruses"},
		{"third on every change", analyse.ThirdOnChange, "goal, third on every change: on 17 of 24 changes"},
		{"family of D in 9-16", analyse.FamilyChord, "goal, family of D in 9-16: played in 1 of 2 choruses"},
	} {
		o.Goal, o.GoalKind = test.goal, test.kind
		var b bytes.Buffer
		require.NoError(t, WriteSummary(&b, o, Options{}))
		require.Contains(t, b.String(), test.want+"\n")
	}
}

// The live screen at a chorus boundary says what the summary says of the same
// two choruses.
func TestChorusBoundaryLiveAndAfterwards(t *testing.T) {
	o := session()
	f := tune()
	f.Snapshot.Chorus, f.Snapshot.Bar = 3, 1
	f.Snapshot.Choruses = [2]analyse.ChorusCount{o.ChorusesDetail[1], o.ChorusesDetail[0]}
	const same = "chorus 1 to 2: slips from 2 % to 1 %, outside from 10 % to 8 %"
	require.Equal(t, same, speller{}.chorusOver(&f.Snapshot))
	var b bytes.Buffer
	require.NoError(t, WriteSummary(&b, o, Options{}))
	require.Contains(t, b.String(), same)

	f.Snapshot.Choruses = [2]analyse.ChorusCount{o.ChorusesDetail[0]}
	require.Equal(t, "chorus 1: slips 2 %, outside 10 %", speller{}.chorusOver(&f.Snapshot))
	f.Snapshot.Choruses = [2]analyse.ChorusCount{}
	require.Empty(t, speller{}.chorusOver(&f.Snapshot))
}

// A quiet screen says how the chorus went that is over for a bar in all, while no
// phrase is played: where one begins before the line has stood for two beats, it
// comes back in the next rest.
func TestChorusBoundaryWhileItIsQuiet(t *testing.T) {
	const bar = 4 * beat
	type moment struct {
		tick     int64
		inPhrase bool
		shown    bool
	}
	for _, test := range []struct {
		name    string
		quiet   bool
		moments []moment
	}{
		{"not quiet", false, []moment{{0, true, true}, {bar - 1, true, true}, {bar, true, false}, {2 * bar, false, false}}},
		{"no phrase", true, []moment{{0, false, true}, {bar - 1, false, true}, {bar, false, false}}},
		{"it ends in the first bar", true, []moment{{0, true, false}, {2 * beat, false, true}, {bar, false, true},
			{bar + 2*beat - 1, false, true}, {bar + 2*beat, false, false}}},
		{"another begins once it was read", true, []moment{{0, false, true}, {2 * beat, true, false}, {bar, true, false}, {2 * bar, false, false}}},
		{"another begins before it was read", true, []moment{{0, false, true}, {2*beat - 1, true, false}, {bar, true, false},
			{2 * bar, false, true}, {2*bar + 2*beat, false, true}, {2*bar + 2*beat + 1, false, false}}},
		{"another begins on beat 1", true, []moment{{0, false, true}, {10, true, false}, {2 * bar, true, false},
			{3 * bar, false, true}, {4*bar - 11, false, true}, {4*bar - 10, false, false}}},
		{"it goes on", true, []moment{{0, true, false}, {bar, true, false}, {2 * bar, true, false},
			{2*bar + beat, false, true}, {3*bar + beat - 1, false, true}, {3*bar + beat, false, false}}},
		{"short rests after it", true, []moment{{0, true, false}, {bar, true, false}, {2 * bar, false, true},
			{2*bar + beat, true, false}, {3 * bar, false, true}, {3*bar + beat, true, false}, {4 * bar, false, false}}},
	} {
		p := newPainter(Options{ASCII: true})
		for _, m := range test.moments {
			f := tune()
			f.Status.Quiet = test.quiet
			s := &f.Snapshot
			s.Tick, s.InPhrase = m.tick, m.inPhrase
			if m.tick < bar {
				s.Choruses = [2]analyse.ChorusCount{{Chorus: 1, Tally: analyse.Tally{Notes: 50, Outside: 5, Unresolved: 1}}}
			}
			var text strings.Builder
			for _, one := range p.paint(&f, pageWidth, pageRows).cells {
				text.WriteString(one.text)
			}
			require.Equal(t, m.shown, strings.Contains(text.String(), "chorus 1: slips 2 %"), "%s, at tick %d", test.name, m.tick)
		}
	}
}

// In the rest after a phrase the live screen says of it what the summary and
// the table say, and nothing while one is played.
func TestLiveLine(t *testing.T) {
	line := func(f Frame) string {
		for row := range strings.Lines(onTerminal(t, "UTF-8", f, Options{}, 120, 40, nil)) {
			if row = strings.TrimSpace(row); strings.HasPrefix(row, "Landed ") {
				text, _, _ := strings.Cut(row, "  "+keysHint)
				return strings.TrimSpace(text)
			}
		}
		return ""
	}
	f := tune()
	require.Empty(t, line(f))
	f.Snapshot.InPhrase = false
	f.Snapshot.Phrase = phrase.Phrase{Number: 3, Notes: 14, Outside: 1, Landing: phrase.LandedOnChord, End: phrase.Edge{Bar: 6, ChordDegree: "3"}}
	require.Equal(t, "Landed on the 3rd.  Bar 6; 1 note outside", line(f))
	f.Snapshot.Phrase.Open = 1
	require.Equal(t, "Landed on the 3rd.  Bar 6; 1 note outside, 1 too soon to tell", line(f))
	f.Snapshot.Phrase.Open = 0
	f.Snapshot.InPhrase = true
	require.Empty(t, line(f))
	f.Status.Quiet = true
	require.Empty(t, line(f))
	f.Snapshot.InPhrase = false
	require.Equal(t, "Landed on the 3rd.  Bar 6; 1 note outside", line(f))
}

// A tone that stays open at the end of a phrase says where it wants to go; one
// outside the scale is told by its name, at the pitch that the player reads.
func TestHowAPhraseEnded(t *testing.T) {
	end := func(l phrase.Landing, half song.Place, degree string) *phrase.Phrase {
		return &phrase.Phrase{Number: 1, Notes: 5, Outside: 1, Landing: l, End: phrase.Edge{Bar: 2, Name: "Db", Half: half, ChordDegree: degree}}
	}
	hanging := end(phrase.LeftHanging, song.Dim, "b13")
	hanging.End.Chord, hanging.End.Wants = "F6", "C"
	for _, test := range []struct {
		p    *phrase.Phrase
		want string
	}{
		{end(phrase.LandedOnChord, song.Outside, "b9"), "landed on the ♭9, bar 2; 1 note outside"},
		{end(phrase.EndedAtRest, song.Home, "6"), "ended on the 6th, bar 2; 1 note outside"},
		{hanging, "E♭ held over G6: it wants D, bar 2; 1 note outside"},
		{end(phrase.LeftHanging, song.Outside, "b3"), "ended outside, on E♭, bar 2; 1 note outside"},
		{end(phrase.NoLanding, song.NoPlace, ""), "ended on E♭, bar 2; 1 note outside"},
	} {
		sp := newSpeller(Options{Written: tone.InBFlat})
		require.Equal(t, test.want, sp.phrase(test.p))
	}
}

// Which take was recovered is said by its path, and where there are several, the
// folder that they are in.
func TestWhatWasRecovered(t *testing.T) {
	foot := func(st Status, w, h int) string {
		f := tune()
		f.Status, f.Snapshot.Phrase = st, phrase.Phrase{}
		rows := strings.Split(strings.TrimSpace(onTerminal(t, "UTF-8", f, Options{}, w, h, nil)), "\n")
		text, _, _ := strings.Cut(rows[len(rows)-1], "  q leave")
		return strings.TrimSpace(text)
	}
	one := Status{Recovered: 1, RecoveredAt: "/home/lindmouth/takes/the-\x1b[2Jone.mid", TakePath: "new.mid"}
	require.Equal(t, "recovered /home/lindmouth/takes/the-?[2Jone.mid", foot(one, 80, 24))
	require.Equal(t, "recovered ...Jone.mid", foot(one, 40, 12))
	several := Status{Recovered: 12, RecoveredAt: "/home/lindmouth/takes", TakePath: "new.mid"}
	require.Equal(t, "recovered 12 takes in /home/lindmouth/takes", foot(several, 80, 24))

	f := tune() // after the first phrase the running counts have their place again
	f.Status, f.Snapshot.Phrase.Number = several, 1
	require.Contains(t, onTerminal(t, "UTF-8", f, Options{}, 80, 24, nil), "\n "+count(f.Snapshot.Counts.Notes, "note"))
}

// On a page that is too full the list of choruses gives way before what was met.
func TestWhatWasMetIsNotCut(t *testing.T) {
	var b bytes.Buffer
	o := fullest()
	o.Family = append(o.Family, figure.FamilyUse{Centre: "Bb major", Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(10).Name()), Family: "Bbmaj7 with a long name and more to it", Step: 1, Times: 1},
		figure.FamilyUse{Centre: "Bb major", Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(10).Name()), Family: "Bbmaj7 with a long name and more to it", Step: 2})
	require.NoError(t, WriteSummary(&b, o, Options{ASCII: true}))
	require.Contains(t, b.String(), "met: bars 1-2, over Bb6, from 9 of 30 to 1 of 28")
	require.NotContains(t, b.String(), "slips by chorus")
}
