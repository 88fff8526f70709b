package sound

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

var noGaps song.Gaps

// form is a chorus of bars in some meters.
func form(meters ...string) *beat.Form {
	f := &beat.Form{}
	for _, text := range meters {
		var m timebase.Meter
		if _, err := fmt.Sscanf(text, "%d/%d", &m.Num, &m.Den); err != nil {
			panic(err)
		}
		f.Bars = append(f.Bars, beat.Bar{Start: f.Length, Meter: m})
		f.Length += m.Bar()
	}
	return f
}

// clicked writes a count-in of two bars and a chorus in eighths: X is a click on
// one, x another, . none, | a bar line.
func clicked(p Pattern, f *beat.Form) string {
	first := f.Bars[0].Meter
	s := beat.Stretch{From: 0, To: 2*first.Bar() + f.Length, Song: -2 * first.Bar(), State: beat.Running}
	signs := map[int64]string{}
	p.Part(noGaps)(f, s, func(tick int64, n Note) {
		sign := "x"
		if n.Key == clickOneKey {
			sign = "X"
		}
		signs[tick] += sign
	})
	var b strings.Builder
	for tick := s.From; tick < s.To; tick += timebase.Quarter / 2 {
		if f.Place(tick+s.Song).Offset == 0 {
			b.WriteString("|")
		}
		if sign := signs[tick]; sign != "" {
			b.WriteString(sign)
			delete(signs, tick)
		} else {
			b.WriteString(".")
		}
	}
	if len(signs) > 0 {
		return fmt.Sprintf("%s, and off the eighths: %v", b.String(), signs)
	}
	return b.String()
}

func TestClick(t *testing.T) {
	for _, test := range []struct {
		pattern Pattern
		meters  []string
		want    string
	}{
		{Beats, []string{"4/4", "4/4"}, "|X...x...|X.x.x.x.|X.x.x.x.|X.x.x.x."},
		{Offbeats, []string{"4/4", "4/4"}, "|X...x...|X.x.x.x.|..x...x.|..x...x."},
		{Off, []string{"4/4"}, "|X...x...|X.x.x.x.|........"},
		{Beats, []string{"3/4", "3/4"}, "|X.....|X.x.x.|X.x.x.|X.x.x."},
		{Offbeats, []string{"3/4"}, "|X.....|X.x.x.|..x..."},
		{Beats, []string{"6/8"}, "|X.....|X..x..|X..x.."},
		{Beats, []string{"12/8"}, "|X.....x.....|X..x..x..x..|X..x..x..x.."},
		{Offbeats, []string{"12/8"}, "|X.....x.....|X..x..x..x..|...x.....x.."},
		{Beats, []string{"5/4"}, "|X.........|X.x.x.x.x.|X.x.x.x.x."},
		{Beats, []string{"6/4"}, "|X.....x.....|X.x.x.x.x.x.|X.x.x.x.x.x."},
		{Beats, []string{"7/8"}, "|X......|Xxxxxxx|Xxxxxxx"},
		{Beats, []string{"2/2"}, "|X.......|X...x...|X...x..."},
		{Beats, []string{"4/4", "3/4", "6/8", "4/4"}, "|X...x...|X.x.x.x.|X.x.x.x.|X.x.x.|X..x..|X.x.x.x."},
	} {
		f := form(test.meters...)
		assert.Equal(t, test.want, clicked(test.pattern, f), "%d in %v", test.pattern, test.meters)
	}
	silent := func(int64, Note) { t.Error("a click while the song stands") }
	for _, state := range []beat.State{beat.Free, beat.Waiting, beat.Halted} {
		Beats.Part(noGaps)(form("4/4"), beat.Stretch{To: 3840, State: state}, silent)
	}
}

// band plays what a conductor sends as a sound process would: what is taken back
// in time is not heard.
type band struct {
	t     *testing.T
	due   []Command // not yet begun, in order
	heard []time.Duration
}

