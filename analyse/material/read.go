package material

import (
	"bufio"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// MaxText bounds a text that is read: 1 MiB.
const MaxText = 1 << 20

var numbered = regexp.MustCompile(`^\d+\.(?:\s+(.*))?$`)

// Read reads exercises as the commands write them: music between bar lines (see Bars),
// before it a number and its idea, or a "title:", "key:" or "centre:", "tempo:" and
// "written:" over all that follows. What is written for an instrument comes back at
// concert pitch. Lines that begin with #, "why" or "over" say something about the
// music and are passed over. An error names the line.
func Read(r io.Reader) ([]*Exercise, error) {
	t := textReader{}
	scan := bufio.NewScanner(io.LimitReader(r, MaxText))
	scan.Buffer(nil, MaxText)
	for scan.Scan() {
		t.number++
		text := scan.Text()
		trimmed := strings.TrimSpace(text)
		if err := t.line(trimmed, !strings.HasPrefix(text, trimmed)); err != nil {
			return nil, fmt.Errorf("line %d: %w", t.number, err)
		}
	}
	if err := scan.Err(); err != nil {
		return nil, err
	}
	if err := t.finish(); err != nil {
		return nil, fmt.Errorf("line %d: %w", t.began, err)
	}
	if len(t.out) == 0 {
		return nil, fmt.Errorf("no music: expected bars like | C6: E4 F4 G4 Ab4 A4 - - - |")
	}
	return t.out, nil
}

// textReader reads line by line.
type textReader struct {
	number   int // of the line
	out      []*Exercise
	title    string
	key      changes.Centre
	hasKey   bool
	forced   bool // the key is the centre of all chords
	tempo    int
	written  tone.Instrument
	idea     string
	music    string // of the exercise that is being read
	began    int    // the line that it began in
	skipping bool   // what follows belongs to a line that was passed over
}

// line takes a line. What goes on with the one before is set in.
func (t *textReader) line(text string, indented bool) error {
	name, value, isHeader := strings.Cut(text, ":")
	value = strings.TrimSpace(value)
	m := numbered.FindStringSubmatch(text)
	if indented {
		isHeader, m = false, nil
	}
	switch {
	case text == "" || strings.HasPrefix(text, "#"):
		t.skipping = false
		return nil
	case strings.HasPrefix(text, "why ") || strings.HasPrefix(text, "over "):
		t.skipping = true
		return nil
	case t.skipping && indented:
		return nil
	case strings.HasPrefix(text, barSign):
		if t.music == "" {
			t.began = t.number
		}
		t.music = strings.TrimSuffix(t.music, barSign) + " " + text // one bar line between two rows
		t.skipping = false
		return nil
	case t.music != "" && !strings.HasSuffix(t.music, barSign):
		t.music += " " + text
		return nil
	case m != nil:
		t.skipping = false
		err := t.finish()
		t.idea = m[1]
		return err
	case isHeader && name == "title":
		err := t.finish()
		t.title = value
		return err
	case isHeader && (name == "key" || name == "centre"):
		if err := t.finish(); err != nil {
			return err
		}
		var err error
		t.key, err = changes.ParseCentre(value)
		t.hasKey, t.forced = true, name == "centre"
		return err
	case isHeader && name == "written":
		if err := t.finish(); err != nil {
			return err
		}
		var err error
		t.written, err = tone.ParseInstrument(value)
		return err
	case isHeader && name == "tempo":
		n, err := strconv.Atoi(value)
		if err != nil || n < changes.MinBPM || n > changes.MaxBPM {
			return fmt.Errorf("tempo %q: expected beats a minute, %d to %d", value, changes.MinBPM, changes.MaxBPM)
		}
		t.tempo = n
		return nil
	case t.idea != "" && t.music == "": // it was folded
		t.idea += " " + text
		return nil
	}
	return fmt.Errorf("%q: expected bars, like | C6: E4 F4 G4 Ab4 A4 - - - |", text)
}

// finish takes in the exercise whose music is read.
func (t *textReader) finish() error {
	if t.music == "" {
		return nil
	}
	m := musicReader{meter: timebase.Common}
	for _, bar := range strings.Split(strings.Trim(strings.TrimSpace(t.music), barSign), barSign) {
		if err := m.bar(bar); err != nil {
			return fmt.Errorf("bar %d: %w", len(m.bars)+1, err)
		}
	}
	chart := changes.Chart{Title: t.title, Key: t.key, HasKey: t.hasKey, Meter: m.bars[0].Meter, Tempo: t.tempo, Sections: []changes.Section{{Bars: m.bars}}}
	if t.forced {
		for _, b := range m.bars {
			for i := range b.Stays {
				b.Stays[i].Centre, b.Stays[i].Forced = t.key, true
			}
		}
	}
	line, err := chart.Unroll()
	if err != nil {
		return err
	}
	e := &Exercise{Title: t.title, Idea: t.idea, Line: &line, Key: t.key, Tempo: t.tempo, For: t.written, Notes: m.notes}
	if !t.hasKey {
		e.Key = line.Centres[0].Centre
	}
	idea := e.Idea
	if e, err = e.Concert(); err != nil {
		return err
	}
	e.Idea = idea
	t.out = append(t.out, e)
	t.music, t.idea, t.skipping = "", "", false
	return nil
}

// musicReader reads bars.
type musicReader struct {
	bars     []changes.WrittenBar
	notes    []Note
	tick     int64
	meter    timebase.Meter
	symbol   string
	chord    harmony.Chord
	hasChord bool
}

// bar reads what stands between two bar lines.
func (m *musicReader) bar(text string) error {
	if len(m.bars) == MaxEtudeBars {
		return fmt.Errorf("more bars than the %d that are read", MaxEtudeBars)
	}
	begun := m.tick
	bar := changes.WrittenBar{}
	words := strings.Fields(strings.NewReplacer("(", " ( ", ")", " ) ").Replace(text))
	words = joinedSymbols(words)
	for i := 0; i < len(words); i++ {
		word := words[i]
		switch {
		case strings.HasPrefix(word, "{") && i == 0:
			if err := m.setMeter(word); err != nil {
				return err
			}
		case strings.HasSuffix(word, chordSign):
			if err := m.setChord(strings.TrimSuffix(word, chordSign)); err != nil {
				return err
			}
			if n := len(bar.Stays); n == 0 && m.tick != begun {
				return fmt.Errorf("the first chord stands behind the first note: expected it at the beginning of the bar")
			}
			bar.Stays = append(bar.Stays, changes.Stay{Symbol: m.symbol, Chord: m.chord})
			continue
		case !m.hasChord:
			return fmt.Errorf("%q: expected a chord and a colon first, like C6:", word)
		}
		if len(bar.Stays) == 0 && !strings.HasPrefix(word, "{") {
			bar.Stays = append(bar.Stays, changes.Stay{Symbol: m.symbol, Chord: m.chord})
		}
		if strings.HasPrefix(word, "{") {
			continue
		}
		took, err := m.word(words[i:])
		if err != nil {
			return err
		}
		if word == "(" {
			i += 4
		}
		bar.Stays[len(bar.Stays)-1].Ticks += took
		m.tick += took
	}
	bar.Meter = m.meter
	if took := m.tick - begun; took != m.meter.Bar() {
		return fmt.Errorf("it has %d eighths: a bar of %s has %d", took/eighth, m.meter, m.meter.Bar()/eighth)
	}
	m.bars = append(m.bars, bar)
	return nil
}

// joinedSymbols puts the brackets of a chord's symbol back: "C7(b9):".
func joinedSymbols(words []string) (out []string) {
	for i := 0; i < len(words); i++ {
		if words[i] == "(" && i > 0 && i+3 < len(words) && words[i+2] == ")" && strings.HasSuffix(words[i+3], chordSign) {
			out[len(out)-1] += "(" + words[i+1] + ")" + words[i+3]
			i += 3
			continue
		}
		out = append(out, words[i])
	}
	return out
}

func (m *musicReader) setMeter(word string) error {
	var meter timebase.Meter
	n, err := fmt.Sscanf(strings.Trim(word, "{}"), "%d/%d", &meter.Num, &meter.Den)
	if n != 2 || err != nil || !meter.Valid() || meter.Bar()%eighth != 0 {
		return fmt.Errorf("%s: expected a meter of whole eighths, like {3/4}", word)
	}
	m.meter = meter
	return nil
}

func (m *musicReader) setChord(text string) error {
	read, err := harmony.ParseSymbol(text)
	if err != nil {
		return fmt.Errorf("%q: %w", text, err)
	}
	read, _ = read.InChart()
	m.symbol, m.chord, m.hasChord = text, read.Chord, true
	return nil
}

// word reads an eighth, or the five words of a triplet.
func (m *musicReader) word(words []string) (took int64, err error) {
	switch word := words[0]; word {
	case restWord:
		return eighth, nil
	case holdWord:
		if n := len(m.notes); n > 0 && m.notes[n-1].end() == m.tick {
			m.notes[n-1].Length += eighth
			return eighth, nil
		}
		return 0, fmt.Errorf("%q holds on to nothing: expected a note before it", word)
	case "(":
		const triplet = 3
		if len(words) < triplet+2 || words[triplet+1] != ")" {
			return 0, fmt.Errorf("a bracket without three notes: expected a triplet, like (C5 A4 F4)")
		}
		for i := range int64(triplet) {
			if err := m.add(words[i+1], m.tick+i*2*eighth/triplet, 2*eighth/triplet); err != nil {
				return 0, err
			}
		}
		return 2 * eighth, nil
	default:
		return eighth, m.add(word, m.tick, eighth)
	}
}

func (m *musicReader) add(word string, tick, length int64) error {
	p, err := tone.ParsePitch(word)
	if err != nil {
		return fmt.Errorf("%q: expected a note with its octave like Ab4, r, - or a chord with a colon", word)
	}
	m.notes = append(m.notes, Note{Tick: tick, Length: length, Key: uint8(p.Key())})
	return nil
}
