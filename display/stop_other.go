//go:build !unix

package display

import "os"

// canStop: this system has no stopping from the keyboard.
const canStop = false

// stops never hears anything here.
type stops struct{}

func watchStops() *stops                   { return &stops{} }
func (s *stops) end()                      {}
func (s *stops) asked() <-chan os.Signal   { return nil }
func (s *stops) resumed() <-chan os.Signal { return nil }
func (s *stops) stop()                     {}
