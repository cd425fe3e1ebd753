package engine

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/template"
	"batterboard/schedule"
)

// asker is one of several phones of a site; what each has goes from one to the other by meet.
type asker struct {
	t    testing.TB
	e    *Engine
	dev  uint32
	lang string
	ops  []json.RawMessage
	now  schedule.Minute
}

func newAsker(t testing.TB, dev uint32, lang string) *asker {
	a := &asker{t: t, e: New(), dev: dev, lang: lang, now: at("2027-04-06T06:40")}
	a.reopen()
	return a
}

// begins names the site, as the first screen of all does.
func (a *asker) begins() {
	a.t.Helper()
	a.takes(Request{Do: "edit", Kind: "site", ID: "site", Fields: map[string]json.RawMessage{"name": value("Shed")}})
}

func (a *asker) reopen() {
	a.t.Helper()
	do(a.t, a.e, Request{Do: "open", Site: "s", Device: a.dev, Role: "owner", Lang: a.lang, Now: a.now, Ops: append([]json.RawMessage{}, a.ops...)})
}

func (a *asker) do(r Request) Reply {
	a.t.Helper()
	a.now++
	r.Now = a.now
	out := do(a.t, a.e, r)
	a.ops = append(a.ops, out.Ops...)
	return out
}

// takes is a request that must do something.
func (a *asker) takes(r Request) Reply {
	a.t.Helper()
	out := a.do(r)
	if len(out.Ops) == 0 {
		a.t.Fatalf("%s %s: nothing was written: %q %q", r.Do, r.ID, out.View.Refused, out.View.Said)
	}
	return out
}

func (a *asker) answers(fields map[string]string) {
	a.t.Helper()
	r := Request{Do: "build", Screen: "questions", Fields: map[string]json.RawMessage{}}
	for k, v := range fields {
		r.Fields[k] = value(v)
	}
	a.do(r)
}

// meet brings everybody everything, and the latest clock.
func meet(all ...*asker) {
	var ops []json.RawMessage
	now := schedule.Minute(0)
	for _, a := range all {
		now = max(now, a.now)
		for _, op := range a.ops {
			if !slices.ContainsFunc(ops, func(o json.RawMessage) bool { return string(o) == string(op) }) {
				ops = append(ops, op)
			}
		}
	}
	for _, a := range all {
		a.ops, a.now = slices.Clone(ops), now
		a.reopen()
		a.e.refresh(a.now)
	}
}

func (a *asker) question() *ReviewLine {
	a.t.Helper()
	v := a.do(Request{Do: "show", Screen: "review"}).View.Review
	for i, q := range v.Questions {
		if strings.HasPrefix(q.ID, "apart/") {
			return &v.Questions[i]
		}
	}
	return nil
}

func (a *asker) screen() *QuestionsView {
	a.t.Helper()
	return a.do(Request{Do: "show", Screen: "questions"}).View.Questions
}

// asMade says how the plan differs from what its answers make.
func (a *asker) asMade() string {
	a.t.Helper()
	a.e.refresh(a.now)
	return differ(things(template.Build(a.e.given(), or(a.e.site.Lang, "en"), a.e.site.Units)), things(a.e.site))
}

// twoAnswer is a plan that Anna made, and what Anna and Ben answered at once after it.
func twoAnswer(t testing.TB, first, hers, his map[string]string) (anna, ben *asker) {
	t.Helper()
	anna, ben = newAsker(t, 1, "en"), newAsker(t, 2, "es")
	anna.begins()
	anna.answers(first)
	meet(anna, ben)
	anna.answers(hers)
	ben.answers(his)
	meet(anna, ben)
	return anna, ben
}

