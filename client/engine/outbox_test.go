package engine

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"batterboard/schedule"
)

// A told is what a crew last heard of one piece of work, kept by the test and not by the engine.
type toldSpan struct {
	days string
	kind string
	sent schedule.Minute
}

// The laws of the outbox, over random weeks of changes, on the demo: a day of somebody's illness, moves by
// hand, texts sent in any order or not at all, answers, work done, another hand's edits, undo.
//
//	once       no crew has two unsent texts about the same piece of work
//	true       every unsent text tells the days of the plan as it is
//	news       a text about moved days tells other days than that crew last heard; nobody is asked twice
//	no echo    a text that was sent does not come up again while its days stand
//	quiet      when everything is sent, nothing is due at that minute
//	honest     what a booking says was told is what the last text said, whatever the plan did meanwhile
//	no link    no address of a crew's page is in the log
func TestOutboxLaws(t *testing.T) {
	for seed := int64(1); seed <= 25; seed++ {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { outboxStory(t, seed, 40) })
	}
}

func outboxStory(t *testing.T, seed int64, steps int) {
	r := rand.New(rand.NewSource(seed))
	e := openDemo(t, "en")
	now := demoNow
	pages := map[string]string{"electric": "https://x.example/c/secretsecretsecretsecret", "board": "https://x.example/c/anothersecretanothersec"}
	last := map[[2]string]toldSpan{}
	e.refresh(now)
	ask := func(q Request) Reply {
		q.Now, q.Wall, q.Screen, q.Pages = now, wall(now), or(q.Screen, "texts"), pages
		got := do(t, e, q)
		if testing.Verbose() && len(got.Ops) > 0 {
			t.Log(now, q.Do, q.ID, q.Key, string(q.Fields["on"]), string(q.Fields["told"]), got.View.Said)
		}
		for _, op := range got.Ops {
			if raw := string(op); strings.Contains(raw, "x.example") || strings.Contains(raw, "secret") {
				t.Fatalf("seed %d: no link: an address goes into the log: %s", seed, clip(raw, 400))
			}
		}
		return got
	}
	cards := func() []TextCard { return allCards(ask(Request{Do: "show"}).View.Texts) }
	var stale *TextCard // a card somebody opened before something changed
	for step := range steps {
		was := fmt.Sprintf("seed %d, step %d", seed, step)
		switch r.Intn(10) {
		case 0, 1: // send one, perhaps as it was shown a while ago
			if list := unsentOf(cards()); len(list) > 0 {
				c := list[r.Intn(len(list))]
				if stale != nil && r.Intn(2) == 0 {
					c, stale = *stale, nil
				}
				sendCard(t, was, ask, c, last, now)
			}
		case 2: // open one and get called away
			if list := unsentOf(cards()); len(list) > 0 {
				stale = &list[r.Intn(len(list))]
			}
		case 3:
			answerSome(ask, cards(), r)
		case 4, 5:
			randomMove(ask, e, r)
		case 6:
			randomWay(t, ask, e, r, now)
		case 7:
			finishSome(ask, e, r)
		case 8:
			ask(Request{Do: "undo"})
			resync(e, last)
		case 9:
			now += schedule.Minute(r.Intn(20) * 60)
		}
		checkOutbox(t, was, e, cards(), last)
	}
	for i := 0; ; i++ { // everything is sent: silence
		list := unsentOf(cards())
		if len(list) == 0 {
			break
		}
		if i > 60 {
			t.Fatalf("seed %d: the outbox never empties: %s", seed, list[0].ID)
		}
		sendCard(t, fmt.Sprintf("seed %d, emptying", seed), ask, list[0], last, now)
	}
	checkOutbox(t, fmt.Sprintf("seed %d, at the end", seed), e, cards(), last)
}

func allCards(v *TextsView) []TextCard {
	return slices.Concat(v.Off, v.Moved, v.Tomorrow, v.Ask, v.Go, v.Remind, v.Order, v.Street)
}

func unsentOf(cards []TextCard) []TextCard {
	return slices.DeleteFunc(slices.Clone(cards), func(c TextCard) bool { return c.Sent || c.Answer != "" })
}

func sendCard(t *testing.T, was string, ask func(Request) Reply, c TextCard, last map[[2]string]toldSpan, now schedule.Minute) {
	t.Helper()
	on, _ := json.Marshal(c.On)
	told, _ := json.Marshal(c.Told)
	got := ask(Request{Do: "sent", ID: c.ID, Fields: map[string]json.RawMessage{"on": on, "told": told}})
	if got.View.Refused != "" {
		t.Fatalf("%s: %s refused: %s", was, c.ID, got.View.Refused)
	}
	for i, id := range c.On {
		if c.Crew != "" && len(got.Ops) > 0 {
			last[[2]string{c.Crew, id}] = toldSpan{c.Told[i], c.Kind, now}
		}
	}
}

