package sound

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fakeDevice asks for frames as a device does, and can misbehave.
type fakeDevice struct {
	fakes  *fakes
	buffer time.Duration
	stop   chan struct{}
	ended  chan struct{}
	halted func()
}

// fakes are the devices of a test, one after another.
type fakes struct {
	mu     sync.Mutex
	refuse error
	period time.Duration // between calls; 0: as usual
	hang   bool          // no call comes
	deaf   bool          // a close never returns
	open   []int         // the buffers that were asked for
	now    *fakeDevice
	closed int
	begun  time.Time
	onsets []time.Duration // of what was loud, since begun, when it is heard
	quiet  int             // frames since anything was loud
}

func (f *fakes) opener(times int) (device, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.open = append(f.open, times)
	if f.refuse != nil {
		return nil, f.refuse
	}
	f.now = &fakeDevice{fakes: f, buffer: time.Duration(times) * testBuffer, stop: make(chan struct{}), ended: make(chan struct{})}
	return f.now, nil
}

func (d *fakeDevice) facts() facts {
	return facts{name: "Fake", rate: testRate, buffer: d.buffer}
}

func (d *fakeDevice) start(render func([]float32), stopped func()) error {
	d.halted = stopped
	go func() {
		defer close(d.ended)
		out := make([]float32, testFrames)
		next := time.Now()
		for {
			select {
			case <-d.stop:
				return
			case <-time.After(time.Until(next)):
			}
			d.fakes.mu.Lock()
			period, hang := d.fakes.period, d.fakes.hang
			d.fakes.mu.Unlock()
			if period == 0 {
				period = at(testFrames)
			}
			next = next.Add(period)
			if hang {
				continue
			}
			render(out)
			d.fakes.listen(out, d.buffer)
		}
	}()
	return nil
}

// listen notes where silence ends.
func (f *fakes) listen(out []float32, buffer time.Duration) {
	const silent = testRate / 100 // longer than a zero of a wave
	f.mu.Lock()
	defer f.mu.Unlock()
	for i, x := range out {
		if max(x, -x) < 1e-5 {
			f.quiet++
			continue
		}
		if f.quiet >= silent {
			f.onsets = append(f.onsets, time.Since(f.begun)+buffer+at(i))
		}
		f.quiet = 0
	}
}

func (d *fakeDevice) close() {
	d.fakes.mu.Lock()
	deaf := d.fakes.deaf
	d.fakes.closed++
	d.fakes.mu.Unlock()
	if deaf {
		select {}
	}
	close(d.stop)
	<-d.ended
}

func (f *fakes) set(change func(*fakes)) {
	f.mu.Lock()
	defer f.mu.Unlock()
	change(f)
}

// served is a sound process inside the test.
type served struct {
	t       *testing.T
	pipe    *io.PipeWriter
	epoch   time.Time
	said    reports
	ended   chan struct{}
	reports []Report
}

func start(t *testing.T, engine func(time.Time, reports) engine) *served {
	in, out := io.Pipe()
	s := &served{t: t, pipe: out, epoch: time.Now(), said: make(reports, 10*reportsKept), ended: make(chan struct{})}
	go func() {
		defer close(s.ended)
		serve(in, s.epoch, s.said, engine(s.epoch, s.said))
	}()
	s.send(Command{Kind: Epoch, At: time.Duration(s.epoch.UnixNano())})
	return s
}

func startAudio(t *testing.T, f *fakes) *served {
	f.begun = time.Now()
	return start(t, func(begun time.Time, send reports) engine { return newAudio(begun, send, f.opener) })
}

func (s *served) send(commands ...Command) {
	for _, c := range commands {
		_, err := s.pipe.Write(c.encode(nil))
		require.NoError(s.t, err)
	}
}

// pass lets time go by.
func (s *served) pass(d time.Duration) {
	<-time.After(d)
	synctest.Wait()
	for {
		select {
		case r := <-s.said:
			s.reports = append(s.reports, r)
		default:
			return
		}
	}
}

func (s *served) end() time.Duration {
	begun := time.Now()
	require.NoError(s.t, s.pipe.Close())
	<-s.ended
	return time.Since(begun)
}

func (s *served) news() string {
	var list []string
	for _, r := range s.reports {
		list = append(list, string(r.News))
	}
	return strings.Join(list, ", ")
}