// Anna says three layers of board and stucco, Ben two layers. His answer stands, and her third layer is there as well.
func TestTwoAnswersAtOnce(t *testing.T) {
	anna, ben := twoAnswer(t, map[string]string{"layers": "1", "wet": "none"}, map[string]string{"layers": "3", "wall": "stucco"}, map[string]string{"layers": "2"})
	if anna.e.doc == nil || string(anna.e.doc) != string(ben.e.doc) {
		t.Fatal("two documents")
	}
	if anna.asMade() == "" {
		t.Fatal("the plan is what the standing answers make")
	}
	q := anna.question()
	if q == nil || q.Go != "questions" || q.Open != "" || !strings.Contains(q.Text, "two phones at once") {
		t.Fatalf("asked %+v", q)
	}
	if his := ben.question(); his == nil || his.ID != q.ID || !strings.Contains(his.Text, "a la vez") {
		t.Errorf("Ben is asked %+v", his)
	}
	v := anna.screen()
	if v.Apart == "" || v.Change == nil || v.Change.Same || len(v.Change.Lines) == 0 {
		t.Fatalf("shown %+v", v.Change)
	}
	before := things(anna.e.site)
	anna.takes(Request{Do: "build", Screen: "questions"})
	if d := anna.asMade(); d != "" {
		t.Errorf("taken, and %s", d)
	}
	if anna.question() != nil || anna.screen().Apart != "" {
		t.Error("asked again")
	}
	// One undo, and the question is there again.
	anna.takes(Request{Do: "undo"})
	if d := differ(before, things(anna.e.site)); d != "" {
		t.Errorf("taken back, and %s", d)
	}
	if again := anna.question(); again == nil || again.ID != q.ID {
		t.Errorf("taken back, and asked %+v", again)
	}
	// Ben takes it as well, without having heard of her: together they come to the same.
	anna.takes(Request{Do: "build", Screen: "questions"})
	ben.takes(Request{Do: "build", Screen: "questions"})
	meet(anna, ben)
	if d := ben.asMade(); d != "" || ben.question() != nil || anna.question() != nil {
		t.Errorf("both took it: %s, asked %v %v", d, anna.question(), ben.question())
	}
}

// Whatever two people answer at once: what the question offers makes the plan the standing answers make, and
// who answers something else instead of taking it comes to the same.
func TestApartAnswersComeTogether(t *testing.T) {
	asked, chosen, along := 0, 0, 0
	for seed := range uint64(12) {
		rnd := rand.New(rand.NewPCG(seed, 11))
		some := func(n int) map[string]string {
			all, out := anyAnswers(rnd), map[string]string{}
			for _, id := range slices.Sorted(maps.Keys(all)) {
				if rnd.IntN(n) == 0 {
					out[id] = all[id]
				}
			}
			return out
		}
		anna, ben := twoAnswer(t, some(2), some(2), some(2))
		if seed%3 == 0 { // a choice says what holds; the plan follows when it is taken
			for _, c := range anna.e.phone.Log.State().Clashes() {
				if c.Thing == "answer" && c.Field == "value" && c.ID != made {
					last := c.Values[len(c.Values)-1]
					if raw, err := anna.e.phone.Log.Choose(1, wall(anna.now+1), "chosen", c.Thing, c.ID, c.Field, last.Op); err == nil {
						anna.ops = append(anna.ops, raw)
						chosen++
					}
					meet(anna, ben)
					break
				}
			}
		}
		fits := anna.asMade() == ""
		if q := anna.question(); q == nil && !fits {
			t.Fatalf("seed %d: nobody asks, and %s", seed, anna.asMade())
		} else if q != nil && fits && anna.e.apart().change.size() > 1 {
			t.Errorf("seed %d: asked, and the plan fits: %+v", seed, anna.e.apart().change)
		}
		if !fits {
			asked++
			if seed%2 == 0 {
				anna.takes(Request{Do: "build", Screen: "questions"})
			} else { // some other answer: it goes with it
				anna.answers(some(3))
				if anna.e.apart() == nil {
					along++
				}
			}
		}
		if d := anna.asMade(); d != "" && (seed%2 == 0 || anna.e.apart() == nil) {
			t.Errorf("seed %d: taken, and %s", seed, d)
		}
		for _, p := range anna.e.site.Problems() {
			t.Errorf("seed %d: %v", seed, p)
		}
	}
	if asked < 6 || chosen < 2 || along < 2 {
		t.Errorf("only %d of 12 were asked, %d chosen, %d went along with another answer", asked, chosen, along)
	}
}

