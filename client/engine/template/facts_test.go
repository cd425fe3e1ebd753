package template_test

import (
	"testing"

	"batterboard/schedule"
)

func labour(t *testing.T, s *schedule.Site, ids ...string) (r schedule.Range) {
	t.Helper()
	for _, id := range ids {
		found := false
		for _, a := range s.Activities {
			if a.ID == id {
				r.Low, r.Typical, r.High = r.Low+a.Labour.Low, r.Typical+a.Labour.Typical, r.High+a.Labour.High
				found = true
			}
		}
		if !found {
			t.Fatalf("no activity %s", id)
		}
	}
	return r
}

func lag(t *testing.T, s *schedule.Site, id string) schedule.Link {
	t.Helper()
	for _, l := range s.Links {
		if l.ID == id {
			return l
		}
	}
	t.Fatalf("no link %s", id)
	return schedule.Link{}
}

// The rooms that the templates are for: a one-car room of about 12 x 22 ft and a two-car room of
// 22 x 22 ft, walls 9 ft. Square feet of ceiling and of ceiling and walls together.
var rooms = []struct {
	key         string
	floor, skin float64
}{
	{"one-car", 12 * 22, 12*22 + 2*(12+22)*9},
	{"two-car", 22 * 22, 22*22 + 2*(22+22)*9},
}

// within tells whether the labour of a template meets a range of man-hours: the two must overlap, and
// the template's typical figure must not lie outside the range by more than half a working day, which
// is the grain the templates are written in.
func within(r schedule.Range, low, high float64) bool {
	const grain = 4
	h := float64(r.Typical) / 60
	return h >= low-grain && h <= high+grain && float64(r.Low)/60 <= high && float64(r.High)/60 >= low
}

func TestLabourLiesWithinTheRates(t *testing.T) {
	for _, room := range rooms {
		s := read(t, room.key+".json")
		k, f := room.skin/1000, room.floor/100
		for _, fact := range []struct {
			what      string
			of        []string
			low, high float64 // man-hours for this room
			source    string
		}{
			{"hanging one layer of board", []string{"board-ceiling-1", "board-walls-1"}, 12 * k, 33 * k,
				"12-33 man-hours per 1,000 sf a layer; upper end NAVFAC P-405 as worked in the NAVEDTRA Builder course (second-hand)"},
			{"hanging the second layer", []string{"board-2"}, 12 * k * .9, 33 * k,
				"as the first, about a tenth less (common practice, no source)"},
			{"three coats and sanding", []string{"tape-1", "tape-2", "tape-3", "sand"}, 12 * k, 26 * k,
				"12-26 man-hours per 1,000 sf for three coats (common practice, no source)"},
			{"priming and painting", []string{"prime", "paint"}, 3 * 1.86 * k, 3 * 4.7 * k,
				"1.86-4.7 man-hours per 1,000 sf a coat, three coats (common practice, no source)"},
			{"insulating", []string{"batts"}, 4 * k, 14 * k,
				"4-14 man-hours per 1,000 sf (common practice, no source)"},
			{"clips and channel", []string{"channel"}, 1.5 * room.skin / 100, 4 * room.skin / 100,
				"1.5-5 man-hours per 100 sf (common practice, no source)"},
			{"floating floor", []string{"floor"}, 1 * f, 2 * f * 1.5,
				"1-2 man-hours per 100 sf, times up to 1.5 in a small room (common practice, no source)"},
			{"self-levelling", []string{"level"}, 1*f + 3*1, 2.5*f + 3*3,
				"1-2.5 man-hours per 100 sf, and three people on site while the primer takes 1-3 h (common practice, no source)"},
			{"one mini-split, lines and setting", []string{"mini-split"}, 5, 16,
				"8-16 man-hours for one zone (common practice, no source)"},
			{"two windows and an outside door", []string{"set-windows"}, 2*3 + 2, 2*4 + 8,
				"a window 3-4, an outside door 2-8 man-hours; Estimating in Building Construction 7e fig. 15.14; Guild of Project Controls table (second-hand)"},
		} {
			r := labour(t, s, fact.of...)
			if !within(r, fact.low, fact.high) {
				t.Errorf("%s: %s takes %d-%d-%d min; the rates give %.0f-%.0f h (%s)", room.key, fact.what,
					r.Low, r.Typical, r.High, fact.low, fact.high, fact.source)
			}
		}
	}
}

// One layer after another costs the same hours again; nothing about the second is smaller but the
// laying-out. Common practice, no source. The Old Laundry hangs three.
func TestLayersAddUp(t *testing.T) {
	old := read(t, "../demo/old-laundry.json")
	one := labour(t, old, "board-ceiling-1", "board-walls-1")
	all := labour(t, old, "board-ceiling-1", "board-walls-1", "board-2", "board-3")
	if all.Typical != 3*one.Typical {
		t.Errorf("three layers take %d minutes, one takes %d", all.Typical, one.Typical)
	}
	for _, room := range rooms {
		s := read(t, room.key+".json")
		first, second := labour(t, s, "board-ceiling-1", "board-walls-1"), labour(t, s, "board-2")
		if second.Typical > first.Typical || second.Typical*10 < first.Typical*7 {
			t.Errorf("%s: the second layer takes %d minutes, the first %d", room.key, second.Typical, first.Typical)
		}
	}
}

