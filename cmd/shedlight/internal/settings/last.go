package settings

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"shedlight/cmd/shedlight/internal/library"
	"strconv"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/google/renameio/v2/maybe"
)

// lastFile is where the settings of the last session are kept, under the user's
// state folder.
const lastFile = "shedlight/last.json"

// IsBare reports whether a command was called without any flag. As everywhere in
// this file, command points to the struct that declares its settings.
func IsBare(command any) bool {
	return reflect.DeepEqual(command, bareOf(command))
}

// bareOf returns a command of the same type as it is without any flag.
func bareOf(command any) any {
	bare := reflect.New(reflect.TypeOf(command).Elem()).Interface()
	if _, err := parser(bare).Parse(nil); err != nil {
		panic(err) // the command line is wrong: no argument can cause it
	}
	return bare
}

func parser(command any) *kong.Kong {
	k, err := kong.New(command, append(Parsing(), kong.NoDefaultHelp())...)
	if err != nil {
		panic(err) // the command line is wrong: no argument can cause it
	}
	return k
}

// Remember keeps the settings of a command for the next bare call, but for those
// that hold for one call. It is a convenience: where they cannot be kept nothing
// is said.
func Remember(command any) {
	path, err := xdg.StateFile(lastFile)
	if err != nil {
		return
	}
	kept := reflect.New(reflect.TypeOf(command).Elem())
	kept.Elem().Set(reflect.ValueOf(command).Elem())
	bare := parser(bareOf(command)).Model.Flags
	for i, flag := range parser(kept.Interface()).Model.Flags {
		switch flag.Tag.Get("last") {
		case "-":
			flag.Target.Set(bare[i].Target)
		case "file":
			flag.Target.SetString(wholePath(flag.Target.String()))
		case "chart":
			if path := library.Path(flag.Target.String()); path != "" {
				flag.Target.SetString(path)
			}
		case "folder":
			if whole, err := filepath.Abs(flag.Target.String()); err == nil && flag.Target.String() != "" {
				flag.Target.SetString(whole)
			}
		}
	}
	text, err := json.Marshal(kept.Interface())
	if err != nil {
		return
	}
	_ = maybe.WriteFile(path, text, 0o600)
}

// wholePath returns the whole path of a file; a name that is no file's (a port, a
// built-in chart, none) stays as it is.
func wholePath(name string) string {
	if _, err := os.Stat(name); err != nil {
		return name
	}
	whole, err := filepath.Abs(name)
	if err != nil {
		return name
	}
	return whole
}

// AsLastTime fills a bare call with the settings of the last session, if any, and
// returns the flags that it was filled with, as they are typed.
func AsLastTime(command any) (typed []string) {
	text, err := os.ReadFile(filepath.Join(xdg.StateHome, lastFile))
	if err != nil {
		return nil
	}
	last := bareOf(command)
	if json.Unmarshal(text, last) != nil || IsBare(last) {
		return nil
	}
	reflect.ValueOf(command).Elem().Set(reflect.ValueOf(last).Elem())
	return Typed(command)
}

// Typed returns the flags in which a command differs from a bare one, as they are
// typed.
func Typed(command any) (words []string) {
	bare := parser(bareOf(command)).Model.Flags
	for i, flag := range parser(command).Model.Flags {
		value := flag.Target
		switch {
		case reflect.DeepEqual(value.Interface(), bare[i].Target.Interface()):
		case value.Kind() == reflect.Bool:
			words = append(words, "--"+flag.Name)
		case value.Kind() == reflect.Slice:
			for n := range value.Len() {
				words = append(words, typed(flag.Name, value.Index(n)))
			}
		default:
			words = append(words, typed(flag.Name, value))
		}
	}
	return words
}

func typed(flag string, value reflect.Value) string {
	return "--" + flag + " " + strconv.Quote(fmt.Sprint(reflect.Indirect(value).Interface()))
}
