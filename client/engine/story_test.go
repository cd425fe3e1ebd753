package engine

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// The stories of testdata/stories, told to real engines over a cuttable wire to a real hub. The form
// of a line is described in testdata/stories/README.md.
func TestStories(t *testing.T) {
	files, err := filepath.Glob("../../testdata/stories/*.txt")
	if err != nil || len(files) < 8 {
		t.Fatalf("stories: %d files, %v", len(files), err)
	}
	for _, f := range files {
		t.Run(strings.TrimSuffix(filepath.Base(f), ".txt"), func(t *testing.T) { tell(t, f) })
	}
}

// A world is one site, its hub, and the phones of a story.
type world struct {
	t      *testing.T
	at     string // file:line, for messages
	now    schedule.Minute
	hub    *opsync.Hub
	stored int
	phones []*storyPhone
	vars   map[string]string
}

type storyPhone struct {
	name string
	lang string
	dev  opsync.Device
	role opsync.Role
	e    *Engine
	on   bool
	kept []json.RawMessage // what the phone's store holds
	meta json.RawMessage
	view *View
	raw  string
}

func tell(t *testing.T, file string) {
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	w := &world{t: t, vars: map[string]string{}}
	for i, line := range strings.Split(string(text), "\n") {
		w.at = filepath.Base(file) + ":" + strconv.Itoa(i+1)
		words := split(line)
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		for k, x := range words {
			if v, ok := w.vars[strings.TrimPrefix(x, "$")]; ok && strings.HasPrefix(x, "$") {
				words[k] = v
			}
		}
		w.line(words)
	}
	keepsTheSchema(t, w)
}

// split cuts a line into words; "two words" is one, without its quotes; # begins a comment.
func split(line string) (out []string) {
	for {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			return out
		}
		if line[0] == '"' {
			end := strings.Index(line[1:], `"`)
			if end < 0 {
				return append(out, line[1:])
			}
			out, line = append(out, line[1:end+1]), line[end+2:]
			continue
		}
		end := strings.IndexAny(line, " \t")
		if end < 0 {
			return append(out, line)
		}
		// key="some words" stays one word
		if q := strings.Index(line[:end], `="`); q > 0 {
			if close := strings.Index(line[q+2:], `"`); close >= 0 {
				out, line = append(out, line[:q+1]+line[q+2:q+2+close]), line[q+3+close:]
				continue
			}
		}
		out, line = append(out, line[:end]), line[end:]
	}
}

func (w *world) fail(format string, args ...any) {
	w.t.Helper()
	w.t.Fatalf(w.at+": "+format, args...)
}

func (w *world) line(x []string) {
	switch x[0] {
	case "site":
		w.site(x[1])
	case "now":
		w.now = at(x[1] + "T" + x[2])
	case "phone":
		w.phone(x[1], x[2], x[3])
	case "same":
		w.same()
	default:
		for _, p := range w.phones {
			if p.name == x[0] {
				w.act(p, x[1:])
				return
			}
		}
		w.fail("who is %q?", x[0])
	}
}

// site begins the story: "demo" is the Old Laundry, "empty" has only a name.
func (w *world) site(kind string) {
	w.hub = opsync.NewHub(opsync.HubStart{Site: "story", Epoch: "first"})
	doc := []byte(`{"format":1,"name":"New room"}`)
	if kind == "demo" {
		doc = demo.Document()
	}
	for _, op := range opsOf(w.t, doc, 1, w.now) {
		if err := w.hub.Load(op); err != nil {
			w.fail("load: %v", err)
		}
		w.stored++
	}
}

func (w *world) phone(name, role, lang string) {
	p := &storyPhone{name: name, lang: lang, role: opsync.Role(role), dev: opsync.Device(len(w.phones) + 2)}
	w.phones = append(w.phones, p)
	w.open(p)
	w.join(p)
}

func (w *world) open(p *storyPhone) {
	p.e = New()
	w.ask(p, Request{Do: "open", Site: "story", Device: uint32(p.dev), Role: string(p.role), Lang: p.lang, Ops: p.kept, Meta: p.meta, Screen: "today"})
}

// ask is one request, its reply kept as a phone keeps it, its frames sent when there is a wire.
func (w *world) ask(p *storyPhone, r Request) {
	w.t.Helper()
	r.Now, r.Wall = w.now, wall(w.now)
	var out Reply
	if err := json.Unmarshal(p.e.Serve(plainJSON(r)), &out); err != nil {
		w.fail("reply: %v", err)
	}
	if out.Failed != "" {
		w.fail("%s failed: %s", r.Do, out.Failed)
	}
	p.kept = append(p.kept, out.Ops...)
	if out.Meta != nil {
		p.meta = out.Meta
	}
	if out.View != nil {
		p.view = out.View
		p.raw = string(encode(Reply{View: out.View}))
	}
	w.send(p, out.Frames)
}

func (w *world) send(p *storyPhone, frames []string) {
	if !p.on {
		return
	}
	for _, f := range frames {
		work := w.hub.Receive(opsync.Conn(p.dev), []byte(f), wall(w.now))
		if work.Close != "" {
			w.fail("the server closes %s: %s", p.name, work.Close)
		}
		w.deliver(work.Now)
		if n := len(work.Store); n > 0 {
			w.stored += n
			w.deliver(w.hub.Stored(n))
		}
	}
}

func (w *world) deliver(sends []opsync.Send) {
	for _, s := range sends {
		for _, to := range s.To {
			for _, p := range w.phones {
				if opsync.Conn(p.dev) == to && p.on {
					w.ask(p, Request{Do: "frame", Frame: string(s.Frame)})
				}
			}
		}
	}
}

func (w *world) join(p *storyPhone) {
	p.on = true
	w.hub.Join(opsync.Conn(p.dev), p.dev, p.role)
	w.ask(p, Request{Do: "connected"})
}

func (w *world) cut(p *storyPhone) {
	p.on = false
	w.hub.Leave(opsync.Conn(p.dev))
	w.ask(p, Request{Do: "cut"})
}

// same says that every phone holds the same bytes of the site, and that they plan it the same.
func (w *world) same() {
	var first, plan string
	for _, p := range w.phones {
		out := p.e.Do(Request{Do: "export", Now: w.now, Wall: wall(w.now)})
		p.e.refresh(w.now)
		laid, _ := json.Marshal(p.e.sheet.plan)
		if first == "" {
			first, plan = string(out.Document), string(laid)
		}
		if string(out.Document) != first {
			w.fail("%s holds another site than %s", p.name, w.phones[0].name)
		}
		if string(laid) != plan {
			w.fail("%s plans the same site differently from %s", p.name, w.phones[0].name)
		}
	}
}