// What somebody wrote on the loser's work stays, and what somebody took away by hand does not come back, though one of
// the two had never made it.
func TestApartLeavesWhatIsSomebodys(t *testing.T) {
	anna, ben := twoAnswer(t, map[string]string{"layers": "1", "wet": "none"}, map[string]string{"layers": "3", "wall": "stucco", "wet": "bath"}, map[string]string{"layers": "2", "wet": "sink"})
	anna.takes(Request{Do: "edit", Kind: "activity", ID: "tile", Fields: map[string]json.RawMessage{"name": value("Tile, by a friend")}})
	anna.takes(Request{Do: "remove", Kind: "activity", ID: "lath"})
	meet(anna, ben)
	if anna.question() == nil {
		t.Fatal("nobody asks, so nothing is taken")
	}
	ben.takes(Request{Do: "build", Screen: "questions"})
	meet(anna, ben)
	if a := anna.e.site.Activity("tile"); a == nil || a.Name != "Tile, by a friend" {
		t.Errorf("what Anna wrote is %+v", a)
	}
	if anna.e.site.Activity("lath") != nil {
		t.Error("what Anna took away is back")
	}
	if anna.e.site.Activity("board-3") != nil || anna.question() != nil {
		t.Error("what nobody had touched is as it was")
	}
}

// A link that both answers want, and that somebody has led to work which goes: what Anna's answers made takes it along,
// what Ben's made wants it, and it is as the answers that stand have it.
func TestApartLinkLedAstray(t *testing.T) {
	anna, ben := twoAnswer(t, map[string]string{"layers": "1"}, map[string]string{"layers": "3", "wall": "stucco"}, map[string]string{"layers": "2"})
	anna.takes(Request{Do: "edit", Kind: "link", ID: "scratch.brown", Fields: map[string]json.RawMessage{"to": value("board-3")}})
	meet(anna, ben)
	ben.takes(Request{Do: "build", Screen: "questions"})
	meet(anna, ben)
	if d := anna.asMade(); d != "" || anna.question() != nil {
		t.Errorf("taken, and %s, asked %+v", d, anna.question())
	}
}

// Left as it is, it is not asked and not mended along with something else.
func TestApartIsLeftAsItIs(t *testing.T) {
	anna, _ := twoAnswer(t, map[string]string{"layers": "1"}, map[string]string{"layers": "3"}, map[string]string{"layers": "2"})
	q := anna.question()
	if q == nil {
		t.Fatal("not asked")
	}
	anna.takes(Request{Do: "settle", ID: q.ID, Said: "Both are wanted"})
	if anna.question() != nil || anna.screen().Apart != "" || anna.screen().Change != nil {
		t.Error("asked all the same")
	}
	if out := anna.do(Request{Do: "build", Screen: "questions"}); len(out.Ops) != 0 {
		t.Errorf("changed all the same: %s", out.Ops[0])
	}
}

// One person after the other, who knew of each other, is never asked.
func TestOneAfterTheOtherIsNotAsked(t *testing.T) {
	anna, ben := newAsker(t, 1, "en"), newAsker(t, 2, "es")
	anna.begins()
	meet(anna, ben)
	for i, layers := range []string{"1", "2", "1", "2"} {
		[]*asker{anna, ben}[i%2].answers(map[string]string{"layers": layers})
		meet(anna, ben)
		if anna.question() != nil || ben.question() != nil || anna.e.apart() != nil {
			t.Errorf("asked after answer %d", i)
		}
	}
	ben.takes(Request{Do: "undo"})
	meet(anna, ben)
	if anna.question() != nil || anna.e.apart() != nil {
		t.Error("asked after an undo")
	}
}
