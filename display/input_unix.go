//go:build unix

package display

import (
	"io"

	"github.com/gdamore/tcell/v2"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
)

// openScreen returns the screen of the process.
func openScreen() (tcell.Screen, error) {
	tty, err := tcell.NewDevTty()
	if err != nil {
		return nil, err
	}
	return tcell.NewTerminfoScreenFromTty(&input{Tty: tty})
}

// input is a terminal whose keys are UTF-8 throughout. tcell v2.13.10 loops for
// ever at a byte that is not, as an 8-bit Meta key or a paste in Latin-1 sends.
type input struct {
	tcell.Tty
	keys io.Reader
}

// Start begins to read anew: an end that an earlier Drain made is no end.
func (in *input) Start() error {
	in.keys = transform.NewReader(in.Tty, runes.ReplaceIllFormed())
	return in.Tty.Start()
}

func (in *input) Read(b []byte) (int, error) { return in.keys.Read(b) }
