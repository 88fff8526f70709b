package changes

import "shedlight/analyse/changes/centre"

// A chart speaks of key centres all the time: by the names of their own room.
type (
	Centre = centre.Centre
	Mode   = centre.Mode
)

const (
	Major = centre.Major
	Minor = centre.Minor
	Blues = centre.Blues
)
