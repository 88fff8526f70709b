package song

// Position is where a tick lies in the song.
type Position struct {
	Spot            // in numbers
	BarRow    int   // of the bar in the timeline, from 0; -1 before bar 1 and without a chart
	Slot      int   // row of the slot that sounds, in the timeline; without a chart of the context that holds
	Left      int64 // ticks until the slot ends
	BeatTicks int64 // the length of a beat here
	BarTicks  int64 // and of a bar
	Within    int64 // song tick within the chorus; negative before bar 1
}

// Ref is the bar of a position.
func (p *Position) Ref() BarRef { return BarRef{Chorus: p.Chorus, Bar: p.Bar} }
