// Command shedlight listens to an improviser over MIDI and says, while they
// play and afterwards, how each note lies in the sixth-diminished scale of the
// moment. This package joins the rooms: it reads the flags, wires the listener
// to the analyser, the take and the screen, and is the only place that exits.
package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"
	"github.com/willabides/kongplete"

	"shedlight/analyse/crash"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen/sound"
)

// The exit codes of the contract at the door.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	// exitStopped is what a shell makes of INT: 128 and the number of the signal.
	exitStopped = 130
)

// program is what every subcommand needs of the world.
type program struct {
	in       *os.File
	out      *os.File
	messages io.Writer      // standard error as the program found it
	json     bool           // what goes wrong is told as JSON
	said     *settings.Call // who said what of the call

	start *display.Terminal // for the start screen; nil: there is none
}

// endings are the signals that ask the program to end.
func endings() []os.Signal {
	return []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT}
}

// untilSignal returns a context that is done when the program is asked to end. What
// does not end well by itself asks for it; everything else is just ended by a signal.
func untilSignal() (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), endings()...)
}

// say writes to standard error. Text from outside is made harmless, and ASCII where
// the locale has no other signs.
func (p *program) say(format string, args ...any) {
	for line := range strings.SplitSeq(fmt.Sprintf(format, args...), "\n") {
		line = display.Harmless(line)
		if !unicodeLocale() {
			line = display.ASCII(line)
		}
		fmt.Fprintln(p.messages, line)
	}
}

// fail says on standard error what went wrong: as a line, or as an object where JSON
// was asked for.
func (p *program) fail(format string, args ...any) {
	if p.json {
		_ = writeJSON(p.messages, errorJSON{Error: fmt.Sprintf(format, args...)}) // there is nowhere left to say that it failed
		return
	}
	p.say("shedlight: "+format, args...)
}

// commands is the command line.
type commands struct {
	Listen     listenCommand     `cmd:"" help:"Listen to an instrument or a MIDI file and judge what is played. Without flags: as last time."`
	Review     reviewCommand     `cmd:"" help:"Sum up takes, or any MIDI files."`
	Lag        lagCommand        `cmd:"" help:"Measure how late your notes come by themselves: sixteen on the click."`
	Demo       demoCommand       `cmd:"" help:"Hear a built-in take over a built-in chart."`
	Changes    changesCommand    `cmd:"" help:"Print a chart with its key centres and scales."`
	Expand     expandCommand     `cmd:"" help:"Move a chord up a scale, step by step: print its family."`
	Lines      linesCommand      `cmd:"" help:"Make lines from a chord: arpeggios of its family and pieces of its scale."`
	Etude      etudeCommand      `cmd:"" help:"Write an etude over a chart."`
	Settings   settingsCommand   `cmd:"" help:"List your settings and where each is from; the first time, write a file for them."`
	Ports      portsCommand      `cmd:"" help:"List MIDI inputs and outputs."`
	Completion completionCommand `cmd:"" help:"Print what makes your shell complete calls: bash, zsh or fish."`
	Help       helpCommand       `cmd:"" help:"Show a page of the manual: ${topics}."`
	Version    versionCommand    `cmd:"" help:"Print the version."`

	ShowVersion kong.VersionFlag `name:"version" short:"V" help:"Print the version."`
}

const about = `shedlight listens while you improvise with sixth-diminished scales. Called with
nothing at a terminal it shows what it would play over, and Enter begins.

Keep the volume safe for your ears, take breaks, and stop when something hurts:
ask a teacher or a clinician.`

func main() {
	if isSound() {
		keepCrashes()
		os.Exit(sound.Main(os.Args[2]))
	}
	p := &program{in: os.Stdin, out: os.Stdout, messages: os.Stderr}
	os.Exit(p.guarded(func() int { return p.run(os.Args[1:]) }))
}

// guarded returns the exit code of run, or tells a fault of ours as one.
func (p *program) guarded(run func() int) (code int) {
	defer crash.Guard(func(c *crash.Crash) { code = p.exitCode(c) })
	return run()
}

// isSound reports whether this process is to be the sound of a session, which has
// started it.
func isSound() bool { return len(os.Args) == 3 && os.Args[1] == sound.Argument }

// run is the whole program; it returns the exit code.
func (p *program) run(args []string) int {
	if p.start = p.startTerminal(args); p.start != nil {
		args = []string{"listen"}
	}
	call, code := p.parse(args)
	if call == nil {
		return code
	}
	return p.exitCode(p.carryOut(call))
}

