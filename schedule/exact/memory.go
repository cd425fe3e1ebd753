package exact

// Memory is what solvers of one kind of plan can share, one after another: what follows from a calendar alone.
// Its zero value is empty. The answers are the same with and without.
type Memory struct {
	drawn []drawn
}

// drawn is a calendar that was worked out.
type drawn struct {
	first   *Window
	windows int
	horizon int32
	grid    *grid
}

// mostDrawn is how many are kept.
const mostDrawn = 256

// NewIn is New with a memory. Calendars that are the very slices of an earlier problem are not worked out
// again: nobody may have written to them.
func NewIn(m *Memory, p *Problem) (*Solver, error) { return newSolver(m, p) }

// grid is the grid of a calendar.
func (m *Memory) grid(c Calendar, horizon int32) *grid {
	if m == nil || len(c) == 0 {
		return newGrid(c, horizon)
	}
	for i := range m.drawn {
		if d := &m.drawn[i]; d.first == &c[0] && d.windows == len(c) && d.horizon == horizon {
			return d.grid
		}
	}
	g := newGrid(c, horizon)
	if len(m.drawn) < mostDrawn {
		m.drawn = append(m.drawn, drawn{&c[0], len(c), horizon, g})
	}
	return g
}
