package reviews

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shedlight/analyse"
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
		if kept == nil || kept.Tune == tuneID && kept.Played == nil {
			kept = judgedBefore(path, tuneID, kept)
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

// judgedBefore judges a take of a tune that has no notes yet, or whose notes do not say
// what its choruses were; nil for another tune, and what there was for what is no whole
// take of ours.
func judgedBefore(path, tuneID string, kept *notes) *notes {
	under, err := take.SettingsOf(path)
	if err != nil || under == nil {
		return kept
	}
	over, err := tunes.Of(settings.Tune{}, settings.Hand{}, under)
	if err != nil || over.ID() != tuneID {
		return kept
	}
	t, err := take.Load(path, smf.Selection{})
	if err != nil || len(t.Damage) > 0 {
		return kept
	}
	r := &Report{}
	if r.judge(t, over, true) != nil {
		return kept
	}
	if kept != nil { // what was told of it stays told
		r.markMeant(kept.places)
		kept.Played = r.Alike()
		_ = kept.write(path)
		return kept
	}
	kept = &notes{Tune: tuneID}
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
	for _, played := range r.Alike() {
		if played.Notes >= leastNotes {
			addAlike(tune, &played)
		}
	}
	tune.Takes++
}

// addAlike takes in what the next take of a tune has of choruses that are alike.
func addAlike(tune *display.Trend, played *analyse.Alike) {
	k := slices.IndexFunc(tune.Alike, func(o display.TrendOf) bool { return o.Was.Like(played.Was) })
	if k < 0 {
		k = len(tune.Alike)
		tune.Alike = append(tune.Alike, display.TrendOf{Was: played.Was})
	}
	of := &tune.Alike[k]
	if last := len(of.Takes) - 1; last >= 0 && of.Takes[last] == tune.Takes { // two kinds of a take can be like a third
		of.Notes[last] += played.Notes
		of.Slips[last] += played.Slips
		return
	}
	of.Takes, of.Notes, of.Slips = append(of.Takes, tune.Takes), append(of.Notes, played.Notes), append(of.Slips, played.Slips)
}
