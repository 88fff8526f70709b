package beat_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

const (
	bar = 4 * timebase.Quarter // of 4/4
	ms  = time.Millisecond
)

// plain is a form of so many bars of 4/4.
func plain(bars int) *beat.Form {
	f := &beat.Form{}
	for range bars {
		f.Bars = append(f.Bars, beat.Bar{Start: f.Length, Meter: timebase.Common})
		f.Length += bar
	}
	return f
}

// mixed is a form with everything that a chart can change.
func mixed() *beat.Form {
	f := &beat.Form{Pickup: timebase.Quarter}
	for _, b := range []beat.Bar{
		{Meter: timebase.Meter{Num: 4, Den: 4}, Quarter: 400_000},
		{Meter: timebase.Meter{Num: 4, Den: 4}},
		{Meter: timebase.Meter{Num: 3, Den: 4}, Quarter: 300_000},
		{Meter: timebase.Meter{Num: 6, Den: 8}},
		{Meter: timebase.Meter{Num: 7, Den: 8}, Quarter: 410_000},
	} {
		b.Start = f.Length
		f.Bars = append(f.Bars, b)
		f.Length += b.Meter.Bar()
	}
	return f
}

func newClock(t require.TestingT, s beat.Setup) *player {
	c, err := beat.New(s)
	require.NoError(t, err)
	return &player{t: t, clock: c, setup: s}
}

// player drives a clock as its owner does, and follows the events as the judge
// does.
type player struct {
	t       require.TestingT
	clock   *beat.Clock
	setup   beat.Setup
	now     time.Duration
	last    int64 // the last tick given out
	heard   []analyse.Event
	tempo   timebase.Tempo
	known   bool
	running bool
	tick    int64 // of the last origin
	song    int64
	barOn   bool // was asked for
}

// take notes events.
func (p *player) take(events []analyse.Event) {
	for _, e := range events {
		require.GreaterOrEqual(p.t, e.Tick, p.last, "ticks never decrease")
		p.last = e.Tick
		p.heard = append(p.heard, e)
		switch e.Kind {
		case analyse.Tempo:
			require.NoError(p.t, p.tempo.Set(e.Tick, e.Value))
		case analyse.Origin:
			p.known, p.running, p.tick, p.song = true, e.Key == 1, e.Tick, e.Value
		}
	}
}

func (p *player) ticks() int64 {
	tick := p.clock.Tick(p.now)
	require.GreaterOrEqual(p.t, tick, p.last, "ticks never decrease")
	p.last = tick
	return tick
}

func (p *player) pass(d time.Duration) int64 {
	p.now += d
	p.take(p.clock.Pass(p.now))
	return p.ticks()
}

func (p *player) do(a beat.Action) int64 {
	p.take(p.clock.Do(a, p.now))
	return p.ticks()
}

func (p *player) note() int64 {
	p.take(p.clock.Note(p.now))
	return p.ticks()
}

// songAt is where the judge sees a tick.
func (p *player) songAt(tick int64) int64 {
	if !p.running {
		return p.song
	}
	return p.song + tick - p.tick
}

// chorus is the number that the judge gives a tick: 0 in a count-in.
func (p *player) chorus(tick int64) int64 {
	if song := p.songAt(tick); song >= 0 {
		return song/p.setup.Form.Length + 1
	}
	return 0
}

// agrees holds the events against the line.
func (p *player) agrees() {
	line := p.clock.Line()
	require.EqualValues(p.t, p.tempo.Micros(p.last), line.Time(p.last).Microseconds(), "the time of tick %d", p.last)
	song, state := line.Song(p.last)
	if p.known {
		require.Equal(p.t, p.songAt(p.last), song, "the song at tick %d", p.last)
		require.Equal(p.t, p.running, state == beat.Running)
	}
}

// events are told as a text, so that a failing test can be read.
func told(events []analyse.Event) string {
	var b strings.Builder
	for _, e := range events {
		switch e.Kind {
		case analyse.Tempo:
			fmt.Fprintf(&b, "%d tempo %d\n", e.Tick, e.Value)
		case analyse.Meter:
			m, _ := timebase.Unpack(e.Value)
			fmt.Fprintf(&b, "%d meter %v\n", e.Tick, m)
		case analyse.Origin:
			fmt.Fprintf(&b, "%d song %d running %d\n", e.Tick, e.Value, e.Key)
		default:
			fmt.Fprintf(&b, "%d kind %d\n", e.Tick, e.Kind)
		}
	}
	return b.String()
}

