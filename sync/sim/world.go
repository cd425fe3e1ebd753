// Package sim is a world in a box: phones, one server and the wires between them, driven by one seed
// on one goroutine with its own clock. Wires are cut, in one direction or both, messages get lost,
// doubled, halved, late and out of order, phones and server stop between any two steps, disks are full,
// lie about what is flushed, lose the end of a write or a bit, clocks jump by years, backups are restored,
// phones are copied, emptied, taken off and paired anew, tabs take over from each other, and now and then
// somebody has a later program.
//
// A World does nothing that a real phone or server could not see. Two things are asked of it. While it
// runs (Run, look): what an ack speaks of is on the disk, what a phone shows is in its store, a tab whose
// turn is over writes nothing. When all is calm again, for everybody (Settle) or for some who never hear
// of the others any more (SettleSome), it comes to rest (Check): everybody has the same bytes, nothing
// is unsent, nothing that was acknowledged or saved is lost, no act is done twice.
package sim

import (
	"container/heap"
	"fmt"
	"math/rand/v2"

	"batterboard/sync"
)

// Fault names a kind of trouble. A World counts how often each one really happened.
type Fault string

const (
	Cut           Fault = "cut"           // the wire, both ways; phone and server notice later
	OneWay        Fault = "one way"       // the wire goes on in one direction only
	Drop          Fault = "drop"          // one message
	Double        Fault = "double"        // one message comes twice
	Half          Fault = "half"          // one message comes cut off
	Late          Fault = "late"          // one message, and all behind it, wait for up to three days
	CrashWrite    Fault = "crash write"   // a phone stops after writing, before its store has it
	CrashStored   Fault = "crash stored"  // a phone stops after storing, before sending
	CrashTake     Fault = "crash take"    // a phone stops after taking, before its store has it
	ServerFlush   Fault = "server flush"  // the server stops with operations not flushed
	ServerAck     Fault = "server ack"    // the server stops after flushing, before acks and fan-out
	Full          Fault = "full"          // the server's disk takes nothing for a while
	Backup        Fault = "backup"        // the server is restored from an older copy, with a new epoch
	Backwards     Fault = "backwards"     // the same, unnoticed: the epoch is the old one
	Clock         Fault = "clock"         // a phone's clock jumps by up to years
	Copied        Fault = "copied"        // a phone is copied to another, both go on with one number
	Rot           Fault = "rot"           // one bit of a phone's store flips
	Evicted       Fault = "evicted"       // a phone's store is emptied by its browser
	Demoted       Fault = "demoted"       // a second hand becomes a viewer, with changes not handed in
	PairedAnew    Fault = "paired anew"   // a phone gets a new device number, with changes not handed in
	ViewerWrites  Fault = "viewer writes" // a viewer's app writes all the same
	ServerRestart Fault = "server restart"
	ServerWrite   Fault = "server write"  // the server stops with operations accepted, before the disk heard of them
	ServerTell    Fault = "server tell"   // the server stops after the acks, before the fan-out
	Torn          Fault = "torn"          // the server stops within a write: the beginning of a batch is on the disk
	LostFlush     Fault = "lost flush"    // the disk said it had flushed and had not: the last operations are gone after a stop
	LogRot        Fault = "log rot"       // one bit of the server's store flips: the checksum finds it, the operation is gone
	Reorder       Fault = "reorder"       // one message overtakes those before it
	TwoTabs       Fault = "two tabs"      // another tab of a phone takes over; the first one does not know yet and goes on
	NotAnswered   Fault = "not answered"  // a tab is closed after it saved an act, before it answered: the act is asked again
	NoRoom        Fault = "no room"       // a phone's store takes nothing this time
	Revoked       Fault = "revoked"       // a phone is taken off the site, with changes not handed in
	Newer         Fault = "newer program" // somebody's later program writes what this one cannot fold
	CrashPicture  Fault = "crash picture" // a phone stops after it kept a picture, before anything speaks of it
	PictureLost   Fault = "picture lost"  // the server's disk loses or spoils a picture
	Unsent        Fault = "unsent"        // a phone comes back with thousands of changes
	Forged        Fault = "forged"        // somebody's changed program makes up an operation of another device
	KeyLost       Fault = "key lost"      // the backup is older than the server's key, which is another one from here on
)

// Faults says how often, in ten thousand steps, each kind is tried.
type Faults map[Fault]int

// World is one run.
type World struct {
	Seed   uint64
	Fired  map[Fault]int
	Phones []*Phone
	Server *Server
	// Known are the labels of all operations that a phone was told are stored. Each act has a label of
	// its own, which it keeps when a phone has to write it anew.
	Known map[string]opsync.OpID
	// Kept are the labels of all acts that a phone has in its store and showed as saved, and that phone.
	// Taking back and taking again are not among them: they become needless when what they are about is refused.
	Kept  map[string]*Phone
	Trace func(format string, args ...any) // nil: quiet

	rng    *rand.Rand
	faults Faults
	now    int64 // milliseconds
	queue  queue
	count  int
	labels int
	conns  opsync.Conn
	next   opsync.Device
	calm   bool // no more faults
	broken error
	taken  int
	Spoken int // operations the server took from another device than their own
	sent   int // messages on all wires
}

