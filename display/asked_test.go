package display

import (
	"context"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

// Keys are handed on: arrows as the signs that look like them; what is not taken is
// the screen's own; none while the help page is open, which any key closes.
func TestKeysAreHandedOn(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	s := newTerminal(80, 24)
	screen, end := NewScreen(s, Options{}), make(chan error, 1)
	keys := make(chan rune, 16)
	screen.Press = func(key rune) bool {
		if key != 'q' && key != '?' {
			keys <- key
			return true
		}
		return false
	}
	go func() { end <- screen.Run(ctx) }()
	screen.Post(tune())
	s.awaitPicture(t, "bar 7 of 32")
	s.InjectKey(tcell.KeyRune, 'a', tcell.ModNone)
	s.InjectKey(tcell.KeyRight, 0, tcell.ModNone)
	s.InjectKey(tcell.KeyLeft, 0, tcell.ModNone)
	s.InjectKey(tcell.KeyRune, '?', tcell.ModNone)
	s.InjectKey(tcell.KeyRune, 't', tcell.ModNone) // closes the page
	s.InjectKey(tcell.KeyRune, '+', tcell.ModNone)
	for _, want := range "a><+" {
		require.Equal(t, want, await(t, keys, "a key"))
	}
	s.InjectKey(tcell.KeyRune, 'q', tcell.ModNone)
	require.NoError(t, await(t, end, "the end of Run"))
	require.Empty(t, keys, "q is the screen's")
}

// What was asked for is answered in the foot, in place of where the take goes; that
// what sounded does no more is a warning. Names from outside do no harm.
func TestAnswersAndSilenceAreShown(t *testing.T) {
	foot := func(st Status) string {
		f := tune()
		f.Status = st
		rows := strings.Split(strings.TrimRight(onTerminal(t, "UTF-8", f, Options{}, 80, 24, nil), "\n"), "\n")
		return rows[len(rows)-1]
	}
	answered := foot(Status{Source: "Keys", TakePath: "/takes/one.mid", Notice: "again, from the top"})
	require.Contains(t, answered, "again, from the top")
	require.NotContains(t, answered, "one.mid")
	require.Contains(t, answered, keysHint)
	comes := Status{TakePath: "/takes/one.mid", Coming: "faster at the top: 124"}
	require.Contains(t, foot(comes), "faster at the top: 124")
	comes.NextKey = "Eb minor"
	require.Contains(t, foot(comes), "next chorus in E♭ minor; faster at the top: 124")
	comes.Notice = "tap"
	require.NotContains(t, foot(comes), "faster", "an answer stands for a while only")
	require.Contains(t, foot(Status{NoSound: "the server is gone"}), "no sound: the server is gone")
	require.NotContains(t, foot(Status{Notice: "Sound: \x1b[2J"}), "\x1b")

	var b strings.Builder
	l := NewLines(&b, Options{})
	for _, st := range []Status{
		{Notice: "tap"}, {Notice: "tap"}, {}, {NoSound: "the server is gone"}, {NoSound: "the server is gone", Lost: 1},
		{Coming: "faster at the top: 124"}, {Coming: "faster at the top: 124"}, {},
	} {
		require.NoError(t, l.Show(st))
	}
	require.Equal(t, "-- tap\n-- no sound: the server is gone\n-- lost notes: 1 messages\n-- faster at the top: 124\n", b.String())

	b.Reset()
	l = NewLines(&b, Options{ASCII: true, Written: tone.InBFlat}) // a whole step above what sounds
	for _, st := range []Status{{Key: "C"}, {Key: "C", NextKey: "F"}, {Key: "C", NextKey: "F"}, {Key: "F"}} {
		require.NoError(t, l.Show(st))
	}
	require.Equal(t, "-- in D\n-- next chorus in G\n-- in G\n", b.String())
}
