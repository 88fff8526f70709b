// Package hands turns what a player does with a pedal, a key outside the music or
// a program change into what they ask of the clock. It is pure: it is told what
// came and when, and says what was asked for.
package hands

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

const (
	// onAt and offUnder are the values at which a pedal is down and up again: in
	// between it stays what it is, so that a trembling foot asks once.
	onAt     = 64 // MIDI 1.0: 64 and more of a switch is on
	offUnder = 40
	// deadTime is how long after it has asked a control asks for nothing: contacts
	// bounce for some milliseconds, and no foot is that quick.
	deadTime = 30 * time.Millisecond
	// longPress is how long a control is held for its second action: longer than
	// anybody taps, and no wait.
	longPress = 600 * time.Millisecond
	// greatest is the greatest number of a key, a controller or a program (MIDI 1.0).
	greatest = 127
	// sustain is the pedal that belongs to the music, and modes the first of the
	// controllers that are no controls but switch the instrument (MIDI 1.0).
	sustain = 64
	modes   = 120
)

// Manner is how a pedal says that it is pressed.
type Manner uint8

const (
	Plain      Manner = iota // pressed at 64 and more
	Reversed                 // pressed under 40: it rests at 127
	Latching                 // it keeps its value until it is pressed again
	Sustaining               // as Plain, of the sustain pedal, which sustains as well
)

// manners are the manners by the name they have in a map, behind the number.
func manners() map[string]Manner {
	return map[string]Manner{"": Plain, "reversed": Reversed, "latching": Latching, "sustaining": Sustaining}
}

// Binding is one control and what it asks for. Where it asks for something else when
// it is held, it asks for the first when it is let go.
type Binding struct {
	Ask    analyse.Ask
	Manner Manner
	Action beat.Action
	Held   beat.Action // 0: nothing
}

// Map is a player's controls.
type Map []Binding

// kinds are the controls by the name they have in a map.
func kinds() map[string]analyse.Kind {
	return map[string]analyse.Kind{"cc": analyse.Control, "note": analyse.NoteOn, "program": analyse.Program}
}

// Actions lists what can be asked for, by its name in a map.
func Actions() map[string]beat.Action {
	return map[string]beat.Action{
		"again": beat.Again, "forward": beat.BarOn, "back": beat.BarBack, "stop": beat.Stop, "tap": beat.Tap,
		"forget": beat.Forget, "mark": beat.Mark, "louder": beat.Louder, "softer": beat.Softer,
		"faster": beat.Faster, "slower": beat.Slower, "view": beat.NextView,
		"phrase": beat.PhraseBack,
	}
}

// Word is what the screen answers with when an action is asked for.
func Word(a beat.Action) string {
	switch a {
	case beat.Again:
		return "again, from the top"
	case beat.BarOn:
		return "a bar on"
	case beat.BarBack:
		return "a bar back"
	case beat.Stop:
		return "stopped"
	case beat.Tap:
		return "tap"
	case beat.Forget:
		return "forget" // the session says which chorus
	case beat.NextView:
		return "the other view" // the session says which
	case beat.PhraseBack:
		return "the last phrase"
	case beat.Mark:
		return "marked"
	case beat.Louder:
		return "louder"
	case beat.Softer:
		return "softer"
	case beat.Faster:
		return "faster"
	case beat.Slower:
		return "slower"
	}
	return ""
}

// Parse reads a map with nothing to learn (ToLearn): "cc67=again", "note21=tap", "program5=stop". Controllers,
// keys and programs are numbers from 0 to 127, as MIDI has them; keys may not be
// named by note, because what they sound is not meant. A second action behind a
// stroke is for a control that is held: "cc67=again/forget". A pedal that rests at
// 127 is "cc67reversed", one that latches "cc67latching". The sustain pedal goes on
// sustaining, so that it is used only as "cc64sustaining".
func Parse(texts []string) (Map, error) {
	var m Map
	for _, text := range texts {
		b, err := parse(text)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(m, func(other Binding) bool { return other.Ask == b.Ask }) {
			return nil, fmt.Errorf("%q: that control is there twice", text)
		}
		m = append(m, b)
	}
	return m, nil
}

