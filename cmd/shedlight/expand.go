package main

import (
	"fmt"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
)

type expandCommand struct {
	Chord string `arg:"" help:"A chord symbol at concert pitch, like Ebmaj7, F#m7b5 or G7b9."`

	Scale     string `settings:"-" placeholder:"KIND" help:"The scale to move it up: major, minor, seventh or seven-flat-five. By default the one that goes with the chord."`
	Root      string `settings:"-" placeholder:"NOTE" help:"The root of the scale."`
	Voicing   string `settings:"-" placeholder:"NOTES" help:"The notes to move, like \"Bb3 D4 F4 A4\"."`
	Drop      string `settings:"-" placeholder:"VOICES" help:"Drop these voices, counted from the top, by an octave: 2, 3 or 24."`
	Form      string `settings:"-" placeholder:"FORM" help:"In place of a close voicing: shell (1-3-7) or 1-7-3, rootless (3-5-7-9) or 7-9-3-5."`
	Full      bool   `settings:"-" help:"Every tone of the symbol. By default a chord of five tones and more is moved with its own four: G9 as G7, C6/9 as C6."`
	Inversion int    `settings:"-" placeholder:"N" from:"0" help:"Start on the Nth tone above the bass."`

	settings.Look `group:"How it looks:"`
	JSON          bool   `name:"json" settings:"-" help:"One JSON object, at concert pitch."`
	MIDI          string `name:"midi" settings:"-" placeholder:"FILE" help:"Also write the family as a MIDI file, a chord each half note. A file that is there is left alone."`
}

func (c *expandCommand) Help() string {
	return `Every voice of the chord moves up a sixth-diminished scale, step by step.

The scale is two chords put together. "six" (over a dominant scale "seven")
beside a step says that all its tones are of the scale's home chord, its sixth
or seventh chord; "dim" that all are of the diminished chord between; "mixed"
that it has tones of both. "C6 with B for A" is the home chord with a tone of
the diminished one in place of its neighbour.

A shell is root, third and seventh; a rootless voicing third, fifth, seventh and
ninth, with the thirteenth for the fifth in dominants. A sixth stands for the
seventh where the chord has none, the fourth for the third in suspended chords,
an altered fifth, a #11 or a b13 for the fifth. The chord you asked for gives
the first step its name. "G9 rootless" leaves the root, and in thirteenths the
fifth, to the bass player; "C6 without fifth" is a shell.

Examples:
  shedlight expand Cmaj7
  shedlight expand Ebmaj7 --drop 2 --written Bb
  shedlight expand Dm7 --form 7-9-3-5
  shedlight expand G13 --full
  shedlight expand G7 --scale major --root C
  shedlight expand Bb6 --voicing "Bb3 D4 F4 A4" --midi family.mid`
}

func (c *expandCommand) Run(p *program) error {
	plan, err := c.plan()
	if err != nil {
		return err
	}
	if c.MIDI != "" {
		if err := writeNew(c.MIDI, familyFile(plan.sheet)); err != nil {
			return err
		}
	}
	for _, remark := range plan.remarks {
		p.say("shedlight: %s", remark)
	}
	if c.JSON {
		return writeJSON(p.out, familyObject(plan.sheet))
	}
	return display.WriteFamily(p.out, plan.sheet, p.pageOptions(c.Look))
}

// expandPlan is a family, and what the player should know of how it was made.
type expandPlan struct {
	sheet   display.FamilySheet
	remarks []string
}

func (c *expandCommand) plan() (*expandPlan, error) {
	written, err := harmony.ParseSymbol(c.Chord)
	switch {
	case err != nil:
		return nil, usage.Errorf("%q: %w", c.Chord, err)
	case written.Chord.None():
		return nil, usage.Errorf("%s is no chord to expand: expected a chord symbol, like Ebmaj7", written.Text)
	}
	symbol, said := written.InChart() // a chart and expand read one text alike
	plan := &expandPlan{remarks: readings(written.Text, symbol)}
	if len(plan.remarks) == 0 && said != "" {
		plan.remarks = []string{said}
	}
	plan.sheet.Chord = symbol.Chord
	keys, err := c.keys(plan, symbol.Chord)
	if err != nil {
		return nil, err
	}
	choices, err := c.choices(symbol.Chord)
	if err != nil {
		return nil, err
	}
	if plan.choose(choices, keys, c.Voicing == "") {
		chord := symbol.Chord
		chord.Formula &^= harmony.FormulaOf(harmony.Five)
		if keys, err = c.keys(plan, chord); err != nil {
			return nil, err
		}
	}
	if plan.sheet.Family, err = harmony.Expand(choices[0].Scale, keys); err != nil {
		return nil, refused(err, symbol.Chord, choices[0].Scale, keys)
	}
	return plan, nil
}

