package opsync

import "bytes"

// The server's own door. A crew without a phone here answers on a page, and the server writes that
// down under a number that no phone has, like any other operation: stored, then told to everybody.

// Admit takes one operation that the server wrote for somebody. It is checked like a phone's; the
// server stores it and then calls Stored, as for what Receive hands out.
func (h *Hub) Admit(raw []byte) (*Op, error) {
	o, err := Decode(raw)
	if err != nil {
		return nil, err
	}
	if h.op(o.ID) != nil {
		return nil, ErrFork
	}
	if len(h.order) >= MaxSiteOps || h.bytes+len(o.Raw) > MaxSiteBytes {
		return nil, refuse(WhyFull, "This site has reached what the server keeps for one site.")
	}
	seq, hash := h.head(o.ID.Device)
	if err := o.follows(seq, hash, h.stamp); err != nil {
		return nil, err
	}
	if err := o.checkShapes(); err != nil {
		return nil, err
	}
	h.chain(o.ID.Device).wrote = true
	h.accept(o, bytes.Clone(o.Raw), 0) // 0: no connection, so everybody is told
	return o, nil
}

// StoredSince returns the operations on disk from the n-th on, in the order they were stored. They
// are not to be changed.
func (h *Hub) StoredSince(n int) (raws [][]byte) {
	if n < h.stored {
		raws = make([][]byte, 0, h.stored-n)
	}
	for _, o := range h.order[min(n, h.stored):h.stored] {
		raws = append(raws, o.raw)
	}
	return raws
}
