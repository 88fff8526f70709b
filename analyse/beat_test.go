package analyse_test

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/feel"
)

// Beat alignment counted from the whole take, a beat at a time. The line and
// the chords come from the reference judge.
func TestOnBeatAgreesWithTheWholeTake(t *testing.T) {
	charts := chartsToJudge(t)
	scored := int64(0)
	rapid.Check(t, func(t *rapid.T) {
		s := setup(t)
		s.Timeline = charts[rapid.SampledFrom(slices.Sorted(maps.Keys(charts))).Draw(t, "chart")]
		events := improvised(t, s.Timeline, s.View)
		if rapid.Bool().Draw(t, "double time") {
			for i := range events {
				events[i].Tick /= 2
			}
		}
		a, err := analyse.New(s)
		require.NoError(t, err)
		all(a, events[len(events)-1].Tick, events...)
		want := onBeats(s, events)
		require.Equal(t, want, a.Summary().OnBeat)
		for _, row := range want {
			scored += row.Scored
		}
	})
	t.Log(scored, "scored")
	require.NotZero(t, scored)
}

// beatOf returns the take tick of the beat that a note belongs to and how many
// ticks after it the note comes. The song starts at tick 0.
func beatOf(t *changes.Timeline, n *refNote) (start, past int64) {
	within := n.tick % t.Length
	past = (within - barAt(t, within).Start) % n.beat
	if 10*past >= 9*n.beat {
		past -= n.beat
	}
	return n.tick - past, past
}

func onBeats(setup analyse.Setup, events []analyse.Event) []feel.OnBeat {
	j := &judge{chart: true, notes: refNotes(setup, events), tempo: tempoMap(inOrder(events))}
	j.takeGlitchesOut(setup)
	t := setup.Timeline
	type beat struct{ start, length int64 }
	beats := map[beat][]*refNote{}
	for _, n := range j.line {
		start, _ := beatOf(t, n)
		b := beat{start, n.beat}
		beats[b] = append(beats[b], n)
	}
	// before returns the beat that ends where one starts and has a note in it.
	before := func(b beat) beat {
		for other := range beats {
			if other.start+other.length == b.start {
				return other
			}
		}
		return beat{}
	}
	rows := map[string]*feel.OnBeat{}
	score := func(n *refNote) {
		if n == nil {
			return
		}
		home, dim := (n.slot.Chord.Set() & n.scale.Home()).Len(), (n.slot.Chord.Set() & n.scale.Dim()).Len()
		kind := n.slot.Chord.Kind()
		if kind == "" || home == dim {
			return
		}
		if rows[kind] == nil {
			rows[kind] = &feel.OnBeat{View: setup.View, ChordKind: kind}
		}
		row, half := rows[kind], n.scale.Home()
		row.Scored++
		if dim > home {
			half = n.scale.Dim()
			row.Reversed++
		}
		if half.Has(n.class()) {
			row.Home++
		}
		if n.chordTone() {
			row.ChordTone++
		}
	}
	// last returns the last note from two tenths of a length behind a place to a
	// tenth ahead of it.
	last := func(notes []*refNote, place, length int64) (found *refNote) {
		for _, n := range notes {
			_, past := beatOf(t, n)
			if d := 10 * (past - place); -length <= d && d <= 2*length {
				found = n
			}
		}
		return found
	}
	for b, notes := range beats {
		if len(notes) < 3 {
			score(last(notes, 0, b.length))
			continue
		}
		busy, back := true, b
		for range barAt(t, notes[0].tick%t.Length).Meter.Beats() {
			back = before(back)
			busy = busy && len(beats[back]) >= 4
		}
		if !busy {
			continue
		}
		var first, second []*refNote
		for _, n := range notes {
			if _, past := beatOf(t, n); 20*past < 9*b.length {
				first = append(first, n)
			} else {
				second = append(second, n)
			}
		}
		if len(first) < 3 {
			score(last(first, 0, b.length/2))
		}
		if len(second) < 3 {
			score(last(second, b.length/2, b.length/2))
		}
	}
	out := []feel.OnBeat{}
	for _, kind := range slices.Sorted(maps.Keys(rows)) {
		out = append(out, *rows[kind])
	}
	return out
}