func (b *band) take(now time.Duration, commands []Command, buffer time.Duration) {
	for _, c := range commands {
		switch c.Kind {
		case Forget:
			require.GreaterOrEqual(b.t, c.At, now+buffer, "what is on its way cannot be taken back")
			b.due = slices.DeleteFunc(b.due, func(s Command) bool { return s.At >= c.At })
		case Strike:
			require.GreaterOrEqual(b.t, c.At, now-late, "too late")
			b.due = append(b.due, c)
		}
	}
}

func (b *band) play(until time.Duration) {
	slices.SortStableFunc(b.due, func(x, y Command) int { return int(x.At - y.At) })
	for len(b.due) > 0 && b.due[0].At <= until {
		b.heard = append(b.heard, b.due[0].At)
		b.due = b.due[1:]
	}
}

// However often it is asked, and whatever is tapped, each beat is heard once: a
// thousand choruses of clicks, no two closer than the shortest beat, none missing.
func TestEachBeatOnce(t *testing.T) {
	const choruses = 1000
	f := form("4/4", "3/4", "6/8", "7/8")
	random := rand.New(rand.NewPCG(7, 8))
	clock, err := beat.New(beat.Setup{Form: f, Quarter: 60_000, CountIn: 2})
	require.NoError(t, err)
	conductor := NewConductor(Beats.Part(noGaps))
	b := &band{t: t}
	now := time.Duration(0)
	song := int64(0)
	for song < choruses*f.Length {
		b.take(now, conductor.Tend(now, clock.Line()), conductor.buffer)
		now += time.Duration(random.IntN(60_000)) * time.Microsecond
		b.play(now)
		clock.Pass(now)
		song, _ = clock.Line().Song(clock.Tick(now))
	}
	line := beatsUntil(f, song)
	assert.InDelta(t, line, len(b.heard), 1)
	for i := 1; i < len(b.heard); i++ {
		require.GreaterOrEqual(t, b.heard[i]-b.heard[i-1], 29*time.Millisecond, "click %d", i)
		require.LessOrEqual(t, b.heard[i]-b.heard[i-1], 121*time.Millisecond, "click %d", i)
	}
}

// A thousand choruses in which the player counts off again and moves a bar on and back,
// at any moment: every sixteenth of the song that the judge is told of sounds once,
// when the take's own tempos say, but for what was on its way when the player acted.
func TestAThousandChorusesAtAwkwardMoments(t *testing.T) {
	const (
		choruses = 1000
		grid     = timebase.Quarter / 4
	)
	f := form("4/4", "3/4", "6/8", "7/8")
	random := rand.New(rand.NewPCG(11, 13))
	clock, err := beat.New(beat.Setup{Form: f, Quarter: 100_000, CountIn: 2, Ahead: 150 * time.Millisecond})
	require.NoError(t, err)
	conductor := NewConductor(func(_ *beat.Form, s beat.Stretch, strike func(int64, Note)) {
		for song := s.Song; s.State == beat.Running && song < s.Song+s.To-s.From; song++ {
			if song%grid == 0 {
				strike(s.From+song-s.Song, Note{Voice: Click, Key: clickKey, Velocity: clickVelocity})
			}
		}
	})
	b := &band{t: t}
	var tempo timebase.Tempo
	var want []time.Duration // by what the judge is told
	origin, told := analyse.Event{}, int64(0)
	reach := func(tick int64) {
		for ; told < tick; told++ {
			if song := origin.Value + told - origin.Tick; origin.Key == 1 && song%grid == 0 {
				want = append(want, time.Duration(tempo.Micros(told))*time.Microsecond)
			}
		}
	}
	tell := func(events []analyse.Event) {
		for _, e := range events {
			reach(e.Tick)
			switch e.Kind {
			case analyse.Tempo:
				require.NoError(t, tempo.Set(e.Tick, e.Value))
			case analyse.Origin:
				origin = e
			}
		}
	}
	now := time.Duration(0)
	acted := []time.Duration{}
	for played := int64(0); played < choruses*f.Length; {
		b.take(now, conductor.Tend(now, clock.Line()), conductor.buffer)
		now += time.Duration(random.IntN(50_000)) * time.Microsecond
		b.play(now)
		before := told
		tell(clock.Pass(now))
		reach(clock.Tick(now))
		played += told - before
		if random.IntN(30) == 0 {
			actions := []beat.Action{beat.Again, beat.BarOn, beat.BarBack}
			tell(clock.Do(actions[random.IntN(len(actions))], now))
			acted = append(acted, now)
		}
	}
	settled := func(times []time.Duration) []time.Duration {
		onItsWay := Every + conductor.buffer + transit
		return slices.DeleteFunc(slices.Clone(times), func(at time.Duration) bool {
			i, _ := slices.BinarySearch(acted, at)
			return i > 0 && at < acted[i-1]+onItsWay || at > now-onItsWay
		})
	}
	heard := settled(b.heard)
	assert.Greater(t, len(heard), len(b.heard)/2, "most of it")
	assert.Greater(t, len(acted), 1000)
	require.Equal(t, settled(want), heard)
}

