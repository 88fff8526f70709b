//go:build !linux

package driver

// JACKServer identifies the running JACK server; only Linux shows it.
func JACKServer(string) string { return "" }

func alsaReady() error { return NoSound }

func alsaFeeds(string) (feeds, known bool) { return false, false }
