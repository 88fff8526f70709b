package changes

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// mustUnroll unrolls a chart that has to hold together.
func mustUnroll(t testing.TB, c *Chart) *Timeline {
	t.Helper()
	line, err := c.Unroll()
	require.NoError(t, err)
	checkTimeline(t, &line)
	return &line
}

// checkTimeline checks what every Timeline promises.
func checkTimeline(t testing.TB, line *Timeline) {
	t.Helper()
	var end int64
	for _, s := range line.Slots {
		require.Equal(t, end, s.Start, "slots follow without gaps")
		require.Less(t, s.Start, s.End)
		require.Equal(t, s.Chord.None(), s.Own.None())
		require.Equal(t, s.Chord.None(), s.Key.None())
		end = s.End
	}
	require.Equal(t, line.Length, end)
	for i, b := range line.Bars {
		require.Equal(t, line.Bars[0].Number+i, b.Number)
		next := line.Length
		if i+1 < len(line.Bars) {
			next = line.Bars[i+1].Start
		}
		require.Equal(t, b.Meter.Bar(), next-b.Start)
	}
	end = 0
	for _, c := range line.Centres {
		require.Equal(t, end, c.Start, "centres follow without gaps")
		end = c.End
	}
	require.Equal(t, line.Length, end)
}

// played writes the bars of a timeline with their first symbols: "1A:C6".
func played(line *Timeline) string {
	var words []string
	for _, b := range line.Bars {
		words = append(words, fmt.Sprintf("%d%s:%s", b.Number, b.Section, line.Slots[line.SlotAt(b.Start, 0)].Symbol))
	}
	return strings.Join(words, " ")
}

// Repeats and endings are played as every chart reader plays them (common
// practice).
func TestRepeatsAndEndings(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"as written", "| C | D |", "1:C 2:D"},
		{"repeat", "|: C | D :| E |", "1:C 2:D 3:C 4:D 5:E"},
		{"repeat from the start", "| C | D :| E |", "1:C 2:D 3:C 4:D 5:E"},
		{"repeat from the last repeat", "|: C :| D | E :|", "1:C 2:C 3:D 4:E 5:D 6:E"},
		{"two repeats in a row", "|: C :|: D :|", "1:C 2:C 3:D 4:D"},
		{"two endings", "|: C |1. D :|2. E |", "1:C 2:D 3:C 4:E"},
		{"endings of two bars", "|: C |1. D | E :|2. F | G |", "1:C 2:D 3:E 4:C 5:F 6:G"},
		{"endings without |:", "| C |1. D :|2. E |", "1:C 2:D 3:C 4:E"},
		{"three endings", "|: C |1. D :|2. E :|3. F |", "1:C 2:D 3:C 4:E 5:C 6:F"},
		{"a shared ending", "|: C |1.2. D :|3. F |", "1:C 2:D 3:C 4:D 5:C 6:F"},
		{"after the last ending", "|: C |1. D :|2. E | F |: G :|", "1:C 2:D 3:C 4:E 5:F 6:G 7:G"},
		{"percent in a repeat", "|: C | % :|", "1:C 2:C 3:C 4:C"},
		{"form", "form: A A B A\n[A]\n| C |\n[B]\n|: D :|", "1A:C 2A:C 3B:D 4B:D 5A:C"},
		{"sections without a form", "[A]\n| C |\n[B]\n| D |", "1A:C 2B:D"},
		{"a section that is not in the form", "form: B\n[A]\n| C |\n[B]\n| D |", "1B:D"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, played(mustUnroll(t, mustParse(t, c.text))))
		})
	}
}

