package display

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shedlight/analyse"
)

// What choruses were is told where it says something: one tempo in the sentence on what was
// played, more of them beside what they explain. What is held against what is for
// analyse.Was to say.

// was says what choruses were, taken together: "at 120", "in F at 100 to 140", "traded at
// 120"; empty where nothing is known of it.
func (s speller) was(all ...analyse.Was) string {
	var keys, texts []string
	traded := false
	for _, w := range all {
		if w.Key != "" && !slices.Contains(keys, w.Key) {
			keys = append(keys, w.Key)
		}
		traded = traded || w.Trade > 0
	}
	if traded {
		texts = append(texts, "traded")
	}
	switch len(keys) {
	case 0:
	case 1:
		texts = append(texts, "in "+s.centre(keys[0]))
	default:
		texts = append(texts, fmt.Sprintf("in %d keys", len(keys)))
	}
	if at := tempi(all); at != "" {
		texts = append(texts, at)
	}
	return strings.Join(texts, " ")
}

// tempi says at which tempi choruses were: "at 120", "at 100 and 120", "at 100 to 140"; of
// one whose tempo changed from the first to the other.
func tempi(all []analyse.Was) string {
	var beats []int
	for _, w := range all {
		for _, tempo := range [...]float64{w.Tempo, w.ToTempo} {
			if tempo > 0 {
				beats = append(beats, int(math.Round(tempo)))
			}
		}
	}
	if len(all) > 1 {
		slices.Sort(beats)
	}
	beats = slices.Compact(beats)
	switch last := len(beats) - 1; {
	case last < 0:
		return ""
	case last == 0:
		return fmt.Sprintf("at %d", beats[0])
	case last == 1 && len(all) > 1:
		return fmt.Sprintf("at %d and %d", beats[0], beats[1])
	default:
		return fmt.Sprintf("at %d to %d", beats[0], beats[last])
	}
}

// wasOf lists what choruses were.
func wasOf(all []analyse.ChorusCount) (was []analyse.Was) {
	for i := range all {
		was = append(was, all[i].Was)
	}
	return was
}

// atTempi says at which tempi choruses were: "at 120" where that is one all through.
func atTempi(all []analyse.ChorusCount) string {
	at := tempi(wasOf(all))
	if at == "" || !oneTempo(all) {
		return at
	}
	low, high := extremes(all)
	return fmt.Sprintf("at %d", int(math.Round((low+high)/2)))
}

// oneTempo reports whether choruses were at one tempo all through, to a beat a minute: a
// clock that is followed is never quite the same.
func oneTempo(all []analyse.ChorusCount) bool {
	low, high := extremes(all)
	return math.Round(high)-math.Round(low) <= 1
}

// extremes are the slowest and the fastest tempo of choruses.
func extremes(all []analyse.ChorusCount) (low, high float64) {
	low = math.Inf(1)
	for i := range all {
		low, high = min(low, all[i].Slowest()), max(high, all[i].Fastest())
	}
	return low, high
}

// overChoruses says how it went from the first chorus that is like the last to the last,
// and which were left out.
func overChoruses(all []analyse.ChorusCount, sp speller) string {
	if len(all) < 2 {
		return ""
	}
	last := lastChorus(all)
	var first *analyse.ChorusCount
	var others []analyse.Was
	for i := range all {
		switch {
		case !all[i].Like(last.Was):
			others = append(others, all[i].Was)
		case first == nil:
			first = &all[i]
		}
	}
	switch {
	case first != last && len(others) == 0:
		return sp.chorusAgainst(first, last, "")
	case first != last:
		return fmt.Sprintf("%s; %s %s left out", sp.chorusAgainst(first, last, comma(sp.was(last.InAnyKey()))), count(int64(len(others)), "other"), sp.was(others...))
	case len(others) > 0 && last != &all[0]:
		return fmt.Sprintf("chorus %d is %s, no other is like it", last.Chorus, sp.was(last.Was))
	}
	return ""
}

// lastChorus is the last chorus with at least half as many notes as the first:
// one that was broken off says little.
func lastChorus(all []analyse.ChorusCount) *analyse.ChorusCount {
	for i := len(all) - 1; i > 0; i-- {
		if 2*all[i].Notes >= all[0].Notes {
			return &all[i]
		}
	}
	return &all[0]
}

// chorusAgainst holds one chorus against another, on the live screen as in the
// summary. where says behind the choruses what they were beside their key.
func (s speller) chorusAgainst(before, after *analyse.ChorusCount, where string) string {
	return fmt.Sprintf("chorus %s to %s%s: slips %s, outside %s", s.chorus(before), s.chorus(after), where,
		fromTo(before.Slips(), before.Notes, after.Slips(), after.Notes),
		fromTo(before.Outside, before.Notes, after.Outside, after.Notes))
}

// chorusAlone says how a chorus went that there is none to hold against.
func (s speller) chorusAlone(c *analyse.ChorusCount, where string) string {
	return fmt.Sprintf("chorus %s%s: slips %s, outside %s", s.chorus(c), where, share(c.Slips(), c.Notes), share(c.Outside, c.Notes))
}

