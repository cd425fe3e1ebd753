package schedule

// The horizon: three years, of which one lies behind, for the facts. Work that finds no time until its
// end never will (ProblemNever): a conversion is over within one.
const (
	daysBack  = 366
	daysAhead = 2 * 366
)

// Calendar is the working time of one crew, of several together, of a place of inspection, or of the
// site, over a horizon. It numbers the open minutes: minute 0 is the first open one, and every
// question becomes one look-up in a running sum of days.
//
// Before the horizon begins and after it ends, nothing is open.
type Calendar struct {
	base Day        // first day of the horizon
	sets [][]Window // distinct days: 0-6 the weekdays, then exceptions
	kind []uint16   // day - base -> index into sets
	sum  []int32    // open minutes before each day; one more entry than days
	// away are the days taken out because a crew can't come, where it would have worked. Work pauses over
	// nights, weekends and shut days; it is not begun before such a day and finished after it. cuts are
	// the open minutes before each of them.
	away []Day
	cuts []int64
}

// Never is the moment after every horizon: where a line lies that finds no time.
const Never = Minute(1) << 40

// NewCalendar is the hours of a week, without any exceptions, from a year before the day about to two
// years after it.
func NewCalendar(hours Week, about Day) *Calendar {
	c := &Calendar{base: about - daysBack, kind: make([]uint16, daysBack+daysAhead)}
	for d := range hours {
		c.sets = append(c.sets, joined(hours[d]))
	}
	for i, d := 0, c.base.Weekday(); i < len(c.kind); i++ {
		c.kind[i] = uint16(d)
		if d++; d == 7 {
			d = 0
		}
	}
	c.total()
	return c
}

func (c *Calendar) total() {
	lengths := make([]int32, len(c.sets))
	for i, set := range c.sets {
		for _, w := range set {
			lengths[i] += w.To - w.From
		}
	}
	c.sum = make([]int32, len(c.kind)+1)
	for i, k := range c.kind {
		c.sum[i+1] = c.sum[i] + lengths[k]
	}
	c.cuts = nil
	for _, d := range c.away {
		if k := int64(c.sum[d-c.base]); len(c.cuts) == 0 || c.cuts[len(c.cuts)-1] != k {
			c.cuts = append(c.cuts, k)
		}
	}
}

// uncut is the first open minute from k on at which work can begin that is cut in two no more than so
// many times; cutBack the last one up to k.
func (c *Calendar) uncut(k, work int64, times int) int64 {
	for i, cut := range c.cuts {
		if k < cut && i+times < len(c.cuts) && c.cuts[i+times] < k+work {
			k = cut
		}
	}
	return k
}

func (c *Calendar) cutBack(k, work int64, times int) int64 {
	for i := len(c.cuts) - 1; i >= times; i-- {
		if cut := c.cuts[i]; cut < k+work && k < c.cuts[i-times] {
			k = cut - work
		}
	}
	return k
}

// cut tells whether work that begins at from, in open time, is cut in two.
func (c *Calendar) cut(from Minute, work int64) bool {
	k := c.count(from)
	return c.uncut(k, work, 0) != k
}

// set gives one day windows of its own.
func (c *Calendar) set(d Day, windows []Window) {
	if i := int(d - c.base); i >= 0 && i < len(c.kind) {
		c.kind[i] = uint16(len(c.sets))
		c.sets = append(c.sets, windows)
	}
}

// WindowsOf is the open windows of a day, in order.
func (c *Calendar) WindowsOf(d Day) []Window {
	if i := int(d - c.base); i >= 0 && i < len(c.kind) {
		return c.sets[c.kind[i]]
	}
	return nil
}

// IsWorkingDay tells whether the day has any open time.
func (c *Calendar) IsWorkingDay(d Day) bool { return len(c.WindowsOf(d)) > 0 }

// count is how many open minutes lie before m.
func (c *Calendar) count(m Minute) int64 {
	i := int64(m.Day()) - int64(c.base)
	switch {
	case i < 0:
		return 0
	case i >= int64(len(c.kind)):
		return int64(c.sum[len(c.kind)])
	}
	n, t := int64(c.sum[i]), m.OfDay()
	for _, w := range c.sets[c.kind[i]] {
		if t <= w.From {
			break
		}
		n += int64(min(t, w.To) - w.From)
	}
	return n
}

// minute is the open minute with number n: the only open m with count(m) == n. Never, when there is none.
func (c *Calendar) minute(n int64) Minute {
	days := len(c.kind)
	if n < 0 {
		n = 0
	}
	if n >= int64(c.sum[days]) {
		return Never
	}
	return c.inDay(c.dayOf(int32(n)), n)
}

// inDay is the open minute with number n, which lies in day i of the horizon.
func (c *Calendar) inDay(i int, n int64) Minute {
	n -= int64(c.sum[i])
	for _, w := range c.sets[c.kind[i]] {
		if long := int64(w.To - w.From); n < long {
			return (c.base + Day(i)).At(w.From + int32(n))
		} else {
			n -= long
		}
	}
	panic("schedule: a calendar's sums disagree with its windows; this cannot be")
}

