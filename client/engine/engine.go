// Package engine turns what somebody taps into operations and the site into what the screens show.
//
// Bytes in, bytes out: Serve takes a Request and answers with a Reply, both as JSON (request.go and
// view.go describe them field by field). The path of one tap is: intent -> edits -> one operation in
// the log (sync) -> the site folded -> the plan laid (schedule) -> the screen it was asked for. What
// must be kept and what must be sent goes back in the Reply; the worker keeps before it shows.
//
// The engine has no clock, store, socket or randomness: the same requests give the same replies on a
// phone, on a server and in a test. A refused intent writes nothing and says why in View.Refused.
//
// Not in here: planning (schedule), merging (sync), the look and the labels of buttons (client/ui).
package engine

import (
	"bytes"
	"encoding/json"

	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// lastNow leaves the planner's horizon within the years that dates are written in.
const lastNow = schedule.Minute(120_400_000) // in 2198

// MaxRequest bounds one request: everything a phone has of one site comes in one "open".
const MaxRequest = 64 << 20

// Engine is one phone's hold on one site. The zero value is not ready; use New.
type Engine struct {
	phone  *opsync.Phone
	siteID string
	device opsync.Device
	role   string
	lang   string // the phone's wish; empty follows the site
	names  map[string]string
	wire   bool

	doc    []byte         // the folded document, made once per change
	site   *schedule.Site // its decoded form
	sheet  *sheet         // site and plan at one moment
	asked  *asked         // the ways last asked for
	before []*asked       // these and the ones asked for before, newest last
	nth    int            // questions asked so far
	dice   *rolled        // the odds last asked for
	look   look           // what this phone last saw, for "what moved"

	parted    *parted                   // answers of several people that were given apart, once parting is set
	parting   bool                      // for the log as it is
	sitesAsOf map[string]*schedule.Site // sites as they were, by the hash of the last operation

	keep    []json.RawMessage // operations of this request, for Reply.Ops
	refused string
	said    string
	wanted  *wished         // the start somebody wishes for on the block screen
	goTo    *cantFor        // a "no" leads to the cant screen
	stay    string          // the screen to show instead of the one asked for
	added   string          // the thing that "add" made
	meta    []byte          // as last handed out
	offset  schedule.Minute // site minutes minus UTC minutes, from the last request
}

// New returns an engine that waits for "open".
func New() *Engine { return &Engine{names: map[string]string{}} }

// Serve is Do for bytes. It never panics on a stranger's bytes and always answers a Reply.
func (e *Engine) Serve(in []byte) []byte {
	var req Request
	if len(in) > MaxRequest {
		return encode(Reply{Failed: "request: larger than 64 MB"})
	}
	if err := json.Unmarshal(in, &req); err != nil {
		return encode(Reply{Failed: "request: " + err.Error()})
	}
	return encode(e.Do(req))
}

// encode never escapes: operations go out with the very bytes they are stored and hashed with.
func encode(r Reply) []byte {
	if r.View != nil {
		fillEmpty(r.View)
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(r); err != nil {
		return []byte(`{"failed":"reply: ` + words.Plain(err.Error()) + `"}`)
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

// Do answers one request.
func (e *Engine) Do(r Request) Reply {
	e.keep, e.refused, e.said, e.goTo, e.stay, e.added, e.wanted = nil, "", "", nil, "", "", nil
	if r.Wall != 0 && r.Now != 0 {
		e.offset = r.Now - schedule.Minute(r.Wall/60000)
	}
	if r.Now < 0 || r.Now > lastNow {
		return Reply{Failed: "now: outside the years 1970 to 2198; check the clock of this phone"}
	}
	if r.Do == "open" {
		return e.open(r)
	}
	if e.phone == nil {
		return Reply{Failed: `"` + clip(r.Do, 20) + `" before "open"`}
	}
	switch r.Do {
	case "connected":
		e.wire = true
		return e.reply(r, Reply{Frames: e.phone.Connected()})
	case "cut":
		e.wire = false
		e.phone.Cut()
		return e.reply(r, Reply{})
	case "frame":
		return e.frame(r)
	case "export":
		e.fold()
		return Reply{Document: json.RawMessage(e.doc)}
	case "files":
		return e.files()
	}
	act, ok := intents[r.Do]
	if !ok {
		return Reply{Failed: `no such request: "` + clip(r.Do, 20) + `"`}
	}
	e.refresh(r.Now)
	act(e, r)
	out := Reply{}
	if len(e.keep) > 0 {
		out.Ops, out.Frames = e.keep, e.phone.Push()
	}
	return e.reply(r, out)
}

// open takes everything this phone has of one site.
func (e *Engine) open(r Request) Reply {
	meta := splitMeta(r.Meta)
	ops := make([][]byte, len(r.Ops))
	for i, op := range r.Ops {
		ops[i] = op
	}
	if e.phone != nil && e.siteID == r.Site && r.Ops == nil { // only the language or the names change
		e.lang = or(r.Lang, e.lang)
	} else {
		phone, err := opsync.OpenPhone(r.Site, opsync.Device(r.Device), opsync.Role(r.Role), meta.Phone, ops)
		if err != nil {
			return Reply{Failed: "open: " + err.Error()}
		}
		*e = Engine{phone: phone, offset: e.offset, siteID: r.Site, device: opsync.Device(r.Device), role: r.Role, lang: r.Lang,
			names: map[string]string{}, look: meta.Look.open()}
	}
	for k, v := range r.Names {
		e.names[k] = v
	}
	e.forget()
	return e.reply(r, Reply{})
}

// frame takes one message from the server.
func (e *Engine) frame(r Request) Reply {
	got, err := e.phone.ReceiveAt(r.Frame, r.Wall)
	out := Reply{Frames: got.Frames, Changed: got.Changed, Names: got.Names, Want: got.Want}
	for _, op := range got.Store {
		out.Ops = append(out.Ops, op)
	}
	for k, v := range got.Names {
		e.names[k] = v
	}
	if got.Role != "" {
		e.role = string(got.Role)
	}
	if got.Changed {
		e.forget()
		if e.look.Base == nil { // the first this phone ever sees is what later moves are told against
			e.refresh(r.Now)
		}
	}
	if got.Say != "" {
		e.said = e.whyWords(got.Why, got.Say)
	}
	out = e.reply(r, out)
	if err != nil { // the good part of the message is in the log and must be kept all the same
		out.Failed = "frame: " + err.Error()
	}
	return out
}

// reply adds the screen that was asked for and what must be kept beside the operations.
func (e *Engine) reply(r Request, out Reply) Reply {
	if r.Screen != "" || len(e.keep) > 0 || e.refused != "" || e.said != "" {
		e.refresh(r.Now)
		out.View = e.view(r)
	}
	out.Meta = e.metaIfNew()
	return out
}

// forget drops what was made from the log, because the log is another.
func (e *Engine) forget() { e.doc, e.site, e.sheet, e.parted, e.parting = nil, nil, nil, nil, false }

// fold makes the site from the log, once per change.
func (e *Engine) fold() {
	if e.site != nil {
		return
	}
	e.doc = e.phone.Log.State().Document()
	e.site = readSite(e.doc)
	e.site.ID = e.siteID
}

// refresh makes the sheet for a moment, once per change and minute.
func (e *Engine) refresh(now schedule.Minute) {
	e.fold()
	w := words.In(or(e.lang, e.site.Lang))
	if e.sheet != nil && e.sheet.now == now && e.sheet.w == w {
		return
	}
	e.sheet = newSheet(e.site, schedule.Lay(e.site, now), now, w).read(w)
	e.sheet.apart = e.apart
	e.sheet.since, e.sheet.owner, e.sheet.readIn = e.wroteAt, e.role == "owner", map[string]*sheet{}
	e.look.first(e.sheet)
}

// write makes one operation of the edits; the site is another from here on.
func (e *Engine) write(r Request, kind string, label label, edits []opsync.Edit) bool {
	if len(edits) == 0 {
		return true
	}
	raw, err := e.phone.Log.Write(e.device, r.Wall, kind, label.text(), edits)
	return e.wrote(r, raw, err)
}

func (e *Engine) wrote(r Request, raw []byte, err error) bool {
	if err != nil {
		e.refuse("refused.log", "why", err.Error())
		return false
	}
	e.keep = append(e.keep, raw)
	e.forget()
	e.refresh(r.Now)
	return true
}

// refuse says why an intent was not done. Nothing has been written.
func (e *Engine) refuse(key string, gaps ...string) bool {
	e.refused = e.words().Say(key, gaps...)
	return false
}

func (e *Engine) say(key string, gaps ...string) { e.said = e.words().Say(key, gaps...) }

func (e *Engine) words() *words.Lang {
	if e.sheet != nil {
		return e.sheet.w
	}
	return words.In(e.lang)
}

// view draws the screen that was asked for.
func (e *Engine) view(r Request) *View {
	s := e.sheet
	v := &View{Head: e.head(s), Screen: or(r.Screen, "today"), Refused: e.refused, Said: e.said, Added: e.added}
	if e.goTo != nil {
		v.Screen = "cant"
	}
	if e.stay != "" {
		v.Screen = e.stay
	}
	switch v.Screen {
	case "cant":
		v.Cant = s.cantView()
		if e.goTo != nil {
			v.Cant.Crew, v.Cant.Picked = e.goTo.crew, []schedule.Day{e.goTo.day}
		} else {
			v.Cant.Crew = r.For
		}
	case "changed":
		v.Changed = s.changedView()
	case "ways":
		v.Ways = e.waysView()
	case "strings":
		v.Strings = s.stringsView()
	case "block":
		v.Block = e.blockView(s, r.For)
	case "holds":
		v.Holds = e.holdsView(s, r.For)
	case "texts":
		v.Texts = s.withPages(r.Pages).textsView(r.Day)
	case "words":
		v.Words = s.wordingsView(r.For, r.Draft)
	case "setup":
		v.Setup = e.setupView(s)
	case "thing":
		v.Thing = e.thingView(s, r.Kind, r.For)
	case "questions":
		v.Questions = e.questionsView(s, r)
		v.Refused = e.refused
	case "pace":
		v.Pace = e.paceView(s, r.For)
	case "log":
		v.Log = e.logView(s)
	case "people":
		v.People = s.peopleView()
	case "odds":
		v.Odds = e.oddsView(s)
	case "readings":
		v.Readings = e.readingsView(s)
	case "orders":
		v.Orders = e.ordersView(s, r.For)
	case "rules":
		v.Rules = e.rulesView(s, r)
	case "review":
		v.Review = s.reviewView()
	case "week":
		v.Week = s.weekView(r.Day)
	case "photos":
		v.Photos = s.photosView(r.For)
	default:
		v.Screen, v.Today = "today", e.todayView(s)
	}
	if v.Screen == "ways" && v.Ways == nil || v.Screen == "block" && v.Block == nil || v.Screen == "thing" && v.Thing == nil || v.Screen == "pace" && v.Pace == nil {
		if v.Refused == "" {
			v.Refused = s.w.Say("refused.gone")
		}
		v.Screen, v.Today = "today", e.todayView(s)
	}
	return v
}

func clip(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
