package changes

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"shedlight/analyse/timebase"
)

// Header is a header line that says nothing to the judge: a composer, a style.
type Header struct{ Name, Value string }

// straight reports whether it is a style of even eighths (common practice).
func (h Header) straight() bool {
	if !strings.EqualFold(h.Name, "style") {
		return false
	}
	for _, word := range strings.FieldsFunc(strings.ToLower(h.Value), func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch word {
		case "straight", "even", "bossa", "samba", "latin":
			return true
		}
	}
	return false
}

// headerAliases are other words for the headers.
var headerAliases = map[string]string{"time": "meter", "bpm": "tempo"}

// withoutComment cuts a comment off a header's value.
func withoutComment(value string) string {
	if i := strings.Index(value, " #"); i >= 0 {
		return strings.TrimSpace(value[:i])
	}
	return value
}

const headerNames = "title, key, meter, tempo, form or pickup"

// headerLine splits a line like "key: Bb". ok is false for a line of bars.
func headerLine(line string) (name, value string, ok bool) {
	name, value, ok = strings.Cut(line, ":")
	name = strings.TrimSpace(name)
	if !ok || name == "" || strings.HasPrefix(value, "|") {
		return "", "", false
	}
	for _, r := range name {
		if !unicode.IsLetter(r) && !strings.ContainsRune("-_ ", r) {
			return "", "", false
		}
	}
	return name, value, true
}

// readHeader reads one header line. line is the whole of it, for the columns.
func (p *parser) readHeader(name, value, line string) {
	indent := utf8.RuneCountInString(line) - utf8.RuneCountInString(strings.TrimLeftFunc(line, unicode.IsSpace))
	at := place{p.line, indent + 1}
	key := strings.ToLower(name)
	if plain, ok := headerAliases[key]; ok {
		key = plain
	}
	before := utf8.RuneCountInString(line) - utf8.RuneCountInString(strings.TrimLeftFunc(value, unicode.IsSpace))
	value = strings.TrimSpace(value)
	valueAt := place{p.line, before + 1}
	read, known := map[string]func(string, place){
		"title": p.readTitle, "key": p.readKey, "meter": p.readMeter, "tempo": p.readTempo,
		"form": p.splitForm, "pickup": func(text string, _ place) { p.pickup = text },
	}[key]
	if known && key != "title" {
		value = withoutComment(value)
	}
	switch {
	case !known:
		other := Header{Name: name, Value: strings.Join(strings.Fields(value), " ")}
		p.chart.Others = append(p.chart.Others, other)
		if other.straight() {
			return
		}
		p.say("header "+key, at, "the header "+quote(name)+" is kept and not used; used are "+headerNames)
		return
	case p.began:
		p.failAt(at, "the header "+key+" after the first bars", "it above them")
		return
	case p.header[key] != place{}:
		p.failAt(at, "a second header "+key, "one")
		return
	}
	p.header[key] = valueAt
	if value == "" {
		if key != "title" {
			p.failAt(valueAt, "nothing", "a value after "+key+":")
		}
		return
	}
	read(value, valueAt)
}

func (p *parser) readTitle(text string, at place) {
	if utf8.RuneCountInString(text) > maxTitleRunes {
		p.failAt(at, fmt.Sprintf("a title of more than %d characters", maxTitleRunes), "a shorter one")
		return
	}
	p.chart.Title = strings.Join(strings.Fields(text), " ")
}

func (p *parser) readKey(text string, at place) {
	c, err := ParseCentre(text)
	if err != nil {
		p.failAt(at, quote(text), "a key like Bb, C minor or F blues")
		return
	}
	p.chart.Key, p.chart.HasKey = c, true
}

func (p *parser) readMeter(text string, at place) {
	m, ok := parseMeter(text)
	if !ok {
		p.failAt(at, quote(text), meterWanted)
		return
	}
	p.chart.Meter = m
}

const meterWanted = "a meter like 4/4, 3/4 or 6/8"

func parseMeter(text string) (timebase.Meter, bool) {
	num, den, ok := strings.Cut(text, "/")
	n, err1 := strconv.ParseUint(strings.TrimSpace(num), 10, 8)
	d, err2 := strconv.ParseUint(strings.TrimSpace(den), 10, 8)
	m := timebase.Meter{Num: uint8(n), Den: uint8(d)}
	return m, ok && err1 == nil && err2 == nil && m.Valid()
}

