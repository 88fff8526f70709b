package sound

import "shedlight/listen"

// openerOfPort opens the MIDI output that the options name.
func openerOfPort(o Options) portOpener {
	return func() (port, string, error) {
		out, err := listen.OpenOutput(o.API, o.Out)
		if err != nil {
			return nil, "", err
		}
		return out, out.Name(), nil
	}
}
