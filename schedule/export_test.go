package schedule

// Front is the best trades of a search: finish day, weight of calls, cost.
func (s *Search) Front() (front [][3]int64) {
	for _, c := range s.found {
		front = append(front, [3]int64{int64(lastDay(c.mark.finish)), int64(c.mark.weight), c.mark.cost})
	}
	return front
}

// Extras counts what the search may use beyond the plain week.
func (s *Search) Extras() int { return len(s.extras) }

// Draw is one draw of a three-point figure.
func (r Range) Draw(seed, run uint64) int64 { return r.draw(newStream(seed, run, 1)) }

// Again makes one run and forgets it.
func (d *Dice) Again(run uint64) { d.course.run(d.seed, run) }
