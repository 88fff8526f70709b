package display

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The scenes are invented: a band works on its own tune for a residency in the
// harbour town of Lindmouth.

const beat = timebase.Quarter

func scaleOn(kind harmony.ScaleKind, root string) harmony.Scale {
	n, err := tone.ParseName(root)
	if err != nil {
		panic(err)
	}
	return harmony.NewScale(kind, n)
}

// fourBars is a page of common time from a bar on; 0 is free time.
func fourBars(first int) analyse.Page {
	p := analyse.Page{PageLine: analyse.PageLine{Start: 0, End: 4 * 4 * beat}}
	for i := range analyse.PageBars {
		bar := analyse.PageBar{Start: int64(i) * 4 * beat, Meter: timebase.Common}
		if first > 0 {
			bar.Number = first + i
		}
		p.Bars = append(p.Bars, bar)
	}
	return p
}

// barsFrom is four bars of common time from a bar and a tick on.
func barsFrom(first int, start int64) (bars []analyse.PageBar) {
	for i := range analyse.PageBars {
		bars = append(bars, analyse.PageBar{Start: start + int64(i)*4*beat, Number: first + i, Meter: timebase.Common})
	}
	return bars
}

// player writes a line as a musician would say it: names with their key,
// length in ticks between onsets.
type player struct {
	page  *analyse.Page
	scale harmony.Scale
	at    int64
}

func (p *player) play(step int64, notes ...analyse.PageNote) {
	for _, n := range notes {
		n.Tick = p.at
		n.Row = -1
		if row, in := p.scale.Index(tone.ClassOf(int(n.Key))); in && n.Place != song.Outside {
			n.Row = row
		}
		n.N = int64(len(p.page.Notes))
		if n.Role == analyse.NoRole {
			n.Role = analyse.Line
		}
		p.page.Notes = append(p.page.Notes, n)
		if n.Role == analyse.Line {
			p.at += step
		}
	}
}

func six(name string, key uint8) analyse.PageNote {
	return analyse.PageNote{Name: name, Key: key, Place: song.Home}
}

func dim(name string, key uint8) analyse.PageNote {
	return analyse.PageNote{Name: name, Key: key, Place: song.Dim}
}

func out(name string, key uint8, fate fate.Fate) analyse.PageNote {
	return analyse.PageNote{Name: name, Key: key, Place: song.Outside, Fate: fate}
}

func ring(n analyse.PageNote) analyse.PageNote {
	n.ChordTone = true
	return n
}

func struck(n analyse.PageNote) analyse.PageNote {
	n.Role = analyse.Struck
	return n
}

// tune is the second page of an invented tune, in the third beat of bar 7.
func tune() Frame {
	s := analyse.Snapshot{
		Tick: 2*4*beat + 2*beat + beat/2, HasChart: true,
		Chorus: 2, Bar: 7, Bars: 32, Beat: 3.5, Section: "A",
		Chord: "Bbmaj7", NextChord: "G7b9", Centre: "Bb major",
		Scale: scaleOn(harmony.MajorSixth, "Bb"),
		Held:  []analyse.Held{{Key: 70, Name: "Bb", Place: song.Home}},
		Page:  fourBars(5), InPhrase: true,
	}
	s.Page.Symbols = []analyse.PageSymbol{
		{Start: 0, Symbol: "Cm7"}, {Start: 2 * beat, Symbol: "F7"}, {Start: 4 * beat, Symbol: "Dm7b5"},
		{Start: 6 * beat, Symbol: "G7b9"}, {Start: 8 * beat, Symbol: "Bbmaj7"}, {Start: 12 * beat, Symbol: "Cm7"},
	}
	s.Page.Ahead = []analyse.PageLine{
		{Start: 16 * beat, End: 32 * beat, Bars: barsFrom(9, 16*beat), Symbols: []analyse.PageSymbol{
			{Start: 16 * beat, Symbol: "Fm7"}, {Start: 20 * beat, Symbol: "Bb7"}, {Start: 24 * beat, Symbol: "Ebmaj7"}, {Start: 28 * beat, Symbol: "Ab7#11"},
		}},
		{Start: 32 * beat, End: 48 * beat, Bars: barsFrom(13, 32*beat), Again: true, Symbols: []analyse.PageSymbol{
			{Start: 32 * beat, Symbol: "Bb6"}, {Start: 36 * beat, Symbol: "G7alt"}, {Start: 40 * beat, Symbol: "C-7"}, {Start: 44 * beat, Symbol: "F7"},
		}},
	}
	p := player{page: &s.Page, scale: s.Scale}
	p.play(beat/2, ring(dim("C", 72)), six("D", 74), ring(dim("Eb", 75)), six("F", 77),
		ring(six("F", 77)), dim("Gb", 78), ring(six("G", 79)), ring(dim("A", 81)))
	p.play(beat/2, ring(six("F", 77)), out("E", 76, fate.Passing), ring(dim("Eb", 75)), six("D", 74),
		ring(six("D", 74)), out("Db", 73, fate.Unresolved), dim("C", 72), out("B", 71, fate.Approach))
	p.at = 8 * beat
	p.play(0, struck(ring(six("Bb", 46))), struck(dim("C", 60)), struck(ring(six("D", 62))), struck(ring(six("F", 65))))
	p.play(beat/2, ring(six("Bb", 70)), dim("A", 69), six("G", 67), out("Ab", 68, fate.Pending), ring(dim("A", 69)))
	s.Counts = analyse.Counts{Notes: 214, Home: 121, Dim: 74, Outside: 19, ChordTones: 118}
	s.Counts.Fates[fate.Unresolved] = 3
	s.Recent = analyse.Recent{Notes: 32, Explained: 31}
	s.Run = figure.Figure{Kind: figure.Run, Notes: 5, Start: "F", Half: song.Home, End: 11 * beat / 2, HalfSteps: 1}
	s.Counts.Groups = [analyse.Groups]int64{analyse.OnChord: 118, analyse.InScale: 77, analyse.OnWay: 10, analyse.AtChange: 2, analyse.AsColour: 4, analyse.AsSlip: 3}
	return Frame{Snapshot: s, Status: Status{Source: "Reed Controller", TakePath: "takes/two-bridges-0007.mid"}}
}

