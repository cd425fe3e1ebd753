package main

import (
	"encoding/json"
	"errors"
	"log/slog"
	"sync"
	"time"
	_ "time/tzdata" // a site's zone must be known on a server that has no zone files

	"batterboard/client/engine"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// crewDesk is where crews' pages are drawn and their answers written down. It folds the site's log
// and lays its plan only to show it: what it lays is stored nowhere and sent to no phone.
type crewDesk struct {
	mu   sync.Mutex
	log  *opsync.Log
	have int // stored operations it has taken

	board *engine.CrewBoard // drawn from so many operations, at that minute
	drawn int
	at    schedule.Minute
	pages map[string]engine.CrewPage // of board
}

var errBusy = errors.New("the server is busy with this site: nothing was sent, try again in a moment")

// at opens a site for a request without a socket, and keeps it open for a while.
func (all *sites) at(id string) (*site, error) {
	all.mu.Lock()
	defer all.mu.Unlock()
	x, err := all.get(id)
	if err == nil {
		x.hubMu.Lock()
		x.since = all.now()
		x.hubMu.Unlock()
	}
	return x, err
}

// catchUp takes what was stored since the last time. desk.mu is held.
func (x *site) catchUp() {
	d := &x.desk
	if d.log == nil {
		d.log, d.have, d.board = opsync.NewLog(), 0, nil
	}
	x.hubMu.Lock()
	raws := x.hub.StoredSince(d.have)
	x.hubMu.Unlock()
	d.have += len(raws)
	for _, raw := range raws {
		if _, err := d.log.Add(raw); err != nil {
			slog.Error("crew pages: operation passed over", "site", x.id, "err", err)
		}
	}
}

// crewBoard is the site at this minute, laid once a minute and change.
func (x *site) crewBoard(clock func(zone string) schedule.Minute) *engine.CrewBoard {
	b, _ := x.boardAt(clock)
	return b
}

// boardAt is crewBoard, and says how many operations it was drawn from.
func (x *site) boardAt(clock func(zone string) schedule.Minute) (b *engine.CrewBoard, have int) {
	x.desk.mu.Lock()
	defer x.desk.mu.Unlock()
	return x.boardNow(clock)
}

// crewPage is one crew's page at this minute.
func (x *site) crewPage(crew string, clock func(zone string) schedule.Minute) (engine.CrewPage, bool) {
	x.desk.mu.Lock()
	defer x.desk.mu.Unlock()
	b, _ := x.boardNow(clock)
	if p, ok := x.desk.pages[crew]; ok {
		return p, true
	}
	p, ok := b.Page(crew)
	if ok {
		x.desk.pages[crew] = p
	}
	return p, ok
}

// boardNow is crewBoard with desk.mu held; have says how many operations it was drawn from.
func (x *site) boardNow(clock func(zone string) schedule.Minute) (b *engine.CrewBoard, have int) {
	d := &x.desk
	x.catchUp()
	state := d.log.State()
	var zone string
	if err := json.Unmarshal(state.Fields(opsync.Head, "")["zone"], &zone); err != nil {
		zone = ""
	}
	now := clock(zone)
	if d.board == nil || d.drawn != d.have || d.at != now {
		d.board, d.drawn, d.at = engine.NewCrewBoard(state.Document(), now), d.have, now
		d.pages = map[string]engine.CrewPage{}
	}
	return d.board, d.have
}

// siteNow is the wall clock of a site; the server's own where the site names no zone.
func (s *server) siteNow(zone string) schedule.Minute {
	if s.today != nil {
		return s.today()
	}
	return civil(s.now().In(zoneOf(zone)))
}

// zoneOf loads a zone by its IANA name.
func zoneOf(name string) *time.Location {
	if name != "" {
		if loc, err := time.LoadLocation(name); err == nil {
			return loc
		}
	}
	return time.Local
}

// reply is one answer of a crew on its way into the log.
type reply struct {
	engine.CrewAnswer
	crew string
	last uint32 // the crew's answers so far, as the page was drawn
}

// errAgain: this answer, or another one, came in since the page was drawn.
var errAgain = errors.New("an answer came in since this page was drawn")

// answers counts what a crew has answered so far.
func (x *site) answers(num uint32) uint32 {
	x.desk.mu.Lock()
	defer x.desk.mu.Unlock()
	x.catchUp()
	return x.answered(num)
}

// answered is answers with desk.mu held.
func (x *site) answered(num uint32) uint32 {
	if num == 0 {
		return 0
	}
	n, _ := x.desk.log.Head(opsync.Device(num))
	return n
}

// take writes a crew's answer down and waits until it is on the disk.
func (x *site) take(r reply, clock func(string) schedule.Minute, num uint32, wall int64) (engine.CrewNo, error) {
	return x.write(clock, num, wall, func(b *engine.CrewBoard, id string) (string, []opsync.Edit, engine.CrewNo, error) {
		if x.answered(num) != r.last {
			return "", nil, "", errAgain
		}
		label, edits, no := b.Answer(r.crew, r.CrewAnswer, id)
		return label, edits, no, nil
	})
}

// saying makes the edits of an operation of the server's own from the site as it is; id is free for a
// new thing. It runs with the desk locked.
type saying func(b *engine.CrewBoard, id string) (label string, edits []opsync.Edit, no engine.CrewNo, err error)

// write writes an operation of the server's own, under a number that no phone has, and waits until it
// is on the disk. Nothing to say is nothing written.
func (x *site) write(clock func(string) schedule.Minute, num uint32, wall int64, say saying) (engine.CrewNo, error) {
	x.desk.mu.Lock()
	defer x.desk.mu.Unlock()
	b, _ := x.boardNow(clock)
	d := &x.desk
	label, edits, no, err := say(b, d.log.NextID(opsync.Device(num)))
	if err != nil || no != "" || len(edits) == 0 {
		return no, err
	}
	raw, err := d.log.Write(opsync.Device(num), wall, opsync.KindEdit, label, edits)
	if err != nil {
		return "", err
	}
	if err := x.admit(raw); err != nil {
		d.log = nil // it has what the site has not
		return "", err
	}
	return "", nil
}

// admit hands an operation of the server's own to the hub and waits for the fsync.
func (x *site) admit(raw []byte) error {
	done := make(chan error, 1)
	x.hubMu.Lock()
	if x.dead {
		x.hubMu.Unlock()
		return errBusy
	}
	op, err := x.hub.Admit(raw)
	if err == nil {
		x.queue([]*opsync.Op{op}, func(err error) { done <- err })
	}
	x.hubMu.Unlock()
	if err != nil {
		return err
	}
	return <-done
}
