//go:build !cgo || nosound

package sound

import "errors"

var errNotBuilt = errors.New("this build makes no sound of its own: it was made without cgo, or with the tag nosound; --sound midi sends notes to an instrument")

// openerOfDevice opens nothing: this build has no audio.
func openerOfDevice(Options) opener {
	return func(int) (device, error) { return nil, errNotBuilt }
}
