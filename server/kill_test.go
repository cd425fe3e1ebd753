package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

func mustURL(s string) *url.URL {
	u, err := url.Parse(s)
	if err != nil {
		panic(err)
	}
	return u
}

// process is the real program, running.
type process struct {
	*exec.Cmd
	lines chan string
}

// launch starts the program and waits until it says that it listens.
func launch(t testing.TB, args ...string) (p *process, base string) {
	t.Helper()
	p = &process{Cmd: exec.Command(os.Args[0], args...), lines: make(chan string, 16)}
	p.Env = append(os.Environ(), "BATTERBOARD_RUN=1")
	out, err := p.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill(); p.Wait() })
	go func() {
		defer close(p.lines)
		for s := bufio.NewScanner(out); s.Scan(); {
			p.lines <- s.Text()
		}
	}()
	return p, p.line(t, "listening ")
}

// line waits for a line that starts like that and returns the rest.
func (p *process) line(t testing.TB, start string) string {
	t.Helper()
	for s := range p.lines {
		if rest, ok := strings.CutPrefix(s, start); ok {
			return rest
		}
	}
	t.Fatalf("the program ended without saying %q", start)
	return ""
}

// The server is killed with kill -9 while phones write, again and again. Whatever it acknowledged is
// there after the restart, and when all have sent what they still had, everybody has the same site.
// KILLS=200 go test -run TestKilled ./server kills it so often.
func TestKilledWhileWriting(t *testing.T) {
	const phones = 20
	rounds := 20
	if n, err := strconv.Atoi(os.Getenv("KILLS")); err == nil {
		rounds = n
	}
	seed := uint64(20270301)
	dice := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d, %d kills, %d phones", seed, rounds, phones)
	checked := 0

	w := &world{t: t, dir: t.TempDir(), clock: time.Now()}
	p, base := launch(t, "serve", "--addr", "127.0.0.1:0", "--data", w.dir)
	w.base = base
	link := p.line(t, "owner link ")
	anna := w.browser()
	site := anna.must("POST", "/api/pair", map[string]string{"code": link[strings.LastIndex(link, "/")+1:], "name": "Anna"})["site"].(string)
	cast := crowd{anna.phone(site)}
	for i := 1; i < phones; i++ {
		cast = append(cast, anna.invited(site, opsync.Second, fmt.Sprint("Phone ", i)).phone(site))
	}
	for round := range rounds {
		acked := cast.writeUntilKilled(p, int64(1+dice.IntN(120)))
		p, _ = launch(t, "serve", "--addr", strings.TrimPrefix(base, "http://"), "--data", w.dir)
		has := w.stored(site)
		for i, n := range acked {
			for k := uint32(1); k <= n; k++ {
				if !has[opsync.OpID{Device: cast[i].dev, Seq: k}] {
					t.Fatalf("seed %d, round %d: operation %d of phone %d was acknowledged and is gone (it had %d acknowledged, the server has %d of all)",
						seed, round, k, i, n, len(has))
				}
			}
			checked += int(n)
		}
		if round == rounds-1 {
			reader := anna.invited(site, opsync.Viewer, "Reader").phone(site).connect()
			for i, n := range acked {
				reader.until(fmt.Sprintf("seed %d: %d acknowledged operations of phone %d", seed, n, i),
					func() bool { return reader.in.Log.Seen()[cast[i].dev] >= n })
			}
			reader.cut()
		}
	}
	for _, c := range cast {
		c.connect().untilSent()
	}
	for _, c := range cast {
		c.until("all of it", func() bool { return cast.allIn(c) })
		if c.doc() != cast[0].doc() {
			t.Error("two documents")
		}
	}
	t.Logf("%d kills, 0 acknowledged operations lost in %d look-ups; %d operations in the end", rounds, checked, len(cast[0].raws))
	p.Process.Signal(os.Interrupt)
	if err := p.Wait(); err != nil {
		t.Errorf("after an interrupt: %v", err)
	}
	if aside, err := filepath.Glob(filepath.Join(w.dir, asidePart+"*")); err != nil || len(aside) != 0 {
		t.Errorf("a killed store was taken for a damaged one: %v %v", aside, err)
	}
}

