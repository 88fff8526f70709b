package main

import (
	"bytes"
	"encoding"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/take"
)

// reviewJSON is what writeReport writes.
type reviewJSON struct {
	reviews.Report
	All    []analyse.Finding `json:"findings"`
	Detail []phrase.Phrase   `json:"phrases_detail"`
}

// pageObjects are what the commands write, by their names on the page.
var pageObjects = map[string]reflect.Type{
	"OBJECT": reflect.TypeFor[struct {
		Schema int `json:"schema"`
	}](),
	"ERROR":    reflect.TypeFor[errorJSON](),
	"PORTS":    reflect.TypeFor[portsJSON](),
	"SETTINGS": reflect.TypeFor[settingsJSON](),
	"LAG":      reflect.TypeFor[lagFound](),
	"CHARTS":   reflect.TypeFor[chartsJSON](),
	"CHART":    reflect.TypeFor[chartJSON](),
	"FAMILY":   reflect.TypeFor[familyJSON](),
	"LINE":     reflect.TypeFor[materialJSON](),
	"REVIEW":   reflect.TypeFor[reviewJSON](),
	"LAST":     reflect.TypeFor[summaryJSON](),
	"VERDICT":  reflect.TypeFor[fitJSON](),
	"FINDING":  reflect.TypeFor[analyse.Finding](),
}

// described is an object as the page has it: of each field, what is said of it.
type described map[string]string

var (
	heading  = regexp.MustCompile(`^([A-Z]+(?:-[A-Z]+)*): (.*)$`)
	fieldRow = regexp.MustCompile(`^ {4}([a-z_]+) {2,}(\S.*)$`)
	moreRow  = regexp.MustCompile(`^ {8,}(\S.*)$`)
	allOf    = regexp.MustCompile(`(?:^all|,) of ([A-Z-]+)\b`)
	seeOther = regexp.MustCompile(`\bsee ([A-Z]+(?:-[A-Z]+)*)$`)
)

// described reads the page.
func describedObjects(t *testing.T, page string) map[string]described {
	t.Helper()
	all := map[string]described{}
	include := map[string][]string{}
	var now described
	last := ""
	for line := range strings.Lines(page) {
		line = strings.TrimSuffix(line, "\n")
		if m := heading.FindStringSubmatch(line); m != nil {
			require.NotContains(t, all, m[1], "described once")
			now = described{}
			all[m[1]] = now
			for _, from := range allOf.FindAllStringSubmatch(m[2], -1) {
				include[m[1]] = append(include[m[1]], from[1])
			}
			continue
		}
		if now == nil || line == "" {
			continue
		}
		if m := fieldRow.FindStringSubmatch(line); m != nil {
			last = m[1]
			require.NotContains(t, now, last, "described once")
			now[last] = m[2]
			continue
		}
		m := moreRow.FindStringSubmatch(line)
		require.NotNil(t, m, "neither a field nor the rest of one: %q", line)
		now[last] += " " + m[1]
	}
	for name, others := range include {
		for _, from := range others {
			require.Contains(t, all, from)
			maps.Copy(all[name], all[from])
		}
	}
	return all
}

// The page on JSON has every field that a command writes and no other, object by
// object, with something said of each, and sends to another object where there is one.
func TestPageOnJSONHasEveryField(t *testing.T) {
	page, err := manuals.ReadFile("manuals/json.txt")
	require.NoError(t, err)
	onPage := describedObjects(t, string(page))
	reached := map[string]bool{"COUNT": true, "WAS": true} // which others are made of, too

	var walk func(name string, of reflect.Type)
	walk = func(name string, of reflect.Type) {
		reached[name] = true
		fields := fieldsOf(t, of)
		require.ElementsMatch(t, slices.Collect(maps.Keys(fields)), slices.Collect(maps.Keys(onPage[name])), "fields of %s, %s", name, of)
		for field, is := range fields {
			see := seeOther.FindStringSubmatch(strings.SplitN(onPage[name][field], ";", 2)[0])
			if is == nil {
				continue
			}
			require.NotNil(t, see, "%s of %s: where is %s described?", field, name, is)
			require.Contains(t, onPage, see[1])
			walk(see[1], is)
		}
	}
	for name, of := range pageObjects {
		walk(name, of)
	}
	for _, stage := range []analyse.Stage{analyse.Sorted, analyse.Settled, analyse.Fought} {
		reached["NEWS"] = true
		for _, key := range keysOf(t, filled(stage)) {
			require.Contains(t, onPage["NEWS"], key)
			onPage["NEWS"][key] = ""
		}
	}
	require.Empty(t, strings.Join(slices.Collect(maps.Values(onPage["NEWS"])), ""), "fields of later lines that there are not")
	require.ElementsMatch(t, slices.Collect(maps.Keys(reached)), slices.Collect(maps.Keys(onPage)), "objects")
}

