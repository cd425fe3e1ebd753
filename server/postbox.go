package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"time"

	"batterboard/client/engine"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// postbox sends the texts that an owner gave to the server. A phone asks for it with an operation, so
// asking works without signal, and reaches us once however often it is handed in. What was asked for
// is read from the site as it is when the text goes out: one that was taken back, or whose days have
// changed meanwhile, is not in it any more.
//
//	asked -> wait a moment -> trying -> sent  -> the log says so
//	                             |----> later: tried again, less and less often
//	                             '----> never: the log says why, and the owner sees it
//
// "trying" is on the disk before anything leaves, and "sent" before the log says so. After a pulled
// plug a mail that was being handed over is not tried again, for it may have arrived; the owner is told
// that nobody knows. A hook is tried again under the same key.
type postbox struct {
	s    *server
	wake chan struct{}

	mu  sync.Mutex // one round at a time
	ctx context.Context
	off context.CancelFunc
}

// postRecord is what is known of one text on its way, by site and key.
type postRecord struct {
	At     int64  `json:"at"`   // seconds since 1970: when it was first seen
	Next   int64  `json:"next"` // not before
	Tries  int    `json:"tries,omitempty"`
	Trying bool   `json:"trying,omitempty"`
	Done   string `json:"done,omitempty"` // "sent", or why not: the log has yet to hear of it
	Told   bool   `json:"told,omitempty"` // the log has
	Why    string `json:"why,omitempty"`  // of the last try
}

const (
	postGrace = 5 * time.Second  // what a phone hands in after a while offline comes in a burst: the last word of it counts
	postLate  = 10 * time.Minute // the same after a restore, for what was asked long ago: the log may say that it was sent
	postKeep  = 30 * 24 * time.Hour
	postDay   = 200 // texts of one site in a day
	postLook  = 30 * time.Second
	// postAuthor stands for the server itself where a crew's ID stands; an ID has no blank.
	postAuthor = " "
)

// postPauses is how long it waits after each try that failed. All in all it is tried for about a day.
var postPauses = []time.Duration{30 * time.Second, 2 * time.Minute, 10 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 4 * time.Hour, 6 * time.Hour, 8 * time.Hour}

func askedKey(site string) []byte     { return []byte("asked/" + site) }
func postKey(site, key string) []byte { return []byte("post/" + site + "/" + key) }

func newPostbox(s *server) *postbox {
	p := &postbox{s: s, wake: make(chan struct{}, 1)}
	p.ctx, p.off = context.WithCancel(context.Background())
	return p
}

// asksToSend says whether an operation may ask for a text to be sent. The mark that it leaves in the
// store is written with it, so that no request is forgotten.
func asksToSend(raw []byte) bool { return bytes.Contains(raw, []byte(`"queued"`)) }

// nudge has a round go soon.
func (p *postbox) nudge() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// run goes its rounds until close. Without senders there is nothing to do.
func (p *postbox) run() {
	if len(p.s.senders) == 0 {
		return
	}
	tick := time.NewTicker(postLook)
	defer tick.Stop()
	for {
		p.round()
		select {
		case <-p.wake:
			select { // let a burst come in
			case <-time.After(postGrace):
			case <-p.ctx.Done():
				return
			}
		case <-tick.C:
		case <-p.ctx.Done():
			return
		}
	}
}

// close lets a text that is just being sent end.
func (p *postbox) close() {
	p.off()
	p.mu.Lock()
	defer p.mu.Unlock()
}

// round goes once through all sites that asked for something.
func (p *postbox) round() {
	p.mu.Lock()
	defer p.mu.Unlock()
	var asked []string
	if err := p.s.store.each("asked/", func(site string, _ []byte) error { asked = append(asked, site); return nil }); err != nil {
		slog.Error("texts", "err", err)
		return
	}
	down := map[string]bool{}
	for _, site := range asked {
		if p.ctx.Err() != nil {
			return
		}
		if err := p.site(site, down); err != nil {
			slog.Error("texts of a site", "site", site, "err", err)
		}
	}
}

// site sends what one site asks for and is due. A way out that is down is not tried again in this round.
func (p *postbox) site(id string, down map[string]bool) error {
	x, err := p.s.sites.at(id)
	if err != nil {
		return err
	}
	b, seen := x.boardAt(p.s.siteNow)
	texts := b.Queued()
	today, open, err := p.records(id)
	if err != nil {
		return err
	}
	waits := 0
	for _, t := range texts {
		key := postName(id, t)
		r, known := open[key]
		if r.Told { // the log's word has not come round yet, or the same minute asked twice
			continue
		}
		if !known {
			r = postRecord{At: p.s.now().Unix(), Next: p.s.now().Add(p.grace(id, t, b.Now())).Unix()}
			if err := p.keep(id, key, r); err != nil {
				return err
			}
		}
		waits++
		due := p.s.now().Unix() >= r.Next
		if r.Done == "" && (!due || down[t.Via] || today >= postDay) {
			continue
		}
		if r.Done == "" {
			today++
		}
		if err := p.one(x, b, t, key, r, down); err != nil {
			return err
		}
	}
	if waits == 0 && !b.Asks() {
		return p.rest(x, seen)
	}
	return nil // some wait for their time, or for their days to hold again
}

// grace is how long a text waits before its first try.
func (p *postbox) grace(site string, t engine.OutText, now schedule.Minute) time.Duration {
	var e epochRecord
	if err := p.s.store.read(epochKey(site), &e); err == nil && e.Restored && now-t.Queued > schedule.Minute(postLate/time.Minute) {
		return postLate
	}
	return postGrace
}