// readings says where a symbol can be read in more than one way.
func readings(text string, symbol harmony.Symbol) []string {
	var out []string
	for _, other := range symbol.Others {
		out = append(out, fmt.Sprintf("%s is read as %s; if you mean %s say %s",
			text, chordTones(symbol.Chord), chordTones(other), other.ChartSymbol()))
	}
	for _, other := range symbol.Alternate {
		out = append(out, fmt.Sprintf("%s also offers %s: expand that by itself", text, other.ChartSymbol()))
	}
	return out
}

// chordTones names a chord's tones from its root up, without double accidentals.
func chordTones(c harmony.Chord) string {
	var names []string
	for d := harmony.One; d <= harmony.Seven; d++ {
		if c.Formula.Has(d) {
			names = append(names, c.Name(d).Plain().String())
		}
	}
	return strings.Join(names, " ")
}

// keys lays a chord out as the flags say.
func (c *expandCommand) keys(plan *expandPlan, chord harmony.Chord) ([]uint8, error) {
	if c.Voicing != "" {
		if c.Drop != "" || c.Form != "" || c.Inversion != 0 || c.Full {
			return nil, usage.Errorf("--voicing says every note: it cannot go with --drop, --form, --full or --inversion")
		}
		plan.sheet.Voicing = "as given"
		keys, err := harmony.ParseVoicing(c.Voicing)
		if err != nil {
			return nil, usage.Errorf("--voicing: %w", err)
		}
		return keys, nil
	}
	voicing, err := c.form()
	if err != nil {
		return nil, err
	}
	plan.sheet.Voicing = voicing.String()
	if own := chord.Own(); c.Form == "" && !c.Full && own != chord {
		plan.sheet.Moved, chord = own, own
	}
	if c.Inversion != 0 {
		plan.sheet.Voicing += fmt.Sprintf(", inversion %d", c.Inversion)
	}
	keys, err := chord.Voice(voicing, c.Inversion)
	if err != nil {
		return nil, usage.Error{Err: err}
	}
	return keys, nil
}

// forms are the words of --form.
var forms = map[string]harmony.Voicing{
	"shell": harmony.Shell, "1-3-7": harmony.Shell, "1-7-3": harmony.ShellOpen,
	"rootless": harmony.Rootless, "3-5-7-9": harmony.Rootless, "7-9-3-5": harmony.RootlessSeventh,
}

// drops are the words of --drop.
var drops = map[string]harmony.Voicing{"2": harmony.Drop2, "3": harmony.Drop3, "24": harmony.Drop2And4}

func (c *expandCommand) form() (harmony.Voicing, error) {
	voicing, known := forms[c.Form]
	switch {
	case c.Drop != "" && c.Form != "":
		return 0, usage.Errorf("--drop and --form: choose one")
	case c.Form != "" && !known:
		return 0, usage.Errorf("--form %s: expected shell, 1-3-7, 1-7-3, rootless, 3-5-7-9 or 7-9-3-5", c.Form)
	case c.Form != "" && c.Full:
		return 0, usage.Errorf("--full and --form: choose one")
	case strings.Contains(c.Form, "-") && c.Inversion != 0:
		return 0, usage.Errorf("--form %s says the order of the voices: it cannot go with --inversion", c.Form)
	case c.Form != "":
		return voicing, nil
	case c.Drop == "":
		return harmony.Close, nil
	}
	if voicing, known = drops[c.Drop]; !known {
		return 0, usage.Errorf("--drop %s: expected 2, 3 or 24", c.Drop)
	}
	return voicing, nil
}

// choices lists the scales that the flags admit, the likeliest first. Without
// flags they are those that go with the chord. A kind alone stands on the
// chord's root, or where the trade puts it over this chord; a root alone takes
// the scale among those that go with the chord.
func (c *expandCommand) choices(chord harmony.Chord) ([]harmony.Choice, error) {
	all := harmony.ScalesFor(chord, harmony.Chord{})
	var kind harmony.ScaleKind
	var root tone.Name
	var err error
	if c.Scale != "" {
		if kind, err = harmony.ParseScaleKind(c.Scale); err != nil {
			return nil, usage.Errorf("--scale: %w", err)
		}
	}
	if c.Root != "" {
		if root, err = tone.ParseName(c.Root); err != nil {
			return nil, usage.Errorf("--root: %w", err)
		}
	}
	var out []harmony.Choice
	switch {
	case c.Scale == "" && c.Root == "":
		return all, nil
	case c.Scale != "" && c.Root != "":
		return []harmony.Choice{asked(chord, harmony.NewScale(kind, root))}, nil
	case c.Scale != "":
		out = append(out, asked(chord, harmony.NewScale(kind, chord.Root)))
	}
	for _, choice := range all {
		if choice.Scale.Kind == kind || choice.Scale.Root.Class() == root.Class() && c.Root != "" {
			out = append(out, choice)
		}
	}
	if len(out) == 0 {
		return nil, usage.Errorf("no scale on %s goes with %s by itself: say which with --scale; with the chord go %s",
			root, chord.Symbol(), scaleList(all))
	}
	return out, nil
}

