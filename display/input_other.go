//go:build !unix

package display

import "github.com/gdamore/tcell/v2"

// openScreen returns the screen of the process.
func openScreen() (tcell.Screen, error) { return tcell.NewScreen() }