func ExampleClock() {
	chart, err := changes.Parse(strings.NewReader("meter: 4/4\ntempo: 120\npickup: 1\n\n| Dm7 G7 | Cmaj7 |\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := chart.Unroll()
	if err != nil {
		fmt.Println(err)
		return
	}
	form := beat.Chorus(&line)
	clock, err := beat.New(beat.Setup{Form: &form, Quarter: line.Tempo, CountIn: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(told(clock.Pass(0)))
	at := 9 * time.Second // the second half of the first chorus, after two bars in
	fmt.Print(told(clock.Do(beat.Again, at)))
	fmt.Print(told(clock.Pass(at + time.Second)))
	fmt.Print(told(clock.Pass(at + 5*time.Second)))
	// Output:
	// 0 tempo 500000
	// 0 meter 4/4
	// 0 song -7680 running 1
	// 17280 song -7680 running 1
	// 24960 song 15360 running 1
}

// A thousand choruses with every change of meter and tempo: the song runs on
// without a tick lost or doubled, and each change comes at its bar, once.
func TestAThousandChoruses(t *testing.T) {
	const choruses = 1000
	form := mixed()
	p := newClock(t, beat.Setup{Form: form, Quarter: 40_000, CountIn: 2, Lag: 7 * ms})
	random := rand.New(rand.NewPCG(1, 2))
	before := int64(-2 * bar)
	for p.songAt(p.last) < choruses*form.Length {
		p.pass(time.Duration(random.IntN(40_000)) * time.Microsecond)
		p.agrees()
		if random.IntN(3) == 0 {
			p.note()
		}
	}
	var origins, tempos, meters []analyse.Event
	for _, e := range p.heard {
		switch e.Kind {
		case analyse.Origin:
			origins = append(origins, e)
		case analyse.Tempo:
			tempos = append(tempos, e)
		case analyse.Meter:
			meters = append(meters, e)
		}
	}
	require.Len(t, origins, 1, "origins are rare")
	// 400, 300 and 410 ms as written make 40, 30 and 41 where bar 1 has 40.
	want := []struct{ start, quarter int64 }{{0, 40_000}, {7680, 30_000}, {13440, 41_000}}
	for i, e := range tempos[1:] { // the count-in has the tempo of bar 1
		w := want[(i+1)%len(want)]
		chorus := int64(i+1) / int64(len(want))
		require.Equal(t, analyse.Event{Tick: -before + chorus*form.Length + w.start, Kind: analyse.Tempo, Value: w.quarter}, e, "tempo %d", i)
	}
	require.GreaterOrEqual(t, len(tempos), choruses*len(want))
	starts := []struct {
		start int64
		m     timebase.Meter
	}{{0, timebase.Common}, {7680, timebase.Meter{Num: 3, Den: 4}}, {10560, timebase.Meter{Num: 6, Den: 8}}, {13440, timebase.Meter{Num: 7, Den: 8}}}
	for i, e := range meters[1:] {
		w := starts[(i+1)%len(starts)]
		chorus := int64(i+1) / int64(len(starts))
		require.Equal(t, analyse.Event{Tick: -before + chorus*form.Length + w.start, Kind: analyse.Meter, Value: w.m.Packed()}, e, "meter %d", i)
	}
}

// However a player acts, events come in order, the judge and whoever sounds the
// beat see the same song, and no chorus that follows a count-in has a number
// that was there before.
func TestAwkwardMoments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := beat.Setup{
			Form:    rapid.SampledFrom([]*beat.Form{plain(1), plain(3), mixed()}).Draw(t, "form"),
			Quarter: rapid.Int64Range(100_000, 1_500_000).Draw(t, "quarter"),
			CountIn: rapid.IntRange(0, 2).Draw(t, "count-in"),
			Begin:   rapid.SampledFrom([]beat.Begin{beat.AtOnce, beat.OnNote}).Draw(t, "begin"),
			Ahead:   time.Duration(rapid.IntRange(0, 200).Draw(t, "ahead")) * ms,
			Lag:     time.Duration(rapid.IntRange(-60, 120).Draw(t, "lag")) * ms,
		}
		p := newClock(t, s)
		ops := []beat.Action{0, note, retempo, beat.Again, beat.BarOn, beat.Stop, beat.Faster, beat.Slower, beat.Tap, beat.Tap, beat.Tap}
		back := rapid.Bool().Draw(t, "back")
		if back {
			ops = append(ops, beat.BarBack)
		}
		p.pass(0)
		for range rapid.IntRange(1, 80).Draw(t, "steps") {
			after := rapid.OneOf(rapid.Int64Range(0, 60_000), rapid.Int64Range(0, 4_000_000)).Draw(t, "after")
			p.now += time.Duration(after) * time.Microsecond
			idle := rapid.Bool().Draw(t, "idle")
			if idle {
				p.pass(0)
			}
			before := p.clock.Line()
			op := rapid.SampledFrom(ops).Draw(t, "op")
			switch op {
			case 0:
			case note:
				p.note()
			case retempo:
				p.take(p.clock.Retempo(rapid.Int64Range(0, 5_000_000).Draw(t, "tempo"), p.now))
			case beat.BarOn:
				p.barOn = true
				p.do(op)
			default:
				p.do(op)
			}
			if from, differs := p.clock.Line().Differs(before); differs && idle && op != note {
				require.GreaterOrEqual(t, from, before.Time(before.Tick(p.now)), "what has sounded stays as it was")
			}
			p.pass(0)
			p.agrees()
			if p.running {
				require.GreaterOrEqual(t, p.clock.Begun(p.last), p.chorus(p.last))
			}
		}
		if !back { // a bar back may lead into the count-in of the same chorus again
			numbers(t, p)
		}
	})
}

// What a player does beside actions.
const (
	note    beat.Action = 100
	retempo beat.Action = 101
)

// numbers checks that the top of each count-in has the number after the highest
// that was there before.
func numbers(t *rapid.T, p *player) {
	most, length := int64(0), p.setup.Form.Length
	var last analyse.Event
	for _, e := range p.heard {
		if e.Kind != analyse.Origin {
			continue
		}
		if last.Key == 1 {
			if before := last.Value + e.Tick - 1 - last.Tick; before >= 0 && e.Tick > last.Tick {
				most = max(most, before/length+1)
			}
			if e.Key == 0 && e.Value >= 0 { // stopped, it may be at the top itself
				most = max(most, e.Value/length+1)
			}
			if last.Value < 0 && last.Value+e.Tick-last.Tick == 0 && e.Key == 1 && e.Value >= 0 {
				top := e.Value
				if p.barOn && top == most*length+bar { // a bar on, asked for at the top itself
					top -= bar
				}
				require.Equal(t, most, top/length, "%s", told(p.heard))
			}
		}
		last = e
	}
}

func TestBeginOnNote(t *testing.T) {
	for _, lag := range []time.Duration{0, 40 * ms, -40 * ms} {
		p := newClock(t, beat.Setup{Form: mixed(), Quarter: 500_000, CountIn: 2, Begin: beat.OnNote, Lag: lag})
		p.pass(0)
		assert.Equal(t, "0 tempo 500000\n0 meter 4/4\n0 song -960 running 0\n", told(p.heard))
		opening := len(p.heard)
		p.now = 1000 * ms
		tick := p.note()
		assert.EqualValues(t, p.tempo.Tick((1000*ms - lag).Microseconds()), tick)
		assert.Equal(t, fmt.Sprintf("%d song -960 running 1\n", tick), told(p.heard[opening:]), "the first note is the pick-up's")
		p.pass(100 * ms)
		assert.Equal(t, tick, p.tick, "the second note starts nothing")
		p.note()
		p.agrees()
		assert.Equal(t, tick, p.tick)
	}
}

// The lag moves notes and taps alike, not the beat that sounds: what is played
// with a beat, and heard a lag later, has the beat's tick.
func TestLag(t *testing.T) {
	const lag = 37 * ms
	p := newClock(t, beat.Setup{Form: plain(4), Quarter: 500_000, CountIn: 2, Lag: lag})
	p.pass(0)
	for n := range int64(100) {
		sounds := p.clock.Line().Time(n * timebase.Quarter)
		p.pass(sounds + lag - p.now)
		assert.Equal(t, n*timebase.Quarter, p.note())
	}
}

func TestAheadComesBeforeTheCountIn(t *testing.T) {
	p := newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, CountIn: 1, Ahead: 100 * ms})
	p.pass(0)
	assert.EqualValues(t, -bar-192, p.song)
	p.pass(3000 * ms)
	p.do(beat.Again)
	p.pass(10 * ms)
	assert.EqualValues(t, -bar-192, p.song)
}

