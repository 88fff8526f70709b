// Command shedlight listens to an improviser over MIDI and says, while they
// play and afterwards, how each note lies in the sixth-diminished scale of the
// moment. This package joins the rooms: it reads the flags, wires the listener
// to the analyser, the take and the screen, and is the only place that exits.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen/sound"
)

// The exit codes of the contract at the door.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2
	exitStopped = 130
)

// program is what every subcommand needs of the world.
type program struct {
	in       *os.File
	out      *os.File
	messages io.Writer // standard error as the program found it
}

// untilSignal returns a context that is done on INT, TERM and HUP. What does not
// end well by itself asks for it; everything else is just ended by a signal.
func untilSignal() (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP)
}

// say writes to standard error. Text from outside is made harmless.
func (p *program) say(format string, args ...any) {
	for line := range strings.SplitSeq(fmt.Sprintf(format, args...), "\n") {
		fmt.Fprintln(p.messages, display.Harmless(line))
	}
}

// commands is the command line.
type commands struct {
	Listen  listenCommand  `cmd:"" help:"Listen to an instrument or a MIDI file and judge what is played. Without flags: as last time."`
	Review  reviewCommand  `cmd:"" help:"Sum up takes, or any MIDI files."`
	Lag     lagCommand     `cmd:"" help:"Measure how late your notes come by themselves: sixteen on the click."`
	Demo    demoCommand    `cmd:"" help:"Hear a built-in take over a built-in chart."`
	Changes changesCommand `cmd:"" help:"Print a chart with its key centres and scales."`
	Expand  expandCommand  `cmd:"" help:"Move a chord up a scale, step by step: print its family."`
	Ports   portsCommand   `cmd:"" help:"List MIDI inputs and outputs."`
	Help    helpCommand    `cmd:"" help:"Show a page of the manual: ${topics}."`
	Version versionCommand `cmd:"" help:"Print the version."`
}

const about = `shedlight listens while you improvise with sixth-diminished scales.

Keep the volume safe for your ears, take breaks, and stop when something hurts:
ask a teacher or a clinician.`

func main() {
	if isSound() {
		os.Exit(sound.Main(os.Args[2]))
	}
	p := &program{in: os.Stdin, out: os.Stdout, messages: os.Stderr}
	os.Exit(p.run(os.Args[1:]))
}

// isSound reports whether this process is to be the sound of a session, which has
// started it.
func isSound() bool { return len(os.Args) == 3 && os.Args[1] == sound.Argument }

// run is the whole program; it returns the exit code.
func (p *program) run(args []string) int {
	var cli commands
	parser, err := kong.New(&cli, append(settings.Parsing(),
		kong.Name("shedlight"), kong.Description(about), kong.Bind(p),
		kong.Vars{"topics": strings.Join(topicNames(), ", ")},
	)...)
	if err != nil {
		panic(err) // the command line above is wrong: no argument can cause it
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	call, err := parser.Parse(args)
	var wrong usage.Error
	if errors.As(err, &wrong) {
		return p.exitCode(wrong)
	}
	if err != nil {
		p.say("shedlight: %v. Try: shedlight --help", err)
		return exitUsage
	}
	return p.exitCode(call.Run(p))
}

// exitCode says what went wrong, if anything did, and returns the code for it.
func (p *program) exitCode(err error) int {
	var wrong usage.Error
	var failed *failedQuietly
	var cut stopped
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &failed):
		return exitFailed
	case errors.As(err, &cut):
		return exitStopped
	case errors.As(err, &wrong):
		p.say("shedlight: %v", err)
		return exitUsage
	default:
		p.say("shedlight: %v", err)
		return exitFailed
	}
}

// failedQuietly ends the program with exit 1 after everything has been said.
type failedQuietly struct{}

func (*failedQuietly) Error() string { return "failed" }

// stopped ends the program with exit 130: a signal came before it was done.
type stopped struct{}

func (stopped) Error() string { return "stopped" }

// versionCommand prints what was built.
type versionCommand struct{}

func (versionCommand) Run(p *program) error {
	_, err := fmt.Fprintln(p.out, "shedlight "+version())
	return err
}

func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}
