package tone

const (
	Octave    = 12 // semitones
	WholeStep = 2  // semitones
)

// Apart returns how many semitones two keys lie apart.
func Apart(a, b int) int { return max(a-b, b-a) }

// IsStep reports whether two keys lie a half or a whole step apart.
func IsStep(a, b int) bool { return a != b && Apart(a, b) <= WholeStep }