// fieldsOf lists the fields of an object by their names in JSON, each with the object
// that it or its elements are, or nil.
func fieldsOf(t *testing.T, of reflect.Type) map[string]reflect.Type {
	t.Helper()
	out := map[string]reflect.Type{}
	if of == reflect.TypeFor[analyse.Finding]() { // it writes itself
		for _, key := range keysOf(t, filled(analyse.Heard)) {
			out[key] = nil
		}
		return out
	}
	for i := range of.NumField() {
		field := of.Field(i)
		tag := field.Tag.Get("json")
		if field.Anonymous && tag == "" {
			maps.Copy(out, fieldsOf(t, objectIn(field.Type)))
			continue
		}
		if tag == "-" || !field.IsExported() {
			continue
		}
		name, _, _ := strings.Cut(tag, ",")
		require.NotEmpty(t, name, "%s of %s has no name of its own", field.Name, of)
		out[name] = objectIn(field.Type)
	}
	return out
}

// objectIn is the object that a type, or its elements, are in JSON, or nil.
func objectIn(of reflect.Type) reflect.Type {
	for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice || of.Kind() == reflect.Array || of.Kind() == reflect.Map {
		of = of.Elem()
	}
	if of.Kind() != reflect.Struct || of.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return nil
	}
	return of
}

// filled is a finding of a stage of which nothing is empty.
func filled(stage analyse.Stage) analyse.Finding {
	var fill func(v reflect.Value)
	fill = func(v reflect.Value) {
		switch {
		case !v.CanSet():
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				fill(v.Field(i))
			}
		case v.Kind() == reflect.String:
			v.SetString("x")
		case v.CanInt():
			v.SetInt(1)
		case v.CanUint():
			v.SetUint(1)
		case v.CanFloat():
			v.SetFloat(1)
		case v.Kind() == reflect.Bool:
			v.SetBool(true)
		}
	}
	var f analyse.Finding
	fill(reflect.ValueOf(&f).Elem())
	f.Stage = stage
	return f
}

func keysOf(t *testing.T, value any) []string {
	t.Helper()
	text, err := json.Marshal(value)
	require.NoError(t, err)
	var object map[string]any
	require.NoError(t, json.Unmarshal(text, &object))
	return slices.Collect(maps.Keys(object))
}

// What the commands write are the objects of the page, and each begins with the
// number of the page.
func TestEveryLineOfJSONIsAnObjectOfThePage(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(folder, "shedlight"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "shedlight", "config.toml"), nil, 0o600))
	for _, test := range []struct {
		args string
		want []string
	}{
		{"changes --json", []string{"CHARTS"}},
		{"changes blues --json", []string{"CHART"}},
		{"expand Cm6 --json", []string{"FAMILY"}},
		{"lines C6 --json", []string{"LINE"}},
		{"etude blues --json", []string{"LINE"}},
		{"settings --json", []string{"SETTINGS"}},
		{"review nowhere.mid --json", []string{"ERROR"}},
		{"review elsewhere.mid nowhere.mid --json", []string{"ERROR"}},
		{"review nowhere.mid --json --by chord", []string{"ERROR"}},
		{"listen --json --in", []string{"ERROR"}},
		{"no-command --json", []string{"ERROR"}},
		{"changes -- --json", nil},
		{"changes nowhere", nil},
		{"demo --fast --json", []string{"FINDING", "NEWS", "LAST"}},
	} {
		out, said, _ := typedIn(t, folder, strings.Fields(test.args)...)
		if test.want == nil {
			require.Regexp(t, "^shedlight: ", said, test.args)
			require.Empty(t, out, test.args)
			continue
		}
		seen := map[string]bool{}
		for line := range strings.Lines(out + said) {
			if strings.HasPrefix(line, "-- ") {
				continue // a remark
			}
			require.Regexp(t, `^\{"schema":1,"`, line, test.args)
			seen[objectOf(t, line)] = true
		}
		require.ElementsMatch(t, test.want, slices.Collect(maps.Keys(seen)), test.args)
	}
}

// objectOf names the object that a line is: the smallest that has all its fields.
func objectOf(t *testing.T, line string) string {
	t.Helper()
	var object map[string]any
	require.NoError(t, json.Unmarshal([]byte(line), &object))
	name, size := "", 0
	for candidate, of := range pageObjects {
		fields := maps.Clone(fieldsOf(t, of))
		fields["schema"] = nil
		known := func(key string) bool { _, is := fields[key]; return is }
		if allKeys(object, known) && (name == "" || len(fields) < size) {
			name, size = candidate, len(fields)
		}
	}
	if _, first := object["tick"]; name == "FINDING" && !first || name == "" && object["by"] != nil {
		return "NEWS"
	}
	return name
}

func allKeys(object map[string]any, is func(string) bool) bool {
	for key := range object {
		if !is(key) {
			return false
		}
	}
	return true
}

// What writeReport writes has the fields of reviewJSON.
func TestReviewObjectHasItsFields(t *testing.T) {
	var out bytes.Buffer
	r, err := reviews.Judge("a.mid", &take.Take{Events: slices.Values([]analyse.Event{})}, &tunes.Tune{}, true)
	require.NoError(t, err)
	require.NoError(t, writeReport(&out, r))
	want := slices.Collect(maps.Keys(fieldsOf(t, reflect.TypeFor[reviewJSON]())))
	require.ElementsMatch(t, append(want, "schema"), keysOf(t, json.RawMessage(out.Bytes())))
}
