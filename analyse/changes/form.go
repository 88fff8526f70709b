package changes

import (
	"slices"
	"strconv"
)

// formMaker builds a chart's sections and form from bars as they are played.
type formMaker struct {
	chart   *Chart
	section string
	bars    []WrittenBar // of the stretch being played
	names   []string     // of the stretches played, in order
	marked  bool         // sections have names
}

// add plays a bar of a section; begins says that it is the section's first.
func (f *formMaker) add(bar WrittenBar, section string, begins bool) {
	if begins || section != f.section {
		f.closeSection()
		f.section = section
	}
	f.bars = append(f.bars, bar)
}

// closeSection puts the stretch played so far into the chart: as the section it
// repeats, or as a new one, numbered where the name is taken.
func (f *formMaker) closeSection() {
	if len(f.bars) == 0 || len(f.chart.Sections) > maxSections {
		return
	}
	base := f.section
	if base == "" {
		base = "Intro"
	}
	name := base
	for n := 2; ; n++ {
		s, taken := f.chart.section(name)
		if !taken {
			f.chart.Sections = append(f.chart.Sections, Section{Name: name, Bars: f.bars})
			break
		}
		if slices.EqualFunc(s.Bars, f.bars, sameBar) {
			break
		}
		name = base + strconv.Itoa(n)
	}
	f.names = append(f.names, name)
	f.bars = nil
}

func sameBar(a, b WrittenBar) bool {
	return a.Meter == b.Meter && a.Quarter == b.Quarter && slices.Equal(a.Stays, b.Stays)
}

// finish closes the last section. Without named sections the chart has one and
// no name for it; with names but nothing played twice, no form.
func (f *formMaker) finish() {
	f.closeSection()
	if !f.marked {
		f.chart.Sections[0].Name = ""
		return
	}
	if len(f.names) > len(f.chart.Sections) {
		f.chart.Form = f.names
	}
}