// resync forgets what the test believes was heard after an undo: the engine is asked what is written.
func resync(e *Engine, last map[[2]string]toldSpan) {
	s := e.sheet
	h := s.heardTexts()
	for k := range last {
		t := h.last(k[0], k[1])
		if t == nil {
			delete(last, k)
			continue
		}
		last[k] = toldSpan{t.Told[slices.Index(t.On, k[1])], t.Kind, t.Sent}
	}
}

func answerSome(ask func(Request) Reply, cards []TextCard, r *rand.Rand) {
	for _, c := range cards {
		if c.Sent && c.Answer == "" && c.Crew != "" && r.Intn(2) == 0 {
			ask(Request{Do: "answer", ID: c.ID, Key: []string{"yes", "yes", "no", "other"}[r.Intn(4)]})
			return
		}
	}
}

func randomMove(ask func(Request) Reply, e *Engine, r *rand.Rand) {
	var open []string
	for _, id := range e.sheet.byStart() {
		if l := e.sheet.lines[id]; !l.Frozen && l.Kind == schedule.ActivityNode && l.Start < schedule.Never {
			open = append(open, id)
		}
	}
	if len(open) > 0 {
		id := open[r.Intn(min(len(open), 12))]
		ask(Request{Do: "move", ID: id, At: (e.sheet.lines[id].Start.Day() + schedule.Day(r.Intn(4))).At(8 * 60)})
	}
}

func randomWay(t *testing.T, ask func(Request) Reply, e *Engine, r *rand.Rand, now schedule.Minute) {
	crews := []string{"electric", "carpentry", "board", "insulate", "stucco"}
	d := now.Day() + 1 + schedule.Day(r.Intn(6))
	v := ask(Request{Do: "ways", Screen: "ways", Change: &Change{Kind: "away", Crew: crews[r.Intn(len(crews))], From: d, To: d + schedule.Day(r.Intn(2))}}).View
	if v.Ways != nil && len(v.Ways.Cards) > 0 {
		ask(Request{Do: "take", Token: v.Ways.Token, Key: v.Ways.Cards[r.Intn(len(v.Ways.Cards))].Key})
	}
}

func finishSome(ask func(Request) Reply, e *Engine, r *rand.Rand) {
	for _, id := range e.sheet.byStart() {
		if a, l := e.sheet.acts[id], e.sheet.lines[id]; a != nil && a.Finished == 0 && l.Start <= e.sheet.now && r.Intn(2) == 0 {
			ask(Request{Do: "ack", ID: id, Name: "Marit"})
			ask(Request{Do: "finish", ID: id})
			return
		}
	}
}

func checkOutbox(t *testing.T, was string, e *Engine, cards []TextCard, last map[[2]string]toldSpan) {
	t.Helper()
	s := e.sheet
	unsent := map[[2]string]string{}
	for _, c := range cards {
		if c.Crew == "" || c.Sent || c.Answer != "" {
			continue
		}
		for i, id := range c.On {
			key := [2]string{c.Crew, id}
			if other := unsent[key]; other != "" {
				t.Fatalf("%s: once: %s is in %s and in %s", was, id, other, c.ID)
			}
			unsent[key] = c.ID
			if c.Kind == "off" {
				continue
			}
			l := s.lines[id]
			if l == nil || c.Told[i] != span(l.Start, l.Finish) {
				t.Fatalf("%s: true: %s tells %s of %s, the plan has another", was, c.ID, c.Told[i], id)
			}
			heard, ok := last[key]
			if !ok {
				continue
			}
			a, b, _ := parseSpan(heard.days)
			same := sameDays(a, b, l.Start, l.Finish)
			if c.Kind == "moved" && same && heard.kind != "off" && s.acts[id].Crew == c.Crew && s.acts[id].Booking != schedule.Pencilled {
				t.Fatalf("%s: news: %s tells %s again what it last heard: %s", was, c.ID, c.Crew, heard.days)
			}
			if c.Kind == "ask" && heard.kind != "off" && s.acts[id].Booking != schedule.Pencilled {
				t.Fatalf("%s: news: %s asks %s a second time", was, c.ID, c.Crew)
			}
			if c.Kind == heard.kind && same && c.Kind != "tomorrow" && heard.sent == s.now {
				t.Fatalf("%s: no echo: %s was sent this minute and is due again", was, c.ID)
			}
		}
	}
	for key, heard := range last {
		a := s.acts[key[1]]
		if a == nil || a.Crew != key[0] || heard.kind == "off" || a.Booking == schedule.Pencilled || s.lines[a.ID].Frozen {
			continue
		}
		from, to, _ := parseSpan(heard.days)
		if !sameDays(a.ToldStart, or0m(a.ToldFinish, a.ToldStart), from, to) {
			t.Fatalf("%s: honest: %s was told %s, the booking says %s", was, key[0], heard.days, span(a.ToldStart, a.ToldFinish))
		}
	}
}