// begin is the first moment of every world: a Monday of April 2027.
const begin = 1806991200000

// New makes a world of n phones; the last one is a viewer when there are more than two.
func New(seed uint64, n int, faults Faults) *World {
	w := &World{Seed: seed, Fired: map[Fault]int{}, Known: map[string]opsync.OpID{}, Kept: map[string]*Phone{}, faults: faults,
		rng: rand.New(rand.NewPCG(seed, 2027)), now: begin}
	w.Server = &Server{world: w, epoch: "e0", roles: map[opsync.Device]opsync.Role{},
		pics: pictures{map[string]bool{}, map[string]int{}}}
	w.Server.start()
	for i := range n {
		role := opsync.Second
		if i == 0 {
			role = opsync.Owner
		} else if n > 2 && i == n-1 {
			role = opsync.Viewer
		}
		w.pair(&Phone{world: w, name: fmt.Sprintf("p%d", i), ops: newShelf()}, role)
	}
	return w
}

// pair gives a phone a device number, as the server would.
func (w *World) pair(p *Phone, role opsync.Role) {
	w.next++
	p.ops.turn++
	p.turn = p.ops.turn
	p.dev, p.role = w.next, role
	w.Server.roles[p.dev] = role
	if !contains(w.Phones, p) {
		w.Phones = append(w.Phones, p)
	}
	p.start()
}

func contains(list []*Phone, p *Phone) bool {
	for _, q := range list {
		if p == q {
			return true
		}
	}
	return false
}

// Run lets everybody work for a number of steps.
func (w *World) Run(steps int) {
	for range steps {
		w.step()
	}
}

func (w *World) step() {
	p := w.Phones[w.rng.IntN(len(w.Phones))]
	w.trouble(p)
	if w.rng.IntN(18) == 0 { // nights and weekends: four hundred steps are about a month
		w.pass(w.rng.Int64N(60 * 3_600_000))
	}
	if w.rng.IntN(50) == 0 {
		w.look(p)
	}
	switch w.rng.IntN(10) {
	case 0, 1, 2:
		p.act()
	case 3:
		p.connect()
	default:
		w.pass(int64(w.rng.IntN(3000)))
	}
}

// Settle ends all faults, lets everybody connect anew, and waits until nothing is on its way.
func (w *World) Settle() {
	w.settle(func(*Phone) bool { return true })
}

// SettleSome is Settle for some phones; the others are never heard of again. What is left of the world
// must come to rest all the same.
func (w *World) SettleSome() {
	for _, p := range w.Phones {
		if p.gone = w.rng.IntN(3) == 0; p.gone {
			p.crash()
		}
	}
	w.settle(func(p *Phone) bool { return !p.gone })
}

func (w *World) settle(in func(*Phone) bool) {
	w.calm = true
	w.Server.full = false
	for range 6 { // a refused chain is written anew and handed in again: a few rounds at most
		for _, p := range w.Phones {
			if !in(p) {
				continue
			}
			if p.app == nil {
				p.start()
			}
			p.cut()
			p.connect()
			w.drain()
		}
		if w.faults[CrashPicture] > 0 {
			w.Server.tend()
			w.drain()
		}
	}
}

func (w *World) drain() {
	for w.queue.Len() > 0 {
		w.pass(60_000)
	}
}

// Days says how much time has passed in the world.
func (w *World) Days() int64 { return (w.now - begin) / 86_400_000 }

// hit says whether a fault strikes now, and counts it.
func (w *World) hit(f Fault) bool {
	if w.calm || w.rng.IntN(10_000) >= w.faults[f] {
		return false
	}
	w.Fired[f]++
	w.log("%s!", f)
	return true
}

func (w *World) label() string {
	w.labels++
	return fmt.Sprintf("act %d", w.labels)
}

func (w *World) log(format string, args ...any) {
	if w.Trace != nil {
		w.Trace("%9d "+format, append([]any{w.now - begin}, args...)...)
	}
}

// event is something that happens at a time of its own.
type event struct {
	at    int64
	order int
	do    func()
}

type queue []event

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].at < q[j].at || q[i].at == q[j].at && q[i].order < q[j].order
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(event)) }
func (q *queue) Pop() any     { e := (*q)[len(*q)-1]; *q = (*q)[:len(*q)-1]; return e }

func (w *World) after(ms int64, do func()) {
	w.count++
	heap.Push(&w.queue, event{w.now + ms, w.count, do})
}

// pass lets time go by.
func (w *World) pass(ms int64) {
	until := w.now + ms
	for w.queue.Len() > 0 && w.queue[0].at <= until {
		e := heap.Pop(&w.queue).(event)
		w.now = e.at
		e.do()
	}
	w.now = until
}