// comma puts a text behind another.
func comma(text string) string {
	if text == "" {
		return ""
	}
	return ", " + text
}

// choruses lists the slips of each chorus, those at other tempi and in other keys apart, or
// of the last ones if there are too many for a row.
func choruses(all []analyse.ChorusCount, sp speller) string {
	label := "slips by chorus: "
	for {
		texts := slipsByChorus(all, sp)
		if width(label)+width(texts) <= besides || len(all) == 1 {
			return label + texts
		}
		all = all[1:]
		label = fmt.Sprintf("slips in the last %s: ", count(int64(len(all)), "chorus"))
	}
}

// slipsByChorus lists slips: "2, 3", or "at 100: 2, 3; at 120: 4".
func slipsByChorus(all []analyse.ChorusCount, sp speller) string {
	apart := tellsApart(all)
	var runs []string
	for from := 0; from < len(all); {
		to := from
		var texts []string
		for ; to < len(all) && all[to].Like(all[from].Was); to++ {
			texts = append(texts, fmt.Sprint(all[to].Slips()))
		}
		run := strings.Join(texts, ", ")
		if to-from < len(all) {
			run = sp.was(apart(all[from].Was)) + ": " + run
		}
		runs, from = append(runs, run), to
	}
	return strings.Join(runs, "; ")
}

// Earlier is how the takes before stand to this one.
type Earlier struct {
	Takes           int           // that have choruses like some of this one; 0 where those are too few to tell
	Notes           int64         // of such choruses, as far as both sides have them
	Slips, SlipsNow int64         // of so many notes, then and now
	At              []analyse.Was // what such choruses were then
	Part            bool          // this one has others too

	Apart   int           // takes that have none
	ApartAt []analyse.Was // what they have
	Now     []analyse.Was // what this one has
}

// text says how it went since those takes, and which were left out; empty where there are
// none.
func (e *Earlier) text(sp speller) string {
	apart := count(int64(e.Apart), "earlier take")
	switch {
	case e.Takes == 0 && e.Apart == 0:
		return ""
	case e.Takes == 0:
		return fmt.Sprintf("%s%s, left out: this one is %s", apart, comma(sp.was(e.ApartAt...)), sp.was(e.Now...))
	}
	text := "since " + count(int64(e.Takes), "earlier take")
	if e.Part || e.Apart > 0 {
		text += comma(sp.was(e.At...))
	}
	text += ": slips " + fromTo(e.Slips, e.Notes, e.SlipsNow, e.Notes)
	if e.Apart > 0 {
		text += fmt.Sprintf("; %d%s, left out", e.Apart, comma(sp.was(e.ApartAt...)))
	}
	return text
}

// withBand reports whether more than a click of one's own was there.
func withBand(with []string) bool {
	return slices.ContainsFunc(with, func(one string) bool { return one != "click" })
}

// inWords says who played along: "the click, a bass and a piano".
func inWords(with []string, sp speller) string {
	words := map[string]string{"click": "the click", "bass": "a bass", "piano": "a piano", "clock": "another's clock"}
	var texts []string
	for _, one := range with {
		word, known := words[one]
		if !known {
			word = sp.text(one)
		}
		texts = append(texts, word)
	}
	last := len(texts) - 1
	if last < 1 {
		return strings.Join(texts, "")
	}
	return strings.Join(texts[:last], ", ") + " and " + texts[last]
}

// tellsApart returns what of a chorus tells it from others: not what all have.
func tellsApart(all []analyse.ChorusCount) func(analyse.Was) analyse.Was {
	one := oneTempo(all)
	moves := slices.ContainsFunc(all, func(o analyse.ChorusCount) bool { return o.Key != all[0].Key })
	return func(w analyse.Was) (out analyse.Was) {
		if !one {
			out.Tempo, out.ToTempo = w.Tempo, w.ToTempo
		}
		if moves {
			out.Key = w.Key
		}
		return out
	}
}

// chorusWas says what a chorus was, for its row in a table: what tells it from the others
// beside its key, and whether it was counted off anew.
func chorusWas(s *analyse.Summary, c *analyse.ChorusCount, sp speller) (texts []string) {
	if was := sp.was(tellsApart(s.ChorusesDetail)(c.InAnyKey())); was != "" {
		texts = append(texts, was)
	}
	if c.Anew {
		texts = append(texts, "counted off anew")
	}
	return texts
}

// underChoruses says below the table of choruses what they have in common, and which are
// not in it.
func underChoruses(o *Outcome, sp speller) (rows []string) {
	all := o.ChorusesDetail
	var texts []string
	if at := atTempi(all); len(all) > 1 && at != "" && oneTempo(all) {
		texts = append(texts, "every chorus "+at)
	}
	if withBand(o.With) {
		texts = append(texts, "with "+inWords(o.With, sp))
	}
	if len(texts) > 0 {
		rows = append(rows, strings.Join(texts, ", "))
	}
	if text := forgotten(o.Forgotten); text != "" {
		rows = append(rows, text)
	}
	return rows
}
