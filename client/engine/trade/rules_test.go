package trade_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
)

func demo(t *testing.T) *schedule.Site { t.Helper(); return site(t, "../demo/old-laundry.json") }

// bare is the demo before anything was done, called in or signed.
func bare(t *testing.T) *schedule.Site {
	s := demo(t)
	for i := range s.Activities {
		s.Activities[i].Started, s.Activities[i].Finished, s.Activities[i].Done = 0, 0, 0
	}
	for i := range s.Holds {
		h := &s.Holds[i]
		h.CalledIn, h.Visit, h.Result, h.ResultAt, h.Fails, h.Said = 0, 0, "", 0, 0, ""
	}
	return s
}

func firstDifference(a, b string) string {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return a[max(0, i-200):min(len(a), i+100)] + "\n" + b[max(0, i-200):min(len(b), i+100)]
		}
	}
	return "one is longer"
}

func asJSON(t *testing.T, s *schedule.Site) string {
	b, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// From any habit to any other and back: the work keeps its order, no circle, nothing doubled, applied twice
// is applied once, and every path through the habits ends with the same hold points.
func TestRulesFromAnyToAny(t *testing.T) {
	was := bare(t)
	order := map[string][]string{} // work, and the work behind it
	for _, a := range was.Activities {
		for b := range behind(was, a.ID) {
			if was.Activity(b) != nil {
				order[a.ID] = append(order[a.ID], b)
			}
		}
	}
	holds := func(s *schedule.Site) (ids []string) {
		for _, h := range s.Holds {
			ids = append(ids, h.ID)
			lines := slices.Clone(h.Ready)
			slices.Sort(lines)
			if len(lines) != len(slices.Compact(lines)) {
				t.Errorf("%s: a line twice in %q", h.ID, h.Ready)
			}
		}
		slices.Sort(ids)
		return ids
	}
	for _, p := range trade.Profiles() {
		direct := bare(t)
		trade.Rules{Profile: p.ID}.Apply(direct, "en")
		for _, q := range trade.Profiles() {
			s := bare(t)
			trade.Rules{Profile: q.ID}.Apply(s, "en")
			trade.Rules{Profile: p.ID}.Apply(s, "en")
			if a, b := holds(s), holds(direct); !slices.Equal(a, b) {
				t.Errorf("by way of %s %s has %v, straight %v", q.ID, p.ID, a, b)
			}
			if problems := s.Problems(); len(problems) != 0 {
				t.Errorf("%s, %s: %v", q.ID, p.ID, problems)
			}
			once := asJSON(t, s)
			trade.Rules{Profile: p.ID}.Apply(s, "en")
			if asJSON(t, s) != once {
				t.Errorf("%s applied twice is another site: %s", p.ID, firstDifference(once, asJSON(t, s)))
			}
			for a, later := range order {
				now := behind(s, a)
				for _, b := range later {
					if !now[b] {
						t.Fatalf("%s, %s: %s no longer comes before %s", q.ID, p.ID, a, b)
					}
				}
			}
		}
	}
}

// Santa Ana, Roseville CA: the screws are looked at on every job, before tape; Creve Coeur MO: the first
// layer before the second. As switches on any habit.
func TestBoardSwitches(t *testing.T) {
	s := bare(t)
	trade.Rules{Profile: "model", Board: "always", Base: true}.Apply(s, "en")
	for _, want := range [][2]string{{"board-walls-1", "base-layer"}, {"base-layer", "board-2"}, {"board-3", "board-screws"}, {"board-screws", "tape-1"}} {
		if !before(s, want[0], want[1]) {
			t.Errorf("%s does not come before %s", want[0], want[1])
		}
	}
	trade.Rules{Profile: "every-board", Board: "off"}.Apply(s, "en")
	if s.Hold("board-screws") != nil || s.Hold("base-layer") != nil || s.Hold("shear-nailing") == nil {
		t.Errorf("board off: %v", s.Holds)
	}
	if s.BoardSeen != "off" || s.Profile != "every-board" || trade.RulesOf(s).Board != "off" {
		t.Error("the site does not say what it started from")
	}
}

// IBC 110.3 as it moved: lath and board are 110.3.5 in 2015 and 2018 and 110.3.6 in 2021; energy 110.3.7,
// 110.3.8, 110.3.9 (INS15, INS16, INS19).
func TestEditions(t *testing.T) {
	for edition, want := range map[string][3]string{"ibc2015": {"110.3.5", "110.3.7", "2015"}, "ibc2018": {"110.3.5", "110.3.8", "2018"}, "ibc2021": {"110.3.6", "110.3.9", "2021"}} {
		s := bare(t)
		trade.Rules{Profile: "every-board", Edition: edition}.Apply(s, "en")
		board, energy := s.Hold("board-screws").Code, s.Hold("insulation").Code
		if !strings.HasSuffix(board, want[0]) || !strings.HasSuffix(energy, want[1]) || !strings.Contains(board, want[2]) {
			t.Errorf("%s: board %q, energy %q", edition, board, energy)
		}
	}
	s := bare(t)
	trade.Rules{Profile: "model", Edition: "irc"}.Apply(s, "es")
	if c := s.Hold("framing").Code; c != "código modelo R109.1.4" {
		t.Errorf("framing: %q", c)
	}
}

// What was called in or signed, and what the owner made, is never touched.
func TestRulesLeaveWhatHappened(t *testing.T) {
	was := demo(t)
	was.Holds = append(was.Holds, schedule.Hold{ID: "7.7", Name: "Our own look", Notice: 3})
	for _, p := range trade.Profiles() {
		s := demo(t)
		s.Holds = append(s.Holds, schedule.Hold{ID: "7.7", Name: "Our own look", Notice: 3})
		trade.Rules{Profile: p.ID, Board: "off", Edition: "ibc2021"}.Apply(s, "en")
		for _, h := range was.Holds {
			if h.ID != "7.7" && h.CalledIn == 0 && h.Result == schedule.NoResult {
				continue
			}
			now := s.Hold(h.ID)
			if now == nil {
				t.Errorf("%s: %s is gone", p.ID, h.ID)
				continue
			}
			a, _ := json.Marshal(h)
			b, _ := json.Marshal(now)
			if string(a) != string(b) {
				t.Errorf("%s: %s\n was %s\n now %s", p.ID, h.ID, a, b)
			}
		}
	}
}

// The other agency signs with two days of notice; leaving that habit takes its words back.
func TestAgencyAndBack(t *testing.T) {
	s := bare(t)
	office := s.Hold("framing").Agency
	trade.Rules{Profile: "agency"}.Apply(s, "en")
	if h := s.Hold("rough-electrical"); h.Notice != 2 || h.Agency != "the electrical agency" {
		t.Errorf("%+v", h)
	}
	trade.Rules{Profile: "model"}.Apply(s, "en")
	if h := s.Hold("rough-electrical"); h.Notice != 1 || h.Agency != office {
		t.Errorf("after leaving: %+v, the office is %q", h, office)
	}
}

// A hold point comes too late where the work it keeps shut has begun.
func TestNoHoldBehindItsTime(t *testing.T) {
	s := demo(t)
	s.Holds = slices.DeleteFunc(s.Holds, func(h schedule.Hold) bool { return h.ID == "shear-nailing" })
	trade.Rules{Profile: "every-board"}.Apply(s, "en")
	if s.Hold("shear-nailing") != nil {
		t.Error("the windows are in, and the sheathing is to be looked at before")
	}
}

func TestEveryKnownHoldIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, h := range trade.KnownHolds() {
		if h.ID == "" || seen[h.ID] || h.Name.En == "" || h.Name.Es == "" || len(h.Ready.En) == 0 || len(h.Ready.En) != len(h.Ready.Es) || len(h.After) == 0 || len(h.Before) == 0 {
			t.Errorf("hold %+v: something is missing", h)
		}
		seen[h.ID] = true
		marked(t, "hold "+h.ID, h.Source, h.Mark)
		for e := range h.Codes {
			if !slices.Contains(trade.Editions, e) {
				t.Errorf("hold %s: edition %q", h.ID, e)
			}
		}
	}
	for _, p := range trade.Profiles() {
		marked(t, "profile "+p.ID, p.Source, p.Mark)
		for _, id := range slices.Concat(p.Drop, p.Keep) {
			if !seen[id] {
				t.Errorf("profile %s speaks of %q, which nobody knows", p.ID, id)
			}
		}
	}
}
