//go:build !cgo || nomidi

package driver

import "slices"

// Load fails: without cgo there is no way to the sound system.
func Load(name string) (Driver, error) {
	if name != "" && !slices.Contains(APIs(), name) {
		return nil, UnknownAPI
	}
	return nil, NotBuilt
}

// Compiled reports whether this build speaks the named sound system: none.
func Compiled(string) bool { return false }

// OpenOutput fails: without cgo there is no way to the sound system.
func OpenOutput(string, func(string, []string) (int, error)) (Output, error) { return nil, NotBuilt }
