package settings

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strconv"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/google/renameio/v2/maybe"

	"shedlight/cmd/shedlight/internal/library"
	"shedlight/listen/disk"
)

// lastFile is where it is kept what was said in the last session, under the user's
// state folder: an object with the flags that were typed, by their names. What only
// the file of settings said is not in it: that is read again.
const lastFile = "shedlight/last.json"

// Remember keeps what was said of a command for the next bare call, but for what
// holds for one call. It is a convenience: where it cannot be kept nothing is said.
func (c *Call) Remember() {
	path, err := xdg.StateFile(lastFile)
	if err != nil {
		return
	}
	kept := map[string]any{}
	for _, one := range c.settings {
		if how := one.flag.Tag.Get("last"); one.from >= LastTime && how != "-" {
			kept[one.flag.Name] = whole(one.flag.Target, how)
		}
	}
	text, err := json.Marshal(kept)
	if err != nil {
		return
	}
	_ = maybe.WriteFile(path, text, 0o600)
}

// whole returns a value as it is repeated; what is named in a folder is named by its
// whole path.
func whole(value reflect.Value, how string) any {
	switch how {
	case "file":
		return wholePath(value.String())
	case "chart":
		if path := library.Path(value.String()); path != "" {
			return path
		}
	case "folder":
		if path, err := filepath.Abs(value.String()); err == nil {
			return path
		}
	}
	return value.Interface()
}

// wholePath returns the whole path of a file; a name that is no file's (a port, a
// built-in chart, none) stays as it is.
func wholePath(name string) string {
	if _, err := os.Stat(name); err != nil {
		return name
	}
	path, err := filepath.Abs(name)
	if err != nil {
		return name
	}
	return path
}

// lastTime reads what was said in the last session, by the names of flags. What
// cannot be read counts as nothing: it can be typed again.
func lastTime() (kept map[string]json.RawMessage) {
	text, err := disk.Read(filepath.Join(xdg.StateHome, lastFile), maxFileBytes)
	if err != nil || json.Unmarshal(text, &kept) != nil {
		return nil
	}
	return kept
}

// again reads the value that was kept of a flag, if one was that is still fit for it.
func again(flag *kong.Flag, kept map[string]json.RawMessage) (value reflect.Value, is bool) {
	text, is := kept[flag.Name]
	if !is {
		return value, false
	}
	pointer := reflect.New(flag.Target.Type())
	if json.Unmarshal(text, pointer.Interface()) != nil {
		return value, false
	}
	value = pointer.Elem()
	return value, flag.Enum == "" || flag.EnumMap()[fmt.Sprint(value)]
}

// AsLastTime says in a bare call what was said in the last session, if anything was,
// and returns the flags of that, as they are typed.
func (c *Call) AsLastTime() (typed []string) {
	kept := lastTime()
	for i := range c.settings {
		one := &c.settings[i]
		if value, is := again(one.flag, kept); is {
			one.flag.Target.Set(value)
			one.from = LastTime
			typed = append(typed, asTyped(one.flag)...)
		}
	}
	return typed
}

// asTyped returns a flag with its value as it is typed.
func asTyped(flag *kong.Flag) (words []string) {
	for _, word := range wordsIn(flag.Target) {
		switch {
		case !flag.IsBool():
			words = append(words, "--"+flag.Name+" "+strconv.Quote(word))
		case word == "true":
			words = append(words, "--"+flag.Name)
		default:
			words = append(words, "--"+flag.Name+"="+word)
		}
	}
	return words
}

// wordsIn returns the words that a value is typed as: one, or those of a list.
func wordsIn(value reflect.Value) (words []string) {
	if value.Kind() != reflect.Slice {
		return []string{fmt.Sprint(reflect.Indirect(value).Interface())}
	}
	for i := range value.Len() {
		words = append(words, fmt.Sprint(value.Index(i).Interface()))
	}
	return words
}
