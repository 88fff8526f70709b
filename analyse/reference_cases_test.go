package analyse_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// workedCase is a phrase of testdata/fates/approach_cases.json; its README says
// where they come from.
type workedCase struct {
	Name   string
	Chords []struct {
		Start float64
		Home  string
		Root  int `json:"root_pc"`
	}
	Notes []struct {
		Key           uint8
		Onset, Length float64
		Place, Fate   string
	}
}

func workedCases(t *testing.T) []workedCase {
	data, err := os.ReadFile("../testdata/fates/approach_cases.json")
	require.NoError(t, err)
	var cases []workedCase
	require.NoError(t, json.Unmarshal(data, &cases))
	require.NotEmpty(t, cases)
	return cases
}

// timeline lays the chords of a case out in whole bars. The cases name no
// centre: G flat, of which no chord in them is the first or the fourth, keeps
// the blue notes out.
func (c *workedCase) timeline() *changes.Timeline {
	const bars = 3
	centre := c.centre()
	kinds := map[string]harmony.ScaleKind{"6": harmony.MajorSixth, "m6": harmony.MinorSixth}
	t := &changes.Timeline{Title: c.Name}
	for i := range bars {
		bar := changes.Bar{Start: t.Length, Number: i + 1, Meter: timebase.Common}
		t.Bars = append(t.Bars, bar)
		t.Length += bar.Meter.Bar()
	}
	for i, chord := range c.Chords {
		scale := harmony.NewScale(kinds[chord.Home], tone.Class(chord.Root).Name())
		slot := changes.Slot{
			Start: int64(chord.Start * timebase.Quarter), End: t.Length,
			Symbol: scale.HomeChord().Symbol(), Chord: scale.HomeChord(), Key: scale, Own: scale,
			Centre: centre,
		}
		if i > 0 {
			t.Slots[i-1].End = slot.Start
		}
		t.Slots = append(t.Slots, slot)
	}
	return t
}

// centre is one that excuses no note of the phrase: none that is outside the scales of
// the chords is in its scale, and no chord stands on its tonic or its fourth, over
// which blue notes are allowed. The first one where there is none.
func (c *workedCase) centre() (first changes.Centre) {
	var scales, roots, outside tone.Set
	for _, chord := range c.Chords {
		kind := harmony.MajorSixth
		if chord.Home == "m6" {
			kind = harmony.MinorSixth
		}
		scales |= harmony.NewScale(kind, tone.Class(chord.Root).Name()).Set()
		roots |= 1 << chord.Root
	}
	for _, n := range c.Notes {
		if class := tone.ClassOf(int(n.Key)); !scales.Has(class) {
			outside |= 1 << class
		}
	}
	for tonic := range tone.Class(12) {
		for _, mode := range []changes.Mode{changes.Major, changes.Minor} {
			centre := changes.Centre{Tonic: tonic.Name(), Mode: mode}
			if !roots.Has(tonic) && !roots.Has(tone.ClassOf(int(tonic)+5)) && outside&centre.Scale().Set() == 0 {
				return centre
			}
		}
	}
	return first
}

func (c *workedCase) events() []analyse.Event {
	events := []analyse.Event{{Kind: analyse.Origin, Key: 1}}
	for _, n := range c.Notes {
		tick := int64(n.Onset * timebase.Quarter)
		events = append(events, on(tick, n.Key), off(tick+int64(n.Length*timebase.Quarter), n.Key))
	}
	return events
}

func (c *workedCase) fates() []string {
	var out []string
	for _, n := range c.Notes {
		out = append(out, n.Fate)
	}
	return out
}

func TestReferenceKnowsTheWorkedPhrases(t *testing.T) {
	for _, c := range workedCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			for _, view := range []song.View{song.KeyView, song.ChordView} {
				var got []string
				for _, v := range reference(analyse.Setup{Timeline: c.timeline(), View: view}, c.events()) {
					require.Equal(t, analyse.Line, v.role)
					got = append(got, v.fate.String())
				}
				require.Equal(t, c.fates(), got)
			}
		})
	}
}

func TestWorkedPhrases(t *testing.T) {
	for _, c := range workedCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			for _, view := range []song.View{song.KeyView, song.ChordView} {
				a := analyser(t, analyse.Setup{Timeline: c.timeline(), View: view})
				fates, places := make([]string, len(c.Notes)), make([]string, len(c.Notes))
				for _, f := range all(a, c.timeline().Length, c.events()...) {
					switch f.Stage {
					case analyse.Heard:
						places[f.N] = f.Place.String()
					case analyse.Settled:
						fates[f.N] = f.Fate.String()
					}
				}
				var want []string
				for _, n := range c.Notes {
					want = append(want, n.Place)
				}
				require.Equal(t, want, places)
				require.Equal(t, c.fates(), fates)
			}
		})
	}
}
