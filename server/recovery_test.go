package main

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"strings"
	"testing"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// The owner's only phone is lost. The paper with the recovery code lets another one in, once; the phone is
// shown the next code.
func TestTheRecoveryCode(t *testing.T) {
	w := newWorld(t)
	_, site := w.owner("Anna")
	_, other := w.owner("Olga")
	code, err := w.srv.store.newRecovery()
	if err != nil {
		t.Fatal(err)
	}
	eve := w.browser()
	for range 30 { // guesses are answered, and shut nobody out
		if got, _ := eve.ask("POST", "/api/pair", map[string]string{"code": newCode(recoveryLetters)}); got != 403 {
			t.Fatalf("a guess: %d", got)
		}
	}
	for range 20 { // nor do guesses at short codes from the same address
		eve.ask("POST", "/api/pair", map[string]string{"code": newCode(inviteLetters)})
	}
	anna := w.browser()
	got := anna.must("POST", "/api/pair", map[string]any{"code": strings.ToLower(spaced(code)), "name": "Anna's new phone"})
	if len(got["sites"].([]any)) != 2 || got["role"] != "owner" {
		t.Errorf("paired: %v", got)
	}
	for _, id := range []string{site, other} {
		if got := anna.must("GET", "/api/devices?site="+id, nil)["devices"].([]any); len(got) != 2 {
			t.Errorf("on %s: %v", id, got)
		}
		p := anna.phone(id).connect()
		p.set("note", "2.1", "said", "back again")
		p.untilSent()
	}
	next := typed(got["recovery"].(string))
	if len(next) != recoveryLetters || next == code {
		t.Errorf("the next one: %q", got["recovery"])
	}
	if got, _ := w.browser().ask("POST", "/api/pair", map[string]string{"code": code}); got != 403 {
		t.Errorf("the same paper again: %d", got)
	}
	w.browser().must("POST", "/api/pair", map[string]string{"code": next})
	err = w.srv.store.each("", func(key string, value []byte) error {
		if strings.Contains(key+string(value), code) || strings.Contains(key+string(value), next) {
			t.Errorf("%s holds a recovery code", key)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestARecoveryCodeOfAnEmptyStore(t *testing.T) {
	w := newWorld(t)
	code, err := w.srv.store.newRecovery()
	if err != nil {
		t.Fatal(err)
	}
	status, no := w.browser().ask("POST", "/api/pair", map[string]string{"code": code})
	if status != 409 || !strings.Contains(no["error"].(string), "owner link") {
		t.Errorf("%d %v", status, no)
	}
}

// What is printed at set-up, and only then.
func TestTheFirstStartPrintsAWayBack(t *testing.T) {
	dir := t.TempDir()
	lines := func() map[string]string {
		ctx, cancel := context.WithCancel(context.Background())
		cancel() // told to stop before it began: it opens, says what it has to say, and ends
		out, in := io.Pipe()
		ended := make(chan error, 1)
		go func() {
			ended <- serveUntil(ctx, serveFlags{addr: "127.0.0.1:0", data: dir}, in)
			in.Close()
		}()
		said := map[string]string{}
		for s := bufio.NewScanner(out); s.Scan(); {
			for _, word := range []string{"listening ", "owner link ", "recovery code "} {
				if rest, ok := strings.CutPrefix(s.Text(), word); ok {
					said[word] = rest
				}
			}
		}
		if err := <-ended; err != nil {
			t.Error(err)
		}
		return said
	}
	first := lines()
	if len(first) != 3 {
		t.Fatalf("the first start says %v", first)
	}
	st, err := openStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	link := first["owner link "]
	w := &world{t: t}
	if _, err := st.useCode(link[strings.LastIndex(link, "/")+1:], newcomer{name: "Anna"}, w.now().AddDate(2026, 0, 0)); err == nil {
		t.Error("an owner link of two thousand years ago opens")
	}
	code, _, _ := strings.Cut(first["recovery code "], " ")
	if err := st.close(); err != nil {
		t.Fatal(err)
	}
	second := lines() // nobody has been let in: both are new
	if len(second) != 3 || strings.HasPrefix(second["recovery code "], code) {
		t.Errorf("the second start says %v", second)
	}
	if st, err = openStore(dir); err != nil {
		t.Fatal(err)
	}
	site := "dc3aqkpksdua2o1s0t0g"
	f, err := readFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.importSite(site, f.doc, "import", w.now()); err != nil {
		t.Fatal(err)
	}
	if _, err := st.join(site, opsync.Owner, newcomer{name: "Anna"}, w.now()); err != nil {
		t.Fatal(err)
	}
	if err := st.close(); err != nil {
		t.Fatal(err)
	}
	if third := lines(); len(third) != 1 {
		t.Errorf("with an owner it says %v", third)
	}
}

// From the server's shell, while it runs: who is in, take one off, let an owner in.
func TestAccessFromTheShell(t *testing.T) {
	w := newWorld(t)
	w.door()
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	anna.set("site", "site", "name", "The old dairy")
	anna.untilSent()
	ben := annaB.invited(site, opsync.Second, "Ben")
	list := w.shell("access", "--data", w.dir)
	for _, want := range []string{site + "  The old dairy", "owner ", "second", "2027-03-01  Anna", "2027-03-01  Ben"} {
		if !strings.Contains(list, want) {
			t.Errorf("%q is not in\n%s", want, list)
		}
	}
	var all []siteAccess
	if err := json.Unmarshal([]byte(w.shell("access", "list", "--json", "--data", w.dir)), &all); err != nil || len(all) != 1 || len(all[0].Devices) != 2 {
		t.Errorf("%v, %v", all, err)
	}
	id := ben.must("GET", "/api/me", nil)["device"].(string)
	p := ben.phone(site).connect()
	w.shell("access", "revoke", "--data", w.dir, "--device", id)
	if got := p.untilClosed(); got != closeRevoked {
		t.Errorf("Ben's socket ends with %d", got)
	}
	if got, _ := ben.ask("GET", "/api/devices?site="+site, nil); got != 403 {
		t.Errorf("Ben asks: %d", got)
	}
	annas := annaB.must("GET", "/api/me", nil)["device"].(string)
	code, _, errs := shellOut("access", "revoke", "--data", w.dir, "--device", annas)
	if code != 2 || !strings.Contains(errs, "--even-last") {
		t.Errorf("the last owner: %d %s", code, errs)
	}
	w.shell("access", "revoke", "--data", w.dir, "--device", annas, "--even-last")
	if got := anna.untilClosed(); got != closeRevoked {
		t.Errorf("Anna's socket ends with %d", got)
	}
	var o ownerCode
	if err := json.Unmarshal([]byte(w.shell("access", "owner", "--json", "--data", w.dir)), &o); err != nil {
		t.Fatal(err)
	}
	back := annaB.must("POST", "/api/pair", map[string]string{"code": o.Code})
	if back["role"] != "owner" || back["site"] != site || back["num"] != 3.0 {
		t.Errorf("back again: %v", back)
	}
	said := w.shell("access", "recovery", "--data", w.dir)
	word := strings.Fields(said)[2]
	if got := w.browser().must("POST", "/api/pair", map[string]string{"code": word}); got["role"] != "owner" {
		t.Errorf("recovered: %v", got)
	}
	for say, args := range map[string][]string{
		"access has no \"dance\"": {"dance", "--data", w.dir},
		"say which device":        {"revoke", "--data", w.dir},
		"is on no such site":      {"revoke", "--data", w.dir, "--device", "0123456789abcdefghij"},
		"there is no store in":    {"--data", t.TempDir()},
		"takes no \"x\"":          {"list", "x", "--data", w.dir},
	} {
		if code, _, errs := shellOut(append([]string{"access"}, args...)...); code != 2 || !strings.Contains(errs, say) {
			t.Errorf("%v: status %d, %s", args, code, errs)
		}
	}
}

// Roles on the wire: an owner and a second hand write, a viewer does not, and a phone whose role was
// raised by another code writes from then on.
func TestRolesOnTheWire(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	for role, writes := range map[opsync.Role]bool{opsync.Owner: true, opsync.Second: true, opsync.Viewer: false} {
		p := annaB.invited(site, role, string(role)).phone(site)
		// What a changed app would do: write all the same, and push it.
		p.role, p.raws = opsync.Owner, nil
		p.open()
		p.connect()
		p.until("the welcome", func() bool { return p.in.Role() == role })
		raw, err := p.in.Log.Write(p.dev, p.wall, opsync.KindEdit, "a note", []opsync.Edit{{Thing: "note", ID: string(role) + ".1",
			Set: map[string]json.RawMessage{"said": json.RawMessage(`"mine"`)}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := p.ws.WriteMessage(websocket.TextMessage, []byte(`{"m":"push","ops":[`+string(raw)+`]}`)); err != nil {
			t.Fatal(err)
		}
		if !writes {
			why := ""
			for why == "" {
				_, frame, err := p.ws.ReadMessage()
				if err != nil {
					t.Fatal(err)
				}
				r, err := p.in.Receive(string(frame))
				if err != nil {
					t.Fatal(err)
				}
				why = r.Why
			}
			if why != opsync.WhyRole {
				t.Errorf("%s: refused for %q", role, why)
			}
		} else {
			anna.until("the note of "+string(role), func() bool { return anna.in.Log.State().Has("note", string(role)+".1") })
		}
	}
	if anna.in.Log.State().Has("note", "viewer.1") {
		t.Error("a viewer's note is there")
	}
}
