//go:build jack

package jacktest

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"
)

// senderVariable holds the client name in the environment of a test binary that
// is to be a player.
const senderVariable = "SHEDLIGHT_TEST_SENDER"

// Main runs the tests, or the player if this process is to be one.
func Main(m *testing.M) {
	Player()
	os.Exit(m.Run())
}

// Player is for a TestMain that does more than Main: it is called first, and
// does not return in a process that is to be a player.
func Player() {
	client, ok := os.LookupEnv(senderVariable)
	if !ok {
		return
	}
	if err := serve(client, os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "sender:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

// Message is a MIDI message and how long after the one before it is sent.
type Message struct {
	After time.Duration
	Bytes []byte
}

// Sender is a player: a process of its own with the JACK port Port.
type Sender struct {
	Port    string // client:out
	t       testing.TB
	command *exec.Cmd
	in      io.WriteCloser
	orders  *json.Encoder
	reports *json.Decoder
}

// order is what a player is told to do; report what it did.
type order struct {
	Messages  []Message
	PerSecond int // for a flood, which repeats Messages
	For       time.Duration
}

type report struct {
	Sent  int
	Times []time.Duration // after the first, of messages that are no flood
}

// NewSender starts a player. It ends with the test at the latest.
func NewSender(t testing.TB, client string) *Sender {
	t.Helper()
	binary, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	s := &Sender{Port: client + ":" + outputPort, t: t}
	s.command = exec.Command(binary)
	s.command.Env = append(os.Environ(), senderVariable+"="+client)
	s.command.Stderr = io.Discard // libjack talks
	if s.in, err = s.command.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := s.command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	s.orders, s.reports = json.NewEncoder(s.in), json.NewDecoder(out)
	if err := s.command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Vanish)
	s.read() // it is there
	return s
}

// Play sends messages and returns when each was handed to the driver, after the
// first.
func (s *Sender) Play(messages ...Message) []time.Duration {
	s.t.Helper()
	return s.do(order{Messages: messages}).Times
}

// Flood repeats messages at a rate, in bursts of a millisecond, for a time. It
// returns how many it sent.
func (s *Sender) Flood(perSecond int, d time.Duration, messages ...Message) int {
	s.t.Helper()
	return s.do(order{Messages: messages, PerSecond: perSecond, For: d}).Sent
}

// Vanish takes the player's port away, as a pulled cable does.
func (s *Sender) Vanish() {
	if s.command == nil {
		return
	}
	if err := s.in.Close(); err != nil { // the player ends with its orders
		s.t.Log(err)
	}
	await(s.t, s.command)
	s.command = nil
}

// Kill ends the player without a chance to tidy up.
func (s *Sender) Kill() {
	if s.command == nil {
		return
	}
	end(s.t, s.command, syscall.SIGKILL)
	s.command = nil
}

func (s *Sender) do(o order) report {
	s.t.Helper()
	if err := s.orders.Encode(o); err != nil {
		s.t.Fatal(err)
	}
	return s.read()
}

func (s *Sender) read() (r report) {
	s.t.Helper()
	if err := s.reports.Decode(&r); err != nil {
		s.t.Fatalf("the sender is gone: %v", err)
	}
	return r
}

// serve is the player's side.
func serve(client string, in io.Reader, out io.Writer) error {
	port, err := openOutput(client)
	if err != nil {
		return err
	}
	defer port.close()
	if err := port.activate(); err != nil {
		return err
	}
	orders, reports := json.NewDecoder(in), json.NewEncoder(out)
	if err := reports.Encode(report{}); err != nil {
		return err
	}
	for {
		var o order
		if err := orders.Decode(&o); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		r, err := o.run(port)
		if err != nil {
			return err
		}
		if err := reports.Encode(r); err != nil {
			return err
		}
	}
}

func (o order) run(port *output) (r report, err error) {
	if o.PerSecond > 0 {
		return o.flood(port)
	}
	due := time.Now()
	var first time.Time
	for _, m := range o.Messages {
		due = due.Add(m.After)
		<-time.After(time.Until(due))
		if first.IsZero() {
			first = time.Now()
		}
		r.Times = append(r.Times, time.Since(first))
		if err := port.send(m.Bytes); err != nil {
			return r, err
		}
		r.Sent++
	}
	return r, nil
}

func (o order) flood(port *output) (r report, err error) {
	ticker := time.NewTicker(time.Millisecond)
	defer ticker.Stop()
	begun := time.Now()
	for since := time.Duration(0); since < o.For; since = time.Since(begun) {
		for r.Sent < int(since.Seconds()*float64(o.PerSecond)) {
			if err := port.send(o.Messages[r.Sent%len(o.Messages)].Bytes); err != nil {
				return r, err
			}
			r.Sent++
		}
		<-ticker.C
	}
	return r, nil
}
