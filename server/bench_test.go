package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// The server of these benchmarks is the real program in a process of its own; the phones here do the
// handshake and then only count what arrives.

// launched starts the program and pairs an owner.
func launched(b *testing.B) (p *process, anna *browser, site string) {
	b.Helper()
	w := &world{t: b, dir: b.TempDir(), clock: time.Now()}
	p, w.base = launch(b, "serve", "--addr", "127.0.0.1:0", "--data", w.dir)
	link := p.line(b, "owner link ")
	anna = w.browser()
	site = anna.must("POST", "/api/pair", map[string]string{"code": link[strings.LastIndex(link, "/")+1:]})["site"].(string)
	return p, anna, site
}

// memory is the resident memory of the process in bytes.
func (p *process) memory(b *testing.B) int64 {
	b.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.Process.Pid))
	if err != nil {
		b.Skip("no /proc on this system")
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			var kb int64
			fmt.Sscan(rest, &kb)
			return kb << 10
		}
	}
	b.Fatal("no VmRSS")
	return 0
}

// Goal: the first answer within 50 ms, at most 30 MB at rest.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	var rest int64
	for b.Loop() {
		p, base := launch(b, "serve", "--addr", "127.0.0.1:0", "--data", dir)
		(&world{t: b, base: base}).browser().must("GET", "/health", nil)
		rest = p.memory(b)
		b.StopTimer()
		p.Process.Signal(os.Interrupt)
		p.Wait()
		b.StartTimer()
	}
	b.ReportMetric(float64(rest)/(1<<20), "MB-at-rest")
}

// Goal: at most 18 kB of server memory for an idle socket.
func BenchmarkIdleSocket(b *testing.B) {
	const perSite, sites = 20, 50
	for b.Loop() {
		p, anna, _ := launched(b)
		before := p.memory(b)
		host := anna
		for range sites {
			spare := host.must("GET", "/api/me", nil)["spares"].([]any)[0].(string)
			for range perSite {
				host.phone(spare).connect().hear()
			}
			host = host.invited(spare, opsync.Owner, "o") // one device may not ask so much at once
		}
		b.ReportMetric(float64(p.memory(b)-before)/(perSite*sites)/1000, "kB/socket")
		p.Process.Kill()
	}
}

// reader counts the operations that arrive, and notes how late the last one of each frame is. It leaves no garbage
// behind: a collection over here would be taken for the server's delay.
type reader struct {
	ws   *websocket.Conn
	seen atomic.Int64
	late []time.Duration
	in   bytes.Buffer
}

func (r *reader) read(sent *sync.Map) {
	for {
		_, frame, err := r.ws.NextReader()
		if err != nil {
			return
		}
		r.in.Reset()
		if _, err := r.in.ReadFrom(frame); err != nil {
			return
		}
		n := bytes.Count(r.in.Bytes(), []byte(`{"d":1,`))
		if n == 0 {
			continue
		}
		if at, ok := sent.Load(r.seen.Load() + int64(n)); ok {
			r.late = append(r.late, time.Since(at.(time.Time)))
		}
		r.seen.Add(int64(n))
	}
}

