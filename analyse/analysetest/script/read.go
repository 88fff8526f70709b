package script

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// How a script is read: a line at a time, each a header, a phrase, an event or
// a note.

var (
	timeForm = regexp.MustCompile(`^(?:(-?\d{1,4})\.([1-9])(&?))?([+-]\d{1,6})?$`)
	noteForm = regexp.MustCompile(`^(\S+)(?: (\d{1,6}))?(?: v(\d{1,3}))?(?: ch(\d{1,2}))?$`)
	wantForm = regexp.MustCompile(`^(?:chord )?(?:on|home|dim|none|(?:glitch|ornament|written|pedal|push|late|enclosure|` +
		`double-chromatic|passing|neighbour|approach|colour (?:[b#]|maj)?\d{1,2}|sub|blue|unresolved)(?: by [+-]\d{1,2})?)` +
		`(?: against (?:[b#]|maj)?\d{1,2})?(?: after \d{1,6})?(?: in [A-G].*)?$`)
)

// Read reads the phrases of a script file. An error says on which line.
func Read(r io.Reader) (out []*Script, err error) {
	common := Script{key: "C", meter: timebase.Common, tempo: timebase.Nominal}
	s := &common
	in := bufio.NewScanner(r)
	number := 0
	for ; err == nil && in.Scan(); number++ {
		text, _, _ := strings.Cut(" "+in.Text(), " # ")
		text = strings.Join(strings.Fields(text), " ")
		word, value, isHeader := strings.Cut(text, ": ")
		header := headers[word]
		switch {
		case text == "":
		case word == "phrase":
			if err = s.finish(); err == nil {
				next := common
				s = &next
				s.Name, s.first, s.lines = value, number+1, nil
				out = append(out, s)
			}
		case isHeader && header != nil && len(s.Events) > 0:
			err = errors.New("a header after a note")
		case isHeader && header != nil:
			err = header(s, value)
		case s == &common:
			err = fmt.Errorf("%q before the first phrase: expected a header", text)
		default:
			err = s.read(text)
		}
		s.lines = append(s.lines, in.Text())
	}
	if err = cmp.Or(err, in.Err(), s.finish()); err != nil {
		return nil, fmt.Errorf("%d: %w", number, err)
	}
	return out, nil
}

// headers are what can stand before the notes.
var headers = map[string]func(s *Script, value string) error{
	"key":      func(s *Script, value string) error { s.key = value; return nil },
	"legato":   func(s *Script, value string) error { return yesNo(value, &s.Setup.Legato) },
	"top":      func(s *Script, value string) error { return yesNo(value, &s.Setup.Top) },
	"gate":     func(s *Script, value string) error { return scan(value, "%d", &s.Setup.Gate) },
	"count-in": func(s *Script, value string) error { return scan(value, "%d", &s.countIn) },
	"meter":    func(s *Script, value string) error { return scan(value, "%d/%d", &s.meter.Num, &s.meter.Den) },
	"tempo":    func(s *Script, value string) error { return s.readTempo(value) },
	"split": func(s *Script, value string) error {
		p, err := tone.ParsePitch(value)
		s.Setup.Split = uint8(p.Key())
		return err
	},
	"view": func(s *Script, value string) error {
		s.Setup.View = song.View(slices.Index([]string{"key", "chord"}, value))
		if s.Setup.View > song.ChordView {
			return fmt.Errorf("the view %q: expected key or chord", value)
		}
		return nil
	},
	"centre": func(s *Script, value string) error {
		c, err := changes.ParseCentre(value)
		s.Setup.Centre, s.Setup.Timeline, s.Chart = &c, nil, ""
		return err
	},
	"bars": func(s *Script, value string) error {
		s.Chart = fmt.Sprintf("title: Script\nkey: %s\nmeter: %s\n%s\n", s.key, s.meter, value)
		chart, err := changes.Parse(strings.NewReader(s.Chart))
		if err != nil {
			return fmt.Errorf("the bars: %w", err)
		}
		t, err := chart.Unroll()
		s.Setup.Timeline, s.Setup.Centre = &t, nil
		return err
	},
}

func yesNo(value string, to *bool) error {
	if *to = value == "yes"; !*to && value != "no" {
		return fmt.Errorf("%q: expected yes or no", value)
	}
	return nil
}

func scan(value, form string, to ...any) error {
	if _, err := fmt.Sscanf(value+"\n", form+"\n", to...); err != nil {
		return fmt.Errorf("%q: expected %s", value, strings.ReplaceAll(form, "%d", "N"))
	}
	return nil
}

// readTempo reads quarter notes a minute, or "N us": microseconds a quarter.
func (s *Script) readTempo(value string) error {
	if scan(value, "%d us", &s.tempo) == nil {
		return nil
	}
	perMinute := int64(0)
	if err := scan(value, "%d", &perMinute); err != nil || perMinute < 1 {
		return fmt.Errorf("the tempo %q: expected quarter notes a minute, or N us", value)
	}
	s.tempo = 60_000_000 / perMinute
	return nil
}

// begin puts what the headers say before the first note.
func (s *Script) begin() {
	if s.Setup.Timeline != nil || s.tempo != timebase.Nominal { // else in free time: nobody gives the beat
		s.add(analyse.Event{Kind: analyse.Tempo, Value: s.tempo})
	}
	s.add(analyse.Event{Kind: analyse.Meter, Value: int64(s.meter.Num)<<8 | int64(s.meter.Den)})
	if t := s.Setup.Timeline; t != nil {
		s.countIn *= t.Bars[0].Meter.Bar()
		s.add(analyse.Event{Kind: analyse.Origin, Key: 1, Value: -s.countIn})
	}
}