func click(at time.Duration) Command {
	return Command{Kind: Strike, Voice: Click, Key: 84, Velocity: 100, At: at, For: clickFor}
}

func TestServeSounds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{}
		s := startAudio(t, f)
		s.pass(time.Second)
		assert.Equal(t, []Report{{News: Sounding, Name: "Fake", Rate: testRate, Buffer: testBuffer}}, s.reports)
		var want []time.Duration
		for n := range 20 {
			want = append(want, time.Second+time.Duration(n)*217*time.Millisecond+100*time.Millisecond)
			s.send(click(want[n]))
		}
		s.pass(6 * time.Second)
		assert.LessOrEqual(t, s.end(), 100*time.Millisecond)
		assert.Equal(t, 1, f.closed)
		require.Len(t, f.onsets, len(want))
		for i := range want {
			assert.InDelta(t, want[i].Microseconds(), f.onsets[i].Microseconds(), 30, "click %d: a frame is 21 us", i)
		}
	})
}

func TestServeSurvivesGarbage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{}
		s := startAudio(t, f)
		s.pass(time.Second)
		_, err := s.pipe.Write([]byte("a session that has lost its mind"))
		require.NoError(t, err)
		s.send(click(2 * time.Second))
		s.pass(2 * time.Second)
		assert.Equal(t, "sounding, garbled", s.news())
		assert.EqualValues(t, 32, s.reports[1].Count)
		assert.Len(t, f.onsets, 1)
		s.end()
	})
}

func TestNothingSoundsBeforeTheEpoch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{begun: time.Now()}
		in, out := io.Pipe()
		done := make(chan struct{})
		go func() {
			defer close(done)
			serve(in, time.Now(), make(reports, reportsKept), newAudio(time.Now(), make(reports, reportsKept), f.opener))
		}()
		_, err := out.Write(click(time.Second).encode(nil))
		require.NoError(t, err)
		<-time.After(2 * time.Second)
		require.NoError(t, out.Close())
		<-done
		assert.Empty(t, f.onsets)
	})
}

func TestNoDeviceIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{refuse: errors.New("nothing there")}
		s := startAudio(t, f)
		s.pass(time.Minute)
		assert.Equal(t, "refused", s.news(), "said once")
		assert.LessOrEqual(t, len(f.open), 7, "each try costs something")
		f.set(func(f *fakes) { f.refuse = nil })
		s.pass(retryMost + time.Second)
		assert.Equal(t, "refused, sounding", s.news())
		s.end()
	})
}

// A sound server fills its buffer at once, and may then take its time.
func TestASlowBeginningIsNoLoss(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{}
		s := startAudio(t, f)
		s.pass(15 * time.Millisecond)
		f.set(func(f *fakes) { f.hang = true })
		s.pass(2 * time.Second)
		f.set(func(f *fakes) { f.hang = false })
		s.pass(10 * time.Second)
		assert.Equal(t, "sounding", s.news())
		s.end()
	})
}

// ALSA's null device takes all that it can get.
func TestADeviceThatIsNone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{period: 50 * time.Microsecond}
		s := startAudio(t, f)
		s.pass(3 * time.Second)
		assert.Contains(t, s.news(), "no device")
		assert.Equal(t, 1, f.closed, "it costs a core")
		s.pass(5 * time.Minute)
		assert.Len(t, f.open, 1, "and is not tried again")
		assert.LessOrEqual(t, s.end(), 100*time.Millisecond)
	})
}

func TestUnderrunsEnlargeTheBuffer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakes{}
		s := startAudio(t, f)
		starve := func(times int, apart time.Duration) {
			for range times {
				s.pass(apart)
				f.set(func(f *fakes) { f.hang = true })
				s.pass(200 * time.Millisecond)
				f.set(func(f *fakes) { f.hang = false })
			}
			s.pass(time.Second)
		}
		starve(4, 6*time.Second)
		assert.Equal(t, []int{1}, f.open, "three in ten seconds, no fewer")
		starve(3, 2*time.Second)
		assert.Equal(t, []int{1, 2}, f.open)
		assert.Contains(t, s.news(), "underrun, enlarged, sounding")
		for range 10 {
			starve(3, 2*time.Second)
		}
		assert.Equal(t, []int{1, 2, 4, 8}, f.open, "and no further than that")
		now := time.Since(s.epoch)
		s.pass(time.Second)
		f.onsets = nil
		s.send(click(now + 2*time.Second))
		s.pass(2 * time.Second)
		require.Len(t, f.onsets, 1)
		assert.InDelta(t, (now + 2*time.Second).Microseconds(), f.onsets[0].Microseconds(), 50, "a larger buffer is made up for")
		s.end()
	})
}

