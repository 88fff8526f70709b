package fit

// cell is the notes of one bar, with the places of its section and of the form.
type cell struct {
	sums
	section, form shifts
	from, to      int64 // song ticks
	grid          int   // of the section
}

// enter goes to a song tick and opens everything there.
func (f *Fit) enter(song int64) {
	song = max(0, song)
	f.chorusStart = song / f.form.length * f.form.length
	f.bar = f.form.barAt(song - f.chorusStart)
	f.section = f.form.sectionOf(f.bar)
	f.openChorus(song)
	f.openSection(song)
	f.openBar(song)
}

func (f *Fit) openChorus(song int64) {
	f.forgotten = false
	f.inChorus = stretch{from: song, grid: f.form.bars[0].grid}
}

func (f *Fit) openSection(song int64) {
	first := 0
	if f.form.passes == 1 {
		first = f.form.sections[f.section].from
	}
	f.inSection = stretch{from: song, grid: f.form.bars[first].grid}
}

func (f *Fit) openBar(song int64) { f.cell = cell{from: song, grid: f.inSection.grid} }

// reach goes on to the bar that holds a song tick and closes what lies before.
// Choruses in which nothing is played are passed over in one step.
func (f *Fit) reach(song int64) {
	for song >= f.chorusStart+f.form.bars[f.bar].end {
		f.nextBar()
		if f.bar == 0 && song >= f.chorusStart+f.form.length {
			f.recent = recent{}
			f.enter(song / f.form.length * f.form.length)
		}
	}
}

func (f *Fit) nextBar() {
	end := f.chorusStart + f.form.bars[f.bar].end
	f.closeBar(end)
	f.bar++
	if f.form.passes == 1 && f.bar == f.form.sections[f.section].to {
		f.closeSection(end)
		f.section = (f.section + 1) % len(f.form.sections)
		f.openSection(end)
	}
	if f.bar == len(f.form.bars) {
		f.closeChorus(end)
		f.chorusStart, f.bar = end, 0
		f.openChorus(end)
	}
	f.openBar(end)
}

// closeBar ends the open bar and adds it to its section and chorus.
func (f *Fit) closeBar(end int64) {
	c := &f.cell
	c.to = max(c.from, end)
	if c.to > c.from {
		c.bars = 1
		c.beats = (c.to - c.from) * milliBeat / f.form.bars[f.bar].beat
	}
	f.inSection.sums.add(&c.sums)
	f.inSection.shifts.add(&c.section)
	f.inChorus.sums.add(&c.sums)
	f.inChorus.shifts.add(&c.form)
	f.recent.push(c)
}

func (f *Fit) closeSection(end int64) {
	f.inSection.to = max(f.inSection.from, end)
	f.tell(Section, &f.inSection)
}

func (f *Fit) closeChorus(end int64) {
	s := &f.inChorus
	s.to = max(s.from, end)
	if s.notes == 0 {
		return
	}
	f.tell(Chorus, s)
	f.choruses = append(f.choruses, pass{stretch: *s, chorus: f.form.chorus(f.chorusStart)})
	if f.joined++; f.form.passes > 1 && f.joined == f.form.passes {
		f.closeJoined()
	}
}

// closeJoined tells the section that the last passes make.
func (f *Fit) closeJoined() {
	if f.joined > 0 && f.form.passes > 1 {
		s := fold(f.choruses[len(f.choruses)-f.joined:])
		f.tell(Section, &s)
	}
	f.joined = 0
}

// fold adds up choruses.
func fold(choruses []pass) stretch {
	first, last := &choruses[0], &choruses[len(choruses)-1]
	s := stretch{grid: first.grid, from: first.from, to: last.to}
	for i := range choruses {
		s.sums.add(&choruses[i].sums)
		s.shifts.add(&choruses[i].shifts)
	}
	return s
}

// stop closes everything at a song tick.
func (f *Fit) stop(song int64) {
	f.settle(nil)
	f.endPhrase(song)
	f.reach(song)
	f.closeBar(song)
	if f.form.passes == 1 {
		f.closeSection(f.cell.to)
	}
	f.closeChorus(f.cell.to)
	f.closeJoined()
	f.recent = recent{}
}

func (f *Fit) endPhrase(song int64) {
	p := &f.inPhrase
	f.ends = false
	if f.form != nil {
		p.to = max(p.to, song)
		p.beats = f.form.beats(p.from, p.to)
	}
	f.tell(Phrase, p)
	*p = stretch{}
}

// tell makes the verdict of a span that has closed. Nothing is told where no
// note was played.
func (f *Fit) tell(span Span, s *stretch) {
	if s.notes == 0 {
		return
	}
	f.out = append(f.out, f.form.verdict(span, s))
}