// stored are the operations that the restarted server has, as it gives them out for a backup.
func (w *world) stored(site string) map[opsync.OpID]bool {
	w.t.Helper()
	var b bytes.Buffer
	if err := atStore(w.dir, ask{Do: "backup"}, &b); err != nil {
		w.t.Fatal(err)
	}
	has := map[opsync.OpID]bool{}
	_, err := readBackup(&b, func(_ backupHead, key, value []byte) error {
		if !bytes.HasPrefix(key, opPrefix(site)) {
			return nil
		}
		op, err := opsync.Decode(value)
		if err == nil {
			has[op.ID] = true
		}
		return err
	})
	if err != nil {
		w.t.Fatal(err)
	}
	return has
}

// crowd is several phones of one site.
type crowd []*phone

// allIn says whether c has all that anybody wrote.
func (all crowd) allIn(c *phone) bool {
	for _, o := range all {
		if c.in.Log.Seen()[o.dev] < o.in.Log.Seen()[o.dev] {
			return false
		}
	}
	return true
}

// writeUntilKilled lets all phones write at once until together they have had enough operations
// acknowledged; then the server is killed. It returns how many each had acknowledged.
func (all crowd) writeUntilKilled(p *process, enough int64) []uint32 {
	var acks atomic.Int64
	var once sync.Once
	var wait sync.WaitGroup
	for _, c := range all {
		c.connect()
	}
	for _, c := range all {
		wait.Go(func() {
			c.writeUntilCut(func(more uint32) {
				if acks.Add(int64(more)) >= enough {
					once.Do(func() { p.Process.Kill() })
				}
			})
		})
	}
	wait.Wait()
	p.Wait()
	acked := make([]uint32, len(all))
	for i, c := range all {
		c.in.Cut()
		c.ws.Close()
		c.ws = nil
		acked[i] = c.in.Acked()
	}
	return acked
}

// writeUntilCut writes with up to 16 operations on the way, until the connection breaks.
func (p *phone) writeUntilCut(acked func(more uint32)) {
	for {
		for p.in.Unsent() < 16 {
			n := p.in.Log.Seen()[p.dev] + 1
			raw, err := p.in.Log.Write(p.dev, p.wall+int64(n), opsync.KindEdit, "note", []opsync.Edit{{Thing: "note",
				ID: fmt.Sprintf("%d.%d", p.dev, n), Set: map[string]json.RawMessage{"said": json.RawMessage(fmt.Sprintf(`"line %d"`, n))}}})
			if err != nil {
				p.t.Error(err)
				return
			}
			p.raws = append(p.raws, raw)
		}
		before := p.in.Acked()
		if !p.send(p.in.Push()) || !p.listen() {
			return
		}
		acked(p.in.Acked() - before)
	}
}

// listen takes one message; false when the connection is gone.
func (p *phone) listen() bool {
	_, frame, err := p.ws.ReadMessage()
	if err != nil {
		return false
	}
	r, err := p.in.Receive(string(frame))
	if err != nil {
		p.t.Error(err)
		return false
	}
	p.raws = append(p.raws, r.Store...)
	return p.send(r.Frames)
}

// background lets the phone listen by itself until stop is called; only then it may be looked at.
func (p *phone) background() (stop func()) {
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for p.listen() {
		}
	}()
	return func() { p.ws.Close(); <-ended }
}

// send writes frames, and says whether the connection still stands.
func (p *phone) send(frames []string) bool {
	for _, f := range frames {
		if p.ws.WriteMessage(websocket.TextMessage, []byte(f)) != nil {
			return false
		}
	}
	return true
}