// Ticks by hand: 960 to the quarter note; a beat in 6/8 is a dotted quarter of
// 1440, a bar of 3/4 2880, of 4/4 3840.
func TestTicksOfTheForm(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "meter: 3/4\npickup: 1\ntempo: 120\n| C . G7 | {meter 4/4} C F | {meter 6/8} C G7 |"))
	var got []string
	for _, s := range line.Slots {
		got = append(got, fmt.Sprintf("%s %d-%d bar %d", s.Symbol, s.Start, s.End, s.Bar))
	}
	assert.Equal(t, []string{
		"C 0-1920 bar 1", "G7 1920-2880 bar 1", "C 2880-4800 bar 2", "F 4800-6720 bar 2", "C 6720-8160 bar 3", "G7 8160-9600 bar 3",
	}, got)
	assert.Equal(t, []Bar{
		{Start: 0, Number: 1, Meter: timebase.Meter{Num: 3, Den: 4}, Quarter: 500_000},
		{Start: 2880, Number: 2, Meter: timebase.Meter{Num: 4, Den: 4}, Quarter: 500_000},
		{Start: 6720, Number: 3, Meter: timebase.Meter{Num: 6, Den: 8}, Quarter: 500_000},
	}, line.Bars)
	assert.Equal(t, int64(9600), line.Length)
	assert.Equal(t, int64(960), line.Pickup)
	assert.Equal(t, int64(500_000), line.Tempo)
}

// Each time the form plays a section it opens one; a repeat inside it does not.
func TestSectionsOpen(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "form: A A B A\n[A]\n|: C | F :|\n[B]\n| G7 |"))
	var opening []int
	for _, b := range line.Bars {
		if b.Opens {
			opening = append(opening, b.Number)
		}
	}
	assert.Equal(t, []int{1, 5, 9, 10}, opening)
}

// 60 dotted quarters a minute: the quarter lasts two thirds of a second.
func TestTempoOfACompoundMeter(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "meter: 6/8\ntempo: 60\n| C |"))
	assert.Equal(t, int64(666_666), line.Tempo)
}

func TestLookUp(t *testing.T) {
	line := mustUnroll(t, fileChart(t, "ferry-waltz.chart"))
	for hint := -1; hint <= len(line.Slots)+1; hint++ {
		for i, s := range line.Slots {
			for _, song := range []int64{s.Start, s.End - 1} {
				require.Equal(t, i, line.SlotAt(song, hint))
				bar := line.Bars[line.BarAt(song, hint)]
				require.Equal(t, s.Bar, bar.Number)
			}
		}
	}
}

func TestPosition(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "meter: 6/8\n| C | {meter 4/4} C . . F |"))
	for _, c := range []struct {
		song int64
		bar  int
		beat float64
	}{{0, 1, 1}, {1440, 1, 2}, {2160, 1, 2.5}, {2880, 2, 1}, {2880 + 3*960, 2, 4}, {6719, 2, 4 + 959.0/960}, {6720, 3, 1}} {
		bar, beat := line.Position(c.song)
		assert.Equal(t, c.bar, bar, c.song)
		assert.InDelta(t, c.beat, beat, 1e-9, c.song)
	}
}

func TestOverrideWins(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "key: C\n| Dm7 | G7 | {Eb minor} C6 | {auto} C6 |"))
	assert.Equal(t, "C major", line.Slots[0].Centre.String())
	assert.Equal(t, "Eb minor", line.Slots[2].Centre.String())
	assert.Equal(t, "Eb minor sixth-diminished", line.Slots[2].Key.String())
	assert.Equal(t, "C major", line.Slots[3].Centre.String())
	require.Len(t, line.Centres, 3)
	assert.Equal(t, "the chart says so", line.Centres[1].Why)
}

