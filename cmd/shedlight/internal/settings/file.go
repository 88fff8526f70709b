package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/pelletier/go-toml/v2"

	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen/disk"
)

// maxFileBytes is how long a file of settings may be: far more than anybody writes.
const maxFileBytes = 1 << 20

// FilePath is where the player's settings are.
func FilePath() string { return filepath.Join(xdg.ConfigHome, "shedlight", "config.toml") }

// File is what the player's settings say: TOML, a line for each flag by its name.
type File struct {
	Path  string
	There bool // false: it says nothing because there is none
	lines map[string]line
}

// line is one setting in the file.
type line struct {
	number int      // from 1
	words  []string // as they are typed behind the flag
}

// Flags returns the flags of all commands that have a line in the file, each name
// once, in the order in which they are declared.
func Flags(program *kong.Application) (flags []*kong.Flag) {
	for _, command := range program.Children {
		for _, flag := range command.Flags {
			known := slices.ContainsFunc(flags, func(f *kong.Flag) bool { return f.Name == flag.Name })
			if !known && flag.Tag.Get("settings") != perCall {
				flags = append(flags, flag)
			}
		}
	}
	return flags
}

// Read reads the file, if there is one. The error is a usage.Error with the line where
// it is no TOML, where nothing is called so, and where a value is not fit for its flag.
func Read(program *kong.Application) (*File, error) {
	f := &File{Path: FilePath(), lines: map[string]line{}}
	text, err := disk.Read(f.Path, maxFileBytes)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR):
		return f, nil
	case err != nil:
		return nil, err
	case len(text) > maxFileBytes:
		return nil, fmt.Errorf("%s: longer than %d bytes", f.Path, maxFileBytes)
	}
	f.There = true
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // as some editors begin a file
	values := map[string]any{}
	if err := toml.Unmarshal(text, &values); err != nil {
		return nil, f.wrong(err)
	}
	flags := Flags(program)
	for _, key := range keys(text) {
		name := strings.Join(key.Key(), ".")
		number, _ := key.Position()
		at := slices.IndexFunc(flags, func(flag *kong.Flag) bool { return flag.Name == name })
		if at < 0 {
			return nil, usage.Errorf("%s", atLine(f.Path, number, "there is no setting "+name))
		}
		one := line{number: number}
		if one.words, err = wordsOf(values[name], flags[at]); err == nil {
			err = one.into(flags[at], reflect.New(flags[at].Target.Type()).Elem())
		}
		if err != nil {
			return nil, usage.Errorf("%s", atLine(f.Path, number, strings.TrimPrefix(err.Error(), "--")))
		}
		f.lines[name] = one
	}
	return f, nil
}

// keys returns what a text sets, with the place of each, which a map does not hold:
// where nothing is known, all of it is strange.
func keys(text []byte) []toml.DecodeError {
	decoder := toml.NewDecoder(bytes.NewReader(text))
	var strange *toml.StrictMissingError
	if !errors.As(decoder.DisallowUnknownFields().Decode(&struct{}{}), &strange) {
		return nil
	}
	return strange.Errors
}

// wrong says what is no TOML, and where.
func (f *File) wrong(err error) error {
	var wrong *toml.DecodeError
	if !errors.As(err, &wrong) {
		return err
	}
	number, _ := wrong.Position()
	return usage.Errorf("%s", atLine(f.Path, number, strings.TrimPrefix(wrong.Error(), "toml: ")))
}

// wordsOf returns a value as it is typed behind a flag.
func wordsOf(value any, flag *kong.Flag) (words []string, err error) {
	list, is := value.([]any)
	if !is {
		list = []any{value}
	}
	for _, one := range list {
		word := ""
		switch one := one.(type) {
		case string:
			word = one
		case int64:
			word = strconv.FormatInt(one, 10)
		case float64:
			word = strconv.FormatFloat(one, 'f', -1, 64)
		case bool:
			word = strconv.FormatBool(one)
		default:
			return nil, usage.Errorf("%s: expected a value, or a list of values", flag.Name)
		}
		if word == "" {
			return nil, usage.Errorf("%s is empty: give it a value, or leave the line out", flag.Name)
		}
		words = append(words, word)
	}
	switch {
	case !is || flag.IsSlice():
		return words, nil
	case len(words) == 0:
		return nil, usage.Errorf("%s is empty: give it a value, or leave the line out", flag.Name)
	}
	return []string{strings.Join(words, ",")}, nil // channels, as they are typed
}

// into reads the words of a line as they are read behind its flag.
func (l line) into(flag *kong.Flag, target reflect.Value) error {
	for _, word := range l.words {
		if flag.IsBool() && word != "true" && word != "false" {
			return usage.Errorf("--%s %s: expected true or false", flag.Name, word)
		}
		if flag.Enum != "" && !flag.EnumMap()[word] {
			return usage.Errorf("--%s %s: expected one of %s", flag.Name, word, strings.Join(choices(flag), ", "))
		}
		err := flag.Parse(kong.ScanFromTokens(kong.Token{Type: kong.FlagValueToken, Value: word}), target)
		var wrong usage.Error
		if errors.As(err, &wrong) {
			return wrong
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// choices are the words that a flag takes.
func choices(flag *kong.Flag) []string {
	return slices.DeleteFunc(flag.EnumSlice(), func(word string) bool { return word == "" })
}
