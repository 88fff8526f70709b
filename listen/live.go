package listen

import (
	"context"
	"errors"
	"iter"
	"sync"
	"sync/atomic"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/crash"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
	"shedlight/listen/internal/driver"
)

// The threads of a live port:
//
//   - the driver's callback, on a thread of the sound system: takes the time,
//     copies three bytes, does one send that never waits, returns;
//   - the caller of Events: stamps, asks the beat clock for ticks, yields, and
//     leaves the clock's newest line where anybody may read it;
//   - anybody who asks for something (Do): one send into the same queue, so that
//     it comes in its order, which never waits;
//   - the watch: opens, closes and looks for the port, and alone touches the
//     driver. What it finds goes through the same queue as the messages, so
//     that a loss comes after the last message and a return before the first.
//
// When something is slow: a caller that does not keep up loses messages, which
// are counted and yielded as Lost at their place; the driver never waits.

const (
	// queueSize is the number of messages between callback and caller: three
	// seconds at 10,000 messages a second, three times what a DIN cable carries.
	queueSize = 1 << 15
	// idle is how often the passing of time is looked at while nothing comes.
	idle = 10 * time.Millisecond
	// behind is the distance of an Advance from the wall clock.
	behind = 50 * time.Millisecond
	// sensingLimit is how long a sender that has begun active sensing may be
	// silent (MIDI 1.0, active sensing: 300 ms; a little more for the way).
	sensingLimit = 330 * time.Millisecond
)

// Options say what to open and how to read it.
type Options struct {
	// Port says which input: by its name, exactly or without what changes from
	// day to day (client numbers), by its number in the list of Ports, by its
	// name in any case, or by a part of that which fits no other; "" for the
	// only instrument.
	Port string
	// Shown turns a name into what the player sees of it, and may give as Port;
	// nil: names are seen as they are.
	Shown func(name string) string
	// API is the sound system: alsa, jack, core or winmm; "" for the usual one.
	API string
	// Beat is the clock that makes the ticks, and the events that tell of it.
	// Without a tempo a quarter note lasts 500 ms.
	Beat beat.Setup
	// Clock says, like Port, which input the clock comes from that Beat follows; ""
	// for the instrument's own.
	Clock string
	// Lag, where it is not nil, is asked for the lag of the instrument that was
	// opened, in place of Beat's: by the part of its name that stays the same.
	Lag func(instrument string) time.Duration
	// Hands are the controls that ask for something.
	Hands hands.Map
}

// Live is a MIDI input port as a Source. Tick 0 is the moment Events is called;
// what arrived before is at tick 0. The sequence has no end of its own. When ctx
// is done everything queued is yielded, and an Advance to that moment.
//
// Active sensing is followed as MIDI 1.0 has it: once it has been received,
// silence of more than 330 ms yields a Release, and sensing must be received
// again before the next one. Behind every Release come the messages that say the
// same to other programs: a note-off for each key that is down, and pedals up. System
// exclusive, clock and sensing themselves are not yielded.
type Live struct {
	driver     driver.Driver
	options    Options
	clock      *beat.Clock  // belongs to the caller of Events
	hands      *hands.Hands // the same
	line       atomic.Pointer[beat.Line]
	zero       atomic.Pointer[time.Time]
	epoch      time.Time
	queue      chan message
	lost       atomic.Uint32
	dropped    atomic.Uint64
	name       atomic.Pointer[string]
	inputs     atomic.Pointer[[]string]
	seek       seek // once the watch runs, its own
	started    atomic.Bool
	crashed    chan *crash.Crash // a fault of the watch or of a callback, for the caller of Events
	other      *Live             // the port of the clock; nil: there is none
	ofClock    bool              // it is that port
	clockLost  atomic.Bool
	clockTicks atomic.Bool
	stop       chan struct{}
	stopped    chan struct{}
	once       sync.Once
}

// message is what a callback, or the watch, puts into the queue.
type message struct {
	wall       time.Duration // of the callback's entry, after the epoch
	delta      float64       // the driver's, in seconds, of lost messages too
	lost       uint32        // how many did not fit right before this one
	connection uint32        // counts the openings of the port
	mark       mark
	ofClock    bool        // it came through the port of the clock
	action     beat.Action // of asked
	size       uint8       // of the message; more than longest if it was longer
	bytes      [longest]byte
}

// mark says what an item of the queue is.
type mark uint8

const (
	received mark = iota // by the callback
	opened               // by the watch: the port is there again
	gone                 // by the watch: the port is there no more
	asked                // by Do
)

// OpenLive opens an input port. The error is a Fault, a *PortError, or says
// what is wrong with the options.
func OpenLive(o Options) (*Live, error) {
	drv, err := driver.Load(o.API)
	if err != nil {
		return nil, err
	}
	l, err := openLive(drv, o)
	if err != nil {
		drv.Close()
		return nil, err
	}
	return l, nil
}