// free is playing without a chart, in free time.
func free() Frame {
	s := analyse.Snapshot{
		Tick: 5 * beat, Chord: "F6", Centre: "F major", Scale: scaleOn(harmony.MajorSixth, "F"),
		Page:      fourBars(0),
		Held:      []analyse.Held{{Key: 53, Name: "F", Place: song.Home}, {Key: 57, Name: "A", Place: song.Home}, {Key: 60, Name: "C", Place: song.Home}, {Key: 62, Name: "D", Place: song.Home}},
		HeldChord: "F6",
		Counts:    analyse.Counts{Notes: 9, Home: 6, Dim: 3, ChordTones: 6, Groups: [analyse.Groups]int64{analyse.OnChord: 6, analyse.InScale: 3}},
		Recent:    analyse.Recent{Notes: 9, Explained: 9},
	}
	p := player{page: &s.Page, scale: s.Scale}
	p.play(beat, ring(six("F", 65)), dim("G", 67), ring(six("A", 69)), dim("Bb", 70), ring(six("C", 72)))
	p.play(0, struck(ring(six("F", 53))), struck(ring(six("A", 57))), struck(ring(six("C", 60))), struck(ring(six("D", 62))))
	return Frame{Snapshot: s, Status: Status{Source: "Stage Keys"}}
}

const tenor = tone.InBFlat

func countIn() Frame {
	f := tune()
	s := &f.Snapshot
	s.Tick, s.Bar, s.Chorus, s.Beat, s.CountIn = 0, 0, 0, 2, 3
	s.Chord, s.NextChord = "Bb6", ""
	s.Held, s.Page.Notes, s.Counts, s.Recent, s.InPhrase = nil, nil, analyse.Counts{}, analyse.Recent{}, false
	s.Run = figure.Figure{}
	s.Page.Bars = fourBars(1).Bars
	return f
}

// semiquavers is a bar of sixteenths up the scale, then one with every note in
// the home half, which is more than a rail can write out.
func semiquavers() Frame {
	f := tune()
	s := &f.Snapshot
	s.Tick, s.Bar, s.Beat, s.Chord, s.NextChord = 8*beat-1, 6, 4.999, "G7b9", "Bbmaj7"
	s.Page.Notes = nil
	p := player{page: &s.Page, scale: s.Scale}
	scale := []analyse.PageNote{ring(six("Bb", 58)), dim("C", 60), six("D", 62), dim("Eb", 63), six("F", 65), dim("Gb", 66), six("G", 67), dim("A", 69)}
	p.play(beat/4, scale...)
	p.play(beat/4, scale...)
	for range 16 {
		p.play(beat/4, ring(six("Bb", 70)))
	}
	return f
}

func gone() Frame {
	f := tune()
	f.Status.Gone, f.Status.Lost, f.Status.SaveError, f.Status.Unsaved = true, 12, "no space left", 340
	return f
}

// quiet is a phrase being played, for a player who wants no verdicts then. The
// D flat in it stayed unresolved; the one before it left two.
func quiet() Frame {
	f := tune()
	f.Status.Quiet = true
	s := &f.Snapshot
	s.InPhrase, s.SlipsBefore = true, 2
	s.Phrase = phrase.Phrase{
		Number: 4, First: 0, Last: 7, Notes: 8, Landing: phrase.LandedOnChord, End: phrase.Edge{Bar: 5, ChordDegree: "3"},
		Figures: []figure.OfPhrase{
			{Kind: figure.Run, Direction: "up", Notes: 5}, {Kind: figure.Arpeggio, Direction: "up", Notes: 4, Chords: []string{"Ebmaj7", "Gm7"}},
			{Kind: figure.Leap, Direction: "down", Notes: 2},
		},
		FigureCount: 3,
	}
	for i := range s.Page.Notes {
		if n := &s.Page.Notes[i]; n.Fate > fate.Pending && n.N > s.Phrase.Last {
			n.SettledIn = s.Phrase.Number + 1
		}
	}
	return f
}

