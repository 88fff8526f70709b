package settings

// From says where the playing of a file begins.
type From struct {
	Start int `last:"-" settings:"-" placeholder:"BAR" from:"1" to:"100000" unit:"bars" help:"Begin to play a file at this bar of its first chorus; what comes before is judged at once."`
}
