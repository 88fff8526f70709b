package listen

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/internal/driver"
)

// What a watch does with an instrument that JACK calls kbd, and its neighbours.
func TestWatchTakesTheRightPort(t *testing.T) {
	const (
		exact, alike, third, other = "kbd:out", "kbd-01:out", "kbd-02:out", "Wind:out"

		search = 2*lookEvery + searchEvery // from a change to what comes of it
	)
	for name, test := range map[string]struct {
		there  []string
		wanted string
		script func(s *fakeSystem)
		want   []string // the names of the instrument, one after the other
	}{
		"back by its name beside a neighbour": {[]string{exact, alike}, exact, func(s *fakeSystem) {
			s.unplug(exact)
			pass(10 * search)
			s.plug(exact)
		}, []string{exact, exact}},
		"a neighbour is not the instrument": {[]string{exact, alike}, exact, func(s *fakeSystem) {
			s.unplug(exact)
		}, []string{exact}},
		"one that came later is a neighbour too": {[]string{exact}, exact, func(s *fakeSystem) {
			s.plug(alike)
			pass(neighbourAfter + search)
			s.unplug(exact)
		}, []string{exact}},
		"back under another name, beside a neighbour": {[]string{exact, alike}, exact, func(s *fakeSystem) {
			s.unplug(exact)
			s.plug(third)
		}, []string{exact, third}},
		"back under another name before the old one is gone": {[]string{exact}, exact, func(s *fakeSystem) {
			s.plug(alike)
			pass(neighbourAfter / 2)
			s.unplug(exact)
		}, []string{exact, alike}},
		"two that it could be": {[]string{exact}, exact, func(s *fakeSystem) {
			s.unplug(exact)
			s.plug(alike, third)
		}, []string{exact}},
		"back under another name, then under its own": {[]string{exact}, "", func(s *fakeSystem) {
			s.unplug(exact)
			s.plug(alike)
			pass(search)
			s.plug(exact)
		}, []string{exact, alike, exact}},
		"another was there first": {[]string{alike}, exact, func(s *fakeSystem) {
			pass(search)
			s.plug(exact)
		}, []string{alike, exact}},
		"never a part of the name again": {[]string{exact}, "kbd", func(s *fakeSystem) {
			s.unplug(exact)
			s.plug("kbd two:out")
		}, []string{exact}},
		"never a number again": {[]string{exact, other}, "1", func(s *fakeSystem) {
			s.unplug(exact)
		}, []string{exact}},
		"the cable is pulled": {[]string{exact}, exact, func(s *fakeSystem) {
			s.move("")
		}, []string{exact, exact}},
		"the cable is moved": {[]string{exact, other}, exact, func(s *fakeSystem) {
			s.move(other)
			pass(search)
			s.unplug(other)
			pass(search)
			s.plug(other)
		}, []string{exact, other, other}},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				system := &fakeSystem{api: driver.JACK, ports: test.there}
				l, err := openLive(system, Options{Port: test.wanted})
				require.NoError(t, err)
				names := []string{l.Name()}
				go func() {
					pass(search)
					test.script(system)
					pass(10 * search)
					there, err := system.Inputs()
					assert.NoError(t, err)
					assert.ElementsMatch(t, there, l.Inputs(), "what there is now")
					require.NoError(t, l.Close())
				}()
				held := true
				for e := range l.queued() {
					switch e.mark {
					case gone:
						require.True(t, held)
						held = false
					case opened:
						require.False(t, held)
						held = true
						names = append(names, l.Name())
					}
				}
				assert.Equal(t, test.want, names)
			})
		})
	}
}

// queued yields what the watch says until it has ended.
func (l *Live) queued() func(yield func(message) bool) {
	return func(yield func(message) bool) {
		for {
			select {
			case m := <-l.queue:
				if !yield(m) {
					return
				}
			case <-l.stopped:
				return
			}
		}
	}
}

// What is held is released when the cable goes to another instrument, which is
// heard from then on.
func TestAMovedCableReleases(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{api: driver.JACK, ports: []string{"Keys:out", "Wind:out"}}
		got := session(t, system, Options{Port: "Keys:out"}, func(*Live) {
			pass(10 * time.Millisecond)
			system.move("Wind:out")
			pass(time.Second)
			system.send(0, 0x90, 62, 70)
		})
		kinds := make([]analyse.Kind, len(got))
		for i, e := range got {
			kinds[i] = e.Kind
		}
		assert.Equal(t, []analyse.Kind{analyse.Release, analyse.Found, analyse.NoteOn}, kinds)
	})
}

// A program whose port is in the list before it sends is waited for.
func TestLiveWaitsForAnInstrumentThatIsNotReady(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}, refuse: driver.Inactive}
		time.AfterFunc(readyWithin/2, func() { system.setRefuse(nil) })
		l, err := openLive(system, Options{})
		require.NoError(t, err)
		require.NoError(t, l.Close())

		system = &fakeSystem{ports: []string{"Keys"}, refuse: driver.Inactive}
		begun := time.Now()
		_, err = openLive(system, Options{})
		assert.ErrorIs(t, err, Inactive)
		assert.WithinRange(t, time.Now(), begun.Add(readyWithin), begun.Add(readyWithin+time.Second))
	})
}

// It costs nothing to try again, and it is tried as often as a lost port is looked for.
func TestALateClientIsFoundSoon(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			system.unplug("Keys")
			pass(time.Second)
			system.setRefuse(driver.Inactive)
			system.plug("Keys")
			pass(time.Minute)
			system.setRefuse(nil)
			pass(searchEvery + lookEvery)
		})
		require.Len(t, got, 2)
		assert.Equal(t, analyse.Found, got[1].Kind)
	})
}