func (p *parser) readTempo(text string, at place) {
	n, ok := parseTempo(text)
	if !ok {
		p.failAt(at, quote(text), tempoWanted)
		return
	}
	p.chart.Tempo = n
}

var tempoWanted = fmt.Sprintf("a tempo in beats a minute, %d to %d", MinBPM, MaxBPM)

// parseTempo reads beats a minute.
func parseTempo(text string) (n int, ok bool) {
	number := strings.TrimLeft(text, "♩q= ")
	if i := strings.IndexFunc(number, func(r rune) bool { return r < '0' || r > '9' }); i > 0 && strings.EqualFold(strings.TrimSpace(number[i:]), "bpm") {
		number = number[:i]
	}
	n, err := strconv.Atoi(number)
	return n, err == nil && n >= MinBPM && n <= MaxBPM
}

// readPickup reads the pick-up once the meter is known: a number of beats,
// shorter than a bar, that is a whole number of ticks.
func (p *parser) readPickup() {
	if p.pickup == "" {
		return
	}
	m := p.chart.Meter
	ticks, ok := beatsToTicks(p.pickup, m)
	if !ok || ticks <= 0 || ticks >= m.Bar() {
		p.failAt(p.header["pickup"], quote(p.pickup), fmt.Sprintf("a number of beats, more than 0 and less than %d", m.Beats()))
		return
	}
	p.chart.Pickup = ticks
}

// beatsToTicks reads a number of beats: "1", "1.5", "2/3".
func beatsToTicks(text string, m timebase.Meter) (int64, bool) {
	const longest = 12 // characters; more is no number of beats
	if len(text) > longest || strings.Trim(text, "0123456789./") != "" {
		return 0, false
	}
	beats, ok := new(big.Rat).SetString(text)
	if !ok {
		return 0, false
	}
	ticks := beats.Mul(beats, big.NewRat(m.Beat(), 1))
	return ticks.Num().Int64(), ticks.IsInt() && ticks.Num().IsInt64()
}

// ticksToBeats is the opposite: a decimal where three places say it exactly,
// else a fraction, as for an eighth in 6/8, a third of a beat.
func ticksToBeats(ticks int64, m timebase.Meter) string {
	const places = 3
	beats := big.NewRat(ticks, m.Beat())
	text := strings.TrimSuffix(strings.TrimRight(beats.FloatString(places), "0"), ".")
	if back, ok := beatsToTicks(text, m); ok && back == ticks {
		return text
	}
	return beats.RatString()
}

// splitForm keeps the words of the form line until all sections are known.
func (p *parser) splitForm(text string, at place) {
	column := at.column
	for _, field := range strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == ',' }) {
		i := strings.Index(text, field)
		column += utf8.RuneCountInString(text[:i])
		p.form = append(p.form, formWord{field, place{at.line, column}})
		column += utf8.RuneCountInString(field)
		text = text[i+len(field):]
	}
}

// readForm turns the words of the form line into section names. A word that is
// no section is read letter by letter, so that AABA is A A B A.
func (p *parser) readForm() {
	if len(p.form) > 0 && p.chart.Sections[0].Name == "" {
		p.failAt(p.header["form"], "a form line, and bars before the first section", "a name like [A] above them")
	}
	for _, w := range p.form {
		names := []string{w.text}
		if _, ok := p.chart.section(w.text); !ok {
			names = strings.Split(strings.ReplaceAll(w.text, "-", ""), "")
		}
		for i, name := range names {
			at := place{w.at.line, w.at.column + i}
			if _, ok := p.chart.section(name); !ok {
				p.failAt(at, quote(w.text), "one of the sections "+p.sectionNames())
				break
			}
			if len(p.chart.Form) == MaxBars {
				p.failAt(at, fmt.Sprintf("a form of more than %d sections", MaxBars), "fewer")
				return
			}
			p.chart.Form = append(p.chart.Form, name)
		}
	}
}

func (p *parser) sectionNames() string {
	const most = 8 // names; a message is one line
	var names []string
	for _, s := range p.chart.Sections {
		if s.Name != "" && len(names) < most {
			names = append(names, s.Name)
		}
	}
	if len(names) == 0 {
		return "below (none has a name)"
	}
	return strings.Join(names, ", ")
}