func parse(text string) (b Binding, err error) {
	control, asked, ok := strings.Cut(text, "=")
	if control == Learn {
		return b, fmt.Errorf("%q: a control is learnt on an instrument, by the listen that is typed with it", text)
	}
	bare := strings.TrimRight(control, "abcdefghijklmnopqrstuvwxyz")
	manner, mannered := manners()[control[len(bare):]]
	name := strings.TrimRight(bare, "0123456789")
	kind, known := kinds()[name]
	number, failed := strconv.Atoi(bare[len(name):])
	if !ok || !known || !mannered || failed != nil || number > greatest {
		return b, fmt.Errorf("%q: expected a control and what it asks for, like cc67=again, note21=tap or program5=stop, with numbers from 0 to 127", text)
	}
	b = Binding{Ask: analyse.Ask{Kind: kind, Key: uint8(number)}, Manner: manner}
	if b.Action, b.Held, err = actions(text, asked); err != nil {
		return b, err
	}
	switch {
	case manner != Plain && kind != analyse.Control:
		return b, fmt.Errorf("%q: reversed, latching and sustaining are for pedals (cc)", text)
	case b.Held != 0 && (manner == Latching || kind == analyse.Program):
		return b, fmt.Errorf("%q: nobody can hold a latching pedal or a program change: give it one action", text)
	case b.Ask == sustainPedal && manner != Sustaining:
		return b, fmt.Errorf("%q: controller 64 is the sustain pedal and goes on sustaining; where that is meant say cc64sustaining, else choose another", text)
	case b.Ask != sustainPedal && manner == Sustaining:
		return b, fmt.Errorf("%q: sustaining is for the sustain pedal, cc64", text)
	case kind == analyse.Control && number >= modes:
		return b, fmt.Errorf("%q: controllers from 120 on switch the instrument; choose another", text)
	}
	return b, nil
}

// sustainPedal is the control that asks for something besides what it does.
var sustainPedal = analyse.Ask{Kind: analyse.Control, Key: sustain}

// actions reads what a text of a map asks for, and what for when it is held.
func actions(text, asked string) (action, held beat.Action, err error) {
	short, long, second := strings.Cut(asked, "/")
	action, known := Actions()[short]
	held, knownHeld := Actions()[long]
	switch {
	case !known, second && !knownHeld:
		return 0, 0, fmt.Errorf("%q: expected %s", text, listed())
	case second && action == beat.Tap:
		return 0, 0, fmt.Errorf("%q: a tap counts when it is pressed, so that it has a control of its own", text)
	}
	return action, held, nil
}

// listed lists the actions, in their order.
func listed() string {
	names := slices.SortedFunc(maps.Keys(Actions()), func(a, b string) int { return int(Actions()[a]) - int(Actions()[b]) })
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// Asks lists the controls, for the analyser to pass over; the sustain pedal is music too.
func (m Map) Asks() []analyse.Ask {
	var out []analyse.Ask
	for _, b := range m {
		if b.Manner != Sustaining {
			out = append(out, b.Ask)
		}
	}
	return out
}

// Hands follows the controls of a map. It belongs to one goroutine.
type Hands struct {
	bindings Map
	states   []state
}

// state is how a control stands.
type state struct {
	down  bool
	known bool          // a value has come
	until time.Duration // it asks for nothing before
	open  bool          // it is held, and what it asks for is open
	since time.Duration // it is held
}

// New returns hands that have nothing pressed.
func New(m Map) *Hands { return &Hands{bindings: m, states: make([]state, len(m))} }

// Hear takes a channel message and its time. control says that it is one of the
// controls; asked, that it asks for the action. Times do not decrease, and what was
// due before (Due) was asked for.
func (h *Hands) Hear(e analyse.Event, at time.Duration) (action beat.Action, asked, control bool) {
	for i := range h.bindings {
		if b, s := &h.bindings[i], &h.states[i]; b.Ask.Is(e) {
			pressed := s.press(e, b.Manner, at)
			if b.Held == 0 {
				return b.Action, pressed, true
			}
			if pressed {
				s.open, s.since = true, at
			}
			let := s.open && !s.down
			s.open = s.open && s.down
			return b.Action, let, true
		}
	}
	return 0, false, false
}

// Due returns what a control asks for that has been held long enough at a time, and
// since when; ok is false where none has. It is asked until it is.
func (h *Hands) Due(at time.Duration) (action beat.Action, when time.Duration, ok bool) {
	for i := range h.states {
		if s := &h.states[i]; s.open && at >= s.since+longPress {
			s.open = false
			return h.bindings[i].Held, s.since + longPress, true
		}
	}
	return 0, 0, false
}

// Release lets go of everything: the instrument is gone, or messages were lost. What
// is held asks for nothing any more.
func (h *Hands) Release() {
	for i := range h.states {
		h.states[i] = state{until: h.states[i].until}
	}
}

// press reports whether a message of the control presses it.
func (s *state) press(e analyse.Event, m Manner, at time.Duration) bool {
	before, known := s.down, s.known
	asks := false
	switch e.Kind {
	case analyse.Control:
		high := e.Velocity >= onAt
		if !high && e.Velocity >= offUnder {
			return false
		}
		s.down, s.known = high != (m == Reversed), true
		asks = s.down && !before
		if m == Latching {
			asks = !known || s.down != before
		}
	case analyse.NoteOn:
		asks = e.Velocity > 0
		s.down = asks
	case analyse.NoteOff:
		s.down = false
	case analyse.Program:
		asks = true
	}
	if asks = asks && at >= s.until; asks {
		s.until = at + deadTime
	}
	return asks
}
