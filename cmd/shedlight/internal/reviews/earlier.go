package reviews

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

const (
	// mostEarlier is how many takes back, by name, a take is held against.
	mostEarlier = 20
	// leastNotes is how many notes a take needs to be held against others, two
	// phrases or so: with fewer, a single note moves its share by over 3 %.
	leastNotes = 32
)

// takesBefore returns the notes on the takes of a tune among the last ones, by
// name, before a take in its folder, oldest first. One that has none yet is
// judged, and its notes are kept where that can be done. What cannot be read is
// passed over.
func takesBefore(takePath, tuneID string) []notes {
	dir := filepath.Dir(takePath)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if name := e.Name(); isMIDI(name) && base(name) < base(filepath.Base(takePath)) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names, func(a, b string) int { return strings.Compare(base(a), base(b)) })
	var out []notes
	for _, name := range names[max(0, len(names)-mostEarlier):] {
		path := filepath.Join(dir, name)
		kept, err := readNotes(path)
		if err != nil {
			continue
		}
		if kept == nil {
			kept = judgedBefore(path, tuneID)
		}
		if kept != nil && kept.Tune == tuneID && kept.Notes >= leastNotes {
			out = append(out, *kept)
		}
	}
	return out
}

// isMIDI reports whether a file is one of MIDI by its name.
func isMIDI(name string) bool {
	ending := strings.ToLower(filepath.Ext(name))
	return ending == ".mid" || ending == ".midi"
}

// base is the name of a take without its ending, so that the second take of a
// second comes behind the first.
func base(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }

// judgedBefore judges a take of a tune that has no notes yet; nil for another
// tune, and for what is no whole take of ours.
func judgedBefore(path, tuneID string) *notes {
	under, err := take.SettingsOf(path)
	if err != nil || under == nil {
		return nil
	}
	over, err := tunes.Of(settings.Tune{}, settings.Hand{}, under)
	if err != nil || over.ID() != tuneID {
		return nil
	}
	t, err := take.Load(path, smf.Selection{})
	if err != nil || len(t.Damage) > 0 {
		return nil
	}
	r := &Report{}
	if r.judge(t, over, true) != nil {
		return nil
	}
	kept := &notes{Tune: tuneID}
	_ = kept.keep(path, &r.Outcome) // a folder that takes nothing is no failure: it is judged again
	return kept
}

// Trends gathers how each tune went, in the order of the files.
type Trends struct {
	Tunes []display.Trend
	rows  map[string]int
}

// Add takes the next report.
func (t *Trends) Add(r *Report) {
	if r.id == "" {
		return
	}
	row, ok := t.rows[r.id]
	if !ok {
		if t.rows == nil {
			t.rows = map[string]int{}
		}
		row = len(t.Tunes)
		t.rows[r.id] = row
		t.Tunes = append(t.Tunes, display.Trend{Title: r.Title})
	}
	tune := &t.Tunes[row]
	if r.Notes < leastNotes {
		tune.Short++
		return
	}
	tune.Notes = append(tune.Notes, r.Notes)
	tune.Slips = append(tune.Slips, r.Slips())
}
