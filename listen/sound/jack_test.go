//go:build jack

package sound

import (
	"math"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/beat"
	"shedlight/listen/jacktest"
)

func runTests(m *testing.M) { jacktest.Main(m) }

// quietLimit is how long a test waits for a moment in which nothing holds the server
// or the process up.
const quietLimit = time.Minute

// client is where the sound process plays.
const client = clientName + ":playback0"

// jackProcess is a sound process over a JACK server of the test's own.
func jackProcess(t *testing.T) (p *Process, news func(News) []Report) {
	return process(t, Options{API: "jack"})
}

func process(t *testing.T, o Options) (p *Process, news func(News) []Report) {
	var mu sync.Mutex
	var said []Report
	p, err := Start(o, func(r Report) {
		mu.Lock()
		defer mu.Unlock()
		t.Log(r)
		said = append(said, r)
	})
	require.NoError(t, err)
	t.Cleanup(func() { _ = p.Close() })
	return p, func(n News) (list []Report) {
		mu.Lock()
		defer mu.Unlock()
		for _, r := range said {
			if r.News == n {
				list = append(list, r)
			}
		}
		return list
	}
}

// clicksFor has the conductor click for a while and returns the moments that the
// clicks were due at and began at.
func clicksFor(t *testing.T, p *Process, r *jacktest.Recorder, d time.Duration) (due []time.Time, onsets []jacktest.Onset) {
	before := len(r.Onsets())
	due = conducted(t, p, d)
	return due, r.Onsets()[before:]
}

// conducted has the conductor click for a while, and a little longer for the last one,
// and returns the moments that the clicks were due at.
func conducted(t *testing.T, p *Process, d time.Duration) (due []time.Time) {
	clock, err := beat.New(beat.Setup{Quarter: 250_000, CountIn: 1, Ahead: 200 * time.Millisecond})
	require.NoError(t, err)
	zero := time.Now()
	p.Begin(zero)
	conductor := NewConductor(Beats.Part(noGaps))
	line := clock.Line()
	ticker := time.NewTicker(Every)
	defer ticker.Stop()
	for now := time.Duration(0); now < d; now = time.Since(zero) {
		clock.Pass(now)
		clock.Tick(now)
		line = clock.Line()
		for _, c := range conductor.Tend(now, line) {
			if c.Kind == Strike && c.At < d {
				due = append(due, zero.Add(c.At))
			}
			if c.At < d {
				p.Send(c)
			}
		}
		<-ticker.C
	}
	last := due[len(due)-1].Add(500 * time.Millisecond)
	jacktest.Until(t, sessionLimit, "the last click is over", func() bool { return time.Now().After(last) })
	return due
}

// lateness returns how late the clicks were that were heard, in milliseconds,
// sorted, how many were not heard, and how many sounds were no click of their own.
func lateness(due []time.Time, onsets []jacktest.Onset) (late []float64, missing, odd int) {
	const near = 100 * time.Millisecond // under half of the shortest distance of two clicks
	heard := make([]bool, len(due))
	for _, o := range onsets {
		at := o.Called
		i := slices.IndexFunc(due, func(d time.Time) bool { return at.Sub(d).Abs() < near })
		if i < 0 || heard[i] {
			odd++
			continue
		}
		heard[i] = true
		late = append(late, at.Sub(due[i]).Seconds()*1000)
	}
	slices.Sort(late)
	return late, len(due) - len(late), odd
}

func at99(sorted []float64) float64 { return sorted[len(sorted)*99/100] }

// unheldClicks has the conductor click until nothing held the server up meanwhile, and
// returns lateness's figures of that stretch.
func unheldClicks(t *testing.T, p *Process, r *jacktest.Recorder) (late []float64, missing, odd int) {
	jacktest.Until(t, quietLimit, "a stretch without a missed period", func() bool {
		xruns := r.Xruns()
		due, onsets := clicksFor(t, p, r, 4*time.Second)
		late, missing, odd = lateness(due, onsets)
		return r.Xruns() == xruns
	})
	require.NotEmpty(t, late)
	return late, missing, odd
}

// The click over JACK: every one once, so long before it is due as the buffer
// lasts, and little scattered. A server that is held up for longer than a click may be
// late loses it: what counts is a stretch in which no period was missed.
func TestTheClickOverJACK(t *testing.T) {
	jacktest.StartUrgent(t)
	p, news := jackProcess(t)
	jacktest.Until(t, sessionLimit, "it sounds", func() bool { return len(news(Sounding)) > 0 })
	r := jacktest.NewRecorder(t, client) // now: before, the port may go once more
	buffer := news(Sounding)[0].Buffer
	assert.Equal(t, 2*jacktest.Period, buffer)
	late, missing, odd := unheldClicks(t, p, r)
	median := late[len(late)/2]
	t.Logf("%d clicks: %.2f ms after the due time in the middle (the buffer: %.2f ms before), %.2f to %.2f; %d missing, %d odd; %d xruns before",
		len(late), median, buffer.Seconds()*1000, late[0], late[len(late)-1], missing, odd, r.Xruns())
	assert.Zero(t, missing)
	assert.Zero(t, odd)
	assert.InDelta(t, -buffer.Seconds()*1000, median, 5)
	assert.InDelta(t, 0.05, r.Peak(), 0.02, "and no louder than it was asked for")
}

