package display

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"
)

// terminal is a simulated terminal that tells what is done to it. Its pictures
// go out through drawn; while hold is locked it takes none, like a terminal
// whose line is stopped.
type terminal struct {
	tcell.SimulationScreen
	w, h    int
	colours int
	drawn   chan string
	hold    sync.Mutex
	showing chan struct{} // told when a picture comes
	broken  bool          // Show panics

	shows, finis, late atomic.Int64
}

func newTerminal(w, h int) *terminal {
	return &terminal{
		SimulationScreen: tcell.NewSimulationScreen(""), w: w, h: h, colours: paletteSize,
		drawn: make(chan string, 4096), showing: make(chan struct{}, 4096),
	}
}

func (s *terminal) Init() error {
	err := s.SimulationScreen.Init()
	s.SetSize(s.w, s.h)
	s.SimulationScreen.Show()
	return err
}

func (s *terminal) Colors() int { return s.colours }

func (s *terminal) Show() { s.take(s.SimulationScreen.Show) }
func (s *terminal) Sync() { s.take(s.SimulationScreen.Sync) }

func (s *terminal) take(show func()) {
	if s.finis.Load() > 0 {
		s.late.Add(1)
	}
	if s.broken {
		panic("a broken terminal")
	}
	s.showing <- struct{}{}
	s.hold.Lock()
	defer s.hold.Unlock()
	s.shows.Add(1)
	show()
	s.drawn <- contents(s.SimulationScreen)
}

func (s *terminal) Fini() {
	s.finis.Add(1)
	s.SimulationScreen.Fini()
}

// patience is how long a test waits for what must come.
const patience = 20 * time.Second

func await[T any](t *testing.T, from <-chan T, what string) T {
	t.Helper()
	select {
	case v := <-from:
		return v
	case <-time.After(patience):
		require.FailNow(t, "did not come: "+what)
		panic("unreachable")
	}
}

// awaitPicture waits for a picture that holds a text.
func (s *terminal) awaitPicture(t *testing.T, text string) string {
	t.Helper()
	for {
		if got := await(t, s.drawn, "a picture with "+text); strings.Contains(got, text) {
			return got
		}
	}
}

// run starts a screen on the terminal; its end comes through the channel.
func (s *terminal) run(ctx context.Context) (*Screen, <-chan error) {
	screen, end := NewScreen(s, Options{}), make(chan error, 1)
	go func() { end <- screen.Run(ctx) }()
	return screen, end
}

func TestEveryWayOutRestoresTheTerminalOnce(t *testing.T) {
	for name, leave := range map[string]func(*terminal, context.CancelFunc){
		"q":        func(s *terminal, _ context.CancelFunc) { s.InjectKey(tcell.KeyRune, 'q', tcell.ModNone) },
		"Ctrl-C":   func(s *terminal, _ context.CancelFunc) { s.InjectKey(tcell.KeyCtrlC, 0, tcell.ModCtrl) },
		"cancel":   func(_ *terminal, cancel context.CancelFunc) { cancel() },
		"an error": func(s *terminal, _ context.CancelFunc) { _ = s.PostEvent(tcell.NewEventError(errors.New("hung up"))) },
	} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			s := newTerminal(80, 24)
			screen, end := s.run(ctx)
			screen.Post(tune())
			s.awaitPicture(t, "bar 7 of 32")
			leave(s, cancel)
			err := await(t, end, "the end of Run")
			if name == "an error" {
				require.ErrorContains(t, err, "hung up")
			} else {
				require.NoError(t, err)
			}
			screen.Post(free())
			require.EqualValues(t, 1, s.finis.Load(), "Fini is called once")
			require.Zero(t, s.late.Load(), "Show after Fini would hang on a real terminal")
		})
	}
}

func TestPanicRestoresTheTerminalAndPasses(t *testing.T) {
	s := newTerminal(80, 24)
	s.broken = true
	require.PanicsWithValue(t, "a broken terminal", func() { _ = NewScreen(s, Options{}).Run(context.Background()) })
	require.EqualValues(t, 1, s.finis.Load())
}