// What leads into a section is named by where it stands and takes the scale of
// where it lands; the finer layer stands beside it. A repeat begins a section
// anew.
func TestFormNamesAndTheLandingGivesTheScale(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "form: A B\n[A]\n|: Cmaj7 | Dm7 G7 |1. Cmaj7 | Dm7 G7 :|2. Cmaj7 | Gm7 C7 |\n[B]\n| Fmaj7 | Gm7 C7 | Fmaj7 | Dm7 G7 |"))
	for _, s := range line.Slots {
		switch {
		case s.Bar <= 7:
			assert.Equal(t, "C major C6 dim false", fmt.Sprint(s.Centre, " ", s.Key.Short(), " ", s.Passes), "bar %d", s.Bar)
		case s.Bar == 8:
			assert.Equal(t, "C major F6 dim F major", fmt.Sprint(s.Centre, " ", s.Key.Short(), " ", s.Passing))
		case s.Bar < 12:
			assert.Equal(t, "F major F6 dim false", fmt.Sprint(s.Centre, " ", s.Key.Short(), " ", s.Passes), "bar %d", s.Bar)
		default:
			assert.Equal(t, "F major C6 dim", fmt.Sprint(s.Centre, " ", s.Key.Short()))
		}
	}
}

// Where the player names the centre, nothing passes and nothing moves.
func TestOverridesHoldWhatMoves(t *testing.T) {
	text := "| Cmaj7 Eb7 | Abmaj7 B7 | Emaj7 G7 | Cmaj7 | Dm7 | G7 | Cmaj7 | % |"
	line := mustUnroll(t, mustParse(t, text))
	require.Len(t, line.Moves, 1)
	loop, err := line.Loop(2, 4)
	require.NoError(t, err)
	require.Len(t, loop.Moves, 1)
	assert.Equal(t, int64(0), loop.Moves[0].Start)
	assert.Equal(t, 2*loop.Bars[0].Meter.Bar(), loop.Moves[0].End)

	line = mustUnroll(t, mustParse(t, "{C major} "+text))
	assert.Empty(t, line.Moves)
	for _, s := range line.Slots {
		assert.False(t, s.Passes)
		assert.Equal(t, "C6 dim", s.Key.Short())
	}
}

// The scales are those of THEORY section 4: 7b9 by the tonic it leads to, past
// the end of the chorus too; plain 7 the minor sixth on the 5th.
func TestScalesOfBothViews(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "key: C minor\n| Cm6 | Dm7b5 | G7b9 | G7b9 |"))
	assert.Equal(t, "C minor sixth-diminished", line.Slots[0].Key.String())
	assert.Equal(t, "F minor sixth-diminished", line.Slots[1].Own.String())
	for _, i := range []int{2, 3} {
		assert.Equal(t, "C minor sixth-diminished", line.Slots[i].Own.String(), "G7b9 leads to Cm6 over the end of the loop")
		assert.NotEmpty(t, line.Slots[i].Admitted)
		assert.NotContains(t, line.Slots[i].Admitted, line.Slots[i].Own)
	}
	line = mustUnroll(t, mustParse(t, "key: C\n| G7b9 N.C. | C6 G7 |"))
	assert.Equal(t, "C major sixth-diminished", line.Slots[0].Own.String(), "N.C. does not hide what follows")
	assert.True(t, line.Slots[1].Own.None())
	assert.Equal(t, "D minor sixth-diminished", line.Slots[3].Own.String())
}

// THEORY section 4 lists what C major sixth-diminished does not hold: A7 for
// its C#, D7 for its F#, Db7 and others.
func TestWhatTheCentreLacks(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "key: C\n{C major} | C6 | A7 | D7 | G7b9 | Db7 | N.C. |"))
	var got []string
	for i := range line.Slots {
		var names []string
		for _, n := range line.Slots[i].Lacks() {
			names = append(names, n.String())
		}
		got = append(got, line.Slots[i].Symbol+":"+strings.Join(names, " "))
	}
	assert.Equal(t, []string{"C6:", "A7:C#", "D7:F#", "G7b9:", "Db7:Db", "N.C.:"}, got)
}

// What the scale lacks is written as over the chord, and never as a double flat: the
// Dbb of Ebdim7 and of Gbm7b5 is read as C, the Gbb of Abdim7 as F (common practice).
func TestWhatTheCentreLacksIsNoDoubleFlat(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "key: D\n{D major} | Ebdim7 | Gbm7b5 | Abdim7 | G7alt |"))
	var got []string
	for i := range line.Slots {
		for _, n := range line.Slots[i].Lacks() {
			assert.Equal(t, n.Plain(), n)
		}
		got = append(got, fmt.Sprint(line.Slots[i].Symbol, line.Slots[i].Lacks()))
	}
	assert.Equal(t, []string{"Ebdim7[C Eb]", "Gbm7b5[C]", "Abdim7[F Ab]", "G7alt[Eb F Ab]"}, got)
}

