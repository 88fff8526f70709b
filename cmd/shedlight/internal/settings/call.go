package settings

import (
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen/take"
)

// Source is who said the value of a setting.
type Source int

// The sources, the weakest first.
const (
	BuiltIn Source = iota
	InFile
	LastTime
	OnLine // it was typed
)

// Call is a command as it was called: who said each of its settings. What is laid
// under it is written into the command itself. A nil call is one in which
// everything was typed.
type Call struct {
	settings []said
	file     *File        // that was laid under it
	check    func() error // of what goes together
}

// said is a setting of a call.
type said struct {
	flag  *kong.Flag
	field []int         // of the command
	bare  reflect.Value // what is built in; of one that was typed, that
	from  Source
	line  int  // in the file
	left  bool // it was taken back: the file does not say it again
}

// Called returns who said what in a call that was parsed.
func Called(parsed *kong.Context) *Call {
	node := parsed.Selected()
	if node == nil {
		node = parsed.Model.Node
	}
	c := &Call{}
	for _, flag := range node.Flags {
		one := said{flag: flag, field: fieldOf(node.Target, flag.Target), bare: reflect.ValueOf(flag.Target.Interface())}
		if slices.ContainsFunc(parsed.Path, func(p *kong.Path) bool { return p.Flag == flag }) {
			one.from = OnLine
		}
		c.settings = append(c.settings, one)
	}
	return c
}

// fieldOf returns where a value is in a struct, or in one that is embedded there.
func fieldOf(in, value reflect.Value) []int {
	for i := range in.NumField() {
		switch field := in.Field(i); {
		case field.Type() == value.Type() && field.Addr().Pointer() == value.Addr().Pointer():
			return []int{i}
		case in.Type().Field(i).Anonymous:
			if rest := fieldOf(field, value); rest != nil {
				return append([]int{i}, rest...)
			}
		}
	}
	return nil
}

// Bare reports whether nothing was said beside the command's name.
func (c *Call) Bare() bool {
	return !slices.ContainsFunc(c.settings, func(one said) bool { return one.from != BuiltIn })
}

// Lasting reports whether the command has a setting with a line in the file.
func (c *Call) Lasting() bool {
	return slices.ContainsFunc(c.settings, func(one said) bool { return one.flag.Tag.Get("settings") != perCall })
}

// Say says a setting, by the name of its flag, as if it were typed behind that. The
// error is what the flag says of words that are not fit for it; then nothing changes.
func (c *Call) Say(name string, words ...string) error {
	one := c.named(name)
	value := reflect.New(one.flag.Target.Type()).Elem()
	if err := (line{words: words}).into(one.flag, value); err != nil {
		return err
	}
	one.flag.Target.Set(value)
	one.from, one.left = OnLine, false
	return nil
}

// Unsay takes back what was said of settings, wherever that was.
func (c *Call) Unsay(names ...string) {
	for _, name := range names {
		one := c.named(name)
		one.flag.Target.Set(one.bare)
		one.from, one.left = BuiltIn, true
	}
}

// UnderAnew lays the file under the call once more, now that something else was said:
// what did not go with that before may do so now.
func (c *Call) UnderAnew() {
	for i := range c.settings {
		if one := &c.settings[i]; one.from == InFile {
			one.flag.Target.Set(one.bare)
			one.from = BuiltIn
		}
	}
	c.Under(c.file, c.check)
}

// Said returns who said a setting, and its value as it is typed.
func (c *Call) Said(name string) (words []string, from Source) {
	one := c.named(name)
	return wordsIn(one.flag.Target), one.from
}

// named returns a setting by the name of its flag, which the command has.
func (c *Call) named(name string) *said {
	return &c.settings[slices.IndexFunc(c.settings, func(one said) bool { return one.flag.Name == name })]
}

// from returns who said a setting, by the name of its flag.
func (c *Call) from(name string) Source {
	for _, one := range c.settings {
		if one.flag.Name == name {
			return one.from
		}
	}
	return BuiltIn
}

// Under lays what the file says under what was said. check refuses what does not go
// together: of the file's settings each stays away that does not go with what is
// there already.
func (c *Call) Under(file *File, check func() error) {
	wrong := check() // maybe for want of something that the file says
	c.file, c.check = file, check
	for i := range c.settings {
		one := &c.settings[i]
		line, says := file.lines[one.flag.Name]
		if !says || one.left || one.from != BuiltIn || one.flag.Tag.Get("settings") == perCall || c.givesWay(one) {
			continue
		}
		if err := line.into(one.flag, one.flag.Target); err != nil {
			panic(err) // it was read when the file was
		}
		with := check()
		if with != nil && wrong == nil {
			one.flag.Target.Set(one.bare)
			continue
		}
		wrong = with
		one.from, one.line = InFile, line.number
	}
}

// The values of the settings tag.
const (
	perCall = "-"
	live    = "live"
	beside  = "of:"
)

// givesWay reports whether a setting belongs to another that was said elsewhere.
func (c *Call) givesWay(one *said) bool {
	owners, is := strings.CutPrefix(one.flag.Tag.Get("settings"), beside)
	return is && slices.ContainsFunc(strings.Split(owners, ","), func(name string) bool { return c.from(name) > InFile })
}

// OverFile takes back, in a copy of the command, what the file of settings has to leave
// to a MIDI file that is played or reviewed: what it was played over and on, and where
// it is a take of ours all that a take holds, for there its silence says something too.
func (c *Call) OverFile(command any, ours bool) {
	if c == nil {
		return
	}
	for _, one := range c.settings {
		tag := one.flag.Tag.Get("settings")
		ofThePlaying := tag == live || strings.HasPrefix(tag, beside)
		if one.from == InFile && (ofThePlaying || ours && one.flag.Tag.Has("take")) {
			reflect.ValueOf(command).Elem().FieldByIndex(one.field).Set(one.bare)
		}
	}
}

// Silence returns what a take says, but for what was typed to be nothing in the
// command: --gate 0, --top=false. Where nothing was it returns s.
func (c *Call) Silence(command any, s *take.Settings) *take.Settings {
	if c == nil || s == nil {
		return s
	}
	left := *s
	for _, one := range c.settings {
		field, how, _ := strings.Cut(one.flag.Tag.Get("take"), ",")
		if field == "" || field == "-" || how == "done" || one.from < LastTime {
			continue
		}
		if reflect.ValueOf(command).Elem().FieldByIndex(one.field).IsZero() {
			reflect.ValueOf(&left).Elem().FieldByName(field).SetZero()
		}
	}
	if reflect.DeepEqual(left, *s) {
		return s
	}
	return &left
}

// flagNamed is how a mistake begins that names its flag.
var flagNamed = regexp.MustCompile(`^--([a-z]+(?:-[a-z]+)*)`)

// Blame returns an error with the line of the file in front, where it is about what
// that says.
func (c *Call) Blame(err error) error {
	var wrong usage.Error
	if !errors.As(err, &wrong) {
		return err
	}
	text := strings.TrimPrefix(err.Error(), "--")
	name := ""
	var missing *library.NotFound
	if named := flagNamed.FindStringSubmatch(err.Error()); named != nil {
		name = named[1]
	} else if errors.As(err, &missing) {
		name, text = "chart", "chart: "+text
	}
	for _, one := range c.settings {
		if one.flag.Name == name && one.from == InFile {
			return usage.Errorf("%s", atLine(c.file.Path, one.line, text))
		}
	}
	return err
}

// atLine puts the place in a file in front of a text.
func atLine(path string, line int, text string) string {
	return fmt.Sprintf("%s:%d: %s", path, line, text)
}
