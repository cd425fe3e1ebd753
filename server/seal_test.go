package main

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// A month of what a site's epoch record may be when the site is opened.
func TestWhenASiteIsSealed(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	later := now.Add(unsealedFor)
	for what, c := range map[string]struct {
		was, want epochRecord
		fresh     bool
		now       time.Time
	}{
		"a new site":                       {epochRecord{Epoch: "a"}, epochRecord{Epoch: "a", Seal: "k"}, true, now},
		"an earlier program's":             {epochRecord{Epoch: "a"}, epochRecord{Epoch: "a", Seal: "k"}, false, now},
		"as always":                        {epochRecord{Epoch: "a", Seal: "k"}, epochRecord{Epoch: "a", Seal: "k"}, false, now},
		"restored":                         {epochRecord{Epoch: "a", Restored: true, Seal: "k"}, epochRecord{Epoch: "a", Restored: true, Seal: "k"}, false, now},
		"restored, older than the key":     {epochRecord{Epoch: "a", Restored: true}, epochRecord{Epoch: "a", Restored: true, Until: later.Unix()}, false, now},
		"the key was lost":                 {epochRecord{Epoch: "a", Restored: true, Seal: "j"}, epochRecord{Epoch: "a", Restored: true, Seal: "j", Until: later.Unix()}, false, now},
		"within the month":                 {epochRecord{Epoch: "a", Restored: true, Until: later.Unix()}, epochRecord{Epoch: "a", Restored: true, Until: later.Unix()}, false, later},
		"a month later":                    {epochRecord{Epoch: "a", Restored: true, Until: later.Unix()}, epochRecord{Epoch: "a", Restored: true, Seal: "k"}, false, later.Add(time.Second)},
		"a month later, the key was lost":  {epochRecord{Epoch: "a", Restored: true, Seal: "j", Until: later.Unix()}, epochRecord{Epoch: "a", Restored: true, Seal: "k"}, false, later.Add(time.Second)},
		"not restored, and the key is new": {epochRecord{Epoch: "a", Seal: "j"}, epochRecord{Epoch: "a", Seal: "k"}, false, now},
	} {
		if got := c.was.opened("k", c.fresh, c.now); got != c.want {
			t.Errorf("%s: %+v, want %+v", what, got, c.want)
		}
	}
}

// backInTime is a site of Anna and Ben whose store is put back to before Ben's last note, which only Anna's phone
// has: his is off. change does something to the store before it is served again.
func backInTime(t *testing.T, change func(*store)) (w *world, anna *phone, lost []byte) {
	t.Helper()
	w = newWorld(t)
	annaB, site := w.owner("Anna")
	anna = annaB.phone(site).connect()
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()
	ben.set("note", "2.1", "said", "in the backup")
	ben.untilSent()
	anna.until("Ben's first", func() bool { return anna.in.Log.State().Has("note", "2.1") })
	anna.cut()
	ben.cut()
	w.web.Close()
	if err := w.srv.store.close(); err != nil {
		t.Fatal(err)
	}
	backup := t.TempDir()
	copyFiles(t, w.dir, backup)
	w.start()
	rewear(anna, ben)
	anna.connect()
	ben.connect()
	ben.set("note", "2.2", "said", "after the backup")
	ben.untilSent()
	lost = ben.raws[len(ben.raws)-1]
	anna.until("Ben's second", func() bool { return anna.in.Log.State().Has("note", "2.2") })
	anna.cut()
	ben.cut()
	w.stop()
	st, err := openStore(backup)
	if err != nil {
		t.Fatal(err)
	}
	var e epochRecord
	if err := st.read(epochKey(site), &e); err != nil {
		t.Fatal(err)
	}
	e.Epoch, e.Restored = "restored", true
	if err := st.write(record(epochKey(site), e)); err != nil {
		t.Fatal(err)
	}
	change(st)
	if err := st.close(); err != nil {
		t.Fatal(err)
	}
	w.dir = backup
	w.start()
	rewear(anna)
	return w, anna, lost
}