// dayOf is the day in which open minute n lies: the last with at most n open minutes before it that has
// any itself.
func (c *Calendar) dayOf(n int32) int {
	lo, hi := 0, len(c.kind)
	for lo < hi {
		if mid := int(uint(lo+hi) >> 1); c.sum[mid+1] > n {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// minuteNear is minute, quicker where the minute lies not long after day d.
func (c *Calendar) minuteNear(n int64, d Day) Minute {
	lo := int(d - c.base)
	if lo < 0 || lo >= len(c.kind) || int64(c.sum[lo]) > n || n >= int64(c.sum[len(c.kind)]) {
		return c.minute(n)
	}
	for step := 0; ; step++ {
		if int64(c.sum[lo+1]) > n {
			return c.inDay(lo, n)
		}
		if lo++; step == 12 {
			return c.minute(n)
		}
	}
}

// after is the first moment with n open minutes before it. Never, when there is none.
func (c *Calendar) after(n int64) Minute {
	if n <= 0 {
		return c.base.Start()
	}
	if m := c.minute(n - 1); m != Never {
		return m + 1
	}
	return Never
}

// Open tells whether work goes on in the minute that begins at m.
func (c *Calendar) Open(m Minute) bool {
	t := m.OfDay()
	for _, w := range c.WindowsOf(m.Day()) {
		if w.From <= t && t < w.To {
			return true
		}
	}
	return false
}

// NextOpen is the first open moment at or after m; Never, when none comes.
func (c *Calendar) NextOpen(m Minute) Minute {
	if c.Open(m) {
		return m
	}
	return c.minute(c.count(m))
}

// NextWindow is the first start of a window at or after m, and when that window ends; Never, when none comes.
func (c *Calendar) NextWindow(m Minute) (start, end Minute) {
	first := max(int64(m.Day())-int64(c.base), 0)
	for i := first; i < int64(len(c.kind)); i++ {
		d := c.base + Day(i)
		for _, w := range c.sets[c.kind[i]] {
			if d.At(w.From) >= m {
				return d.At(w.From), d.At(w.To)
			}
		}
	}
	return Never, Never
}

// LastWindow is the last window that ends at or before end and starts at or before start; ok is false when none does.
func (c *Calendar) LastWindow(start, end Minute) (from, to Minute, ok bool) {
	last := min(int64(min(start, end).Day())-int64(c.base), int64(len(c.kind))-1)
	for i := last; i >= 0; i-- {
		d := c.base + Day(i)
		set := c.sets[c.kind[i]]
		for j := len(set) - 1; j >= 0; j-- {
			if d.At(set[j].From) <= start && d.At(set[j].To) <= end {
				return d.At(set[j].From), d.At(set[j].To), true
			}
		}
	}
	return 0, 0, false
}

// AddWork is when work minutes begun at or after from are done. For no work at all it is from.
func (c *Calendar) AddWork(from Minute, work int64) Minute {
	if work <= 0 || from >= Never {
		return from
	}
	return c.after(c.count(from) + work)
}

// SubWork is the latest open moment from which work minutes are done by the moment to.
// ok is false when that lies before the horizon.
func (c *Calendar) SubWork(to Minute, work int64) (m Minute, ok bool) {
	if work <= 0 {
		return to, true
	}
	n := c.count(to) - work
	if n < 0 {
		return 0, false
	}
	return c.minute(n), true
}

// WorkBetween is the open minutes from a to b; negative when b comes first.
func (c *Calendar) WorkBetween(a, b Minute) int64 { return c.count(b) - c.count(a) }

// AddDays is the nth working day after d; for n = 0 the first working day at or after d.
// It is 0 when the horizon ends before.
func (c *Calendar) AddDays(d Day, n int) Day {
	if n == 0 && c.IsWorkingDay(d) {
		return d
	}
	for end := c.base + Day(len(c.kind)); d < end; {
		d++
		if c.IsWorkingDay(d) {
			if n--; n <= 0 {
				return d
			}
		}
	}
	return 0
}

// SubDays is the nth working day before d; for n = 0 the last working day at or before d.
func (c *Calendar) SubDays(d Day, n int) Day {
	if n == 0 && c.IsWorkingDay(d) {
		return d
	}
	for d > c.base {
		d--
		if c.IsWorkingDay(d) {
			if n--; n <= 0 {
				return d
			}
		}
	}
	return 0
}

// WorkingDays lists the days from a to b, both included, with any open time.
func (c *Calendar) WorkingDays(a, b Day) []Day {
	var out []Day
	for d := max(a, c.base); d <= b && d < c.base+Day(len(c.kind)); d++ {
		if c.IsWorkingDay(d) {
			out = append(out, d)
		}
	}
	return out
}
