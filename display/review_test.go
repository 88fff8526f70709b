package display

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/feel"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// reviewed is a review of a damaged file with a hostile name.
func reviewed() Review {
	r := Review{File: "takes/lindmouth-\x1b[5m0003.mid", Outcome: *beginner()}
	r.Kept = true
	for i := range int64(10) {
		r.Damage = append(r.Damage, Damage{Offset: 1024 * i, Text: "track 2 ends early: \x1b[2J12 bytes of 40"})
	}
	r.Slips = []Slip{{Bar: 3, Place: "1/3:2.5", Name: "Db"}, {Bar: 3, Place: "2/3:4", Name: "E"}}
	edge := func(bar int, beat float64) phrase.Edge {
		return phrase.Edge{Chorus: 1, Bar: bar, Beat: beat, Name: "Eb", Chord: "C7", ChordDegree: "3"}
	}
	inScale := func(e phrase.Edge, degree string, half song.Place, scale harmony.Scale) phrase.Edge {
		e.Degree, e.Half, e.Scale = degree, half, scale
		return e
	}
	r.Phrases = []phrase.Phrase{
		{Number: 1, Notes: 14, Outside: 2, Start: edge(1, 1), End: edge(2, 3.5), Landing: phrase.LandedOnChord,
			Figures: []figure.OfPhrase{
				{Kind: figure.Run, Direction: "up", Notes: 5}, {Kind: figure.Arpeggio, Direction: "down", Notes: 4, Chords: []string{"Dm7b5"}},
				{Kind: figure.Leap, Direction: "up"}, {Kind: figure.Leap, Direction: "down"}, {Kind: figure.Leap, Direction: "up"},
				{Kind: figure.Arpeggio, Direction: "up", Notes: 3, Tones: 3, Of: 4, Chords: []string{"C6", "Cmaj7", "Am7", "Fmaj7"}},
			},
			FigureCount: 8},
		{Number: 2, Notes: 9, Outside: 3, Unresolved: 1, Landing: phrase.LeftHanging,
			Start: inScale(edge(3, 1.5), "b7", song.Home, harmony.NewScale(harmony.DominantSeventh, tone.Class(0).Name())), End: inScale(edge(4, 1), "", song.Outside, harmony.NewScale(harmony.MinorSixth, tone.Class(7).Name())),
			Chords: []phrase.OverChord{{Chord: "C7", Notes: []string{"Bb", "Db", "E"}}, {Chord: "F6", Notes: []string{"F", "Eb"}}},
			Crossings: []phrase.Crossing{
				{From: "C7", To: "F6", Kind: "step", Before: "E", After: "F", Interval: 1, BeforeDegree: "3", AfterDegree: "1"},
				{From: "F6", To: "Dm7", Kind: "held", Before: "F", After: "F", BeforeDegree: "1", AfterDegree: "3"},
				{From: "Dm7", To: "Gm7", Kind: "repeated", Before: "F", After: "F", BeforeDegree: "3", AfterDegree: "7"},
				{From: "Gm7", To: "C7b9", Kind: "leap", Before: "F", After: "Db", Interval: -4, BeforeDegree: "7", AfterDegree: "b9"},
				{From: "C7b9", To: "F6", Kind: "step", Before: "Db", After: "Eb", Interval: 2, BeforeDegree: "b9", AfterDegree: "b7"},
			}},
		{Number: 3, Notes: 1, Chords: []phrase.OverChord{{Notes: []string{"Eb"}}}, Start: phrase.Edge{Name: "Eb"}, End: phrase.Edge{Name: "Eb"}},
	}
	r.Phrases[0].Chords = []phrase.OverChord{{Chord: "C7", Notes: strings.Fields(strings.Repeat("C Eb E G Bb ", 25))}}
	r.Phrases[0].Notes = 140
	return r
}

func TestReview(t *testing.T) {
	var b bytes.Buffer
	r := reviewed()
	require.NoError(t, WriteReview(&b, r, Options{}))
	golden(t, "review.txt", b.String())

	b.Reset()
	r.Damage, r.Outcome = nil, *fullest()
	require.NoError(t, WriteReview(&b, r, Options{}))
	onOnePage(t, b.String())
}