// answerTo hands one operation of Ben's in over a socket of Anna's, and returns what the server says to it:
// the reason of a refusal, or "taken" when the next hello has it.
func answerTo(t *testing.T, anna *phone, raw []byte) string {
	t.Helper()
	ws, _, err := anna.dial(anna.site)
	if err != nil {
		t.Fatal(err)
	}
	defer ws.Close()
	hello := fmt.Sprintf(`{"m":"hello","proto":1,"schema":1,"site":%q,"epoch":"","seen":[],"head":"","acked":0}`, anna.site)
	o, err := opsync.Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	say := func(frame string) {
		if err := ws.WriteMessage(websocket.TextMessage, []byte(frame)); err != nil {
			t.Fatal(err)
		}
	}
	say(hello)
	say(`{"m":"push","ops":[` + string(raw) + `]}`)
	for range 100_000 {
		ws.SetReadDeadline(time.Now().Add(patience))
		_, frame, err := ws.ReadMessage()
		if err != nil {
			t.Fatal(err)
		}
		var m struct {
			M, Why, H string
			Ops       []json.RawMessage
		}
		if err := json.Unmarshal(frame, &m); err != nil {
			t.Fatal(err)
		}
		switch {
		case m.M == "reject" && m.H == o.Hash:
			return m.Why
		case m.M == "welcome": // ask until it is stored
			say(hello)
		}
		for _, have := range m.Ops {
			if string(have) == string(raw) {
				return "taken"
			}
		}
	}
	t.Fatal("no answer")
	return ""
}

// forgedBy is an operation in Ben's name that goes on from what log has of him.
func forgedBy(t *testing.T, log *opsync.Log, wall int64) []byte {
	t.Helper()
	raw, err := log.Write(2, wall, opsync.KindEdit, "forged", []opsync.Edit{{Thing: "note", ID: "2.9", Set: map[string]json.RawMessage{"said": json.RawMessage(`"never said"`)}}})
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// TestNobodyIsSpokenForWithoutASeal: with her notes Anna's phone brings back what Ben wrote. Without them the same bytes
// are refused, and so is what she makes up.
func TestNobodyIsSpokenForWithoutASeal(t *testing.T) {
	w, anna, lost := backInTime(t, func(*store) {})
	log := opsync.NewLog()
	for _, raw := range anna.raws {
		if string(raw) != string(lost) {
			if _, err := log.Add(raw); err != nil {
				t.Fatal(err)
			}
		}
	}
	forged := forgedBy(t, log, w.now().UnixMilli()+1000)
	if got := answerTo(t, anna, forged); got != opsync.WhyDevice {
		t.Errorf("made up: %s", got)
	}
	if got := answerTo(t, anna, lost); got != opsync.WhyDevice {
		t.Errorf("true, and nothing to show for it: %s", got)
	}
	anna.open()
	stop := anna.connect().background()
	fresh := anna.invited(anna.site, opsync.Viewer, "Vic").phone(anna.site).connect()
	fresh.until("what Ben wrote", func() bool { return fresh.in.Log.State().Has("note", "2.2") })
	stop()
	if fresh.in.Log.State().Has("note", "2.9") {
		t.Error("and what he never said")
	}
}

// TestAStoreFromBeforeItHadAKey was restored from such a backup: for a month it takes what nobody sealed.
func TestAStoreFromBeforeItHadAKey(t *testing.T) {
	noKey := func(st *store) {
		pairs := []pair{{key: sealKey}}
		err := st.each("epoch/", func(site string, v []byte) error {
			var e epochRecord
			if err := decode(v, &e); err != nil {
				return err
			}
			e.Seal = ""
			pairs = append(pairs, record(epochKey(site), e))
			return nil
		})
		if err := st.write(pairs...); err != nil {
			t.Fatal(err)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	w, anna, lost := backInTime(t, noKey)
	if got := answerTo(t, anna, lost); got != "taken" {
		t.Errorf("on the first day: %s", got)
	}
	w.stop()
	w.later(unsealedFor + time.Minute)
	w.start()
	rewear(anna)
	log := opsync.NewLog()
	for _, raw := range anna.raws {
		if _, err := log.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	if got := answerTo(t, anna, forgedBy(t, log, w.now().UnixMilli())); got != opsync.WhyDevice {
		t.Errorf("a month later: %s", got)
	}
}

// The key outlives the server: what was sealed before a restart is good after it.
func TestTheKeyStays(t *testing.T) {
	w := newWorld(t)
	key, err := w.srv.store.sealing()
	if err != nil || len(key.Key) != 32 {
		t.Fatal(len(key.Key), err)
	}
	w.stop()
	w.start()
	if again, err := w.srv.store.sealing(); err != nil || again.ID != key.ID || string(again.Key) != string(key.Key) {
		t.Errorf("another key after a restart: %v", err)
	}
}
