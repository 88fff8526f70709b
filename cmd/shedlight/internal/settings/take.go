package settings

import (
	"reflect"
	"strings"

	"shedlight/listen/take"
)

// Fill fills what a command's settings leave open with what a take was played
// under; nil is no take. flags points to a struct.
func Fill(flags any, s *take.Settings) {
	if s == nil {
		return
	}
	chart := reflect.ValueOf(flags).Elem().FieldByName("Chart")
	another := chart.IsValid() && !chart.IsZero()
	for one := range travelling(flags, s) {
		if one.value.IsZero() && one.how != "done" && !(one.how == "chart" && another) {
			one.value.Set(one.kept.Convert(one.value.Type()))
		}
	}
}

// Tell writes a command's settings into those of a take. flags points to a struct.
func Tell(flags any, s *take.Settings) {
	for one := range travelling(flags, s) {
		one.kept.Set(one.value.Convert(one.kept.Type()))
	}
}

// traveller is a setting that a take holds.
type traveller struct {
	value, kept reflect.Value // on the command line, in the take
	how         string        // the second half of its take tag
}

func travelling(flags any, s *take.Settings) func(yield func(traveller) bool) {
	return func(yield func(traveller) bool) {
		kept := reflect.ValueOf(s).Elem()
		command := reflect.ValueOf(flags).Elem()
		for _, field := range reflect.VisibleFields(command.Type()) {
			name, how, _ := strings.Cut(field.Tag.Get("take"), ",")
			if name == "" || name == "-" {
				continue
			}
			one := traveller{value: command.FieldByIndex(field.Index), kept: kept.FieldByName(name), how: how}
			if field.Type == reflect.TypeFor[Note]() {
				one.value = one.value.FieldByName("Key")
			}
			if !yield(one) {
				return
			}
		}
	}
}
