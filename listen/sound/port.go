package sound

import "shedlight/listen"

// openerOfPort opens the MIDI output that the options name, and from then on the
// one that this was: its number, or a part of its name, may be another's later.
func openerOfPort(o Options) portOpener {
	wanted := o.Out
	return func() (port, string, error) {
		out, err := listen.OpenOutput(o.API, wanted)
		if err != nil {
			return nil, "", err
		}
		wanted = out.Name()
		return out, wanted, nil
	}
}