// of is a row of a trend: takes of so many notes each, the first of them by its place.
func of(was analyse.Was, first int, notes int64, slips ...int64) TrendOf {
	t := TrendOf{Was: was}
	for i, n := range slips {
		t.Takes, t.Notes, t.Slips = append(t.Takes, first+i), append(t.Notes, notes), append(t.Slips, n)
	}
	return t
}

func trends() []Trend {
	at := func(tempo float64) analyse.Was { return analyse.Was{Tempo: tempo} }
	var falling []int64
	for i := range int64(40) {
		falling = append(falling, 20-i/2)
	}
	return []Trend{
		{Title: "Two Bridges", Takes: 3, Alike: []TrendOf{of(at(120), 0, 200, 8, 6, 4)}},
		{Title: "Ferry Waltz", Takes: 40, Alike: []TrendOf{of(at(120), 0, 200, falling...)}},
		{Title: "Once Only", Takes: 1, Short: 3, Alike: []TrendOf{of(at(120), 0, 200, 8)}},
		{Title: "Slack Water", Takes: 2, Short: 2, Alike: []TrendOf{{Was: at(120), Takes: []int{0, 1}, Notes: []int64{90, 100}, Slips: []int64{9, 5}}}},
		{Title: "Harbour Steps", Takes: 6, Short: 1, Alike: []TrendOf{of(at(100), 0, 200, 8, 4), of(at(180), 2, 200, 30, 20, 12), of(at(60), 5, 200, 0)}},
		{Title: "Low Tide", Takes: 2, Alike: []TrendOf{of(at(100), 0, 200, 2), of(at(180), 1, 200, 20)}},
	}
}

func TestSeveralReviews(t *testing.T) {
	var b bytes.Buffer
	whole := Review{File: strings.Repeat("a/long/way/", 9) + "lindmouth-0004.mid", Outcome: *fullest()}
	for _, r := range []Review{reviewed(), whole, {File: "empty.mid"}} {
		require.NoError(t, WriteReviewLine(&b, r, Options{}))
	}
	require.NoError(t, WriteTrends(&b, trends(), Options{}))
	golden(t, "reviews.txt", b.String())
}

// The page of any take keeps to one screen, and nothing on it is cut in the middle: a
// list says how many more there are. Only what no row has room for is cut: the names here
// are no longer than those of charts.
func TestThePageIsOneScreenAndNothingIsCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyReview(t)
		const longest = "Bbmaj7#11#9/F#"
		short := func(text *string) {
			if width(*text) > len(longest) {
				*text = longest
			}
		}
		for i := range r.ChordsDetail {
			short(&r.ChordsDetail[i].Symbol)
			short(&r.Centres[i].Centre)
		}
		for i := range r.Phrases {
			p := &r.Phrases[i]
			short(&p.End.Name)
			for j := range p.Figures {
				short(&p.Figures[j].Chords[0])
			}
		}
		count := rapid.Int64Range(1, 9_999_999)
		r.Notes, r.Place = count.Draw(t, "notes"), song.PlaceCounts{Home: 1, Outside: count.Draw(t, "outside")}
		r.Groups = analyse.GroupCounts{Chord: r.Notes, Scale: r.Notes, Way: count.Draw(t, "way"), Change: 7, Colour: 9, Slip: count.Draw(t, "slip")}
		r.Fate = map[string]int64{}
		for f := fate.Glitch; f <= fate.Unresolved; f++ {
			r.Fate[f.String()] = count.Draw(t, f.String())
		}
		r.Outcome.Earlier = Earlier{Takes: 3, Notes: 900}
		r.Outcome.Phrases.Good = r.Phrases
		for _, kind := range []string{"dominant", "major", "minor", "half-diminished", "diminished"} {
			r.OnBeat = append(r.OnBeat, feel.OnBeat{ChordKind: kind, Scored: rapid.Int64Range(0, 99_999).Draw(t, "scored")})
		}
		r.LeftHanging = phrase.Hanging{Held: 3, PhraseEnd: 9, Over: []phrase.HangingOver{{Chord: "F#m7b5/C", Name: "G", Wants: "F#", Times: 7}, {}}}
		var b bytes.Buffer
		require.NoError(t, WriteReview(&b, r, Options{}))
		onOnePage(t, b.String())
		require.NotContains(t, b.String(), ellipsis)
	})
}
