package opsync

import "testing"

// desk is a hub, its disk and the phones on its wires, without any trouble; see sim for that.
type desk struct {
	t      *testing.T
	hub    *Hub
	phones map[Conn]*Phone
	disk   [][]byte
	said   []string // every frame, "phone > …" and "phone < …"
	wall   int64
}

func newDesk(t *testing.T, start HubStart) *desk {
	return &desk{t: t, hub: NewHub(start), phones: map[Conn]*Phone{}, wall: t0}
}

func (d *desk) join(c Conn, p *Phone, role Role) {
	d.hub.Join(c, p.Dev, role)
	d.phones[c] = p
	d.up(c, p.Connected())
}

func (d *desk) up(c Conn, frames []string) {
	d.t.Helper()
	for _, f := range frames {
		d.said = append(d.said, "phone "+count(int(c))+" > "+f)
		w := d.hub.Receive(c, []byte(f), d.wall)
		d.down(w.Now)
		for _, o := range w.Store {
			d.disk = append(d.disk, o.Raw)
		}
		d.down(d.hub.Stored(len(w.Store)))
		if w.Epoch {
			d.down(d.hub.NewEpoch("e-next", d.wall))
		}
	}
}

func (d *desk) down(sends []Send) {
	d.t.Helper()
	for _, s := range sends {
		for _, c := range s.To {
			d.said = append(d.said, "phone "+count(int(c))+" < "+string(s.Frame))
			if p := d.phones[c]; p != nil {
				r, err := p.Receive(string(s.Frame))
				if err != nil {
					d.t.Errorf("phone %d: %v", c, err)
				}
				d.up(c, r.Frames)
			}
		}
	}
}

func (d *desk) write(c Conn, edits ...Edit) OpID {
	d.t.Helper()
	p := d.phones[c]
	d.wall += 1000
	raw, err := p.Log.Write(p.Dev, d.wall, KindEdit, "", edits)
	if err != nil {
		d.t.Fatal(err)
	}
	d.up(c, p.Push())
	o, _ := Decode(raw)
	return o.ID
}

// join lets one phone meet a hub that stores at once.
func join(h *Hub, c Conn, p *Phone, role Role) {
	d := &desk{t: &testing.T{}, hub: h, phones: map[Conn]*Phone{}, wall: t0}
	d.join(c, p, role)
}

func open(t *testing.T, dev Device, role Role, ops ...[]byte) *Phone {
	t.Helper()
	p, err := OpenPhone("laundry", dev, role, nil, ops)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
