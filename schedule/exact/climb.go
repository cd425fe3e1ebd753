package exact

// climber is what a Breeder needs to climb: to change a schedule a little and keep the change unless it
// finishes later. Nodes in a stretch of time get other places in the list, the schedule is shifted to the
// right by that list, then to the left again. What comes after the stretch lies as it lay, and a list that
// cannot end as well is given up: so a try costs much less than two schedules.
// Source of the two shifts: Valls, Ballestín, Quintanilla, "Justification and RCPSP: a technique that pays",
// EJOR 165 (2005) 375-386.
type climber struct {
	from   []int32 // the schedule it stands on
	end    int32   // and its finish; 0 before the first
	moved  bool    // right and list are those of another
	right  []int32 // from shifted to the right, in mirrored time
	list   []int32 // the list that made right
	shaken []int32
}

func newClimber(n int32) climber {
	return climber{from: make([]int32, n), right: make([]int32, n), list: make([]int32, n), shaken: make([]int32, n)}
}

// Measured on published instances of 120 activities.
const (
	narrow      = 10 // the stretch, in percent of the schedule: from this
	broad       = 20 // to this much more
	shaken      = 30 // how many of its nodes, in percent, are moved in the list
	slack       = 2  // how much longer than the schedule, in percent, it may be in between
	mostClimbed = 3  // schedules that one try costs at most
)

// bredShare is how much of so many schedules, in percent, is bred before climbing begins.
func bredShare(schedules int64) int64 {
	if schedules <= 2000 {
		return 50
	}
	return 70
}

// climb makes one try.
func (b *Breeder) climb() {
	l := b.l
	if b.end == 0 || b.finish < b.end {
		copy(b.from, b.best)
		b.end, b.moved = b.finish, true
	}
	if b.moved {
		b.keys()
		l.list(b.list, 1)
		l.serial(b.list, b.right, 1)
		b.moved = false
	}
	b.keys()
	b.shake()
	l.list(l.order, 1)
	kept := 0
	for kept < len(l.order) && l.order[kept] == b.list[kept] {
		kept++
	}
	if kept == len(l.order) {
		l.laid++ // a try that changes nothing must still come to an end
		return
	}
	copy(l.mirror, b.right)
	back := l.within(l.order, l.mirror, 1, kept, b.end+b.end*slack/100)
	if back == never {
		return
	}
	for i := range l.n {
		l.key[i] = back - l.mirror[i] - l.dur[i]
	}
	l.byKey(1)
	if end := l.within(l.order, b.shaken, 0, 0, b.end); end <= b.end {
		b.from, b.shaken = b.shaken, b.from
		b.end, b.moved = end, true
		b.note(&beast{b.from, end}, 0)
	}
}

// keyScale leaves room for keys between two times.
const keyScale = 8

// keys sorts nodes by their finish, the last first.
func (b *Breeder) keys() {
	for i := range b.l.n {
		b.l.key[i] = -(b.from[i] + b.l.dur[i]) * keyScale
	}
}

// shake moves some nodes of a stretch of time in the list.
func (b *Breeder) shake() {
	l := b.l
	long := b.end*narrow/100 + l.random(b.end*broad/100+1)
	begin := l.random(b.end-long/2+1) - long/4
	for i := range l.n {
		if t := b.from[i] + l.dur[i]/2; t >= begin && t < begin+long && l.random(100) < shaken {
			l.key[i] += keyScale * (l.random(long+1) - long/2)
		}
	}
}
