package take

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofrs/flock"

	"shedlight/analyse"
	"shedlight/analyse/crash"
	"shedlight/listen/smf"
)

const (
	// queueLength is the number of events that may wait for the writer: six
	// seconds of a flood of 10,000 a second, while a disk does not answer.
	queueLength = 65_536
	// maxPending bounds, in bytes, what waits while nothing can be written.
	maxPending = 1 << 20
	// flushSize is the number of waiting bytes that are written at once, not
	// only at the next second.
	flushSize = 64 << 10
	// maxJournal bounds a journal, so that it can be read back: what a take
	// has more than its journal (title, chart as text, markers) stays below
	// the rest.
	maxJournal = smf.MaxSize - 4<<20
	// flushEvery is how much is lost at most if the process is killed.
	flushEvery = time.Second

	// nameLayout makes the name of a take from its local start time.
	nameLayout = "2006-01-02_15-04-05"
)

// Options are what a Recorder can do without.
type Options struct {
	Markers Markers          // nil: no chord symbols
	Files   Files            // nil: the system's
	Ticks   <-chan time.Time // writes the journal; nil: each second
}

// Status is the state of a recording.
type Status struct {
	Path    string // of the take; before Close, of the take to be
	Unsaved int64  // events that did not and will not get into the take
	Err     error  // why nothing can be written at present, or nil
	Anew    int    // how often its file had gone and all of it was written anew
}

// Recorder writes one take. Add and Close belong to one goroutine; Status may
// be asked by any.
//
// Add never waits: it puts the event into a queue, from which a goroutine of
// the Recorder encodes it and writes it to the journal each second. If the disk
// is full or fails, that goroutine tries again each second and keeps a bounded
// amount waiting; what does not fit is counted as unsaved.
type Recorder struct {
	queue   chan analyse.Event
	end     chan int64
	done    chan struct{}
	closing bool
	unsaved atomic.Int64

	folder  string // where takes go
	name    string // of the take, where it is free
	files   Files
	markers Markers

	// These belong to the writer, and to Close once that has ended.
	base    string // the path without its extension
	lock    *flock.Flock
	journal journalFile

	mu   sync.Mutex
	path string
	err  error
	anew int
}

// Start makes the folder where it is missing, and begins a take that is named
// after its start, with a number behind it where the name is taken. The
// Settings' Version and Started are set here.
func Start(dir string, s Settings, start time.Time, o Options) (*Recorder, error) {
	r := &Recorder{
		folder: dir, name: start.Format(nameLayout),
		queue: make(chan analyse.Event, queueLength), end: make(chan int64), done: make(chan struct{}),
		files: o.Files, markers: o.Markers,
	}
	if r.files == nil {
		r.files = osFiles{}
	}
	opened, err := r.open()
	if err != nil {
		return nil, fmt.Errorf("the takes folder: %w", err)
	}
	r.use(opened)
	s.Version, s.Started = settingsVersion, start.Format(time.RFC3339)
	openJournal(&r.journal.TrackWriter, s)
	ticks, stop := o.Ticks, func() {}
	if ticks == nil {
		ticker := time.NewTicker(flushEvery)
		ticks, stop = ticker.C, ticker.Stop
	}
	go r.run(ticks, stop)
	return r, nil
}

// opened is the empty journal of a take, which is locked.
type opened struct {
	base string
	lock *flock.Flock
	file File
}

// open makes the folder where it is missing, finds a free name, locks it and creates
// its journal.
func (r *Recorder) open() (opened, error) {
	if err := os.MkdirAll(r.folder, dirPerm); err != nil {
		return opened{}, err
	}
	first := filepath.Join(r.folder, r.name)
	for n := 1; n <= maxNames; n++ {
		o := opened{base: numbered(first, n)}
		held, ok, err := lock(o.base)
		if err != nil {
			return opened{}, err
		}
		if !ok {
			continue
		}
		o.lock = held
		if _, err = os.Lstat(o.base + takeExt); errors.Is(err, fs.ErrNotExist) {
			if o.file, err = r.files.Create(o.base + journalExt); err == nil {
				return o, nil
			}
		} else if err == nil {
			err = fs.ErrExist
		}
		if err = errors.Join(err, unlock(held)); !errors.Is(err, fs.ErrExist) {
			return opened{}, err
		}
	}
	return opened{}, fmt.Errorf("%s: this name and the %d after it are taken", first, maxNames-1)
}

// use makes a journal that of the take.
func (r *Recorder) use(o opened) {
	r.base, r.lock, r.journal.file = o.base, o.lock, o.file
	r.mu.Lock()
	defer r.mu.Unlock()
	r.path = o.base + takeExt
}

// keepPlace writes the journal anew, from what its open file still holds, where its
// name has gone: the folder was deleted, moved or unmounted. What is left under
// another name is emptied, so that it does not become a second take.
func (r *Recorder) keepPlace() error {
	if r.journal.isAt(r.base + journalExt) {
		return nil
	}
	o, err := r.open()
	if err != nil {
		return err
	}
	held := io.NewSectionReader(r.journal.file, 0, r.journal.written)
	if _, err := io.Copy(o.file, held); err != nil {
		return errors.Join(err, o.file.Close(), ignoreMissing(os.Remove(o.base+journalExt)), unlock(o.lock))
	}
	old, oldLock, oldBase := r.journal.file, r.lock, r.base
	r.use(o)
	r.mu.Lock()
	r.anew++
	r.mu.Unlock()
	_ = errors.Join(old.Truncate(0), old.Close()) // it is nobody's any more
	if oldBase != o.base {
		_ = unlock(oldLock)
	} else {
		_ = oldLock.Unlock() // the file of that name is the new lock
	}
	return nil
}

