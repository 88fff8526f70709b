package display

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
)

// Status is what the player must know of the instrument and the take.
type Status struct {
	Source      string // the instrument or the file; outside text
	Gone        bool   // the instrument was unplugged and is looked for
	Lost        int64  // messages that did not fit into the input queue
	Unsaved     int64  // events that did not reach the take
	SaveError   string // why the take cannot be written, empty while it can
	TakePath    string // where the take goes, empty without a take
	TakeAnew    int    // how often its file had gone and it was written anew
	Recovered   int    // takes recovered at the start
	RecoveredAt string // the path of that take, or the folder of several; outside text
	ClockLost   bool   // the clock that is followed is silent: the beat goes on by itself
	NoSound     string // why what sounded does no more; outside text
	Notice      string // the answer to something that the player asked for, for a while; outside text
	Coming      string // what is about to happen by itself, until it does
	Key         string // that the chorus is in, where that changes with the choruses
	NextKey     string // and the next one, while that is to be told
	Goal        string // what each chorus is to be; outside text, empty for nothing
	Quiet       bool   // verdicts only when a phrase or a chorus is over
}

// Frame is everything a screen shows at one moment.
type Frame struct {
	Start *Start // before a session, and then all there is; nil in one

	Snapshot analyse.Snapshot
	Status   Status
	Ending   bool // the session ends with the chord that sounds: no other comes

	LastChorus bool // the session ends with the chorus that is played
}

// keepsQuiet reports whether verdicts are kept back for the time being: the
// player wants it quiet, and a phrase is being played.
func (f *Frame) keepsQuiet() bool { return f.Status.Quiet && f.Snapshot.InPhrase }

// slipped reports whether a note is shown as a slip. A quiet screen shows
// what was found out while a phrase was played when that is over.
func (f *Frame) slipped(n *analyse.PageNote) bool {
	return (n.Fate == fate.Unresolved || n.Against) && !(f.Status.Quiet && n.SettledIn > f.Snapshot.Phrase.Number)
}
