package fit

// mark is where a span began: what had added up by then.
type mark struct {
	sums
	shifts       // of its grid
	grid   int   // the places in time that it counts by
	from   int64 // song tick
	first  int64 // N of its first note; noNote before
}

const noNote = -1

// stretch is a span, or as much of it as has been played.
type stretch struct {
	sums
	shifts
	grid        int
	from, to    int64 // song ticks
	first, last int64 // N
}

// pass is one chorus that is over.
type pass struct {
	stretch
	chorus int
}

// begin marks the beginning of a span that counts by a grid.
func (f *Fit) begin(m *mark, grid int, song int64) {
	m.sums, m.shifts = f.total, f.form.grids[grid].total
	m.grid, m.from, m.first = grid, song, noNote
	f.unmarked = true
}

// since returns the span that began at a mark and ends at a song tick.
func (f *Fit) since(m *mark, song int64) stretch {
	s := stretch{sums: f.total, grid: m.grid, from: m.from, to: max(m.from, song), first: m.first, last: f.last}
	s.sums.add(&m.sums, -1)
	if f.form != nil {
		s.shifts = f.form.grids[m.grid].total
		s.shifts.add(&m.shifts, -1)
	}
	return s
}

// enter goes to a song tick and opens everything there.
func (f *Fit) enter(song int64) {
	song = max(0, song)
	f.chorusStart = song / f.form.length * f.form.length
	f.bar = f.form.line.BarAt(song-f.chorusStart, 0)
	f.section = f.form.sectionOf(f.bar)
	f.recent = recent{}
	f.openChorus(song)
	f.openSection(song)
	f.openBar(song)
}

func (f *Fit) openChorus(song int64) {
	f.forgotten = false
	f.begin(&f.inChorus, f.form.bars[0].grid, song)
}

func (f *Fit) openSection(song int64) {
	first := 0
	if f.form.passes == 1 {
		first = f.form.sections[f.section].From
	}
	f.begin(&f.inSection, f.form.bars[first].grid, song)
}

func (f *Fit) openBar(song int64) {
	f.barFrom = song
	f.begin(f.recent.push(), f.inSection.grid, song)
}

// reach goes on to the bar that holds a song tick and closes what lies before.
// Choruses in which nothing is played are passed over in one step.
func (f *Fit) reach(song int64) {
	for song >= f.chorusStart+f.form.bars[f.bar].end {
		f.nextBar()
		if f.bar == 0 && song >= f.chorusStart+f.form.length {
			f.enter(song / f.form.length * f.form.length)
		}
	}
}

func (f *Fit) nextBar() {
	end := f.chorusStart + f.form.bars[f.bar].end
	f.closeBar(end)
	f.bar++
	if f.form.passes == 1 && f.bar == f.form.sections[f.section].To {
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

// closeBar counts the bar, or as much of it as has been reached.
func (f *Fit) closeBar(song int64) {
	if song > f.barFrom {
		f.total.bars++
		f.total.beats += (song - f.barFrom) * milliBeat / f.form.bars[f.bar].beat
	}
}

func (f *Fit) closeSection(song int64) {
	s := f.since(&f.inSection, song)
	f.tell(Section, &s)
}

func (f *Fit) closeChorus(song int64) {
	s := f.since(&f.inChorus, song)
	if s.notes == 0 {
		return
	}
	f.tell(Chorus, &s)
	f.choruses = append(f.choruses, pass{stretch: s, chorus: f.form.chorus(f.chorusStart)})
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

// fold adds up choruses, one at least.
func fold(choruses []pass) stretch {
	s := choruses[0].stretch
	for i := range choruses[1:] {
		c := &choruses[1+i]
		s.sums.add(&c.sums, 1)
		s.shifts.add(&c.shifts, 1)
		s.to, s.last = c.to, c.last
	}
	return s
}

// stop closes everything at a song tick.
func (f *Fit) stop(song int64) {
	f.settle(nil)
	f.endPhrase(song)
	f.reach(song)
	song = max(song, f.barFrom)
	f.closeBar(song)
	if f.form.passes == 1 {
		f.closeSection(song)
	}
	f.closeChorus(song)
	f.closeJoined()
}

// endPhrase closes the phrase, where one is open.
func (f *Fit) endPhrase(song int64) {
	f.ends = false
	if f.inPhrase.first == noNote {
		return
	}
	s := f.since(&f.inPhrase, max(song, f.phraseTo))
	s.bars = 0
	if f.form != nil {
		s.beats = f.form.beats(s.from, s.to)
	}
	f.tell(Phrase, &s)
	f.inPhrase.first = noNote
}

// tell makes the verdict of a span that has closed. Nothing is told where no
// note was played.
func (f *Fit) tell(span Span, s *stretch) {
	if s.notes > 0 {
		f.out = append(f.out, f.form.verdict(span, s))
	}
}
