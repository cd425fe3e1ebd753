package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/template"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

func init() {
	intents["pace"] = (*Engine).takePace
}

// The pace of a crew at one kind of work. Real is what finished work took, in minutes of one person inside the
// crew's hours; the share of it that counts grows with the number of finished pieces, n of n + 1, because
// one day may have been a bad day.
type pace struct {
	crew, work    string
	done          []string
	planned, real int64
	later         []string
	percent       int64
}

// worthTelling is the difference in percent below which nobody plans anew.
const worthTelling = 10

func (p *pace) id() string { return p.crew + "/" + p.work }

func (p *pace) share() int64 { n := int64(len(p.done)); return n * 100 / (n + 1) }

// paces are the proposals there are, by crew.
func (s *sheet) paces() (out []*pace) {
	for i := range s.site.Crews {
		c := &s.site.Crews[i]
		counted := strings.Split(s.site.AnswerOf("paced/"+c.ID), ",")
		var of []*pace
		for k := range s.site.Activities {
			a := &s.site.Activities[k]
			if a.Crew != c.ID || a.Labour.Typical <= 0 {
				continue
			}
			p := paceOf(&of, c.ID, s.paceWork(a))
			switch {
			case a.Finished != 0 && a.Started != 0 && !slices.Contains(counted, a.ID):
				if real := s.worked(a); real > 0 {
					p.done, p.planned, p.real = append(p.done, a.ID), p.planned+int64(a.Labour.Typical), p.real+real
				}
			case a.Started == 0 && a.Finished == 0:
				p.later = append(p.later, a.ID)
			}
		}
		for _, p := range of {
			if p.tells() {
				out = append(out, p)
			}
		}
	}
	return out
}

func (p *pace) tells() bool {
	if len(p.done) == 0 || len(p.later) == 0 || len("paced/"+p.crew) > 60 {
		return false
	}
	n := int64(len(p.done))
	p.percent = max(40, min(250, 100+(p.real*100/p.planned-100)*n/(n+1)))
	return p.percent >= 100+worthTelling || p.percent <= 100-worthTelling
}

func paceOf(of *[]*pace, crew, work string) *pace {
	for _, p := range *of {
		if p.work == work {
			return p
		}
	}
	*of = append(*of, &pace{crew: crew, work: work})
	return (*of)[len(*of)-1]
}

// paceWork is the kind of work that shares a pace.
func (s *sheet) paceWork(a *schedule.Activity) string {
	if w := template.WorkOf(a.ID); w != "" && s.site.AnswerOf(made) != "" {
		return w
	}
	return s.trade(a.Crew)
}

// worked is the minutes of one person between start and finish, inside the hours of the crew, and where it is noisy inside the noise hours. Work done
// outside of them does not count: nobody was expected then, and nobody can say how many came.
func (s *sheet) worked(a *schedule.Activity) int64 {
	sum := int64(0)
	for d := a.Started.Day(); d <= a.Finished.Day() && d < a.Started.Day()+400; d++ {
		for _, w := range s.workWindows(a.Crew, a, d) {
			if from, to := max(d.At(w.From), a.Started), min(d.At(w.To), a.Finished); from < to {
				sum += int64(to - from)
			}
		}
	}
	return sum * int64(s.hands(a))
}

// paceActs are the proposals among the things to do.
func (s *sheet) paceActs() (out []due) {
	for _, p := range s.paces() {
		out = append(out, s.act("pace", p.id(), s.paceTitle(p), (s.today()+1).Start(), ""))
	}
	return out
}

func (s *sheet) paceTitle(p *pace) string {
	var names []string
	for _, id := range p.done[:min(3, len(p.done))] {
		names = append(names, s.name(id))
	}
	return s.w.Say("pace.title", "work", s.w.List(names), "who", s.crewName(p.crew), "real", s.w.Effort(int32(p.real)), "planned", s.w.Effort(int32(p.planned)))
}

