package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/hands"
)

// learn puts the controls that the player presses where the map has some to be learnt,
// before the session begins.
func (c *listenCommand) learn(p *program) error {
	todo := false
	for _, text := range c.Map {
		_, is, err := hands.ToLearn(text)
		if err != nil {
			return usage.Errorf("--map %w", err)
		}
		todo = todo || is
	}
	if !todo {
		return nil
	}
	live, err := listen.OpenLive(listen.Options{Port: c.In, Shown: display.Clean, API: c.API})
	if err != nil {
		return err
	}
	defer live.Close()
	ctx, stop := untilSignal()
	defer stop()
	err = (&teacher{say: p.say, agrees: p.agrees}).teach(ctx, live, c.Map)
	if ctx.Err() != nil {
		return &stopped{}
	}
	return err
}

// teacher asks the player to press what is to be learnt.
type teacher struct {
	say    func(format string, args ...any)
	agrees func(ctx context.Context, question string) bool
}

// teach learns what is to be learnt of a map, and writes it there.
func (t *teacher) teach(ctx context.Context, source timedSource, lines []string) error {
	var lesson hands.Lesson
	i, asked := toLearn(lines)
	t.say("For %s: press the pedal now and let it go, or strike the key.", asked)
	for e, failed := range source.Events(ctx, nil) {
		if failed != nil {
			return failed
		}
		at := source.Line().Time(e.Tick)
		if e.Kind <= analyse.PitchBend {
			lesson.Hear(e, at)
		}
		switch {
		case !lesson.Pressed(at):
			continue
		case !lesson.Done():
			t.say("Once more.")
			continue
		}
		line, err := t.learnt(ctx, &lesson, lines, asked)
		lesson = hands.Lesson{}
		if err != nil {
			t.say("%v. Again, for %s: press it and let it go.", err, asked)
			continue
		}
		lines[i] = line
		t.say("Learnt, and kept for the next time: --map %s", line)
		if i, asked = toLearn(lines); i < 0 {
			return nil
		}
		t.say("For %s: press the pedal now and let it go, or strike the key.", asked)
	}
	return ctx.Err()
}

// toLearn returns the first line with something to learn, and what that asks for; -1
// where there is none.
func toLearn(lines []string) (i int, asked string) {
	i = slices.IndexFunc(lines, func(text string) bool {
		what, is, _ := hands.ToLearn(text)
		if is {
			asked = what
		}
		return is
	})
	return i, asked
}

var errUnlike = errors.New("that was not the same twice")

// learnt returns the line of what was pressed. The error says why it will not do.
func (t *teacher) learnt(ctx context.Context, lesson *hands.Lesson, lines []string, asked string) (string, error) {
	control, ok := lesson.Control()
	if !ok {
		return "", errUnlike
	}
	line := control + "=" + asked
	known := []string{line}
	for _, other := range lines {
		if _, is, _ := hands.ToLearn(other); !is {
			known = append(known, other)
		}
	}
	parsed, err := hands.Parse(known)
	if err != nil {
		return "", err
	}
	if parsed[0].Manner == hands.Sustaining && !t.agrees(ctx, fmt.Sprintf("This is the sustain pedal: it goes on sustaining, and asks for %s each time. Use it all the same? (y/n)", asked)) {
		return "", errors.New("not the sustain pedal, then")
	}
	return line, nil
}

// agrees asks a question on the terminal. No answer is no.
func (p *program) agrees(ctx context.Context, question string) bool {
	p.say("%s", question)
	answer := make(chan string, 1)
	go func() {
		text, _ := bufio.NewReader(p.in).ReadString('\n')
		answer <- text
	}()
	select {
	case text := <-answer:
		return strings.HasPrefix(strings.ToLower(strings.TrimSpace(text)), "y")
	case <-ctx.Done():
		return false
	}
}