func openLive(drv driver.Driver, o Options) (*Live, error) {
	l := &Live{
		driver:  drv,
		options: o,
		hands:   hands.New(o.Hands),
		epoch:   time.Now(),
		queue:   make(chan message, queueSize),
		crashed: make(chan *crash.Crash, 1),
		stop:    make(chan struct{}),
		stopped: make(chan struct{}),
	}
	input, err := l.begin()
	if err != nil {
		return nil, err
	}
	if o.Lag != nil {
		o.Beat.Lag = o.Lag(l.Instrument())
	}
	if l.clock, err = beat.New(o.Beat); err != nil {
		input.Close()
		return nil, err
	}
	l.line.Store(l.clock.Line())
	if err = l.openClock(); err != nil {
		input.Close()
		return nil, err
	}
	go l.watch(input)
	return l, nil
}

// Line returns what is beat and when, as the clock knows it now. Safe from any
// goroutine.
func (l *Live) Line() *beat.Line { return l.line.Load() }

// Zero returns the moment of tick 0; the zero Time before Events is called. Safe
// from any goroutine.
func (l *Live) Zero() time.Time {
	if zero := l.zero.Load(); zero != nil {
		return *zero
	}
	return time.Time{}
}

// Do asks the clock for something, as of now: it is yielded as Asked, with what
// comes of it. Safe from any goroutine; it never waits. A queue that is full
// loses it, as it would lose a pedal.
func (l *Live) Do(a beat.Action) {
	select {
	case l.queue <- message{wall: time.Since(l.epoch), mark: asked, action: a}:
	default:
	}
}

// Name returns the name of the port, as the sound system has it; it may change
// when the instrument comes back. Safe from any goroutine.
func (l *Live) Name() string { return *l.name.Load() }

// Inputs returns the names of the inputs there are, as they were seen last, at most a
// second ago: Ports asks for no list while a Live is open. They are not to be changed.
// Safe from any goroutine.
func (l *Live) Inputs() []string { return *l.inputs.Load() }

// Instrument returns the part of the port's name that stays the same from day to
// day. Safe from any goroutine.
func (l *Live) Instrument() string { return lasting(l.driver.API(), l.Name()) }

// Dropped returns how many messages were no whole MIDI messages and were left
// out. Safe from any goroutine.
func (l *Live) Dropped() uint64 { return l.dropped.Load() }

// Close ends the watch and closes the port. It waits for the sound system, at
// most a few seconds if that hangs.
func (l *Live) Close() error {
	l.once.Do(func() { close(l.stop) })
	if l.other != nil {
		l.other.Close()
	}
	<-l.stopped
	return nil
}

// receive returns the callback of one connection.
func (l *Live) receive(connection uint32) driver.Receive {
	var carried float64 // the deltas of messages that did not fit
	return func(b []byte, delta float64) {
		now := time.Now()
		defer crash.Guard(l.fault)
		lost := l.lost.Swap(0)
		m := message{
			wall:       now.Sub(l.epoch),
			delta:      carried + delta,
			lost:       lost,
			connection: connection,
			ofClock:    l.ofClock,
			size:       uint8(min(len(b), longest+1)),
		}
		copy(m.bytes[:], b)
		select {
		case l.queue <- m:
			carried = 0
		default:
			carried += delta
			l.lost.Add(lost + 1)
		}
	}
}

// fault hands a crash to the caller of Events, who knows about the screen. It never
// waits: the first one counts.
func (l *Live) fault(c *crash.Crash) {
	select {
	case l.crashed <- c:
	default:
	}
}

// errStartedTwice is yielded by a second call of Events.
var errStartedTwice = errors.New("a source is started once")

// Events implements Source. It never yields an error of its own: a port that
// disappears is no error.
func (l *Live) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		if l.started.Swap(true) {
			yield(analyse.Event{}, errStartedTwice)
			return
		}
		zero := time.Now()
		l.zero.Store(&zero)
		r := reader{live: l, zero: zero.Sub(l.epoch), connection: 1, present: true, yield: yield}
		if !r.reach(l.clock.Pass(0)) {
			return
		}
		ticker := time.NewTicker(idle)
		defer ticker.Stop()
		for goOn := true; goOn; {
			select {
			case m := <-l.queue:
				goOn = r.take(m)
			case <-ticker.C:
				// The time is taken before the look at the queue: what comes
				// in between is later.
				if now := time.Since(l.epoch); len(l.queue) == 0 {
					goOn = r.idle(now)
				}
			case <-wake:
				goOn = r.emit(analyse.Event{Tick: r.last, Kind: analyse.Advance})
			case fault := <-l.crashed:
				panic(fault)
			case <-ctx.Done():
				r.finish()
				return
			}
		}
	}
}