// A terminal that takes nothing for as long as it likes: Post returns all the
// same, and what is shown after that is the newest frame.
func TestSlowTerminalDelaysNobody(t *testing.T) {
	s := newTerminal(80, 24)
	s.hold.Lock()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	screen, end := s.run(ctx)
	await(t, s.showing, "the first picture")
	const frames = 10_000
	for i := range frames {
		f := tune()
		f.Snapshot.Bar = i + 1
		f.Snapshot.Bars = frames
		screen.Post(f) // a blocking Post ends the test by its time limit
	}
	require.Zero(t, s.shows.Load())
	s.hold.Unlock()
	s.awaitPicture(t, "bar 10000 of 10000")
	require.LessOrEqual(t, s.shows.Load(), int64(3), "frames that were replaced are not drawn")
	cancel()
	require.NoError(t, await(t, end, "the end of Run"))
}

// awaitFree waits until a frame that is posted is drawn at once.
func awaitFree(t *testing.T, s *Screen) {
	t.Helper()
	for !s.Free() {
		await(t, s.Freed(), "that the screen is free")
	}
}

// A frame is asked for when it can be drawn, and by no screen whose terminal has
// not taken the last one.
func TestFramesAreAskedForWhenTheyCanBeDrawn(t *testing.T) {
	s := newTerminal(80, 24)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	screen, end := s.run(ctx)
	require.False(t, NewScreen(s, Options{}).Free(), "nobody draws yet")
	awaitFree(t, screen)
	s.hold.Lock()
	f := tune()
	screen.Post(f)
	require.False(t, screen.Free(), "a frame waits")
	for shown := 0; shown < 2; shown++ { // the empty picture, and the one that is held up
		await(t, s.showing, "a picture")
	}
	require.False(t, screen.Free(), "a terminal that takes nothing is asked for nothing")
	s.hold.Unlock()
	awaitFree(t, screen)
	s.awaitPicture(t, "bar 7 of 32")
	screen.Post(f) // it draws nothing new, and so keeps no other waiting
	awaitFree(t, screen)
	f.Snapshot.Bar = 8
	screen.Post(f)
	s.awaitPicture(t, "bar 8 of 32")
	cancel()
	require.NoError(t, await(t, end, "the end of Run"))
}

func TestHelpOpensAndCloses(t *testing.T) {
	s := newTerminal(80, 24)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	screen, end := s.run(ctx)
	screen.Post(tune())
	before := s.awaitPicture(t, "bar 7 of 32")
	s.InjectKey(tcell.KeyRune, '?', tcell.ModNone)
	help := s.awaitPicture(t, "Take breaks")
	require.Contains(t, help, "hearing does not come back")
	require.Contains(t, help, "teacher or a clinician")
	s.InjectKey(tcell.KeyRune, '?', tcell.ModNone)
	words := s.awaitPicture(t, "the words")
	for _, word := range []string{"six ", "dim ", "3 of 4", "too soon to tell"} {
		require.Contains(t, words, word)
	}
	s.InjectKey(tcell.KeyRune, '?', tcell.ModNone)
	require.Equal(t, before, s.awaitPicture(t, "bar 7 of 32"))
	s.InjectKey(tcell.KeyRune, '?', tcell.ModNone)
	s.awaitPicture(t, "Take breaks")
	s.InjectKey(tcell.KeyRune, ' ', tcell.ModNone)
	require.Equal(t, before, s.awaitPicture(t, "bar 7 of 32"))
	cancel()
	require.NoError(t, await(t, end, "the end of Run"))
}

func TestResizeToOneCellAndBack(t *testing.T) {
	s := newTerminal(80, 24)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	screen, end := s.run(ctx)
	screen.Post(tune())
	before := s.awaitPicture(t, "bar 7 of 32")
	for _, size := range []struct{ w, h int }{{1, 1}, {0, 0}, {120, 40}, {1, 40}, {200, 1}, {80, 24}} {
		s.SetSize(size.w, size.h)
		require.NoError(t, s.PostEvent(tcell.NewEventResize(size.w, size.h)))
	}
	for got := ""; got != before; got = await(t, s.drawn, "the first picture again") {
	}
	cancel()
	require.NoError(t, await(t, end, "the end of Run"))
}

// drawing returns a screen that is drawn by hand, without Run.
func drawing(t testing.TB, s *terminal) *Screen {
	require.NoError(t, s.Init())
	screen := NewScreen(s, Options{})
	screen.start()
	return screen
}