// A process that stands still for a moment leaves the device dry: that is said, and the
// click is where it was again.
func TestAStandstillOverJACK(t *testing.T) {
	jacktest.StartLoose(t)
	p, news := jackProcess(t)
	jacktest.Until(t, sessionLimit, "it sounds", func() bool { return len(news(Sounding)) > 0 })
	r := jacktest.NewRecorder(t, client)
	conducted(t, p, time.Second)
	said := len(news(Underrun))
	require.NoError(t, p.command.Process.Signal(syscall.SIGSTOP))
	xruns := r.Xruns()
	jacktest.Until(t, sessionLimit, "the server misses it", func() bool { return r.Xruns() > xruns+10 })
	require.NoError(t, p.command.Process.Signal(syscall.SIGCONT))
	jacktest.Until(t, sessionLimit, "the underrun is said", func() bool { return len(news(Underrun)) > said })
	late, missing, odd := unheldClicks(t, p, r)
	assert.InDelta(t, -news(Sounding)[0].Buffer.Seconds()*1000, late[len(late)/2], 5)
	assert.Zero(t, missing)
	assert.Zero(t, odd)
	require.NoError(t, p.Close())
}

// A server that dies is said, and found again when it is back; meanwhile and
// afterwards the process ends when it is told to.
func TestAServerThatDies(t *testing.T) {
	server := jacktest.Start(t)
	p, news := jackProcess(t)
	jacktest.Until(t, sessionLimit, "it sounds", func() bool { return len(news(Sounding)) == 1 })
	server.Kill()
	jacktest.Until(t, sessionLimit, "the loss is said", func() bool { return len(news(LostSound)) == 1 })
	server.Run()
	jacktest.Until(t, 2*retryMost, "it sounds again", func() bool { return len(news(Sounding)) == 2 })
	r := jacktest.NewRecorder(t, client)
	due, onsets := clicksFor(t, p, r, 3*time.Second)
	late, _, _ := lateness(due, onsets)
	assert.NotEmpty(t, late)
	server.Kill()
	require.NoError(t, p.Close())
	assert.True(t, p.command.ProcessState.Success(), "it ended by itself: %v", p.command.ProcessState)
}

// The end of the pipe, with a click sounding: nothing is heard after it, and JACK
// is not left with a client that says nothing.
func TestTheEndOverJACK(t *testing.T) {
	jacktest.Start(t)
	p, news := jackProcess(t)
	jacktest.Until(t, sessionLimit, "it sounds", func() bool { return len(news(Sounding)) > 0 })
	r := jacktest.NewRecorder(t, client)
	zero := time.Now()
	p.Begin(zero)
	p.Send(Command{Kind: Strike, At: time.Since(zero) + soon, Voice: Piano, Key: 60, Velocity: 100, For: time.Minute})
	jacktest.Until(t, sessionLimit, "it is heard", func() bool { return len(r.Onsets()) > 0 })
	begun := time.Now()
	require.NoError(t, p.Close())
	t.Logf("silent after %v, ended after %v", r.Sounded().Sub(begun), time.Since(begun))
	assert.Less(t, r.Sounded().Sub(begun), 100*time.Millisecond)
	assert.True(t, p.command.ProcessState.Success())
}

// BenchmarkClick tells how the click scatters over JACK, with this process idle
// and busy: four goroutines that allocate, as a session and its screen may.
func BenchmarkClick(b *testing.B) {
	for _, busy := range []int{0, 4} {
		b.Run(map[int]string{0: "idle", 4: "busy"}[busy], func(b *testing.B) {
			stop := make(chan struct{})
			var workers sync.WaitGroup
			for range busy {
				workers.Go(func() {
					var kept [][]byte
					for {
						select {
						case <-stop:
							return
						default:
							if kept = append(kept, make([]byte, 10_000)); len(kept) > 1000 {
								kept = nil
							}
						}
					}
				})
			}
			clickFigures(b)
			close(stop)
			workers.Wait()
		})
	}
}

