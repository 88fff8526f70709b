package settings

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/display"
)

// Setting is what is in force of one that has a line in the file.
type Setting struct {
	Name  string   // its flag's
	Value []string // as it is typed; none where nothing stands for what is built in
	From  Source   // InFile or BuiltIn
	Line  int      // in the file; 0: it is not there
	Last  []string // what a bare call takes instead, as last time; none: the same
}

// List returns every setting, in the order of Flags. command is the one whose bare
// call does as last time.
func List(program *kong.Application, file *File, command string) (all []Setting) {
	repeats := program.Children[slices.IndexFunc(program.Children, func(n *kong.Node) bool { return n.Name == command })]
	kept := lastTime()
	for _, flag := range Flags(program) {
		one := Setting{Name: flag.Name, Value: builtIn(flag)}
		if line, is := file.lines[flag.Name]; is {
			one.Value, one.From, one.Line = line.words, InFile, line.number
		}
		if value, is := again(flag, kept); is && slices.Contains(repeats.Flags, flag) {
			one.Last = wordsIn(value)
		}
		all = append(all, one)
	}
	return all
}

// builtIn returns the words that stand for what is built in, if any do: the default,
// the first choice, off, or nought.
func builtIn(flag *kong.Flag) []string {
	switch zero := reflect.Zero(flag.Target.Type()); {
	case flag.Default != "":
		return []string{flag.Default}
	case flag.Enum != "":
		return choices(flag)[:1]
	case flag.IsBool():
		return []string{"false"}
	case flag.Tag.Get("from") == "0" && zero.CanUint():
		return []string{"0"}
	}
	return nil
}

// commentCells is how wide the comments in the file are.
const commentCells = 78

// fileHead is what the file begins with.
const fileHead = `# The settings of shedlight, each a line. One that begins with # says nothing:
# take the # away and say what you want. What you type wins, then what a take
# was played under, then (in a bare "shedlight listen") what you typed the last
# time, then what stands here, then what is built in. "shedlight settings" lists
# what is in force; "shedlight help settings" says more.
`

// Commented is a file of settings that says nothing yet: every setting with what it is
// for.
func Commented(program *kong.Application) []byte {
	text := strings.Builder{}
	text.WriteString(fileHead)
	for _, flag := range Flags(program) {
		const mark = "# "
		help := display.Fold(flag.Help, commentCells-len(mark))
		fmt.Fprintf(&text, "\n%s%s\n#%s = %s\n", mark, strings.ReplaceAll(help, "\n", "\n"+mark), flag.Name, example(flag))
	}
	return []byte(text.String())
}

// example is what stands behind a setting in the file: what is built in, or what its
// flag's help calls it.
func example(flag *kong.Flag) string {
	word := flag.PlaceHolder
	if built := builtIn(flag); built != nil {
		word = built[0]
	}
	switch {
	case flag.IsSlice():
		return "[" + strconv.Quote(word) + "]"
	case flag.IsBool(), flag.Tag.Has("from"): // a number
		return word
	}
	return strconv.Quote(word)
}
