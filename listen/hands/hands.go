// Package hands turns what a player does with a pedal, a key outside the music or
// a program change into what they ask of the clock. It is pure: it is told what
// came and when, and says what was asked for.
package hands

import (
	"fmt"
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
	// greatest is the greatest number of a key, a controller or a program (MIDI 1.0).
	greatest = 127
	// sustain is the pedal that belongs to the music, and modes the first of the
	// controllers that are no controls but switch the instrument (MIDI 1.0).
	sustain = 64
	modes   = 120
)

// Binding is one control and what it asks for.
type Binding struct {
	Ask    analyse.Ask
	Action beat.Action
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
	}
	return ""
}

// Parse reads a map: "cc67=again", "note21=tap", "program5=stop". Controllers,
// keys and programs are numbers from 0 to 127, as MIDI has them; keys may not be
// named by note, because what they sound is not meant.
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
	name := strings.TrimRight(control, "0123456789")
	kind, known := kinds()[name]
	number, failed := strconv.Atoi(control[len(name):])
	if !ok || !known || failed != nil || number > greatest {
		return b, fmt.Errorf("%q: expected a control and what it asks for, like cc67=again, note21=tap or program5=stop, with numbers from 0 to 127", text)
	}
	action, known := Actions()[asked]
	switch {
	case !known:
		return b, fmt.Errorf("%q: expected again, forward, back, stop or tap", text)
	case kind == analyse.Control && number == sustain:
		return b, fmt.Errorf("%q: controller 64 is the sustain pedal, which belongs to the music; choose another", text)
	case kind == analyse.Control && number >= modes:
		return b, fmt.Errorf("%q: controllers from 120 on switch the instrument; choose another", text)
	}
	return Binding{Ask: analyse.Ask{Kind: kind, Key: uint8(number)}, Action: action}, nil
}

// Asks lists the controls, for the analyser to pass over.
func (m Map) Asks() []analyse.Ask {
	var out []analyse.Ask
	for _, b := range m {
		out = append(out, b.Ask)
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
	until time.Duration // it asks for nothing before
}

// New returns hands that have nothing pressed.
func New(m Map) *Hands { return &Hands{bindings: m, states: make([]state, len(m))} }

// Hear takes a channel message and its time. control says that it is one of the
// controls; asked, that it asks for the action. Times do not decrease.
func (h *Hands) Hear(e analyse.Event, at time.Duration) (action beat.Action, asked, control bool) {
	for i, b := range h.bindings {
		if b.Ask.Is(e) {
			return b.Action, h.states[i].press(e, at), true
		}
	}
	return 0, false, false
}

// press reports whether a message of the control asks.
func (s *state) press(e analyse.Event, at time.Duration) bool {
	asks := false
	switch e.Kind {
	case analyse.Control:
		switch {
		case e.Velocity >= onAt:
			asks, s.down = !s.down, true
		case e.Velocity < offUnder:
			s.down = false
		}
	case analyse.NoteOn:
		asks = e.Velocity > 0
	case analyse.Program:
		asks = true
	}
	if asks = asks && at >= s.until; asks {
		s.until = at + deadTime
	}
	return asks
}
