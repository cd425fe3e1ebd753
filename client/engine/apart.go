package engine

import (
	"encoding/json"
	"reflect"
	"slices"

	"batterboard/client/engine/template"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Two people may answer the set-up at once. Of each question one answer stands, but the plan has what both
// phones made of theirs: work that is for an answer which does not hold, and none for one that does. What
// each of them had made is known from the log, so it is compared with what the standing answers make, as a changed
// answer is (rebuild.go). Nothing is done by itself: the plan review asks, the set-up shows what would change.

// parted are the answers of several people, each of whom had not seen the others', or of which another one was
// chosen since.
type parted struct {
	about  []string         // the acts
	bases  []*schedule.Site // what each of them had made
	byHand map[string]bool  // kind/ID of what somebody took away by hand: it does not come back
	change *rebuilt         // what the answers that stand would change
}

// apart returns the answers that were given apart, nil when there are none; it is found once for a log.
func (e *Engine) apart() *parted {
	if !e.parting {
		e.parted, e.parting = e.findApart(), true
	}
	return e.parted
}

func (e *Engine) findApart() *parted {
	if !e.isMade() {
		return nil
	}
	heads, chosen := answerHeads(e.phone.Log)
	if len(heads) < 2 && !chosen {
		return nil
	}
	p := &parted{byHand: e.takenByHand()}
	for _, o := range heads {
		p.about = append(p.about, o.ID.String())
		was := e.asOf(o)
		if was.AnswerOf(made) != "" { // otherwise it only kept answers
			p.bases = append(p.bases, template.Build(givenOf(was), or(e.site.Lang, e.words().Code), was.Units))
		}
	}
	p.change = p.rebuild(e.site, template.Build(e.given(), or(e.site.Lang, e.words().Code), e.site.Units))
	return p
}

// answerHeads are the acts that wrote answers and that no other such act had seen; what was taken back does
// not count. chosen: somebody has chosen between answers since, which says what holds and changes nothing
// of the plan.
func answerHeads(log *opsync.Log) (heads []*opsync.Op, chosen bool) {
	var choices []*opsync.Op
	for _, o := range log.Writers("answer") {
		switch {
		case o.Kind == opsync.KindUndo || log.Undone(o.ID):
		case o.Kind == opsync.KindChoose:
			choices = append(choices, o)
		default:
			heads = append(slices.DeleteFunc(heads, o.Saw), o)
			choices = slices.DeleteFunc(choices, o.Saw)
		}
	}
	return heads, len(choices) > 0
}

// asOf is the site as it was for whoever wrote an operation. It never changes, so it is made once.
func (e *Engine) asOf(o *opsync.Op) *schedule.Site {
	if e.sitesAsOf[o.Hash] == nil {
		if e.sitesAsOf == nil || len(e.sitesAsOf) > 20 {
			e.sitesAsOf = map[string]*schedule.Site{}
		}
		e.sitesAsOf[o.Hash] = readSite(e.phone.Log.AsOf(o).State().Document())
	}
	return e.sitesAsOf[o.Hash]
}

// takenByHand are the things that somebody took away, not for an answer.
func (e *Engine) takenByHand() map[string]bool {
	answers := map[opsync.OpID]bool{}
	for _, o := range e.phone.Log.Writers("answer") {
		answers[o.ID] = true
	}
	out := map[string]bool{}
	for _, g := range e.phone.Log.State().Gone() {
		if !answers[g.Op] {
			out[g.Thing+"/"+g.ID] = true
		}
	}
	return out
}

// rebuild is what the answers that make next would change on the site, from whatever each had made before.
func (p *parted) rebuild(site, next *schedule.Site) *rebuilt {
	next = without(next, p.byHand)
	all := &rebuilt{}
	for _, base := range p.bases {
		r := rebuild(site, base, next)
		after, err := applied(site, r.edits)
		if err != nil {
			continue // as it is: nothing is better than half of it
		}
		site = after
		all.join(r)
	}
	return all
}

// without leaves out things by kind/ID.
func without(s *schedule.Site, out map[string]bool) *schedule.Site {
	s = copySite(s)
	for _, kind := range builtKinds {
		l := list(s, kind)
		left := reflect.MakeSlice(l.Type(), 0, l.Len())
		for i := range l.Len() {
			if !out[kind+"/"+l.Index(i).FieldByName("ID").String()] {
				left = reflect.Append(left, l.Index(i))
			}
		}
		l.Set(left)
	}
	return s
}

// join puts another comparison behind this one. Of one thing there is one edit.
func (r *rebuilt) join(o *rebuilt) {
	for _, e := range o.edits {
		i := slices.IndexFunc(r.edits, func(x opsync.Edit) bool { return x.Thing == e.Thing && x.ID == e.ID })
		switch {
		case i < 0:
			r.edits = append(r.edits, e)
		case e.Gone != nil || r.edits[i].Gone != nil: // it goes, or went and is wanted all the same
			r.edits[i] = e
		default:
			for _, name := range sortedKeys(e.Set) {
				r.edits[i].Set[name] = e.Set[name]
			}
		}
	}
	for _, x := range []struct{ to, from *[]kept }{{&r.added, &o.added}, {&r.removed, &o.removed}, {&r.changed, &o.changed}, {&r.kept, &o.kept}} {
		for _, k := range *x.from {
			if !slices.Contains(*x.to, k) {
				*x.to = append(*x.to, k)
			}
		}
	}
}

// answersAgain adds edits that say the standing answers again, so that everybody's later ones go on from here.
// With them ends what was written at once on things that are as these answers make them. said are questions
// that are written anyway.
func (e *Engine) answersAgain(said []string, edits []opsync.Edit) []opsync.Edit {
	next := template.Build(e.given(), or(e.site.Lang, e.words().Code), e.site.Units)
	answered := len(said) > 0
	for _, c := range e.phone.Log.State().Clashes() {
		v := fieldIn(e.site, c.Thing, c.ID, c.Field)
		switch {
		case v == nil || c.Thing != "answer" && (!slices.Contains(builtKinds, c.Thing) || !sameText(v, fieldIn(next, c.Thing, c.ID, c.Field))):
			continue
		case c.Thing == "answer":
			answered = true
		}
		edits = withField(edits, c.Thing, c.ID, c.Field, v)
	}
	if !answered {
		edits = withField(edits, "answer", made, "value", value("1"))
	}
	return edits
}

// fieldIn is a field of a thing as it stands, nil when there is none.
func fieldIn(s *schedule.Site, kind, id, name string) json.RawMessage {
	if t, ok := thing(s, kind, id); ok {
		return fieldsOf(t)[name]
	}
	return nil
}

// withField sets one more field, unless the edits set it or take the thing away.
func withField(edits []opsync.Edit, kind, id, name string, v json.RawMessage) []opsync.Edit {
	for i := range edits {
		if x := &edits[i]; x.Thing == kind && x.ID == id {
			if x.Set != nil && x.Set[name] == nil {
				x.Set[name] = v
			}
			return edits
		}
	}
	return append(edits, set(kind, id, name, v))
}

// mends are answers that were given apart and whose question was not left as it is.
func (e *Engine) mends() *parted {
	p := e.apart()
	if p == nil {
		return nil
	}
	id := questionID("apart", p.about)
	if slices.ContainsFunc(e.site.Settled, func(x schedule.Settled) bool { return x.ID == id }) {
		return nil
	}
	return p
}

// apartQuestions asks for a look at the plan after answers that were given apart.
func (s *sheet) apartQuestions() (out []ReviewLine) {
	if s.apart == nil {
		return nil
	}
	p := s.apart()
	if p == nil || len(p.change.edits) == 0 {
		return nil
	}
	return []ReviewLine{{ID: questionID("apart", p.about), Rule: s.w.Say("rule.apart"), Text: s.w.Count("ask.apart", int64(p.change.size())),
		Why: s.w.Say("why.apart"), Go: "questions"}}
}

// size counts the things that would change.
func (r *rebuilt) size() int {
	n := 0
	for _, l := range [][]kept{r.added, r.removed, r.changed} {
		for _, k := range l {
			if k.kind != "link" {
				n++
			}
		}
	}
	return max(n, 1)
}