// The bars of --bars are a form of their own: song time runs from its first bar.
func TestChorus(t *testing.T) {
	chart, err := changes.Parse(strings.NewReader("meter: 4/4\npickup: 2\n\n| C | {meter 3/4} Dm7 | G7 | {meter 4/4} C |\n"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	assert.EqualValues(t, 1920, beat.Chorus(&line).Pickup)
	loop, err := line.Loop(2, 3)
	require.NoError(t, err)
	form := beat.Chorus(&loop)
	assert.Equal(t, []beat.Bar{{Start: 0, Meter: timebase.Meter{Num: 3, Den: 4}}, {Start: 2880, Meter: timebase.Meter{Num: 3, Den: 4}}}, form.Bars)
	assert.EqualValues(t, 5760, form.Length)
	assert.Zero(t, form.Pickup)
}

func TestNewSaysWhatIsWrong(t *testing.T) {
	for name, s := range map[string]beat.Setup{
		"no tempo":        {Form: plain(1)},
		"too fast":        {Quarter: beat.Fastest - 1},
		"too slow":        {Quarter: beat.Slowest + 1},
		"count-in":        {CountIn: -1},
		"long count-in":   {CountIn: beat.MaxCountIn + 1},
		"ahead":           {Ahead: -1},
		"no bars":         {Form: &beat.Form{}, Quarter: 500_000},
		"a gap":           {Form: &beat.Form{Length: bar, Bars: []beat.Bar{{Start: 1, Meter: timebase.Common}}}, Quarter: 500_000},
		"length":          {Form: &beat.Form{Length: bar + 1, Bars: []beat.Bar{{Meter: timebase.Common}}}, Quarter: 500_000},
		"meter":           {Meter: timebase.Meter{Num: 4, Den: 3}},
		"tempo of a bar":  {Form: &beat.Form{Length: bar, Bars: []beat.Bar{{Meter: timebase.Common, Quarter: 1}}}, Quarter: 500_000},
		"pick-up":         {Form: &beat.Form{Length: bar, Pickup: -1, Bars: []beat.Bar{{Meter: timebase.Common}}}, Quarter: 500_000},
		"meter of a bar":  {Form: &beat.Form{Length: bar, Bars: []beat.Bar{{}}}, Quarter: 500_000},
		"negative tempos": {Quarter: -1},
	} {
		_, err := beat.New(s)
		assert.Error(t, err, name)
	}
}

// What a line has said about the time before a change stays true after it.
func TestDiffers(t *testing.T) {
	p := newClock(t, beat.Setup{Form: mixed(), Quarter: 500_000, CountIn: 2})
	p.pass(3000 * ms)
	before := p.clock.Line()
	_, differs := before.Differs(before)
	assert.False(t, differs)
	p.pass(500 * ms)
	from, differs := p.clock.Line().Differs(before)
	assert.True(t, !differs || from > 4900*ms, "only planned further")
	p.do(beat.Again)
	after := p.clock.Line()
	from, differs = after.Differs(before)
	require.True(t, differs)
	assert.InDelta(t, 3500, from.Milliseconds(), 1)
	for at := time.Duration(0); at < from; at += 7 * ms {
		tick := before.Tick(at)
		assert.Equal(t, tick, after.Tick(at))
		wantSong, _ := before.Song(tick)
		song, _ := after.Song(tick)
		assert.Equal(t, wantSong, song)
	}
	// Much later nothing is shared any more.
	for range 100 {
		p.pass(100 * ms)
	}
	from, differs = p.clock.Line().Differs(before)
	assert.True(t, differs)
	assert.LessOrEqual(t, from, p.now)
}

// The clock costs a message next to nothing.
func BenchmarkTick(b *testing.B) {
	c, err := beat.New(beat.Setup{Form: mixed(), Quarter: 500_000, CountIn: 2})
	if err != nil {
		b.Fatal(err)
	}
	at := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		at += ms
		c.Pass(at)
		c.Tick(at)
	}
}

// A chart's changes of tempo are the clock's, by their ratio to the first: at half the
// written tempo all of it is at half.
func TestAChartsTempiAreTheClocks(t *testing.T) {
	chart, err := changes.Parse(strings.NewReader("tempo: 120\n| C | {tempo 60} F |"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	form := beat.Chorus(&line)
	p := newClock(t, beat.Setup{Form: &form, Quarter: 1_000_000})
	for range 600 {
		p.pass(50 * ms)
	}
	var told []int64
	for _, e := range p.heard {
		if e.Kind == analyse.Tempo {
			told = append(told, e.Value)
		}
	}
	require.Equal(t, []int64{1_000_000, 2_000_000, 1_000_000, 2_000_000}, told[:4])
}
