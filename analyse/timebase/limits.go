package timebase

const (
	// Never is a tick that time alone does not reach: the release of a key that is
	// down, the end of what goes on.
	Never = int64(1<<63 - 1)
	// Tenths of a beat: windows around a beat or a change are given in them.
	Tenths = 10
	// Milli is a thousandth: beats are told in thousandths.
	Milli = 1000
	// Micro is a millionth.
	Micro = 1_000_000
)

// Mod returns a modulo b, which is positive, from 0 up also where a is negative.
func Mod(a, b int64) int64 { return ((a % b) + b) % b }
