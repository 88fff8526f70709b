package hands

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"shedlight/analyse"
)

// Which pedal it is, at which value it rests and whether it latches is learnt by
// doing: the player presses it and lets it go, twice. Each time is over when nothing
// has come for a while (Settled). A pedal that moves there and back each time is one
// that is held; where it comes to rest says which way round it is. One that moves once
// each time, and the other way the second time, latches. A key or a program that comes
// both times is that. What moves beside it, a breath controller or a bank that is
// chosen with a program, does not do that both times.
//
// Known wrong answer, accepted: a pedal that is held for over two seconds, and not
// pressed again but let go when it is asked for once more, is taken for one that
// latches.

// Learn is what stands for a control in a map that is still to be learnt.
const Learn = "learn"

const (
	// settled is how long nothing comes where a press is over, and halfway where a pedal
	// has moved and not come back: it latches, or a foot takes its time.
	settled = 800 * time.Millisecond
	halfway = 2 * time.Second
	// longest bounds a press where something comes all the time, as breath does.
	longest = 4 * time.Second
)

// presses is how often a control is pressed to be learnt.
const presses = 2

// Lesson learns a control. Its zero value is ready for the first press.
type Lesson struct {
	heard  []heardControl // in the order in which they came
	press  int            // the one that is awaited or goes on, from 0
	begun  bool
	first  time.Duration // when it began
	latest time.Duration // when something came last
}

// heardControl is what came of one control: of a pedal at which side of on and off it
// was, each once until it changes; of a key and a program how often it was struck.
type heardControl struct {
	ask    analyse.Ask
	levels [presses][]bool
	struck [presses]int
}

// Hear takes a channel message and its time.
func (l *Lesson) Hear(e analyse.Event, at time.Duration) {
	kind := e.Kind
	switch {
	case kind == analyse.Control && e.Key < modes, kind == analyse.Program, kind == analyse.NoteOn && e.Velocity > 0:
	default:
		return
	}
	if !l.begun {
		l.begun, l.first = true, at
	}
	l.latest = at
	h := l.of(analyse.Ask{Kind: kind, Key: e.Key})
	if kind != analyse.Control {
		h.struck[l.press]++
		return
	}
	high := e.Velocity >= onAt
	if !high && e.Velocity >= offUnder {
		return
	}
	if last, is := h.level(); !is || last != high {
		h.levels[l.press] = append(h.levels[l.press], high)
	}
}

// of returns what came of a control.
func (l *Lesson) of(ask analyse.Ask) *heardControl {
	i := slices.IndexFunc(l.heard, func(h heardControl) bool { return h.ask == ask })
	if i < 0 {
		i = len(l.heard)
		l.heard = append(l.heard, heardControl{ask: ask})
	}
	return &l.heard[i]
}

// level returns where a pedal is; is is false before it has said.
func (h *heardControl) level() (high, is bool) {
	for _, levels := range slices.Backward(h.levels[:]) {
		if n := len(levels); n > 0 {
			return levels[n-1], true
		}
	}
	return false, false
}

// Pressed reports whether the press that was awaited is over at a time; then the next
// one is awaited.
func (l *Lesson) Pressed(at time.Duration) bool {
	quiet := settled
	if l.halfway() {
		quiet = halfway
	}
	if !l.begun || at-l.latest < quiet && at-l.first < longest {
		return false
	}
	l.begun = false
	l.press++
	return true
}

// halfway reports whether all that came is pedals that moved and did not come back.
func (l *Lesson) halfway() bool {
	return !slices.ContainsFunc(l.heard, func(h heardControl) bool {
		return h.struck[l.press] > 0 || len(h.levels[l.press]) > 1
	})
}

// Done reports whether all presses are over.
func (l *Lesson) Done() bool { return l.press == presses }

// Control returns the control that was pressed, as it stands in a map. ok is false
// where none was pressed alike both times.
func (l *Lesson) Control() (text string, ok bool) {
	for i := range l.heard {
		if text, ok = l.heard[i].text(); ok {
			return text, true
		}
	}
	return "", false
}

// text is how a control stands in a map; ok is false where it was not pressed alike
// each time.
func (h *heardControl) text() (text string, ok bool) {
	switch h.ask.Kind {
	case analyse.NoteOn:
		return fmt.Sprintf("note%d", h.ask.Key), h.struck[0] == 1 && h.struck[1] == 1
	case analyse.Program:
		return fmt.Sprintf("program%d", h.ask.Key), h.struck[0] == 1 && h.struck[1] == 1
	}
	first, second := h.levels[0], h.levels[1]
	text = fmt.Sprintf("cc%d", h.ask.Key)
	switch {
	case len(first) == 0 || len(first) > 3 || len(second) == 0:
		return "", false
	case len(first) == 1 && len(second) == 1:
		return text + "latching", true // the second is another, else it had not come
	case len(first) == 1 || len(second) != 2:
		return "", false
	case first[len(first)-1]: // it rests where it came to rest
		return text + "reversed", true
	case h.ask.Key == sustain:
		return text + "sustaining", true
	}
	return text, true
}

// ToLearn returns what a text of a map asks for with a control that is still to be
// learnt; is is false where it names one. The error says what is wrong with what it
// asks for.
func ToLearn(text string) (asked string, is bool, err error) {
	control, asked, is := strings.Cut(text, "=")
	if !is || control != Learn {
		return "", false, nil
	}
	_, _, err = actions(text, asked)
	return asked, true, err
}
