package settings

import (
	"math"
	"reflect"
	"strconv"

	"github.com/alecthomas/kong"

	"shedlight/cmd/shedlight/internal/usage"
)

// number reads the value of a flag that is a number. The flag's tags say what is
// expected: from; to, where there is an upper limit; and unit. What begins with
// a hyphen is a value like any other here, so that --lag -20 is a negative lag,
// and a wrong number is answered in our own words.
func number(ctx *kong.DecodeContext, target reflect.Value) error {
	text, said := word(ctx), ""
	if text != "" {
		said = " " + text
	}
	var whole int
	var value float64
	var err error
	if target.CanFloat() {
		value, err = strconv.ParseFloat(text, 64)
	} else {
		whole, err = strconv.Atoi(text)
		value = float64(whole)
	}
	from, to, expected := limits(ctx.Value.Tag)
	switch {
	case err != nil, !(value >= from && value <= to): // so that NaN is refused
		return usage.Errorf("--%s%s: expected %s", ctx.Value.Name, said, expected)
	case target.CanFloat():
		target.SetFloat(value)
	case target.CanUint():
		target.SetUint(uint64(whole))
	default:
		target.SetInt(int64(whole))
	}
	return nil
}

// word reads the value of a flag; what begins with a hyphen is one like any other.
func word(ctx *kong.DecodeContext) string {
	if token := ctx.Scan.Pop(); !token.IsEOL() {
		return token.String()
	}
	return ""
}

// limits reads the tags of a number, and says what they expect.
func limits(tag *kong.Tag) (from, to float64, expected string) {
	limit := func(key string) float64 {
		value, err := strconv.ParseFloat(tag.Get(key), 64)
		if err != nil {
			panic(err) // the command line is wrong: no argument can cause it
		}
		return value
	}
	from, to, expected = limit("from"), math.Inf(1), tag.Get("from")+" or more"
	if tag.Has("to") {
		to, expected = limit("to"), tag.Get("from")+" to "+tag.Get("to")
	}
	if unit := tag.Get("unit"); unit != "" {
		expected += " " + unit
	}
	return from, to, expected
}