// What does not change the picture costs the terminal nothing.
func TestSamePictureIsNotShownAgain(t *testing.T) {
	s := newTerminal(80, 24)
	defer s.Fini()
	screen := drawing(t, s)
	screen.Post(tune())
	screen.draw()
	require.EqualValues(t, 1, s.shows.Load())
	f := tune()
	f.Snapshot.Tick++ // less than a cell
	screen.Post(f)
	screen.draw()
	screen.draw()
	require.EqualValues(t, 1, s.shows.Load())
	f.Snapshot.Tick += beat
	screen.Post(f)
	screen.draw()
	require.EqualValues(t, 2, s.shows.Load())
}

// Colour only helps: the text is the same with any number of colours, and
// without colour no style has any.
func TestAnyNumberOfColours(t *testing.T) {
	var first string
	for _, colours := range []int{0, 8, 256, 1 << 24} {
		s := newTerminal(120, 40)
		s.colours = colours
		screen := drawing(t, s)
		screen.Post(tune())
		screen.draw()
		got := <-s.drawn
		if first == "" {
			first = got
		}
		require.Equal(t, first, got, "%d colours", colours)
		hues := huesOf(colours)
		for _, hue := range hues {
			if r, g, b := hue.RGB(); hue != tcell.ColorDefault {
				require.LessOrEqual(t, r, 2*max(g, b), "no red alarm")
			}
		}
		hueOf := map[tcell.Style]tcell.Color{}
		for k, style := range newPalette(hues) {
			if hue := ink(k) & inkHueMask; int(hue) < len(hues) {
				hueOf[style] = hues[hue]
			}
		}
		cells, _, _ := s.GetContents()
		used := map[tcell.Color]bool{}
		for _, c := range cells {
			hue, ours := hueOf[c.Style]
			require.True(t, ours || c.Style == tcell.StyleDefault, "a style of the palette, whose background is the player's own")
			require.Equal(t, c.Style, c.Style.Background(tcell.ColorDefault))
			used[hue] = true
		}
		if colours == 0 {
			require.Equal(t, map[tcell.Color]bool{tcell.ColorDefault: true}, used)
		} else {
			require.GreaterOrEqual(t, len(used), 4, "home, dim, unresolved and the rest are told apart")
		}
		s.Fini()
	}
}

// Every size gets a picture of just that size, with nothing beyond its edges
// and no cell left out.
func TestEverySize(t *testing.T) {
	frames := []Frame{tune(), free(), countIn(), semiquavers(), gone(), hostile(), waltz(), {}}
	for i := range frames {
		for _, help := range []helpPage{noHelp, helpSignsPage, helpWords} {
			p := newPainter(Options{})
			p.help = help
			for w := 0; w <= 130; w++ {
				for h := w % 7; h <= 45; h += 7 {
					c := p.paint(&frames[i], w, h)
					require.Len(t, c.cells, w*h)
					if w*h == 0 {
						continue
					}
					rows := 0
					for _, at := range p.at {
						rows += at.n
					}
					require.Equal(t, h, rows)
					require.Equal(t, h, strings.Count(c.String(), "\n"))
				}
			}
		}
	}
}

func BenchmarkDrawWholePicture(b *testing.B) {
	s := newTerminal(120, 40)
	defer s.Fini()
	screen := drawing(b, s)
	screen.Post(tune())
	for b.Loop() {
		screen.stale = true
		screen.draw()
		<-s.drawn
		<-s.showing
	}
}

func BenchmarkDrawSamePicture(b *testing.B) {
	s := newTerminal(120, 40)
	defer s.Fini()
	screen := drawing(b, s)
	screen.Post(tune())
	screen.draw()
	b.ReportAllocs()
	for b.Loop() {
		screen.draw()
	}
	require.EqualValues(b, 1, s.shows.Load())
}

func BenchmarkPaint(b *testing.B) {
	p, f := newPainter(Options{}), semiquavers()
	b.ReportAllocs()
	for b.Loop() {
		p.paint(&f, 120, 40)
	}
}

func BenchmarkPost(b *testing.B) {
	screen, f := NewScreen(nil, Options{}), tune()
	b.ReportAllocs()
	for b.Loop() {
		screen.Post(f)
	}
}