// quietRest is the rest after that phrase, when all is told.
func quietRest() Frame {
	f := quiet()
	s := &f.Snapshot
	notes := int64(len(s.Page.Notes))
	s.InPhrase, s.Phrase.Number, s.Phrase.First, s.Phrase.Last, s.Phrase.Notes = false, 5, 8, notes-1, int(notes-8)
	s.Phrase.Outside, s.Phrase.Unresolved, s.Phrase.End.Bar = 4, 1, 7
	s.Page.Notes[notes-2].Fate = fate.Approach
	return f
}

// fought is the rest after a phrase in which a B was held over a C7.
func fought() Frame {
	f := quietRest()
	f.Status.Quiet = false
	f.Snapshot.Fought = analyse.Fight{Chord: "C7", Name: "B", Is: "maj7", Own: "Bb", Times: 1}
	return f
}

// goal is the tune with a goal that was met in two of three choruses.
func goal() Frame {
	f := tune()
	f.Status.Goal, f.Snapshot.GoalMet, f.Snapshot.GoalOf = "no slip in B", 2, 3
	return f
}

// thirds is the tune with a goal that is counted by changes.
func thirds() Frame {
	f := tune()
	f.Status.Goal, f.Snapshot.GoalMet, f.Snapshot.GoalOf = "third on every change in 9-16", 17, 24
	return f
}

// pileUp is a bar in which more is played at once than there is room for.
func pileUp() Frame {
	f := tune()
	s := &f.Snapshot
	s.Tick, s.Bar, s.Beat, s.Chord, s.NextChord, s.Page.Notes = 4*beat-1, 5, 4.999, "F7", "Dm7b5", nil
	p := player{page: &s.Page, scale: s.Scale}
	for range 8 {
		p.play(beat/16, ring(six("Bb", 70)), dim("A", 69), out("Db", 73, fate.Unresolved), out("E", 76, fate.Passing))
	}
	return f
}

// hostile comes from outside with everything a name can hold.
func hostile() Frame {
	f := tune()
	s := &f.Snapshot
	s.Chord = "\x1b[2J\x1b]0;x\aC7"
	s.NextChord = "C7\x9b31m\u202eb9"
	s.Section = "\r\nA\x00"
	s.Page.Symbols[0].Symbol = "\x1b[31mCm7"
	s.Page.Symbols[2].Symbol = "漢字漢字漢字漢字漢字"
	s.Page.Notes[2].Name = "E\x1bb"
	s.Held[0].Name = "\xff\xfe"
	f.Status.TakePath, f.Status.Source = "", "port \x1b[8m\u2066a\u0301\u0301\u0301\u0301\u0301\U000e0041 \xc3\x28 "+string(make([]byte, 5000))
	return f
}

// twoHands is a left hand in chords under the line, below a split.
func twoHands() Frame {
	f := tune()
	s := &f.Snapshot
	s.Hands = true
	for i := range s.Page.Notes {
		n := &s.Page.Notes[i]
		n.Left = n.Role == analyse.Struck
	}
	s.Page.Chords = []analyse.PageChord{
		{Tick: 0, Name: "Cm7", Left: true}, {Tick: 2 * beat, Name: "F13", Left: true}, {Tick: 7 * beat / 2, Name: "Dm7b5", Left: true},
		{Tick: 8 * beat, Name: "Bb6/9", Left: true},
	}
	return f
}

// ending is the last chord of the last chorus: what the form begins with does
// not come any more.
func ending() Frame {
	f := tune()
	s := &f.Snapshot
	s.Page.Bars, s.Page.Symbols = fourBars(29).Bars, s.Page.Symbols[:5] // its last chord stands for two bars
	s.Page.Ahead[0].Again = true
	s.Bar, s.NextChord, f.Ending, f.LastChorus = 31, "Bb6", true, true
	return f
}

// waltz mixes meters on a page that the end of the form cuts short.
func waltz() Frame {
	f := tune()
	s := &f.Snapshot
	s.Page = analyse.Page{PageLine: analyse.PageLine{
		End: 3*beat + 3*beat + 4*beat,
		Bars: []analyse.PageBar{
			{Start: 0, Number: 29, Meter: timebase.Meter{Num: 3, Den: 4}},
			{Start: 3 * beat, Number: 30, Meter: timebase.Meter{Num: 6, Den: 8}},
			{Start: 6 * beat, Number: 31, Meter: timebase.Common},
		},
		Symbols: []analyse.PageSymbol{{Start: -2 * beat, Symbol: "F7sus4"}, {Start: 3 * beat, Symbol: "Bbmaj7#11/D"}, {Start: 6 * beat, Symbol: "Eb6"}},
	}}
	s.Tick = 4 * beat
	s.Chord, s.NextChord, s.Bar, s.Bars, s.Beat = "Bbmaj7#11/D", "Eb6", 30, 31, 1.666
	p := player{page: &s.Page, scale: s.Scale}
	p.play(beat, ring(six("F", 65)), six("G", 67), ring(dim("Eb", 63)))
	p.play(beat/2, ring(six("D", 62)), dim("C", 60))
	return f
}