// Add records an event; an Advance only says how far the take has come. It
// returns false where the event was lost, which Status counts.
func (r *Recorder) Add(e analyse.Event) bool {
	if !r.closing {
		select {
		case r.queue <- e:
			return true
		default:
		}
	}
	if e.Kind != analyse.Advance {
		r.unsaved.Add(1)
	}
	return false
}

// Status returns the state of the recording.
func (r *Recorder) Status() Status {
	r.mu.Lock()
	defer r.mu.Unlock()
	return Status{Path: r.path, Unsaved: r.unsaved.Load(), Err: r.err, Anew: r.anew}
}

func (r *Recorder) setErr(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.err = err
}

// Close ends the take at a tick and returns its path, or "" where no note was
// played: such a take is not kept. On an error the journal stays, the error
// says where, and the next Recover tries again. A second Close does nothing.
func (r *Recorder) Close(end int64) (string, error) {
	if r.closing {
		s := r.Status()
		return s.Path, s.Err
	}
	r.closing = true
	select {
	case r.end <- end:
	case <-r.done: // the writer has crashed: what waits for it is lost
		r.unsaved.Add(r.journal.waiting)
		for range len(r.queue) {
			if e := <-r.queue; e.Kind != analyse.Advance {
				r.unsaved.Add(1)
			}
		}
	}
	<-r.done
	path, err := finish(r.files, r.base, r.markers)
	if failed := r.Status().Err; failed != nil && isGone(err) {
		err = fmt.Errorf("the take is lost: its folder has gone, and it cannot be made again: %w", failed)
	}
	err = errors.Join(err, unlock(r.lock))
	r.mu.Lock()
	defer r.mu.Unlock()
	r.path, r.err = path, cmp.Or(err, r.err)
	return path, err
}

// run is the writer. A fault in it ends the recording, not the playing.
func (r *Recorder) run(ticks <-chan time.Time, stop func()) {
	defer close(r.done)
	defer stop()
	defer crash.Guard(func(c *crash.Crash) {
		r.setErr(fmt.Errorf("the recorder has stopped: %w", c))
		r.journal.file.Close()
	})
	r.flush() // at once, so that a full disk is known before the first note
	for {
		select {
		case e := <-r.queue:
			r.take(e)
			if len(r.journal.Bytes) >= flushSize && !r.journal.failing {
				r.flush()
			}
		case <-ticks:
			r.drain()
			r.flush()
		case end := <-r.end:
			r.drain()
			r.journal.seen = max(r.journal.seen, end)
			r.flush()
			r.unsaved.Add(r.journal.waiting)
			if err := r.journal.file.Close(); err != nil {
				r.setErr(err)
			}
			return
		}
	}
}

func (r *Recorder) drain() {
	for {
		select {
		case e := <-r.queue:
			r.take(e)
		default:
			return
		}
	}
}

func (r *Recorder) take(e analyse.Event) {
	if !r.journal.add(e) {
		r.unsaved.Add(1)
	}
}

func (r *Recorder) flush() {
	if err := r.keepPlace(); err != nil {
		r.journal.failing = true
		r.setErr(err)
		return
	}
	r.setErr(r.journal.flush())
}

// journalFile is a journal that is being written. It belongs to one goroutine.
type journalFile struct {
	smf.TrackWriter // Bytes waits to be written
	file            File
	written         int64 // bytes in the file
	waiting         int64 // events not known to be written whole
	seen            int64 // the tick the take has come to
	marked          int64 // the tick of the last watermark
	unmarked        bool  // there are events behind the last watermark
	full            bool  // maxJournal was reached
	failing         bool  // the last write failed
}

// isAt reports whether the file is still the one of a name. One that cannot be looked
// at is taken for it: there is nothing better to write to.
func (j *journalFile) isAt(path string) bool {
	mine, err := j.file.Stat()
	if err != nil {
		return true
	}
	there, err := os.Lstat(path)
	if err != nil {
		return !isGone(err)
	}
	return os.SameFile(mine, there)
}

// add encodes an event; false where there is no room for it or it is none that
// a take holds.
func (j *journalFile) add(e analyse.Event) bool {
	j.seen = max(j.seen, e.Tick)
	if e.Kind == analyse.Advance {
		return true
	}
	if j.written+int64(len(j.Bytes)) >= maxJournal {
		j.full = true
	}
	if j.full || len(j.Bytes) >= maxPending {
		return false
	}
	ok := add(&j.TrackWriter, e)
	if ok {
		j.waiting++
		j.unmarked = true
	}
	return ok
}

// errFull is what a recording of some eight hours and more comes to.
var errFull = fmt.Errorf("the take has reached %d MiB, the most that one can hold", maxJournal>>20)

// flush writes what is waiting, with a watermark behind it. A write that fails
// half-way is taken up where it stopped.
func (j *journalFile) flush() error {
	if j.unmarked || j.seen > j.marked && len(j.Bytes) < maxPending {
		watermark(&j.TrackWriter, j.seen)
		j.marked, j.unmarked = j.seen, false
	}
	n, err := j.file.Write(j.Bytes)
	if n < len(j.Bytes) && err == nil {
		err = io.ErrShortWrite
	}
	j.written += int64(n)
	j.Bytes = append(j.Bytes[:0], j.Bytes[n:]...)
	j.failing = err != nil
	if err != nil {
		return err
	}
	j.waiting = 0
	if j.full {
		return errFull
	}
	return nil
}