// read reads a time, then a note with what is wanted of it or an event.
func (s *Script) read(text string) error {
	if s.Setup.Timeline == nil && s.Setup.Centre == nil {
		return errors.New("the phrase has neither bars nor a centre")
	}
	if len(s.Events) == 0 {
		s.begin()
	}
	at, rest, _ := strings.Cut(text, " ")
	tick, err := s.tick(at)
	if err != nil {
		return err
	}
	if tick < s.last {
		return errors.New("comes before the line above")
	}
	s.last = tick
	switch word, value, _ := strings.Cut(rest, " "); word {
	case "tempo":
		err = s.readTempo(value)
		s.add(analyse.Event{Tick: tick, Kind: analyse.Tempo, Value: s.tempo})
	case "sustain": // MIDI 1.0, controller 64
		down, known := map[string]uint8{"down": 127, "up": 0}[value]
		if !known {
			err = fmt.Errorf("sustain %q: expected down or up", value)
		}
		s.add(analyse.Event{Tick: tick, Kind: analyse.Control, Key: 64, Velocity: down})
	case "bend": // MIDI 1.0, within the usual two semitones
		var cents int64
		if err = scan(value, "%d", &cents); err == nil {
			bend := uint16(8192 + cents*8192/200)
			s.add(analyse.Event{Tick: tick, Kind: analyse.PitchBend, Key: uint8(bend & 127), Velocity: uint8(bend >> 7)})
		}
	case "stop":
		s.add(analyse.Event{Tick: tick, Kind: analyse.Origin, Value: tick - s.countIn})
	case "start":
		var from int64
		from, err = s.tick(value)
		s.add(analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: from - s.countIn})
	default:
		err = s.readNote(tick, rest)
	}
	return err
}

// readNote reads PITCH [LENGTH] [vVELOCITY] [chCHANNEL] [: WANTED].
func (s *Script) readNote(tick int64, text string) error {
	text, want, wanted := strings.Cut(text, " : ")
	if !wanted {
		want = "on"
	}
	form := noteForm.FindStringSubmatch(text)
	if form == nil {
		return fmt.Errorf("%q: expected a pitch, then a length in ticks, vN, chN", text)
	}
	p, err := tone.ParsePitch(form[1])
	if err != nil {
		return err
	}
	if !wantForm.MatchString(want) {
		return fmt.Errorf("%q: expected [chord], then on, home, dim, none or a fate, then by +N, against DEGREE, after TICKS, in SCALE", want)
	}
	on := analyse.Event{
		Tick: tick, Kind: analyse.NoteOn, Key: uint8(p.Key()),
		Velocity: uint8(number(form[3], usualVelocity)), Channel: uint8(number(form[4], 1) - 1),
	}
	for i := range s.Events { // a key struck again comes up first
		if e := &s.Events[i]; e.Kind == analyse.NoteOff && e.Key == on.Key && e.Channel == on.Channel {
			e.Tick = min(e.Tick, tick)
		}
	}
	s.add(on)
	s.add(analyse.Event{Tick: tick + number(form[2], usualLength), Kind: analyse.NoteOff, Channel: on.Channel, Key: on.Key})
	s.notes = append(s.notes, note{line: len(s.lines), want: want})
	return nil
}

// number reads digits; usual stands for none.
func number(digits string, usual int64) int64 {
	if n, err := strconv.ParseInt(digits, 10, 64); err == nil {
		return n
	}
	return usual
}

// tick reads a time: BAR.BEAT, with & for the half of the beat and +N or -N
// ticks, or +N ticks after the line above.
func (s *Script) tick(text string) (int64, error) {
	form := timeForm.FindStringSubmatch(text)
	if form == nil || text == "" || text[0] == '-' && form[1] == "" {
		return 0, fmt.Errorf("the time %q: expected BAR.BEAT or BAR.BEAT& with or without +N or -N ticks, or +N", text)
	}
	ticks := number(form[4], 0)
	if form[1] == "" {
		return s.last + ticks, nil
	}
	bar := number(form[1], 0) - 1
	meter, start := s.meter, bar*s.meter.Bar()
	if t := s.Setup.Timeline; t != nil {
		n := int64(len(t.Bars))
		in := &t.Bars[max(0, bar)%n]
		meter, start = in.Meter, s.countIn+max(0, bar)/n*t.Length+in.Start+min(0, bar)*in.Meter.Bar()
	}
	halves := 2*(number(form[2], 0)-1) + int64(len(form[3]))
	return start + halves*meter.Beat()/2 + ticks, nil
}

func (s *Script) add(e analyse.Event) { s.Events = append(s.Events, e) }

// finish puts the events in order: at one tick keys come up before others go
// down.
func (s *Script) finish() error {
	if s.Name != "" && len(s.notes) == 0 {
		return fmt.Errorf("no notes in the phrase %q", s.Name)
	}
	slices.SortStableFunc(s.Events, func(a, b analyse.Event) int {
		up := func(e analyse.Event) int { return cmp.Compare(e.Kind, analyse.NoteOff) }
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), cmp.Compare(up(a), up(b)))
	})
	s.End = s.last
	for _, e := range s.Events {
		s.End = max(s.End, e.Tick+quietAtTheEnd)
	}
	return nil
}