// postName is a text's key: the same text asked for once has one, on every server and after every restore.
func postName(site string, t engine.OutText) string {
	sum := sha256.Sum256([]byte(site + "\n" + t.ID + "\n" + t.Queued.String()))
	return hex.EncodeToString(sum[:16])
}

// records reads what is known of a site's texts, counts those of the last day, and forgets old ones.
func (p *postbox) records(site string) (today int, open map[string]postRecord, err error) {
	open = map[string]postRecord{}
	var old []pair
	now := p.s.now()
	err = p.s.store.each("post/"+site+"/", func(key string, v []byte) error {
		var r postRecord
		if err := decode(v, &r); err != nil {
			return err
		}
		at := time.Unix(r.At, 0)
		if now.Sub(at) > postKeep {
			old = append(old, pair{key: postKey(site, key)})
			return nil
		}
		if now.Sub(at) < 24*time.Hour && r.Tries > 0 {
			today++
		}
		open[key] = r
		return nil
	})
	if err == nil && len(old) > 0 {
		err = p.s.store.write(old...)
	}
	return today, open, err
}

func (p *postbox) keep(site, key string, r postRecord) error {
	return p.s.store.write(record(postKey(site, key), r))
}

// one takes one text a step further.
func (p *postbox) one(x *site, b *engine.CrewBoard, t engine.OutText, key string, r postRecord, down map[string]bool) error {
	switch {
	case r.Done != "":
	case r.Trying && t.Via != byHook:
		r.Done = "unsure" // the plug was pulled while it was handed over
	case t.Day != 0 && t.Day < b.Now().Day():
		r.Done = "late"
	case p.s.senders[t.Via] == nil:
		r.Done = "unreachable"
	default:
		r.Trying, r.Tries = true, r.Tries+1
		if err := p.keep(x.id, key, r); err != nil {
			return err
		}
		r = p.try(x, b, t, key, r, down)
	}
	if err := p.keep(x.id, key, r); err != nil || r.Done == "" {
		return err
	}
	if err := p.tell(x, t, r.Done); err != nil {
		return err
	}
	if r.Done != "sent" { // asked for again, it may go again
		return p.s.store.write(pair{key: postKey(x.id, key)})
	}
	r.Told = true
	return p.keep(x.id, key, r)
}

// try hands one text over and says what became of it.
func (p *postbox) try(x *site, b *engine.CrewBoard, t engine.OutText, key string, r postRecord, down map[string]bool) postRecord {
	o := outText{Key: key, Site: b.Site(), Kind: t.Kind, Name: t.Name, Phone: t.Phone, Email: t.Email, Lang: t.Lang, Subject: t.Subject}
	o.Body, r.Trying = p.body(x.id, t), false
	// Not under the round's context: a server that stops lets the mail server have its last word.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	err := p.s.senders[t.Via].send(ctx, o)
	if err == nil {
		slog.Info("a text was sent", "site", x.id, "via", t.Via, "kind", t.Kind)
		r.Done = "sent"
		return r
	}
	var no *notSent
	if !errors.As(err, &no) {
		no = &notSent{why: "refused", err: err}
	}
	r.Why, down[t.Via] = no.why, no.down
	slog.Warn("a text was not sent", "site", x.id, "via", t.Via, "kind", t.Kind, "try", r.Tries, "why", no)
	if !no.again || r.Tries > len(postPauses) {
		r.Done = no.why
		return r
	}
	r.Next = p.s.now().Add(postPauses[r.Tries-1]).Unix()
	return r
}

// body is a text with an address of the crew's page in it, where the server knows its own.
func (p *postbox) body(site string, t engine.OutText) string {
	if p.s.public == nil || t.Crew == "" || !strings.Contains(t.Body, "{page}") {
		return engine.WithPage(t.Body, "")
	}
	code, _, err := p.s.store.addSentLink(site, t.Crew, p.s.now())
	if err != nil {
		slog.Error("texts: no address for a crew's page", "site", site, "err", err)
		return engine.WithPage(t.Body, "")
	}
	return engine.WithPage(t.Body, p.s.base(nil)+"/c/"+code)
}

// tell writes into the site's log what became of a text.
func (p *postbox) tell(x *site, t engine.OutText, done string) error {
	num, err := p.s.authorNumber(x.id, postAuthor, "Batterboard")
	if err != nil {
		return err
	}
	_, err = x.write(p.s.siteNow, num, p.s.now().UnixMilli(), func(b *engine.CrewBoard, _ string) (string, []opsync.Edit, engine.CrewNo, error) {
		label, edits := b.Delivered(t.ID)
		if done != "sent" {
			label, edits = b.Undelivered(t.ID, done)
		}
		return label, edits, "", nil
	})
	if err == nil && done != "sent" {
		p.s.push.tell(x.id, "post/"+t.ID, func(lang string) string { return pushSay(lang, "failed", "who", t.Name) })
	}
	return err
}

// rest takes the site's mark away when nothing is asked for, unless something was stored since we looked.
func (p *postbox) rest(x *site, seen int) error {
	done := make(chan error, 1)
	x.hubMu.Lock()
	if x.dead || x.flight > 0 || len(x.hub.StoredSince(seen)) > 0 {
		x.hubMu.Unlock()
		return nil
	}
	// Queued in front of whatever the hub takes next: a mark that comes later stays.
	x.store.enqueue(write{pairs: []pair{{key: askedKey(x.id)}}, done: func(err error) { done <- err }})
	x.hubMu.Unlock()
	return <-done
}