func clickFigures(b *testing.B) {
	jacktest.StartUrgent(b)
	var sounds atomic.Bool
	var underruns atomic.Int64
	p, err := Start(Options{API: "jack"}, func(r Report) {
		sounds.Store(sounds.Load() || r.News == Sounding)
		if r.News == Underrun {
			underruns.Store(r.Count)
		}
	})
	require.NoError(b, err)
	defer p.Close()
	jacktest.Until(b, sessionLimit, "it sounds", sounds.Load)
	r := jacktest.NewRecorder(b, client)
	zero := time.Now()
	p.Begin(zero)
	const every, clicks = 100 * time.Millisecond, 600
	first := 500 * time.Millisecond
	ticker := time.NewTicker(Every)
	defer ticker.Stop()
	for sent := 0; sent < clicks; <-ticker.C {
		for ; sent < clicks && first+time.Duration(sent)*every < time.Since(zero)+ahead; sent++ {
			p.Send(Command{Kind: Strike, Voice: Click, Key: clickKey, Velocity: clickVelocity, At: first + time.Duration(sent)*every})
		}
	}
	jacktest.Until(b, sessionLimit, "most clicks are recorded", func() bool { return time.Since(zero) > first+clicks*every+time.Second })
	var late []float64
	onsets := r.Onsets()
	for _, at := range onsets {
		since := at.Framed.Sub(zero) - first
		n := math.Round(since.Seconds() / every.Seconds())
		late = append(late, (since.Seconds()-n*every.Seconds())*1000)
	}
	if len(late) == 0 {
		b.Fatal("nothing was recorded")
	}
	slices.Sort(late)
	median := late[len(late)/2]
	off := make([]float64, len(late))
	for i, v := range late {
		off[i] = math.Abs(v - median)
	}
	slices.Sort(off)
	b.ReportMetric(float64(len(onsets)), "clicks")
	b.ReportMetric(median, "offset-ms")
	b.ReportMetric(off[len(off)/2], "scatter-p50-ms")
	b.ReportMetric(at99(off), "scatter-p99-ms")
	b.ReportMetric(off[len(off)-1], "scatter-max-ms")
	b.ReportMetric(float64(r.Xruns()), "xruns")
	b.ReportMetric(float64(underruns.Load()), "underruns")
	b.ReportMetric(cpuShare(b, p, time.Since(zero)), "core-%")
}

// cpuShare returns what part of a core the sound process used, in hundredths.
func cpuShare(b *testing.B, p *Process, lived time.Duration) float64 {
	require.NoError(b, p.Close())
	state := p.command.ProcessState
	return 100 * (state.UserTime() + state.SystemTime()).Seconds() / lived.Seconds()
}

// Starts and stops of the sound over JACK, with a click in each: none sounds on, and
// this process keeps no descriptor, no thread and no goroutine of one. SHEDLIGHT_FULL
// asks for two thousand.
func TestStartsAndStopsOverJACK(t *testing.T) {
	cycles := 12
	if os.Getenv("SHEDLIGHT_FULL") != "" {
		cycles = 2000
	}
	jacktest.StartLoose(t)
	m := jacktest.NewModule(t, module)
	cycle := func(o Options) {
		sounds := make(chan struct{}, 1)
		p, err := Start(o, func(r Report) {
			if r.News == Sounding {
				sounds <- struct{}{}
			}
		})
		require.NoError(t, err)
		zero := time.Now()
		p.Begin(zero)
		for n := range 40 { // some are due when it sounds, and some when it has ended
			p.Send(click(time.Duration(50*n) * time.Millisecond))
		}
		<-sounds
		require.NoError(t, p.Close(), "%+v", o)
	}
	byMIDI := Options{MIDI: true, API: "jack", Out: m.Port}
	cycle(Options{API: "jack"})
	cycle(byMIDI)
	goroutines, threads, descriptors := runtime.NumGoroutine(), count(t, "/proc/self/task"), count(t, "/proc/self/fd")
	for range cycles / 2 {
		cycle(Options{API: "jack"})
		cycle(byMIDI)
	}
	jacktest.Until(t, sessionLimit, "no goroutine is left", func() bool { return runtime.NumGoroutine() <= goroutines })
	t.Logf("%d starts and stops: goroutines %d and %d, threads %d and %d, descriptors %d and %d", cycles,
		goroutines, runtime.NumGoroutine(), threads, count(t, "/proc/self/task"), descriptors, count(t, "/proc/self/fd"))
	assert.LessOrEqual(t, count(t, "/proc/self/task"), threads+8, "the runtime keeps a few threads")
	assert.LessOrEqual(t, count(t, "/proc/self/fd"), descriptors)
	heard := len(struck(m, drumChannel))
	assert.Positive(t, heard)
	end := time.Now()
	jacktest.Until(t, sessionLimit, "what sounded on would be heard", func() bool { return time.Since(end) > time.Second })
	assert.Len(t, struck(m, drumChannel), heard, "none sounds on")
	assert.Empty(t, jackSounds(t), "and none is left at the server")
}

// jackSounds returns the ports of sound processes at the server.
func jackSounds(t *testing.T) (ports []string) {
	out, err := exec.Command("jack_lsp", clientName).Output()
	require.NoError(t, err)
	return strings.Fields(string(out))
}