func (s *sheet) paceOf(id string) *pace {
	for _, p := range s.paces() {
		if p.id() == id {
			return p
		}
	}
	return nil
}

func (e *Engine) paceView(s *sheet, id string) *PaceView {
	p := s.paceOf(id)
	if p == nil {
		return nil
	}
	v := &PaceView{ID: id, Title: s.paceTitle(p)}
	v.How = s.w.Count("pace.how", int64(len(p.done)), "share", itoa(int(p.share())))
	edits := e.paceEdits(s, p)
	after, err := applied(e.site, edits)
	if err != nil {
		return nil
	}
	then := newSheet(after, schedule.Lay(after, s.now), s.now, s.w).read(s.w)
	for _, id := range p.later {
		v.Lines = append(v.Lines, s.w.Say("pace.line", "what", s.name(id), "from", s.w.Effort(s.acts[id].Labour.Typical), "to", s.w.Effort(then.acts[id].Labour.Typical)))
	}
	v.Take = s.w.Say("pace.take", "percent", itoa(int(p.percent)))
	v.Finish = then.finishShift(s.plan.Finish)
	return v
}

// paceEdits are the later hours at the real pace: what the answers made is made again, so that another
// answer later keeps the pace; what somebody wrote is scaled.
func (e *Engine) paceEdits(s *sheet, p *pace) (edits []opsync.Edit) {
	answers, lang := e.given(), or(s.site.Lang, s.w.Code)
	var base, next *schedule.Site
	if answers[made] != "" {
		old := int64(100)
		if n := number(answers["pace/"+p.work]); n > 0 {
			old = n
		}
		base = template.Build(answers, lang, s.site.Units)
		answers["pace/"+p.work] = itoa(int(max(20, min(500, (old*p.percent+50)/100))))
		next = template.Build(answers, lang, s.site.Units)
		edits = append(edits, set("answer", "pace/"+p.work, "value", answers["pace/"+p.work]))
	}
	for _, id := range p.later {
		a := s.acts[id]
		labour := schedule.Range{Low: scaled(a.Labour.Low, p.percent), Typical: scaled(a.Labour.Typical, p.percent), High: scaled(a.Labour.High, p.percent)}
		if base != nil && base.Activity(id) != nil && next.Activity(id) != nil && base.Activity(id).Labour == a.Labour {
			labour = next.Activity(id).Labour
		}
		edits = append(edits, set("activity", id, "labour", labour))
	}
	return append(edits, s.pacedEdit(p))
}

func scaled(minutes int32, percent int64) int32 {
	return int32((int64(minutes)*percent/100 + 4) / 5 * 5)
}

func number(s string) int64 {
	n := int64(0)
	for _, c := range s {
		if c < '0' || c > '9' || n > 1_000_000 {
			return 0
		}
		n = n*10 + int64(c-'0')
	}
	return n
}

// pacedEdit remembers which finished work has been looked at.
func (s *sheet) pacedEdit(p *pace) opsync.Edit {
	all := strings.Trim(s.site.AnswerOf("paced/"+p.crew)+","+strings.Join(p.done, ","), ",")
	return set("answer", "paced/"+p.crew, "value", all)
}

// takePace takes a proposal, or with Key "leave" looks at it and leaves the hours as they are.
func (e *Engine) takePace(r Request) {
	if !e.mayWrite() {
		return
	}
	p := e.sheet.paceOf(r.ID)
	if p == nil {
		e.refuse("refused.paceOver")
		return
	}
	name := e.sheet.crewName(p.crew)
	if r.Key == "leave" {
		if e.write(r, opsync.KindEdit, label{"paceLeft", name}, e.alive([]opsync.Edit{e.sheet.pacedEdit(p)})) {
			e.say("said.paceLeft")
		}
		return
	}
	was := e.sheet.plan.Finish
	if e.write(r, opsync.KindEdit, label{"pace", name, itoa(int(p.percent))}, e.alive(e.paceEdits(e.sheet, p))) {
		e.say("said.paced", "finish", e.sheet.finishShift(was))
	}
}