func relay(b *testing.B, readers, ops, window int, every time.Duration) {
	for b.Loop() {
		p, anna, site := launched(b)
		writer := anna.phone(site).connect()
		writer.hear()
		var sent sync.Map
		var all []*reader
		host := anna
		for i := range readers {
			if i%40 == 39 {
				host = host.invited(site, opsync.Owner, "o") // one device may not invite so many at once
			}
			r := &reader{ws: host.invited(site, opsync.Viewer, "r").phone(site).connect().ws}
			all = append(all, r)
			go r.read(&sent)
		}
		arrived := func() (least int64) {
			least = int64(ops)
			for _, r := range all {
				least = min(least, r.seen.Load())
			}
			return least
		}
		start := time.Now()
		go func() { // acks
			for {
				if _, _, err := writer.ws.ReadMessage(); err != nil {
					return
				}
			}
		}()
		frames := writer.written(ops)
		start = time.Now()
		for i := 1; i <= ops; i++ {
			for int64(i)-arrived() > int64(window) {
				time.Sleep(50 * time.Microsecond)
			}
			sent.Store(int64(i), time.Now())
			writer.say(frames[i-1])
			time.Sleep(time.Until(start.Add(time.Duration(i) * every)))
		}
		for arrived() < int64(ops) {
			time.Sleep(50 * time.Microsecond)
		}
		took := time.Since(start)
		var late []time.Duration
		for _, r := range all {
			r.ws.Close()
			late = append(late, r.late...)
		}
		slices.Sort(late)
		b.ReportMetric(float64(ops)/took.Seconds(), "ops/s")
		b.ReportMetric(float64(late[len(late)/2].Microseconds())/1000, "p50-ms")
		b.ReportMetric(float64(late[len(late)*90/100].Microseconds())/1000, "p90-ms")
		b.ReportMetric(float64(late[len(late)*99/100].Microseconds())/1000, "p99-ms")
		p.Process.Kill()
	}
}

// written makes n operations ahead, and the frames that hand them in one by one.
func (p *phone) written(n int) (frames [][]string) {
	p.t.Helper()
	text := json.RawMessage(`"` + strings.Repeat("x", 200) + `"`)
	for i := range n {
		if _, err := p.in.Log.Write(p.dev, p.wall, opsync.KindEdit, "", []opsync.Edit{{Thing: "note", ID: fmt.Sprint("n", i%500),
			Set: map[string]json.RawMessage{"said": text}}}); err != nil {
			p.t.Fatal(err)
		}
		frames = append(frames, p.in.Push())
	}
	return frames
}

// Goals: p99 at 50 operations a second 1.2 ms to 50 readers, 3.6 ms to 200; saturated 14,000 and 5,000
// operations a second.
func BenchmarkRate50(b *testing.B)       { relay(b, 50, 250, 1000, 20*time.Millisecond) }
func BenchmarkRate190(b *testing.B)      { relay(b, 190, 250, 1000, 20*time.Millisecond) }
func BenchmarkSaturated50(b *testing.B)  { relay(b, 50, 5000, 64, 0) }
func BenchmarkSaturated190(b *testing.B) { relay(b, 190, 3000, 64, 0) }

// Goal: a newcomer to 10,000 operations gets at most 0.21 MB, the last byte of it within 26 ms.
func BenchmarkCatchUp(b *testing.B) {
	_, anna, site := launched(b)
	writer := anna.phone(site).connect()
	for i := range 10_000 {
		raw, err := writer.in.Log.Write(1, writer.wall+int64(i), opsync.KindEdit, "", []opsync.Edit{{Thing: "note", ID: fmt.Sprint("n", i%5000),
			Set: map[string]json.RawMessage{"said": json.RawMessage(fmt.Sprintf(`"line %d of a diary that says what was done"`, i))}}})
		if err != nil {
			b.Fatal(err)
		}
		writer.raws = append(writer.raws, raw)
		if i%300 == 299 {
			writer.say(writer.in.Push())
			writer.untilSent()
		}
	}
	writer.say(writer.in.Push())
	writer.untilSent()
	var waited []time.Duration // for the server; the rest of the time is the phone's own work
	for b.Loop() {
		b.StopTimer()
		newcomer := anna.phone(site)
		bytes, began, taking := 0, time.Now(), time.Duration(0)
		b.StartTimer()
		newcomer.connect()
		for newcomer.in.Log.Seen()[1] < 10_000 {
			_, frame, err := newcomer.ws.ReadMessage()
			if err != nil {
				b.Fatal(err)
			}
			bytes += len(frame)
			at := time.Now()
			if _, err := newcomer.in.Receive(string(frame)); err != nil {
				b.Fatal(err)
			}
			taking += time.Since(at)
		}
		waited = append(waited, time.Since(began)-taking)
		b.ReportMetric(float64(bytes)/1e6, "MB-on-the-wire")
	}
	slices.Sort(waited)
	b.ReportMetric(float64(waited[len(waited)/2].Microseconds())/1000, "ms-until-the-last-byte")
}
