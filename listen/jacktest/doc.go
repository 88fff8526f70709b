// Package jacktest gives tests real MIDI: a JACK server of their own, with the
// dummy back end that needs no hardware, and players that are processes of their
// own. It takes the build tag jack, a build that speaks JACK, and the program
// jackd:
//
//	CGO_CXXFLAGS="-O2 -D__UNIX_JACK__" CGO_LDFLAGS=-ljack go test -tags jack ./listen/...
//
// On Linux such a build speaks ALSA as well. A test binary that uses a Sender
// runs itself again as the player, so its TestMain is
//
//	func TestMain(m *testing.M) { jacktest.Main(m) }
package jacktest
