package listen

import "shedlight/listen/internal/driver"

// Fault is a reason why there is no live MIDI. Each is an error that says in
// one plain sentence what it is and what to do; compare with errors.Is.
type Fault = driver.Fault

// The faults.
const (
	NotBuilt     = driver.NotBuilt
	UnknownAPI   = driver.UnknownAPI
	OtherAPI     = driver.OtherAPI
	NoSound      = driver.NoSound
	NoSequencer  = driver.NoSequencer
	NoPermission = driver.NoPermission
	NoJACK       = driver.NoJACK
	NotOpened    = driver.NotOpened
	Moved        = driver.Moved
	Hung         = driver.Hung
	Refused      = driver.Refused
	Inactive     = driver.Inactive
)
