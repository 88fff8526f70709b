package sound

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"sync"
	"sync/atomic"
	"time"

	"shedlight/analyse/crash"
	"shedlight/listen/beat"
)

// Process is a sound process as the session sees it. Its methods may be called
// from any goroutine, and none but Close waits for the other side.
type Process struct {
	command *exec.Cmd
	queue   chan []byte // encoded commands
	dropped atomic.Int64
	buffer  atomic.Int64 // of the device, in nanoseconds; 0: not known yet
	closing atomic.Bool
	once    sync.Once
	stop    chan struct{}
	ended   chan struct{} // the process is gone, and all that it said is reported
	fault   atomic.Pointer[crash.Crash]
	failed  error // how the process did not end well, read once it has ended
}

const (
	// batches is how many batches of commands wait for the pipe, which itself
	// holds minutes of them: more is a process that hangs.
	batches = 64
	// waitLimit is how long Close waits before it ends a process that hangs.
	waitLimit = time.Second
)

// Start starts a sound process: this program again, with Argument. report is
// called with what it says, one at a time, on a goroutine of its own, until Close
// returns; that the process has ended by itself is a LostSound too.
func Start(o Options, report func(Report)) (*Process, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, err
	}
	options, err := json.Marshal(o)
	if err != nil {
		return nil, err
	}
	p := &Process{
		command: exec.Command(program, Argument, string(options)),
		queue:   make(chan []byte, batches), stop: make(chan struct{}), ended: make(chan struct{}),
	}
	commands, err := p.command.StdinPipe()
	if err != nil {
		return nil, err
	}
	said, err := p.command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	// Standard error is nowhere: the libraries of sound systems talk.
	if err := p.command.Start(); err != nil {
		return nil, err
	}
	go p.write(commands)
	go p.wait(said, report)
	return p, nil
}

// write feeds the pipe until Close, or until nobody reads it.
func (p *Process) write(pipe io.WriteCloser) {
	defer pipe.Close()
	defer crash.Guard(p.fault.Store)
	for {
		select {
		case b := <-p.queue:
			if _, err := pipe.Write(b); err != nil {
				return
			}
		case <-p.stop:
			return
		}
	}
}

// wait reports what the process says, and its end.
func (p *Process) wait(said io.Reader, report func(Report)) {
	defer close(p.ended)
	defer crash.Guard(p.fault.Store)
	readReports(said, func(r Report) {
		if r.News == Sounding && r.Buffer > 0 {
			p.buffer.Store(int64(r.Buffer))
		}
		report(r)
	})
	p.failed = p.command.Wait()
	if !p.closing.Load() {
		text := "the sound process has ended"
		if p.failed != nil {
			text += ": " + p.failed.Error()
		}
		report(Report{News: LostSound, Text: text})
	}
}

// Send sends commands, whose times are since the moment that Begin said. It never
// waits; what finds no room is dropped and counted.
func (p *Process) Send(commands ...Command) {
	if len(commands) == 0 {
		return
	}
	b := make([]byte, 0, len(commands)*commandSize)
	for _, c := range commands {
		b = c.encode(b)
	}
	select {
	case p.queue <- b:
	default:
		p.dropped.Add(int64(len(commands)))
	}
}

// Begin says which moment times are since. It comes before anything is struck.
func (p *Process) Begin(zero time.Time) {
	now := time.Now()
	p.Send(Command{Kind: Epoch, At: time.Duration(now.UnixNano()) - now.Sub(zero)})
}

// Blip answers something that the player asked for, at once.
func (p *Process) Blip(now time.Duration) {
	p.Send(Command{Kind: Strike, Voice: Blip, Key: blipKey, Velocity: blipVelocity, For: blipFor, At: now})
}

const (
	blipKey      = 96 // C7, over the clicks
	blipVelocity = 90
	blipFor      = 100 * time.Millisecond
)

// SetLevel sets the volume, 0 to MaxLevel.
func (p *Process) SetLevel(level uint8) {
	p.Send(Command{Kind: Volume, Velocity: min(level, MaxLevel)})
}

// Dropped returns how many commands found no room.
func (p *Process) Dropped() int64 { return p.dropped.Load() }

// Conduct has the conductor's commands sent until ctx is done. line returns the
// newest line; zero is what Begin was given.
func (p *Process) Conduct(ctx context.Context, zero time.Time, c *Conductor, line func() *beat.Line) {
	ticker := time.NewTicker(Every)
	defer ticker.Stop()
	for {
		if buffer := p.buffer.Load(); buffer > 0 {
			c.SetBuffer(time.Duration(buffer))
		}
		p.Send(c.Tend(time.Since(zero), line())...)
		select {
		case <-ticker.C:
		case <-ctx.Done():
			return
		}
	}
}

// End ends the pipe, and with it everything that sounds. It waits for nothing.
func (p *Process) End() {
	p.once.Do(func() {
		p.closing.Store(true)
		close(p.stop)
	})
}

// Close ends what sounds, and waits for the process; one that hangs is ended. The
// error is that of a process that did not end well, or a crash on this side.
func (p *Process) Close() error {
	p.End()
	timer := time.NewTimer(waitLimit)
	defer timer.Stop()
	select {
	case <-p.ended:
	case <-timer.C:
		err := p.command.Process.Kill()
		<-p.ended
		return cmp.Or(err, errHung)
	}
	if fault := p.fault.Load(); fault != nil {
		return fault
	}
	return p.failed
}

var errHung = errors.New("it hung, and was ended")
