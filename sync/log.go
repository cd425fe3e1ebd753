package opsync

import (
	"slices"
	"strconv"
)

// Log is all operations a device has of one site, whole chains from their first operation, closed
// under cause: what an operation had seen is there too. Not safe for concurrent use.
type Log struct {
	chains  []chain        // in the order the devices turned up
	index   map[Device]int // device -> its place in chains
	order   []*Op          // fold order
	about   map[OpID][]*Op // operations about another one
	last    Stamp          // the latest of all
	words   map[string]string
	pending []*Op // added and not yet folded
	fold    *fold
	act     lastAct
}

// chain is one device's operations: ops[i] has number i+1.
type chain struct {
	device Device
	ops    []*Op
}

// NewLog returns an empty log.
func NewLog() *Log {
	return &Log{index: map[Device]int{}, about: map[OpID][]*Op{}, words: map[string]string{}, fold: newFold()}
}

// Add takes one operation of anybody. False without an error: it was there already. The error is
// ErrGap when an operation before it is missing, ErrFork when another one has its number, or a Refusal.
func (l *Log) Add(raw []byte) (added bool, err error) {
	o, err := decode(raw, l.words)
	if err != nil {
		return false, err
	}
	return l.add(o)
}

// AddAll takes operations in any order, as a phone's store hands them out. It goes on past those that
// cannot be added and returns the first error.
func (l *Log) AddAll(raws [][]byte) (added int, err error) {
	ops := make([]*Op, 0, len(raws))
	for _, raw := range raws {
		o, e := decode(raw, l.words)
		if e != nil {
			err = first(err, e)
			continue
		}
		ops = append(ops, o)
	}
	// The stamp of an operation is later than all its author had seen: fold order is an order of cause.
	slices.SortFunc(ops, (*Op).compare)
	for _, o := range ops {
		ok, e := l.add(o)
		if ok {
			added++
		}
		err = first(err, e)
	}
	return added, err
}

func first(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

func (l *Log) add(o *Op) (bool, error) {
	if have := l.Op(o.ID); have != nil {
		if have.Hash != o.Hash {
			return false, ErrFork
		}
		return false, nil
	}
	seq, hash := l.Head(o.ID.Device)
	if err := o.follows(seq, hash, l.stamp); err != nil {
		return false, err
	}
	l.insert(o)
	return true, nil
}

// follows checks chain, cause and stamp (SPEC C1-C3, T3) against what is there: the device's last
// operation, and the stamps of others.
func (o *Op) follows(seq uint32, hash string, stamp func(OpID) (Stamp, bool)) error {
	if o.ID.Seq != seq+1 {
		return ErrGap
	}
	if o.Prev != hash {
		return ErrFork
	}
	var last Stamp
	if seq > 0 {
		last, _ = stamp(OpID{o.ID.Device, seq})
	}
	for _, id := range o.Seen {
		t, ok := stamp(id)
		if !ok {
			return ErrGap
		}
		if t.Compare(last) > 0 {
			last = t
		}
	}
	if !o.Stamp.follows(last) {
		return refuse(WhyStamp, "the time of change "+o.ID.String()+" does not follow from what its author had seen")
	}
	return nil
}

func (l *Log) stamp(id OpID) (Stamp, bool) {
	if o := l.Op(id); o != nil {
		return o.Stamp, true
	}
	return Stamp{}, false
}

func (l *Log) insert(o *Op) {
	o.device = l.place(o.ID.Device)
	o.past = l.pastOf(o)
	c := &l.chains[o.device]
	c.ops = append(c.ops, o)
	if n := len(l.order); n == 0 || l.order[n-1].before(o) {
		l.order = append(l.order, o)
	} else {
		i, _ := slices.BinarySearchFunc(l.order, o, (*Op).compare)
		l.order = slices.Insert(l.order, i, o)
	}
	if o.About != (OpID{}) {
		l.about[o.About] = append(l.about[o.About], o)
	}
	if o.Stamp.Compare(l.last) > 0 {
		l.last = o.Stamp
	}
	l.pending = append(l.pending, o)
}

func (l *Log) place(d Device) int {
	i, ok := l.index[d]
	if !ok {
		i = len(l.chains)
		l.index[d] = i
		l.chains = append(l.chains, chain{device: d})
	}
	return i
}

// pastOf returns what the author of o had seen. An operation that saw nothing new shares the list of
// the one before it. Closing it under cause costs little and keeps "saw" transitive even where a
// stranger names less than they must have seen: the merge laws stand on that.
func (l *Log) pastOf(o *Op) []uint32 {
	var past []uint32
	if o.ID.Seq > 1 {
		past = l.Op(OpID{o.ID.Device, o.ID.Seq - 1}).past
	}
	if len(o.Seen) == 0 {
		return past
	}
	past = slices.Grow(slices.Clone(past), len(l.chains))
	for _, id := range o.Seen {
		p := l.Op(id)
		past = raise(past, p.device, id.Seq)
		for i, n := range p.past {
			if i != o.device {
				past = raise(past, i, n)
			}
		}
	}
	return past
}

func raise(past []uint32, i int, n uint32) []uint32 {
	for len(past) <= i {
		past = append(past, 0)
	}
	past[i] = max(past[i], n)
	return past
}

// Op returns one operation, nil when it is not there.
func (l *Log) Op(id OpID) *Op {
	i, ok := l.index[id.Device]
	if !ok || id.Seq == 0 || int(id.Seq) > len(l.chains[i].ops) {
		return nil
	}
	return l.chains[i].ops[id.Seq-1]
}

// Ops returns all operations in fold order: stamp, device, number. Do not change the list.
func (l *Log) Ops() []*Op { return l.order }

// Head returns the number and hash of a device's last operation; 0 and "" when there is none.
func (l *Log) Head(d Device) (seq uint32, hash string) {
	if i, ok := l.index[d]; ok {
		if ops := l.chains[i].ops; len(ops) > 0 {
			o := ops[len(ops)-1]
			return o.ID.Seq, o.Hash
		}
	}
	return 0, ""
}

// Seen says how much of each device's chain the log has.
func (l *Log) Seen() Vector {
	v := Vector{}
	for _, c := range l.chains {
		if len(c.ops) > 0 {
			v[c.device] = uint32(len(c.ops))
		}
	}
	return v
}

// Since returns the raw operations beyond v, cause before effect.
func (l *Log) Since(v Vector) [][]byte {
	var raws [][]byte
	for _, o := range l.order {
		if o.ID.Seq > v[o.ID.Device] {
			raws = append(raws, o.Raw)
		}
	}
	return raws
}

func count(n int) string { return strconv.Itoa(n) }
