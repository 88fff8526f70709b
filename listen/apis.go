package listen

import "shedlight/listen/internal/driver"

// APIs lists the names of the sound systems that Options.API takes.
func APIs() []string { return driver.APIs() }