func TestLoopKeepsNumbersCentresAndScales(t *testing.T) {
	whole := mustUnroll(t, fileChart(t, "two-bridges.chart"))
	loop, err := whole.Loop(5, 8)
	require.NoError(t, err)
	checkTimeline(t, &loop)
	assert.Equal(t, []int{5, 6, 7, 8}, []int{loop.Bars[0].Number, loop.Bars[1].Number, loop.Bars[2].Number, loop.Bars[3].Number})
	assert.Equal(t, int64(4*3840), loop.Length)
	assert.Zero(t, loop.Bars[0].Start)
	at := whole.SlotAt(4*3840, 0)
	for i, s := range loop.Slots {
		want := whole.Slots[at+i]
		want.Start, want.End = want.Start-4*3840, want.End-4*3840
		assert.Equal(t, want, s)
	}
	for _, bad := range [][2]int{{0, 4}, {5, 4}, {1, len(whole.Bars) + 1}} {
		_, err := whole.Loop(bad[0], bad[1])
		assert.ErrorContains(t, err, fmt.Sprintf("expected a stretch of bars 1-%d", len(whole.Bars)))
	}
	again, err := loop.Loop(6, 6)
	require.NoError(t, err)
	assert.Equal(t, 6, again.Bars[0].Number)
}

// A dominant goes where the next chord with another root goes, over the end of the
// chorus or of a stretch of bars too; silence resolves nothing.
func TestDominantsResolveAsPlayed(t *testing.T) {
	resolving := func(line *Timeline) (symbols []string) {
		for _, s := range line.Slots {
			if s.Chord.Kind() == harmony.KindDominant && s.Resolves {
				symbols = append(symbols, s.Symbol)
				assert.Len(t, append(s.Admitted, s.Own), 4, s.Symbol)
			} else {
				assert.Empty(t, s.Admitted, s.Symbol)
			}
		}
		return symbols
	}
	whole := mustUnroll(t, mustParse(t, "title: Chandlery\nkey: C\n\n| G7 | G13 | C6 | F7 | N.C. | E6 | A7 | B6 | C7 | F#7 |\n"))
	assert.Equal(t, []string{"G7", "G13"}, resolving(whole))
	loop, err := whole.Loop(8, 9)
	require.NoError(t, err)
	assert.Equal(t, []string{"C7"}, resolving(&loop), "the loop leads to B")
	last, err := whole.Loop(1, 2)
	require.NoError(t, err)
	assert.Empty(t, resolving(&last), "one root all through")
}

func TestChartsMadeByHandThatDoNotHold(t *testing.T) {
	_, err := (&Chart{}).Unroll()
	assert.EqualError(t, err, "the chart has no bars")
	_, err = (&Chart{Form: []string{"A\x1b"}}).Unroll()
	assert.EqualError(t, err, `the form names a section "A\x1b" that the chart lacks`)
}

func TestGenericCharts(t *testing.T) {
	assert.Subset(t, GenericNames(), []string{"two-five-one", "minor-two-five-one", "turnaround", "blues", "minor-blues", "rhythm-bridge"})
	for _, name := range GenericNames() {
		c, ok := Generic(name)
		require.True(t, ok, name)
		line := mustUnroll(t, c)
		assert.NotEmpty(t, c.Title)
		assert.True(t, c.HasKey)
		for _, s := range line.Centres {
			assert.Equal(t, c.Key, s.Centre, "%s is one centre, its key: %s", name, s.Why)
		}
	}
	_, ok := Generic("../charts/blues")
	assert.False(t, ok)
}