func asked(chord harmony.Chord, s harmony.Scale) harmony.Choice {
	return harmony.Choice{Scale: s, Reason: "as you asked", Missing: chord.Set() &^ s.Set()}
}

func scaleList(choices []harmony.Choice) string {
	names := make([]string, len(choices))
	for i, c := range choices {
		names[i] = c.Scale.Short()
	}
	return strings.Join(names, ", ")
}

// choose brings the first scale that holds all keys to the front, and the rest of
// the chord where only its own four tones are moved, and says why where that is
// not the usual one. Where none does and the keys are ours to choose, it reports
// whether the natural fifth is all that is in the way: then it is left out, as
// players do over altered dominants.
func (plan *expandPlan) choose(choices []harmony.Choice, keys []uint8, free bool) (leaveFifth bool) {
	chord := plan.sheet.Chord
	sounding := setOf(keys)
	if !plan.sheet.Moved.None() {
		sounding |= chord.Set()
	}
	at := holding(choices, sounding)
	if fifth := chord.Name(harmony.Five).Class(); at < 0 && free && chord.Formula.Has(harmony.Five) {
		sounding &^= 1 << fifth
		if at = holding(choices, sounding); at >= 0 {
			plan.remarks = append(plan.remarks, fmt.Sprintf("no scale that goes with %s holds all of it: %s is left out", chord.Symbol(), chord.Name(harmony.Five)))
			leaveFifth = true
		}
	}
	if at < 0 {
		sounding = setOf(keys)
		at = holding(choices, sounding)
	}
	if at > 0 {
		usual := choices[0].Scale
		plan.remarks = append(plan.remarks, fmt.Sprintf("%s has no %s: %s has", usual.Short(), missing(chord, sounding&^usual.Set(), usual), choices[at].Scale.Short()))
		choices[0], choices[at] = choices[at], choices[0]
	}
	plan.sheet.Reason = choices[0].Reason
	for _, other := range choices[1:] {
		if sounding.Within(other.Scale.Set()) {
			plan.sheet.Others = append(plan.sheet.Others, other.Scale)
		}
	}
	return leaveFifth
}

// holding returns the index of the first scale that holds a set, or -1.
func holding(choices []harmony.Choice, set tone.Set) int {
	for i, c := range choices {
		if set.Within(c.Scale.Set()) {
			return i
		}
	}
	return -1
}

func setOf(keys []uint8) tone.Set {
	var set tone.Set
	for _, k := range keys {
		set |= 1 << tone.ClassOf(int(k))
	}
	return set
}

// missing names tones as they are written over the chord.
func missing(chord harmony.Chord, set tone.Set, s harmony.Scale) string {
	var names []string
	for class := range set.Each() {
		names = append(names, s.Spell(class, chord, false).String())
	}
	return strings.Join(names, " and no ")
}

// refused says what to do about a voicing that a scale does not hold.
func refused(err error, chord harmony.Chord, scale harmony.Scale, keys []uint8) error {
	sounding := setOf(keys)
	if sounding.Within(scale.Set()) {
		return usage.Error{Err: err} // too many notes, too few, twice the same, or too high
	}
	for _, s := range candidates(chord) {
		if sounding.Within(s.Set()) {
			return usage.Errorf("%w; %s holds these notes: try --scale %s --root %s", err, s.Short(), scaleWords[s.Kind], s.Root)
		}
	}
	return usage.Errorf("%w; no sixth-diminished scale holds all these notes", err)
}

// scaleWords are the words of --scale.
var scaleWords = [...]string{
	harmony.MajorSixth: "major", harmony.MinorSixth: "minor",
	harmony.DominantSeventh: "seventh", harmony.DominantSeventhFlatFive: "seven-flat-five",
}

// candidates returns every scale there is, those that go with a chord first.
func candidates(chord harmony.Chord) []harmony.Scale {
	var out []harmony.Scale
	for _, choice := range harmony.ScalesFor(chord, harmony.Chord{}) {
		out = append(out, choice.Scale)
	}
	for kind := harmony.MajorSixth; kind <= harmony.DominantSeventhFlatFive; kind++ {
		for class := range tone.All.Each() {
			out = append(out, harmony.NewScale(kind, class.Name()))
		}
	}
	return out
}
