package take

import (
	"cmp"
	"iter"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

// maxMarks bounds the texts of one file: more is no chart.
const maxMarks = 60_000

// chartOf returns the changes that a file holds as its own markers, else as text
// events; nil where neither are chord symbols. See changes.FromMarks.
func chartOf(f *smf.File, events iter.Seq[analyse.Event]) *changes.Chart {
	var meters []changes.MeterAt
	for e := range events {
		if m, ok := timebase.Unpack(e.Value); e.Kind == analyse.Meter && ok {
			meters = append(meters, changes.MeterAt{Tick: e.Tick, Meter: m})
		}
	}
	for _, kind := range [...]uint8{smf.MetaMarker, smf.MetaText} {
		if c, ok := changes.FromMarks(marksOf(f, kind), meters, f.End()); ok {
			return c
		}
	}
	return nil
}

// marksOf returns the texts of one kind in all tracks, in the order of time.
func marksOf(f *smf.File, kind uint8) []changes.Mark {
	var out []changes.Mark
	for i := range f.Tracks {
		for e := range f.Events(&f.Tracks[i]) {
			if e.Status == smf.StatusMeta && e.Type == kind && len(out) < maxMarks {
				out = append(out, changes.Mark{Tick: f.Division.Ticks(e.Tick), Text: smf.Text(e.Data)})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b changes.Mark) int { return cmp.Compare(a.Tick, b.Tick) })
	return out
}
