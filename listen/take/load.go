package take

import (
	"fmt"
	"iter"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/listen/smf"
)

// Take is a take, or any other MIDI file, as it was loaded.
type Take struct {
	Path     string
	Settings *Settings               // nil for a file that is no take of ours
	Title    string                  // fit for a terminal; may be empty
	Events   iter.Seq[analyse.Event] // in order, decoded anew by each walk; see smf.File.Stream
	End      int64                   // the tick at which it ends
	Quantum  int64                   // how fine its time is, in ticks; 0: finer than one
	Damage   []smf.Damage
	Tracks   []smf.TrackNotes // the tracks that have notes on the selected channels
	LeftOut  []string         // what of its notes is not selected, a line each
	Chart    *changes.Chart   // what the markers or texts of a file that is no take of ours say; nil for none
}

// Load reads a take or any other Standard MIDI File. Of a take all that was
// recorded is returned, every channel unless the selection names some: exactly
// the events given to the Recorder, tempo and meter before the others at their
// tick. Of another file it is what is selected, by default every channel but
// 10, unless the file says that this one plays in a zone. Where that leaves several
// tracks with notes and none is chosen, the error is a *ChoiceError. The patterns of
// a format 2 file are one piece and need no choice, nor do tracks that share a zone.
func Load(path string, sel smf.Selection) (*Take, error) {
	f, err := smf.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return fromFile(f, path, sel)
}

// Read is Load for a file that is in memory. name stands for its path in what
// is said of it.
func Read(data []byte, name string, sel smf.Selection) (*Take, error) {
	f, err := smf.Read(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return fromFile(f, name, sel)
}

func fromFile(f *smf.File, path string, sel smf.Selection) (*Take, error) {
	t := &Take{Path: path, Quantum: f.Division.Ticks(1), Settings: settingsOf(f), End: f.End(), Damage: f.Damage}
	if t.Settings != nil && sel.Channels == 0 {
		sel.Channels = smf.AllChannels
	}
	for _, i := range sel.Tracks {
		if i < 0 || i >= len(f.Tracks) {
			return nil, &TrackError{Path: path, Track: i, Tracks: len(f.Tracks)}
		}
	}
	t.Tracks = f.NoteTracks(sel.Channels)
	if t.Settings == nil && sel.Tracks == nil && f.Format != 2 && len(t.Tracks) > 1 && !oneZone(f, t.Tracks) {
		return nil, &ChoiceError{Path: path, Tracks: t.Tracks}
	}
	if len(f.Tracks) > 0 {
		t.Title = f.Tracks[0].Name
	}
	if t.Settings != nil {
		t.Title = smf.Text([]byte(t.Settings.Title))
	}
	sel.Own = event
	t.Events, t.LeftOut = f.Stream(sel), f.LeftOut(sel)
	if t.Settings == nil {
		t.Chart = chartOf(f, t.Events)
	}
	return t, nil
}

// oneZone reports whether all that tracks play is played in zones.
func oneZone(f *smf.File, tracks []smf.TrackNotes) bool {
	return !slices.ContainsFunc(tracks, func(t smf.TrackNotes) bool { return t.Channels&^f.Zoned() != 0 })
}

// settingsOf returns the settings of one of our takes, or nil. They are looked
// for in the first track.
func settingsOf(f *smf.File) *Settings {
	if len(f.Tracks) == 0 {
		return nil
	}
	for e := range f.Events(&f.Tracks[0]) {
		if e.Status == smf.StatusMeta && e.Type == smf.MetaSpecific {
			if own, ok := decode(e.Data); ok && own.Settings != nil {
				return own.Settings
			}
		}
	}
	return nil
}

// SettingsOf reads what a take says of itself and nothing else of it; nil for a
// file that is no take of ours.
func SettingsOf(path string) (*Settings, error) {
	f, err := smf.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return settingsOf(f), nil
}

// TrackError says that a track was asked for that a file does not have.
type TrackError struct {
	Path          string
	Track, Tracks int
}

func (e *TrackError) Error() string {
	return fmt.Sprintf("%s: no track %d, expected 0 to %d", e.Path, e.Track, e.Tracks-1)
}

// ChoiceError says that a file has several tracks with notes, and which.
type ChoiceError struct {
	Path   string
	Tracks []smf.TrackNotes
}

// mostListed is how many tracks are listed to choose from: a screenful.
const mostListed = 20

func (e *ChoiceError) Error() string {
	if len(e.Tracks) > mostListed {
		return fmt.Sprintf("%s has %d tracks with notes, from %v to %v; choose one", e.Path, len(e.Tracks), e.Tracks[0], e.Tracks[len(e.Tracks)-1])
	}
	lines := make([]string, len(e.Tracks))
	for i, t := range e.Tracks {
		lines[i] = "\n  " + t.String()
	}
	return fmt.Sprintf("%s has several tracks with notes; choose one:%s", e.Path, strings.Join(lines, ""))
}
