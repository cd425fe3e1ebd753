package opsync

import "slices"

// Writers returns the operations that write things of a kind, in fold order.
func (l *Log) Writers(thing string) (ops []*Op) {
	for _, o := range l.order {
		if slices.ContainsFunc(o.body, func(e edit) bool { return e.thing == thing }) {
			ops = append(ops, o)
		}
	}
	return ops
}

// Saw says whether the author of o had seen p, an operation of the same log.
func (o *Op) Saw(p *Op) bool { return o.saw(p) }

// AsOf returns the log as the author of o had it with that operation written.
func (l *Log) AsOf(o *Op) *Log {
	was := NewLog()
	for _, k := range l.order {
		if k == o || o.saw(k) {
			_, _ = was.Add(k.Raw) // it was there, and what it had seen as well: it follows
		}
	}
	return was
}
