package analyse

// openFate is an outside note whose fate is not settled.
type openFate struct {
	n, due         int64
	centre, chorus int // rows of the counts; chorus is -1 outside a chorus
}

// openFates is a queue of open fates in the order in which they fall due. Its
// memory is used again and grows only to the most that were open at once.
type openFates struct {
	items []openFate
	head  int
}

func (q *openFates) len() int         { return len(q.items) - q.head }
func (q *openFates) first() *openFate { return &q.items[q.head] }

// add puts a fate in its place: behind those before it, unless the beat has
// become shorter meanwhile and it falls due sooner.
func (q *openFates) add(o openFate) {
	if q.head > len(q.items)/2 && len(q.items) == cap(q.items) {
		q.items = q.items[:copy(q.items, q.items[q.head:])]
		q.head = 0
	}
	q.items = append(q.items, o)
	for i := len(q.items) - 1; i > q.head && q.items[i-1].due > o.due; i-- {
		q.items[i], q.items[i-1] = q.items[i-1], q.items[i]
	}
}

// take removes the first fate and returns it.
func (q *openFates) take() openFate {
	o := q.items[q.head]
	q.head++
	if q.head == len(q.items) {
		q.items, q.head = q.items[:0], 0
	}
	return o
}