// Waits in hours of the clock, day and night.
func TestWaitsLieWithinTheFacts(t *testing.T) {
	for _, file := range []string{"one-car.json", "two-car.json", "../demo/old-laundry.json"} {
		s := read(t, file)
		old := s.ID == "old-laundry"
		for _, fact := range []struct {
			link      string
			low, high int32 // hours
			source    string
		}{
			{"scratch.brown", 48, 72, "48 h moist: NWCB bulletin on cure times (second-hand); 72 h: UFGS 09225"},
			{"brown.finish-coat", 168, 504, "7 days at least, better 14-21: NWCB bulletin, ASTM C926 (second-hand)"},
			{"pour.infill", 24, 168, "a day to a week before framing loads (common practice, no source)"},
			{"tape-1.tape-2", 2, 48, "2 h at best, up to 48 h in fair conditions: Drywall Finishing Council, joint compound drying time"},
			{"tape-2.tape-3", 2, 48, "as the first coat"},
			{"tape-3.sand", 2, 48, "as the first coat"},
			{"heat-on.tape-1", 48, 48, "50 F from 48 h before: board makers' sheets restating ASTM C840/GA-216 (second-hand)"},
			{"prime.paint", 1, 24, "1-24 h, typically 3 (common practice, no source)"},
			{"level.oak", 16, 48, "within a day: Concrete Construction magazine, self-levelling underlayments"},
			{"level.floor", 16, 48, "within a day: Concrete Construction magazine, self-levelling underlayments"},
			{"level.finish-electric", 2, 8, "2-8 h to foot traffic (common practice, no source)"},
			{"oak-boards.oak", 72, 336, "3 days at least: NWFA points restated (second-hand)"},
			{"flooring.floor", 48, 336, "48 h for plank, 72 h for wood (common practice; NWFA restated)"},
			{"slab-probe.slab-read", 24, 72, "ASTM F2170: 72 h, 24 h in the 2018 edition (from memory)"},
		} {
			onlyOld := fact.link == "level.oak" || fact.link == "oak-boards.oak" || fact.link == "slab-probe.slab-read"
			onlyNew := fact.link == "level.floor" || fact.link == "flooring.floor"
			if old && onlyNew || !old && onlyOld {
				continue
			}
			l := lag(t, s, fact.link)
			if !l.Clock || l.Lag < fact.low*60 || l.Lag > fact.high*60 {
				t.Errorf("%s: %s waits %d min (clock %v), the facts give %d-%d h (%s)", file, fact.link, l.Lag, l.Clock, fact.low, fact.high, fact.source)
			}
		}
	}
}

// Leads in days, as ordered by somebody who does not own a shop: common practice, no source.
func TestLeadsLieWithinPractice(t *testing.T) {
	for _, room := range rooms {
		for _, o := range read(t, room.key+".json").Orders {
			r, ok := map[string][2]int32{"door-windows": {42, 112}, "door-inner": {28, 84}, "unit": {3, 28},
				"clips": {5, 14}, "ready-mix": {2, 7}, "board-goods": {2, 7}, "flooring": {1, 42},
				"wood-goods": {7, 42}, "studs": {1, 7}, "insulation-goods": {1, 7}, "paint-goods": {1, 7}, "leveller": {1, 7}, "fixture": {3, 42},
				"panel-goods": {2, 28}, "waste-box": {1, 7}, "stucco-goods": {1, 7}, "wire-goods": {1, 7}}[o.ID]
			if !ok || o.Lead < r[0] || o.Lead > r[1] {
				t.Errorf("%s: %s takes %d days, usual are %v", room.key, o.ID, o.Lead, r)
			}
		}
	}
}

// reaches tells whether links lead from one node to another.
func reaches(s *schedule.Site, from, to string) bool {
	seen := map[string]bool{from: true}
	for grown := true; grown; {
		grown = false
		for _, l := range s.Links {
			if seen[l.From] && !seen[l.To] {
				seen[l.To], grown = true, true
			}
		}
	}
	return seen[to]
}

// The order of the model code: what may not be covered before what has passed. Sources: IRC R109.1.1
// to R109.1.6 as adopted by the city of Bluefield WV; NY State residential code P2503.1; IBC 110.3 as
// quoted. Which of them apply to a job is the building department's call.
func TestNothingIsCoveredUnsigned(t *testing.T) {
	for _, file := range []string{"one-car.json", "two-car.json", "../demo/old-laundry.json"} {
		s := read(t, file)
		for _, p := range [][2]string{
			{"under-slab", "pour"}, {"footing", "pour"}, {"flashing", "lath"}, {"lath-seen", "scratch"},
			{"rough-electrical", "framing"}, {"rough-plumbing", "framing"}, {"rough-mechanical", "framing"},
			{"gas-test", "rough-mechanical"}, {"framing", "batts"}, {"insulation", "board-ceiling-1"},
			{"board-screws", "tape-1"}, {"final-electrical", "final-building"}, {"final-plumbing", "final-building"},
			{"final-mechanical", "final-building"}, {"samples", "strip"}, {"photos", "batts"},
		} {
			if !reaches(s, p[0], p[1]) {
				t.Errorf("%s: nothing makes %s wait for %s", file, p[1], p[0])
			}
		}
		for _, a := range s.Activities {
			if a.Cover && !reaches(s, "framing", a.ID) {
				t.Errorf("%s: %s covers up before the framing is signed", file, a.ID)
			}
		}
	}
}