func TestALostServerIsSaidAndTriedAgain(t *testing.T) {
	for name, lose := range map[string]func(*fakes){
		"it says so":   func(f *fakes) { f.now.halted() },
		"it just ends": func(f *fakes) { f.hang = true },
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				f := &fakes{}
				s := startAudio(t, f)
				s.pass(beginning)
				f.set(lose)
				s.pass(1500 * time.Millisecond)
				assert.Equal(t, "sounding, lost", s.news())
				f.set(func(f *fakes) { f.hang = false })
				s.pass(5 * time.Second)
				assert.Equal(t, "sounding, lost, sounding", s.news())
				now := time.Since(s.epoch)
				s.send(click(now + 100*time.Millisecond))
				s.pass(time.Second)
				assert.LessOrEqual(t, s.end(), 100*time.Millisecond)
				assert.Len(t, f.onsets, 1)
			})
		})
	}
}

// A close that never returns does not delay the end.
func TestAHangingClose(t *testing.T) {
	f := &fakes{deaf: true}
	s := startAudio(t, f)
	require.Eventually(t, func() bool { f.mu.Lock(); defer f.mu.Unlock(); return f.now != nil }, 5*time.Second, time.Millisecond)
	require.Equal(t, Sounding, (<-s.said).News)
	s.end() // it comes: without a limit this would wait for ever
}

// Two thousand starts and stops leave no goroutine, no thread and no descriptor.
func TestStartsAndStopsLeaveNothing(t *testing.T) {
	const cycles = 2000
	cycle := func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			s := startAudio(t, &fakes{})
			s.pass(150 * time.Millisecond)
			s.end()
			p := &fakePort{}
			s = start(t, func(begun time.Time, send reports) engine { return newMIDI(begun, send, p.open, channelsOf(Options{})) })
			s.pass(150 * time.Millisecond)
			s.end()
		})
	}
	for range 20 {
		cycle(t)
	}
	goroutines, threads, descriptors := runtime.NumGoroutine(), count(t, "/proc/self/task"), count(t, "/proc/self/fd")
	for range cycles / 2 {
		cycle(t)
	}
	for deadline := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > goroutines && time.Now().Before(deadline); {
		runtime.Gosched() // one may still be on its way out
	}
	assert.LessOrEqual(t, runtime.NumGoroutine(), goroutines)
	assert.LessOrEqual(t, count(t, "/proc/self/task"), threads+8, "the runtime keeps a few threads")
	assert.LessOrEqual(t, count(t, "/proc/self/fd"), descriptors)
}

// count returns how many entries a folder has; 0 where there is none.
func count(t *testing.T, dir string) int {
	list, err := os.ReadDir(dir)
	if errors.Is(err, os.ErrNotExist) {
		return 0
	}
	require.NoError(t, err)
	return len(list)
}

func TestReportsCrossThePipe(t *testing.T) {
	in, out := io.Pipe()
	var got []Report
	done := make(chan struct{})
	go func() {
		defer close(done)
		readReports(in, func(r Report) { got = append(got, r) })
	}()
	want := []Report{
		{News: Sounding, Name: "Fake\x1b[2J", Rate: 48000, Buffer: testBuffer},
		{News: Missed, Count: 7},
	}
	encoder := json.NewEncoder(out)
	for _, r := range want {
		require.NoError(t, encoder.Encode(r))
	}
	_, err := out.Write([]byte("no report\n"))
	require.NoError(t, err)
	require.NoError(t, out.Close())
	<-done
	assert.True(t, slices.Equal(want, got), "%v", got)
}

// A session that reads no reports holds nothing up.
func TestReportsNeverWait(t *testing.T) {
	_, out := io.Pipe()
	send := newReports(out)
	for range 10 * reportsKept {
		send.send(Report{News: Missed})
	}
}
