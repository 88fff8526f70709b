//go:build jack

package jacktest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gofrs/flock"

	"shedlight/listen/internal/driver"
)

const (
	// Rate and Period are what the servers run at: a period is 5.3 ms.
	Rate   = 48000
	Period = 256 * time.Second / Rate

	startLimit = 10 * time.Second
	stopLimit  = 15 * time.Second // jackd gives a client that died 5 s
	names      = 8                // a machine runs no more servers
	pollEvery  = 10 * time.Millisecond
	logShown   = 1000 // bytes
)

// Server is a JACK server that belongs to a test.
type Server struct {
	Name    string
	t       testing.TB
	urgent  bool // its threads go before all others
	loose   bool // it waits for no client
	command *exec.Cmd
	log     string
}

// Start starts a server with a name of its own and points this process, and
// those it starts, to it. It ends with the test.
func Start(t testing.TB) *Server {
	t.Helper()
	return start(&Server{t: t})
}

// StartLoose starts a server that waits for no client, as players do: one that dies
// holds nobody up, for which the others have five seconds. What a busy machine plays
// too late is lost on it, so its threads go before all others, as StartUrgent's do.
func StartLoose(t testing.TB) *Server {
	t.Helper()
	return start(&Server{t: t, loose: true, urgent: true})
}

// StartUrgent starts a server whose threads, and its clients' audio threads, go
// before all others, as on a player's machine: for what is timed, where the tests
// share a busy machine. Where the system does not allow it the server goes on
// without.
func StartUrgent(t testing.TB) *Server {
	t.Helper()
	return start(&Server{t: t, urgent: true})
}

func start(s *Server) *Server {
	t := s.t
	t.Helper()
	if !driver.Compiled(driver.JACK) {
		t.Fatal(`this test needs a build that speaks JACK: CGO_CXXFLAGS="-O2 -D__UNIX_JACK__" CGO_LDFLAGS=-ljack`)
	}
	s.Name = reserve(t)
	s.log = filepath.Join(t.TempDir(), "jackd.log")
	t.Setenv("JACK_DEFAULT_SERVER", s.Name)
	t.Cleanup(func() {
		s.Stop()
		if text, err := os.ReadFile(s.log); err == nil && t.Failed() {
			t.Logf("the end of what jackd said:\n%s", text[max(0, len(text)-logShown):])
		}
	})
	s.Run()
	return s
}

// reserve finds a name that no other test uses. The names are few and the same
// from run to run, because JACK keeps the name of a server that was killed, has
// room for eight, and takes one back only for a server with the same name.
func reserve(t testing.TB) string {
	t.Helper()
	for n := range names {
		name := fmt.Sprintf("shedlight-test-%d", n)
		lock := flock.New(filepath.Join(os.TempDir(), name+".lock"))
		got, err := lock.TryLock()
		if err != nil {
			t.Fatal(err)
		}
		if got && driver.JACKServer(name) == "" {
			t.Cleanup(func() {
				if err := lock.Unlock(); err != nil {
					t.Error(err)
				}
			})
			return name
		}
	}
	t.Fatalf("%d tests with a JACK server run already", names)
	return ""
}

// Run starts the server again after a Stop or a Kill.
func (s *Server) Run() {
	s.t.Helper()
	log, err := os.OpenFile(s.log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		s.t.Fatal(err)
	}
	defer log.Close()
	// -S: the server waits for its clients. Without it a busy machine makes the
	// server itself drop what was played.
	priority := "-r"
	if s.urgent {
		priority = "-R"
	}
	args := []string{priority}
	if !s.loose {
		args = append(args, "-S")
	}
	s.command = exec.Command("jackd", append(args, "-n", s.Name, "-d", "dummy", "-r", fmt.Sprint(Rate), "-p", "256")...)
	s.command.Stdout, s.command.Stderr = log, log
	// A test that is killed must not leave a server behind.
	s.command.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGTERM}
	if err := s.command.Start(); err != nil {
		s.t.Fatalf("jackd, of the Debian package jackd2: %v", err)
	}
	Until(s.t, startLimit, "jackd listens", func() bool { return driver.JACKServer(s.Name) != "" })
}

// Hang stops the server where it stands; it goes on with Stop or Kill alone.
func (s *Server) Hang() {
	s.t.Helper()
	if err := s.command.Process.Signal(syscall.SIGSTOP); err != nil {
		s.t.Fatal(err)
	}
}

// Stop ends the server as a user would.
func (s *Server) Stop() { s.end(syscall.SIGTERM) }

// Kill ends the server without a chance to tidy up.
func (s *Server) Kill() { s.end(syscall.SIGKILL) }

func (s *Server) end(signal syscall.Signal) {
	if s.command == nil {
		return
	}
	end(s.t, s.command, signal)
	s.command = nil
}

// end signals a process that we started and waits for it.
func end(t testing.TB, command *exec.Cmd, signal syscall.Signal) {
	if err := command.Process.Signal(signal); err != nil {
		t.Logf("%s: %v", command.Path, err)
	}
	await(t, command)
}

// await waits for a process that was told to end, and ends it if it does not.
func await(t testing.TB, command *exec.Cmd) {
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = command.Wait() // how it ended is known: because we said so
	}()
	select {
	case <-ended:
	case <-time.After(stopLimit):
		if err := command.Process.Kill(); err != nil {
			t.Logf("%s: %v", command.Path, err)
		}
		<-ended
	}
}

// Until waits for a condition and returns how long that took. The test fails if
// it is not there within the limit.
func Until(t testing.TB, limit time.Duration, what string, met func() bool) time.Duration {
	t.Helper()
	begun := time.Now()
	ticker := time.NewTicker(pollEvery)
	defer ticker.Stop()
	for !met() {
		if time.Since(begun) > limit {
			t.Fatalf("waited %v in vain: %s", limit, what)
		}
		<-ticker.C
	}
	return time.Since(begun)
}

// Connected returns what a patch bay shows at the other end of a port's cables.
func (s *Server) Connected(port string) (others []string) {
	s.t.Helper()
	for line := range strings.Lines(s.patch("jack_lsp", "-c", port)) {
		if other, found := strings.CutPrefix(strings.TrimRight(line, "\n"), "   "); found {
			others = append(others, other)
		}
	}
	return others
}

// Connect puts a cable in, as in a patch bay.
func (s *Server) Connect(from, to string) {
	s.t.Helper()
	s.patch("jack_connect", from, to)
}

// Disconnect pulls the cable.
func (s *Server) Disconnect(from, to string) {
	s.t.Helper()
	s.patch("jack_disconnect", from, to)
}

func (s *Server) patch(program string, args ...string) string {
	s.t.Helper()
	out, err := exec.Command(program, args...).Output()
	if err != nil {
		s.t.Fatalf("%s %q, of the Debian package jackd2: %v", program, args, err)
	}
	return string(out)
}
