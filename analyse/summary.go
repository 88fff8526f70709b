package analyse

import (
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/feel"
	"shedlight/analyse/figure"
	"shedlight/analyse/fit"
	"shedlight/analyse/habit"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// Summary is what a session came to. Its fields are the review object of the
// contract at the door, without file, damage and findings.
type Summary struct {
	Title          string                `json:"title"`
	Choruses       int                   `json:"choruses"` // up to the last note; 0 without a chart
	Bars           int                   `json:"bars"`     // up to the last note, over all choruses; 0 without a chart
	Notes          int64                 `json:"notes"`
	Ghosts         int64                 `json:"ghosts"`  // notes below the gate: in no other count
	Passed         int64                 `json:"passed"`  // notes in the bars of others, where the player trades: the same
	Seconds        float64               `json:"seconds"` // from tick 0 to the end, in thousandths
	Tempo          float64               `json:"tempo"`   // beats a minute at the end; 0 where the beat is not known
	View           song.View             `json:"view"`    // "key" or "chord": that of the last note
	Views          []ViewFrom            `json:"views"`   // those in which notes were heard, in their order
	Place          song.PlaceCounts      `json:"place"`
	Groups         GroupCounts           `json:"groups"`      // each note once
	SlipsAhead     int64                 `json:"slips_ahead"` // unresolved notes in the beat before a change of chord
	Colours        []ColourCount         `json:"colours"`     // which colours, in the order in which they first came
	Fights         []Fight               `json:"fights"`      // what was held against which chord
	Fate           map[string]int64      `json:"fate"`        // every fate that can be met, by its contract name
	Against        int64                 `json:"against"`     // notes held against their chord: slips beside those that are unresolved
	ChordTones     int64                 `json:"chord_tones"`
	OnBeat         []feel.OnBeat         `json:"on_beat"`
	LeftHanging    phrase.Hanging        `json:"left_hanging"`
	Figures        figure.Counts         `json:"figures"`
	Links          figure.LinkCounts     `json:"links"`      // of runs and arpeggios
	HalfSteps      figure.HalfStepCounts `json:"half_steps"` // in runs
	Family         []figure.FamilyUse    `json:"family"`
	Centres        []CentreCount         `json:"centres"`
	HeardCentres   []HeardCentre         `json:"heard_centres"` // where no centre and no chart is given
	Before         BeforeCount           `json:"before"`        // notes in none of the rows of centres, choruses, bars and chords
	ChorusesDetail []ChorusCount         `json:"choruses_detail"`
	GoalKind       GoalKind              `json:"-"` // of the session's goal
	Subs           []SubUse              `json:"subs"`
	Fit            []fit.Verdict         `json:"fit"`         // of sections, choruses and the take, and of phrases that claim something
	SplitFound     uint8                 `json:"split_found"` // the lowest key of the right hand, where nothing parts the hands and that can be told; else 0
	Phrases        phrase.Report         `json:"phrases"`
	Feel           feel.Report           `json:"feel"`
	Habits         habit.Report          `json:"habits"`
	BarsDetail     []BarCount            `json:"bars_detail"`   // every bar of the chart; empty without one
	ChordsDetail   []ChordCount          `json:"chords_detail"` // every chord of the chart, in order
	Forgotten      []int                 `json:"forgotten"`     // the numbers of choruses that are in the take and in no count
	Marks          []MarkAt              `json:"marks"`         // what the player marked
	Meant          int64                 `json:"meant"`         // unresolved notes that were meant and are in no other count of them
}

// GroupCounts counts the notes by group; with glitches and notes that are still open
// they are all there are.
type GroupCounts struct {
	Chord  int64 `json:"chord"`  // tones of the written chord
	Scale  int64 `json:"scale"`  // else in the scale
	Way    int64 `json:"way"`    // approach, passing, neighbour, double-chromatic, enclosure, ornament
	Change int64 `json:"change"` // push, late, pedal
	Colour int64 `json:"colour"` // colour, sub, blue
	Slip   int64 `json:"slip"`   // unresolved, or held against the chord
	Glitch int64 `json:"glitch"`
}

func groupCounts(c *Counts) GroupCounts {
	return GroupCounts{
		Chord: c.Groups[OnChord], Scale: c.Groups[InScale], Way: c.Groups[OnWay], Change: c.Groups[AtChange],
		Colour: c.Groups[AsColour], Slip: c.Groups[AsSlip], Glitch: c.Of(fate.Glitch),
	}
}

// HeardCentre is a centre that was heard where none was given.
type HeardCentre struct {
	Centre string `json:"centre"`
	From   int64  `json:"from"` // number of the first note that is judged by it
}

// hearCentre judges what comes from now on by a centre.
func (a *Analyser) hearCentre(c changes.Centre) {
	name := c.String()
	row := slices.IndexFunc(a.song.Contexts, func(c song.Context) bool { return c.Centre == name })
	if row < 0 {
		row = a.song.AddCentre(c)
		a.counts.addCentre(name)
		a.melody.phrases.Figures.Extend(&a.song.Contexts[row])
	}
	a.song.Hold(row)
	a.counts.heardCentres = append(a.counts.heardCentres, HeardCentre{Centre: name, From: a.n})
}

// Summary returns what the session came to so far. Fates that are still open
// are in no count.
func (a *Analyser) Summary() Summary {
	total := a.counts.Total()
	m := &a.melody
	s := Summary{
		Tempo: a.beatsPerMinute(),
		Notes: total.Notes, Ghosts: total.Ghosts, Passed: a.passed, ChordTones: total.ChordTones, Against: total.Against,
		Seconds: float64(a.tempo.Micros(a.now)/1000) / 1000,
		Place:   song.PlaceCounts{Home: total.Home, Dim: total.Dim, Outside: total.Outside},
		Fate:    map[string]int64{},
		OnBeat:  m.alignment.Report(), Family: m.phrases.Figures.Uses(), Habits: m.habits.Report(),
		SplitFound: a.hands.Split(), HeardCentres: append([]HeardCentre{}, a.counts.heardCentres...),
		Centres: append([]CentreCount{}, total.centres...), ChorusesDetail: append([]ChorusCount{}, a.counts.choruses...),
		Subs:       append([]SubUse{}, total.subs...),
		BarsDetail: append([]BarCount{}, total.bars...), ChordsDetail: append([]ChordCount{}, total.over...),
	}
	s.Views = a.viewsHeard()
	s.View = s.Views[len(s.Views)-1].View
	s.Before, s.GoalKind = total.before, a.setup.Goal.Kind
	s.Groups = groupCounts(&total.Counts)
	s.SlipsAhead, s.Fights = total.SlipsAhead, append([]Fight{}, total.fights...)
	s.Colours = append([]ColourCount{}, total.colours...)
	s.Fit = append([]fit.Verdict{}, m.fit.kept...)
	s.Figures, s.Links, s.HalfSteps = m.phrases.Figures.Counted()
	s.Figures.Chord = total.chords
	var density song.Density
	s.Phrases, s.LeftHanging, density = m.phrases.Report()
	s.Feel = m.feel.Report(a.counted || a.setup.Timeline != nil, a.setup.Quantum, density)
	for f := fate.Glitch; f < fate.Kinds; f++ {
		s.Fate[f.String()] = total.Of(f)
	}
	s.Forgotten, s.Marks = append([]int{}, a.forgetting.choruses...), append([]MarkAt{}, a.marks...)
	slices.Sort(s.Forgotten)
	s.ChorusesDetail = slices.DeleteFunc(s.ChorusesDetail, func(c ChorusCount) bool { return slices.Contains(s.Forgotten, c.Chorus) })
	slices.SortFunc(s.ChorusesDetail, func(x, y ChorusCount) int { return x.Chorus - y.Chorus })
	if t := a.setup.Timeline; t != nil {
		s.Title = t.Title
		if a.counts.end > 0 {
			last := a.counts.end - 1
			s.Choruses = int(last/t.Length) + 1
			s.Bars = (s.Choruses-1)*len(t.Bars) + t.BarAt(last%t.Length, 0) + 1
		}
	}
	return s
}

// Slips returns how many notes count against the player.
func (s *Summary) Slips() int64 { return s.Fate[fate.Unresolved.String()] + s.Against }

// TakeMeant takes a slip of the same session out of every count of slips: the player
// meant it. f is its findings put together.
func (s *Summary) TakeMeant(f Finding) {
	s.Meant++
	s.Groups.Slip--
	switch {
	case f.Fate != fate.Unresolved:
		s.dropFight(&f)
	case f.ahead:
		s.SlipsAhead--
	}
	slips := Tally{Unresolved: s.Fate[fate.Unresolved.String()], Against: s.Against}
	slips.drop(f.Fate)
	s.Fate[fate.Unresolved.String()], s.Against = slips.Unresolved, slips.Against
	if f.before {
		s.Before.drop(f.Fate)
		return
	}
	s.Centres[f.centreRow].drop(f.Fate)
	for i := range s.ChorusesDetail {
		if c := &s.ChorusesDetail[i]; c.Chorus == f.Chorus {
			c.drop(f.Fate)
			if f.goal {
				c.Goal.drop(f.Fate)
			}
		}
	}
	if f.chordRow == 0 {
		return
	}
	s.BarsDetail[f.barRow].drop(f.Fate)
	s.ChordsDetail[f.chordRow-1].drop(f.Fate)
}

// dropFight takes a note that was held against its chord out of those that are listed.
func (s *Summary) dropFight(f *Finding) {
	i := slices.IndexFunc(s.Fights, func(at Fight) bool { return at.Chord == f.charted.chord && at.Name == f.charted.name })
	if s.Fights[i].Times--; s.Fights[i].Times == 0 {
		s.Fights = slices.Delete(s.Fights, i, i+1)
	}
}

// Returned tells how the player came back where the click had last been silent, once
// that bar is over; ok is false where there is nothing to tell.
func (a *Analyser) Returned() (r feel.Return, ok bool) {
	return a.melody.feel.Returned(a.setup.Quantum)
}

// PhrasesOver returns how many phrases are over.
func (a *Analyser) PhrasesOver() int64 { return a.melody.phrases.Over() }

// Phrase returns a phrase by its number, from 1, while it is one of the last
// phrase.Kept that are over; ok is false for others.
func (a *Analyser) Phrase(number int64) (p phrase.Phrase, ok bool) {
	return a.melody.phrases.Phrase(number)
}
