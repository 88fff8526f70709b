package main

import (
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"
	"golang.org/x/term"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
)

// usualWidth is how wide a page is, in cells, where nothing says otherwise.
const usualWidth = 80

// width is how many cells a line of standard output may have: those of the terminal
// that it is; else what COLUMNS says, as in POSIX, where that is a width to write for.
func (p *program) width() int {
	if p.out != nil {
		if cells, _, err := term.GetSize(int(p.out.Fd())); err == nil && cells > 0 {
			return max(cells, display.LeastWidth)
		}
	}
	if cells, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && cells >= display.LeastWidth {
		return cells
	}
	return usualWidth
}

// pageOptions are textOptions for a page as wide as there is room.
func (p *program) pageOptions(look settings.Look) display.Options {
	options := textOptions(look)
	options.Width = p.width()
	return options
}

// twoColumns is how many cells a page of help needs to have what a flag is for beside it.
const twoColumns = 60

// helpPage writes a page of help for foldedLines. On a narrow page what a flag is for
// comes in one line, which is folded below it.
func (p *program) helpPage(o kong.HelpOptions, page *kong.Context) error {
	if p.width() < twoColumns {
		const unbroken = "1000"
		before := os.Getenv("COLUMNS") // nothing else tells kong how wide a page is
		os.Setenv("COLUMNS", unbroken)
		defer os.Setenv("COLUMNS", before)
	}
	return kong.DefaultHelpPrinter(o, page)
}

// foldedLines folds the lines that are written to it, and writes them in ASCII where
// that is asked for or the locale has no other signs.
type foldedLines struct {
	w     io.Writer
	cells int
	ascii bool
	rest  string // of a line that is not over
}

func (f *foldedLines) Write(b []byte) (int, error) {
	text := f.rest + string(b)
	end := strings.LastIndexByte(text, '\n') + 1
	f.rest = text[end:]
	whole := text[:end]
	if f.ascii || !unicodeLocale() {
		whole = display.ASCII(whole)
	}
	if _, err := io.WriteString(f.w, display.Fold(whole, f.cells)); err != nil {
		return 0, err
	}
	return len(b), nil
}