// Counted off again from a tempo that has risen far, the count-in is whole: from the first
// one on, which lies 150 ms after the pedal, though the faster beat had come to later
// ticks by then.
func TestACountInFromAFasterTempoIsWhole(t *testing.T) {
	f := form("4/4")
	for _, fast := range []int64{1, 4, 40} { // times 10 beats a minute more in each chorus
		clock, err := beat.New(beat.Setup{Form: f, Quarter: 250_000, CountIn: 2, Ahead: 150 * time.Millisecond, Rise: beat.Rise{By: 10 * fast, Every: 1}})
		require.NoError(t, err)
		conductor := NewConductor(Beats.Part(noGaps))
		b := &band{t: t}
		step := func(until time.Duration, now *time.Duration) {
			for ; *now < until; *now += Every {
				b.take(*now, conductor.Tend(*now, clock.Line()), conductor.buffer)
				clock.Pass(*now)
				clock.Tick(*now)
				b.play(*now)
			}
		}
		now := time.Duration(0)
		step(9*time.Second, &now)
		again := now - Every + time.Millisecond // the conductor has just been asked
		clock.Do(beat.Again, again)
		line := clock.Line()
		step(again+3*time.Second, &now)
		var want []time.Duration // on one and three, then on each beat
		line.Stretches(line.Tick(again)+1, line.Tick(again+2*time.Second), func(s beat.Stretch) {
			Beats.Part(noGaps)(f, s, func(tick int64, _ Note) { want = append(want, line.Time(tick)) })
		})
		heard := slices.DeleteFunc(b.heard, func(at time.Duration) bool {
			return at < again+100*time.Millisecond || at > line.Time(line.Tick(again+2*time.Second))
		})
		require.Len(t, want, 6)
		require.InDelta(t, again+150*time.Millisecond, want[0], float64(2*time.Millisecond))
		require.Equal(t, want, heard, "%d faster", 10*fast)
	}
}

// beatsUntil counts the beats from the count-in to a song tick.
func beatsUntil(f *beat.Form, song int64) int {
	n := 0
	Beats.Part(noGaps)(f, beat.Stretch{From: 0, To: song + 2*f.Bars[0].Meter.Bar(), Song: -2 * f.Bars[0].Meter.Bar(), State: beat.Running}, func(int64, Note) { n++ })
	return n
}

