package reviews

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// aroundBeat is how far, in thousandths of a beat, a note may lie from a beat that
// is given with decimals: a swung or late note is still found by what is written.
// aheadOfBeat is how far before a whole beat its notes may start.
const aroundBeat, aheadOfBeat, wholeBeat = 200, 100, 1000

// Place is where in the form a verdict is marked as meant: a bar, in one
// chorus or in all, and perhaps a beat.
type Place struct {
	chorus, bar int     // chorus 0: all
	beat        float64 // 0: the whole bar; without decimals: the whole beat
}

// parsePlace reads [CHORUS/]BAR[:BEAT].
func parsePlace(text string) (Place, error) {
	wrong := fmt.Errorf("%q: expected BAR, BAR:BEAT or CHORUS/BAR:BEAT, like 3/13:2.5", text)
	var p Place
	var err error
	rest := text
	if chorus, after, ok := strings.Cut(rest, "/"); ok {
		if p.chorus, err = strconv.Atoi(chorus); err != nil || p.chorus < 1 {
			return p, wrong
		}
		rest = after
	}
	bar, beat, ok := strings.Cut(rest, ":")
	if p.bar, err = strconv.Atoi(bar); err != nil || p.bar < 1 {
		return p, wrong
	}
	if ok {
		if p.beat, err = strconv.ParseFloat(beat, 64); err != nil || !(p.beat >= 1 && p.beat < maxBeat) {
			return p, wrong
		}
	}
	return p, nil
}

// maxBeat is more beats than any meter has.
const maxBeat = 256

// String writes the place as parsePlace reads it.
func (p Place) String() string {
	text := strconv.Itoa(p.bar)
	if p.chorus > 0 {
		text = strconv.Itoa(p.chorus) + "/" + text
	}
	if p.beat > 0 {
		text += ":" + strconv.FormatFloat(p.beat, 'f', -1, 64)
	}
	return text
}

// inBar reports whether a note lies in the bar of the place.
func (p Place) inBar(f *analyse.Finding) bool {
	at := f.Spot()
	return at.Bar == p.bar && (p.chorus == 0 || at.Chorus == p.chorus)
}

// holds reports whether a note lies at the place.
func (p Place) holds(f *analyse.Finding) bool {
	after := int64(math.Round((f.Spot().Beat - p.beat) * wholeBeat))
	switch {
	case !p.inBar(f):
		return false
	case p.beat == 0:
		return true
	case p.beat == math.Trunc(p.beat):
		return after >= -aheadOfBeat && after < wholeBeat-aheadOfBeat
	}
	return after >= -aroundBeat && after <= aroundBeat
}

// ParsePlaces reads the places that a take's notes or the flags name.
func ParsePlaces(texts []string) ([]Place, error) {
	var out []Place
	for _, text := range texts {
		p, err := parsePlace(text)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// barsAway is how far a note lies from the bar of the place.
func (p Place) barsAway(f *analyse.Finding) int {
	return max(f.Spot().Bar-p.bar, p.bar-f.Spot().Bar)
}

// notePlace writes where a note lies, fit for --meant.
func notePlace(f *analyse.Finding) string {
	at := f.Spot()
	return fmt.Sprintf("%d/%d:%s", at.Chorus, at.Bar, noteBeat(at))
}

func noteBeat(at song.Spot) string {
	const hundredth = 100
	return strconv.FormatFloat(math.Floor(at.Beat*hundredth)/hundredth, 'f', -1, 64)
}
