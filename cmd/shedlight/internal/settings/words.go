package settings

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen"
	"shedlight/listen/beat"
)

// checked reads the text of a flag and refuses what means nothing, so that it is
// refused in the file of settings too, and in a call that has no use for it.
func checked(check func(text string) error) kong.Mapper {
	return kong.MapperFunc(func(ctx *kong.DecodeContext, target reflect.Value) error {
		var text string
		if err := ctx.Scan.PopValueInto("string", &text); err != nil {
			return err
		}
		if err := check(text); err != nil {
			return usage.Errorf("--%s%w", ctx.Value.Name, err)
		}
		target.SetString(text)
		return nil
	})
}

// The checks say what follows the flag's name.

func checkSystem(name string) error {
	if slices.Contains(listen.APIs(), name) {
		return nil
	}
	return usage.Errorf(" %s: expected one of %s", name, strings.Join(listen.APIs(), ", "))
}

func checkKey(text string) error {
	_, err := changes.ParseKey(text)
	return behindColon(err)
}

func checkCentre(text string) error {
	_, err := changes.ParseCentre(text)
	return behindColon(err)
}

func checkVoicing(text string) error {
	_, err := harmony.ParseVoicing(text)
	return behindColon(err)
}

func checkRange(text string) error {
	_, err := material.ParseRange(text)
	if err == nil {
		return nil
	}
	return usage.Errorf(" %s: %w", text, err)
}

func behindColon(err error) error {
	if err == nil {
		return nil
	}
	return usage.Errorf(": %w", err)
}

// mostFaster and mostChoruses bound a rise: what is beyond is a slip of the finger.
const mostFaster, mostChoruses = 100, 1000

// rise reads the flag of a rise, which may begin with a hyphen.
func rise(ctx *kong.DecodeContext, target reflect.Value) error {
	text := word(ctx)
	if _, err := Rise(text); err != nil {
		return usage.Errorf("--%s%w", ctx.Value.Name, err)
	}
	target.SetString(text)
	return nil
}

// Rise reads how the tempo rises, like 4/2: beats a minute, and after how many choruses.
// The error says what follows the flag's name.
func Rise(text string) (r beat.Rise, err error) {
	a, b, _ := strings.Cut(text, "/")
	by, err1 := strconv.Atoi(a)
	every, err2 := strconv.Atoi(b)
	if err1 != nil || err2 != nil || by == 0 || max(by, -by) > mostFaster || every < 1 || every > mostChoruses {
		return r, usage.Errorf(" %s: expected beats a minute, %d at most, and choruses, like 4/2 or -4/2", text, mostFaster)
	}
	return beat.Rise{By: int64(by), Every: int64(every)}, nil
}

// mostGap bounds the bars that gaps are counted in.
const mostGap = 64

func checkGaps(text string) error {
	_, err := Gaps(text)
	return err
}

// Gaps reads in which bars there is no click, like 2/8. The error says what follows the
// flag's name.
func Gaps(text string) (g song.Gaps, err error) {
	a, b, _ := strings.Cut(text, "/")
	silent, err1 := strconv.Atoi(a)
	of, err2 := strconv.Atoi(b)
	if err1 != nil || err2 != nil || silent < 1 || of > mostGap || silent > of-2 {
		return g, usage.Errorf(" %s: expected how many bars of how many are silent, like 2/8: two at least are not", text)
	}
	return song.Gaps{Silent: silent, Of: of}, nil
}

func checkBars(text string) error {
	_, _, err := BarRange(text)
	return err
}

// BarRange reads two numbers of bars, or one that stands for both. The error says what
// follows the flag's name.
func BarRange(text string) (from, to int, err error) {
	a, b, ok := strings.Cut(text, "-")
	if !ok {
		b = a
	}
	from, err1 := strconv.Atoi(a)
	to, err2 := strconv.Atoi(b)
	if err1 != nil || err2 != nil {
		return 0, 0, usage.Errorf(" %s: expected two bar numbers, like 5-8", text)
	}
	return from, to, nil
}