// The player taps, changes the tempo, starts again, jumps, stops: after each the
// clicks are those of the newest line, except for what was on its way, and
// between two origins each beat of the song is heard at most once.
func TestAwkwardChanges(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 9))
		clock, err := beat.New(beat.Setup{Form: form("4/4", "3/4"), Quarter: 300_000, CountIn: 2, Ahead: 150 * time.Millisecond})
		require.NoError(t, err)
		conductor := NewConductor(Beats.Part(noGaps))
		b := &band{t: t}
		now, changed := time.Duration(0), time.Duration(0)
		from := 0
		for range 400 {
			b.take(now, conductor.Tend(now, clock.Line()), conductor.buffer)
			if now > changed+conductor.buffer+transit+Every {
				sameAsLine(t, clock.Line(), b.heard[from:])
			}
			now += time.Duration(random.IntN(50_000)) * time.Microsecond
			b.play(now)
			clock.Pass(now)
			clock.Tick(now)
			switch random.IntN(40) {
			case 0:
				clock.Do(beat.Again, now)
			case 1:
				clock.Do(beat.BarOn, now)
			case 2:
				clock.Do(beat.BarBack, now)
			case 3:
				clock.Do(beat.Stop, now)
			case 4:
				clock.Retempo(200_000+random.Int64N(300_000), now)
			case 5, 6, 7, 8:
				clock.Do(beat.Tap, now)
			default:
				continue
			}
			changed = now
			b.play(now + conductor.buffer + transit)
			from = len(b.heard)
		}
		// Never two of the same beat: closer together than any beat is.
		for i := 1; i < len(b.heard); i++ {
			require.Greater(t, b.heard[i], b.heard[i-1], "seed %d", seed)
		}
	}
}

// Taps and tempos alone lose no beat and double none, at any moment they come.
func TestTapsLoseNoBeat(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 10))
		f := form("4/4", "3/4")
		clock, err := beat.New(beat.Setup{Form: f, Quarter: 300_000, CountIn: 2})
		require.NoError(t, err)
		conductor := NewConductor(Beats.Part(noGaps))
		b := &band{t: t}
		now := time.Duration(0)
		for range 1000 {
			b.take(now, conductor.Tend(now, clock.Line()), conductor.buffer)
			now += time.Duration(random.IntN(50_000)) * time.Microsecond
			b.play(now)
			clock.Pass(now)
			clock.Tick(now)
			switch random.IntN(20) {
			case 0:
				clock.Retempo(200_000+random.Int64N(300_000), now)
			case 1, 2:
				clock.Do(beat.Tap, now)
			}
		}
		song, _ := clock.Line().Song(clock.Line().Tick(now))
		require.InDelta(t, beatsUntil(f, song), len(b.heard), 1, "seed %d", seed)
	}
}

// sameAsLine checks that what was heard lately is what the line has, each once.
func sameAsLine(t *testing.T, line *beat.Line, heard []time.Duration) {
	if len(heard) == 0 {
		return
	}
	var want []time.Duration
	first, last := line.Tick(heard[0]), line.Tick(heard[len(heard)-1])
	line.Stretches(first, last+1, func(s beat.Stretch) {
		Beats.Part(noGaps)(line.Form(), s, func(tick int64, _ Note) { want = append(want, line.Time(tick)) })
	})
	require.Equal(t, want, heard)
}

// A session that was held up does not send what is long past.
func TestTheConductorDropsWhatIsPast(t *testing.T) {
	clock, err := beat.New(beat.Setup{Form: form("4/4"), Quarter: 250_000, CountIn: 1})
	require.NoError(t, err)
	conductor := NewConductor(Beats.Part(noGaps))
	conductor.Tend(0, clock.Line())
	now := 3 * time.Second
	clock.Pass(now)
	for _, c := range conductor.Tend(now, clock.Line()) {
		assert.GreaterOrEqual(t, c.At, now-late)
	}
}

func BenchmarkTend(b *testing.B) {
	clock, err := beat.New(beat.Setup{Form: form("4/4"), Quarter: 500_000, CountIn: 2})
	if err != nil {
		b.Fatal(err)
	}
	conductor := NewConductor(Beats.Part(noGaps))
	now := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		now += Every
		clock.Pass(now)
		clock.Tick(now)
		conductor.Tend(now, clock.Line())
	}
}
