package opsync

import "unicode/utf8"

// NextID names a thing that the next operation of dev brings: "2.14", the operation's own name. For
// several things append ".1", ".2". When the name is taken, because an operation was refused by the
// server and its number given again, the next free one is taken.
func (l *Log) NextID(dev Device) string {
	seq, _ := l.Head(dev)
	f := l.folded()
	for n := seq + 1; ; n++ {
		if id := (OpID{dev, n}).String(); !f.named[id] {
			return id
		}
	}
}

// Write makes an operation of dev, adds it and returns its bytes. wall is the device's clock in
// milliseconds since 1970 UTC. The error is a Refusal with a sentence; nothing was written then.
func (l *Log) Write(dev Device, wall int64, kind, label string, edits []Edit) (raw []byte, err error) {
	return l.WriteAbout(dev, wall, kind, label, OpID{}, edits)
}

// WriteAbout is Write for an act about another operation, as undo and again are.
func (l *Log) WriteAbout(dev Device, wall int64, kind, label string, about OpID, edits []Edit) (raw []byte, err error) {
	body, err := closeEdits(edits)
	if err != nil {
		return nil, err
	}
	if len(body) == 0 {
		return nil, ErrNothing
	}
	seq, hash := l.Head(dev)
	o := &Op{ID: OpID{dev, seq + 1}, Prev: hash, Kind: kind, Label: cut(label, MaxLabel), About: about,
		Stamp: l.last.after(wall), Wall: min(max(wall, MinWall), MaxWall), Seen: l.news(dev), body: body}
	o.Wall = min(o.Wall, o.Stamp.Wall)
	raw = o.encode()
	// Read back as from a stranger: what this phone writes, every other one will take.
	if _, err = l.Add(raw); err != nil {
		return nil, err
	}
	return raw, nil
}

// news lists, in the order of devices, what dev has not named as seen yet.
func (l *Log) news(dev Device) []OpID {
	var past []uint32
	if seq, _ := l.Head(dev); seq > 0 {
		past = l.Op(OpID{dev, seq}).past
	}
	var ids []OpID
	for i, c := range l.chains {
		n := uint32(len(c.ops))
		if c.device != dev && n > 0 && (i >= len(past) || past[i] < n) {
			ids = append(ids, OpID{c.device, n})
		}
	}
	sortByDevice(ids)
	return ids
}

// sortByDevice sorts a handful of IDs of different devices, by insertion.
func sortByDevice(ids []OpID) {
	for i := 1; i < len(ids); i++ {
		for j := i; j > 0 && ids[j].Device < ids[j-1].Device; j-- {
			ids[j], ids[j-1] = ids[j-1], ids[j]
		}
	}
}

// cut shortens s to max bytes at a whole character.
func cut(s string, max int) string {
	if len(s) <= max {
		return s
	}
	for max > 0 && !utf8.RuneStart(s[max]) {
		max--
	}
	return s[:max]
}