// parse reads what was typed. Where it is no command, it says so; call is nil then, and
// code the exit code.
func (p *program) parse(args []string) (call *kong.Context, code int) {
	p.json = asksJSON(args)
	if err := noneEmpty(args); err != nil {
		return nil, p.exitCode(err)
	}
	var cli commands
	pages := &keptError{w: &foldedLines{w: p.out, cells: p.width()}}
	parser, err := kong.New(&cli, append(settings.Parsing(),
		kong.Name("shedlight"), kong.Description(about), kong.Bind(p),
		kong.Vars{"topics": strings.Join(topicNames(), ", "), "version": "shedlight " + version()},
		kong.Writers(pages, p.messages), kong.Help(p.helpPage), kong.Exit(func(int) { os.Exit(p.exitCode(pages.err)) }), // after a page of help
	)...)
	if err != nil {
		panic(err) // the command line above is wrong: no argument can cause it
	}
	kongplete.Complete(parser) // where a shell asks; it ends the program
	call, err = parser.Parse(helpArgs(args))
	if pages.err != nil {
		return nil, p.exitCode(pages.err)
	}
	var wrong usage.Error
	if errors.As(err, &wrong) {
		return nil, p.exitCode(wrong)
	}
	if err != nil {
		p.fail("%s. Try: %s", mistake(err), instead(err, parser.Model))
		return nil, exitUsage
	}
	return call, 0
}

// carryOut runs a command, with the player's settings under what was typed. Where
// nothing was, listen does as last time; with a start screen, after it was looked at there.
func (p *program) carryOut(call *kong.Context) error {
	p.said = settings.Called(call)
	command := call.Selected().Target.Addr().Interface()
	if _, repeats := command.(*listenCommand); repeats && p.said.Bare() {
		if typed := p.said.AsLastTime(); typed != nil && p.start == nil {
			p.say("as last time: shedlight listen %s", strings.Join(typed, " "))
		}
	}
	if p.said.Lasting() {
		file, err := settings.Read(call.Model)
		if err != nil {
			return err
		}
		check := func() error { return nil }
		if careful, is := command.(interface{ check() error }); is {
			check = careful.check
		}
		p.said.Under(file, check)
	}
	if p.start != nil {
		if play, err := p.ask(command.(*listenCommand)); !play || err != nil {
			return err
		}
	}
	return p.said.Blame(call.Run(p))
}

// noneEmpty refuses an empty word: it is what a shell makes of a variable that is not
// set, and names nothing.
func noneEmpty(args []string) error {
	for i, arg := range args {
		flag, value, given := strings.Cut(arg, "=")
		switch {
		case given && value == "" && strings.HasPrefix(flag, "--"):
			return usage.Errorf("%s is empty: give it a value, or leave it out", flag)
		case arg == "" && i > 0 && strings.HasPrefix(args[i-1], "--"):
			return usage.Errorf("%s is empty: give it a value, or leave it out", args[i-1])
		case arg == "":
			return usage.Errorf("an empty name: give one, or leave it out")
		}
	}
	return nil
}

// keptError keeps the first error of a writer.
type keptError struct {
	w   io.Writer
	err error
}

func (k *keptError) Write(b []byte) (int, error) {
	n, err := k.w.Write(b)
	k.err = cmp.Or(k.err, err)
	return n, err
}

// endOfLine is how the parser of the command line calls a value that is not there.
var endOfLine = regexp.MustCompile(`^(--\S+): expected .* but got "EOL" \(<EOL>\)$`)

// mistake is what the parser of the command line says of a call, in our words.
func mistake(err error) string {
	text := strings.TrimSuffix(err.Error(), "?")
	return endOfLine.ReplaceAllString(text, "$1: expected a value behind it")
}

// instead is what to call where a call was no command: the help of the one that was meant;
// for a flag without one the first command that has it, which is listen for all of a
// session's.
func instead(err error, model *kong.Application) string {
	var wrong *kong.ParseError
	if errors.As(err, &wrong) && wrong.Context.Selected() != nil {
		return "shedlight " + wrong.Context.Selected().Name + " --help"
	}
	flag, unknown := strings.CutPrefix(err.Error(), "unknown flag --")
	if unknown {
		flag, _, _ = strings.Cut(flag, ",") // behind it is one that is written alike
		for _, command := range model.Children {
			if slices.ContainsFunc(command.Flags, func(f *kong.Flag) bool { return f.Name == flag }) {
				return "shedlight " + command.Name + " --" + flag
			}
		}
	}
	return "shedlight --help"
}

// exitCode says what went wrong, if anything did, and returns the code for it.
func (p *program) exitCode(err error) int {
	var wrong usage.Error
	var failed *failedQuietly
	var early *stopped
	var fault *crash.Crash
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &fault):
		p.crashed(err, fault)
		return exitFailed
	case errors.As(err, &early):
		return exitStopped
	case errors.As(err, &failed):
		return exitFailed
	case errors.As(err, &wrong):
		p.fail("%v", err)
		return exitUsage
	default:
		p.fail("%v", err)
		return exitFailed
	}
}

// failedQuietly ends the program with exit 1 after everything has been said.
type failedQuietly struct{}

func (*failedQuietly) Error() string { return "failed" }

// stopped ends the program after it was asked to end before it was done, and has
// said how far it came.
type stopped struct{}

func (*stopped) Error() string { return "stopped" }

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
