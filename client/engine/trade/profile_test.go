package trade_test

import (
	"os"
	"slices"
	"testing"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
	"batterboard/schedule/check"
)

func site(t *testing.T, file string) *schedule.Site {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := schedule.ParseSite(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func profile(t *testing.T, id string) trade.Profile {
	t.Helper()
	for _, p := range trade.Profiles() {
		if p.ID == id {
			return p
		}
	}
	t.Fatalf("no profile %s", id)
	return trade.Profile{}
}

// before tells whether links lead from one node to another.
func before(s *schedule.Site, from, to string) bool { return behind(s, from)[to] }

// behind is everything that waits for a node, over any number of links.
func behind(s *schedule.Site, from string) map[string]bool {
	seen := map[string]bool{from: true}
	for grown := true; grown; {
		grown = false
		for _, l := range s.Links {
			if seen[l.From] && !seen[l.To] {
				seen[l.To], grown = true, true
			}
		}
	}
	return seen
}

// Whatever is dropped, the work keeps its order: every pair of activities that was ordered stays ordered.
func TestProfilesKeepTheOrderOfWork(t *testing.T) {
	for _, file := range []string{"../template/one-car.json", "../template/two-car.json"} {
		was := site(t, file)
		for _, p := range trade.Profiles() {
			s := site(t, file)
			p.Apply(s, "en")
			if problems := s.Problems(); len(problems) != 0 {
				t.Errorf("%s on %s: %v", p.ID, file, problems)
			}
			for _, a := range was.Activities {
				then, now := behind(was, a.ID), behind(s, a.ID)
				for _, b := range was.Activities {
					if then[b.ID] && !now[b.ID] {
						t.Errorf("%s on %s: %s no longer waits for %s", p.ID, file, b.ID, a.ID)
					}
				}
			}
			for _, drop := range p.Drop {
				if s.Hold(drop) != nil {
					t.Errorf("%s on %s: %s is still there", p.ID, file, drop)
				}
			}
			s.Start = schedule.DateOf(2027, 3, 1)
			for _, f := range check.Plan(s, schedule.Lay(s, s.Start.At(0))) {
				t.Errorf("%s on %s: %v", p.ID, file, f)
			}
		}
	}
}

func TestOneVisit(t *testing.T) {
	s := site(t, "../template/two-car.json")
	profile(t, "one-visit").Apply(s, "en")
	for _, id := range []string{"rough-electric", "rough-plumb", "rough-mech", "gas-test", "fireblock"} {
		if !before(s, id, "framing") {
			t.Errorf("the one visit does not wait for %s", id)
		}
	}
	for _, id := range []string{"rough-electrical", "rough-plumbing", "rough-mechanical"} {
		if s.Hold(id) != nil {
			t.Errorf("%s is a visit of its own", id)
		}
	}
	if ready := s.Hold("framing").Ready; len(ready) < 6 {
		t.Errorf("the one visit forgot what must be ready: %q", ready)
	}
}

// Jefferson County WA: the state signs the wires before the framing visit is booked, 48 h of notice.
func TestAgency(t *testing.T) {
	s := site(t, "../template/one-car.json")
	profile(t, "agency").Apply(s, "es")
	h := s.Hold("rough-electrical")
	if h.Notice != 2 || h.Agency != "la oficina eléctrica" || !before(s, "rough-electrical", "framing") {
		t.Errorf("rough electrical: %+v", h)
	}
	if s.Hold("framing").Notice != 1 {
		t.Error("the other visits keep their notice")
	}
}

func TestAskFirstKeepsWhatHappened(t *testing.T) {
	s := site(t, "../demo/old-laundry.json")
	profile(t, "ask").Apply(s, "en")
	for _, id := range []string{"rough-mechanical", "rough-plumbing", "under-slab", "final-building"} {
		if s.Hold(id) == nil {
			t.Errorf("%s is gone", id)
		}
	}
	if s.Hold("framing") != nil {
		t.Error("framing was neither called in nor signed, and is still there")
	}
	ids := []string{}
	for _, l := range s.Links {
		ids = append(ids, l.ID)
	}
	slices.Sort(ids)
	if n := len(ids); n != len(slices.Compact(ids)) {
		t.Error("two links have one ID")
	}
}

func TestEveryProfileIsWhole(t *testing.T) {
	for _, p := range trade.Profiles() {
		if p.ID == "" || p.Name.En == "" || p.Name.Es == "" || p.Note.En == "" || p.Note.Es == "" || p.Source == "" || p.Mark == "" {
			t.Errorf("profile %+v: something is missing", p)
		}
		known := site(t, "../template/two-car.json")
		for _, id := range slices.Concat(p.Drop, p.Keep) {
			if known.Hold(id) == nil {
				t.Errorf("profile %s speaks of %q, which no template has", p.ID, id)
			}
		}
	}
}
