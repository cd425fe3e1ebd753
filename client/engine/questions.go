package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/client/engine/measure"
	"batterboard/client/engine/template"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

func init() {
	intents["answers"], intents["build"] = (*Engine).keepAnswers, (*Engine).build
}

// draft is the answers with what somebody just typed in place, checked, and the fields of the site that
// are asked along with them.
type draft struct {
	answers template.Answers
	head    map[string]json.RawMessage
	said    []string // the questions that changed
	units   string
}

// headAsked are fields of the site that the questions ask for.
var headAsked = []string{"start", "back", "units"}

func (e *Engine) given() template.Answers { return givenOf(e.site) }

func givenOf(site *schedule.Site) template.Answers {
	a := template.Given(site)
	if a == nil {
		return template.Answers{}
	}
	if a[made] != "" && site.Profile != "" { // the habit of visits and its switches may have been changed since
		a["profile"], a["site/board"], a["site/edition"] = site.Profile, site.BoardSeen, site.Edition
		if site.BaseSeen {
			a["site/base"] = "1"
		}
	}
	return a
}

// drafted reads the fields of a request; false after a refusal.
func (e *Engine) drafted(r Request) (*draft, bool) {
	d := &draft{answers: e.given(), head: map[string]json.RawMessage{}, units: e.site.Units}
	if u := r.Fields["units"]; u != nil {
		d.units = plainValue(u)
	}
	for _, id := range sortedKeys(r.Fields) {
		if slices.Contains(headAsked, id) {
			d.head[id] = r.Fields[id]
			continue
		}
		q, ok := template.Find(id)
		if !ok {
			return nil, e.refuse("refused.field", "field", clip(id, 30))
		}
		text := strings.TrimSpace(plainValue(r.Fields[id]))
		v, ok := q.Read(text, measure.Of(d.units))
		if !ok {
			return nil, e.refuseAnswer(q, text, measure.Of(d.units))
		}
		if d.answers[id] != v {
			d.said = append(d.said, id)
			d.answers[id] = v
		}
		if v == "" {
			delete(d.answers, id)
		}
	}
	return d, true
}

func (e *Engine) refuseAnswer(q *template.Question, text string, u measure.Units) bool {
	ask, lang := q.Ask.In(e.words().Code), e.words().Code
	if q.Kind == "length" {
		return e.refuse("refused.length", "what", ask, "value", clip(text, 30), "low", measure.Both(q.Low, u, lang), "high", measure.Both(q.High, u, lang))
	}
	if q.Kind == "count" {
		return e.refuse("refused.howMany", "what", ask, "value", clip(text, 30), "low", itoa(int(q.Low)), "high", itoa(int(q.High)))
	}
	return e.refuse("refused.value", "field", ask, "value", clip(text, 30))
}

// edits are the answers that changed, as things of the site.
func (d *draft) edits() (out []opsync.Edit) {
	for _, id := range d.said {
		if v := d.answers[id]; v != "" {
			out = append(out, set("answer", id, "value", v))
		} else {
			out = append(out, removed("answer", id, true))
		}
	}
	return out
}

func (e *Engine) isMade() bool { return e.site.AnswerOf(made) != "" }

// keepAnswers writes answers before there is a plan, so that a set-up that is interrupted goes on where it was.
func (e *Engine) keepAnswers(r Request) {
	if !e.mayWrite() {
		return
	}
	if e.isMade() {
		e.build(r)
		return
	}
	d, ok := e.drafted(r)
	if !ok {
		return
	}
	edits, ok := e.withHead(d, d.edits())
	if ok && len(edits) > 0 {
		e.write(r, opsync.KindEdit, label{"answers", e.saidNames(d)}, e.alive(edits))
	}
}

func (e *Engine) saidNames(d *draft) string {
	var names []string
	for _, id := range d.said {
		if q, ok := template.Find(id); ok {
			names = append(names, q.Ask.In(e.words().Code))
		}
	}
	return strings.Join(names, ", ")
}

// withHead puts the edit of the site's own fields in front.
func (e *Engine) withHead(d *draft, edits []opsync.Edit) ([]opsync.Edit, bool) {
	if len(d.head) == 0 {
		return edits, true
	}
	head, why := e.checkedRaw("site", "site", d.head)
	if why != "" {
		e.refused = why
		return nil, false
	}
	e.dropSame(&head)
	if len(head.Set) == 0 {
		return edits, true
	}
	return append([]opsync.Edit{head}, edits...), true
}

// build makes the plan from the answers, or changes the one that was made from them. One operation, one
// undo.
func (e *Engine) build(r Request) {
	if !e.mayWrite() {
		return
	}
	if !e.isMade() && e.blocked() != "" {
		e.refuse("refused.notEmpty")
		return
	}
	d, ok := e.drafted(r)
	if !ok {
		return
	}
	was, first := e.sheet.plan.Finish, !e.isMade()
	if first && e.site.Lang == "" { // the language the names are written in
		d.head["lang"] = value(e.words().Code)
	}
	if first && e.site.Start == 0 && d.head["start"] == nil {
		d.head["start"] = value(r.Now.Day())
	}
	change := e.rebuilt(d)
	edits := append(d.edits(), change.edits...)
	if first {
		edits = append(edits, set("answer", made, "value", "1"))
	}
	if e.mends() != nil && len(edits) > 0 {
		edits = e.answersAgain(d.said, edits)
	}
	if edits, ok = e.withHead(d, edits); !ok {
		return
	}
	if p := e.circles(edits); p != "" {
		e.refuse("refused.answers", "why", p)
		return
	}
	if len(edits) == 0 {
		e.say("said.same")
		return
	}
	if !e.write(r, opsync.KindEdit, label{"answers", or(e.saidNames(d), "field.answers")}, e.alive(edits)) {
		return
	}
	if first {
		e.say("said.template", "finish", e.sheet.finishWords())
		return
	}
	e.sayChanged(was)
}

// blocked says why the answers make no plan: there is one that they did not make.
func (e *Engine) blocked() string {
	if !e.isMade() && len(e.site.Activities) > 0 {
		return e.words().Say("answers.blocked")
	}
	return ""
}

// rebuilt compares the answers as they are with the draft.
func (e *Engine) rebuilt(d *draft) *rebuilt {
	lang := or(e.site.Lang, e.words().Code)
	next := template.Build(d.answers, lang, d.units)
	base := &schedule.Site{}
	if e.isMade() {
		base = template.Build(e.given(), lang, e.site.Units)
	}
	r := &rebuilt{}
	site := e.site
	if p := e.mends(); p != nil {
		r = p.rebuild(site, next)
		if after, err := applied(site, r.edits); err == nil {
			site = after
		}
	}
	r.join(rebuild(site, base, next))
	if next.Profile != base.Profile && (e.site.Profile == base.Profile || e.site.Profile == "") && d.head["profile"] == nil {
		d.head["profile"] = value(next.Profile)
	}
	if !e.isMade() && e.site.Hours.IsZero() {
		d.head["hours"] = value(next.Hours)
	}
	return r
}

// circles names a circle that the edits would close; the rules have none, but the owner's own links may.
func (e *Engine) circles(edits []opsync.Edit) string {
	after, err := applied(e.site, edits)
	if err != nil {
		return err.Error()
	}
	for _, p := range after.Problems() {
		if p.Kind == schedule.ProblemCircle && !slices.ContainsFunc(e.site.Problems(), func(q schedule.Problem) bool { return q.Kind == p.Kind }) {
			return e.sheet.name(p.IDs[0])
		}
	}
	return ""
}

// ---- what the screen shows

func (e *Engine) questionsView(s *sheet, r Request) *QuestionsView {
	v := &QuestionsView{Made: e.isMade(), Blocked: e.blocked()}
	d, ok := e.drafted(r)
	if !ok { // what is wrong is said; what stands is shown
		d = &draft{answers: e.given(), head: map[string]json.RawMessage{}, units: e.site.Units}
	}
	v.Units = or(d.units, "us")
	u, lang := measure.Of(d.units), s.w.Code
	for i := range template.Screens() {
		if scr, asked := e.askScreen(&template.Screens()[i], d, u, lang); asked {
			v.Screens = append(v.Screens, scr)
			if !scr.Skipped {
				v.Answered++
			}
		}
	}
	for _, a := range template.Assumed(d.answers, u, lang) {
		v.Assumed = append(v.Assumed, AssumedLine{Text: a.Ask + ": " + a.Taken, Source: named(a.Source.Source), Mark: s.w.Say("mark." + a.Mark), Screen: template.ScreenOf(a.Question)})
	}
	change := e.rebuilt(d)
	after, err := applied(e.site, change.edits)
	if err != nil {
		return v
	}
	if raw := d.head["start"]; raw != nil {
		_ = json.Unmarshal(raw, &after.Start)
	}
	after.Start = or0(after.Start, s.today())
	plan := schedule.Lay(after, s.now)
	v.Outcome = s.outcome(after, plan)
	apart := e.mends()
	if apart != nil && len(apart.change.edits) > 0 {
		v.Apart = s.w.Count("ask.apart", int64(apart.change.size())) + " " + s.w.Say("why.apart")
	}
	if v.Made && (len(d.said) > 0 || len(d.head) > 0 || v.Apart != "") {
		v.Change = s.changeSeen(change, after, plan)
	}
	return v
}

// outcome is the plan in one line.
func (s *sheet) outcome(after *schedule.Site, plan *schedule.Plan) string {
	var sum schedule.Range
	for i := range after.Activities {
		if a := &after.Activities[i]; a.Crew != "" {
			sum.Low, sum.Typical, sum.High = sum.Low+a.Labour.Low, sum.Typical+a.Labour.Typical, sum.High+a.Labour.High
		}
	}
	return s.w.Say("answers.outcome", "n", itoa(len(after.Activities)), "v", itoa(len(after.Holds)), "o", itoa(len(after.Orders)),
		"low", itoa(int(sum.Low/60)), "typical", itoa(int(sum.Typical/60)), "high", itoa(int(sum.High/60)), "day", s.dated(lastDay(0, plan.Finish)))
}

// maxSeen bounds the list of what would change; the rest is counted.
const maxSeen = 40

// changeSeen says what would change. The edits are looked at on the site as it would be.
func (s *sheet) changeSeen(r *rebuilt, after *schedule.Site, plan *schedule.Plan) *ChangeSeen {
	c := &ChangeSeen{Same: len(r.edits) == 0}
	then := newSheet(after, plan, s.now, s.w).read(s.w)
	list := func(key string, of []kept, in *sheet) {
		var names []string
		for _, k := range of {
			if k.kind != "link" {
				names = append(names, in.thingName(k.kind, k.id))
			}
		}
		if len(names) > 0 {
			c.Lines = append(c.Lines, s.w.Say(key, "what", strings.Join(names, " · ")))
		}
	}
	list("answers.new", r.added, then)
	list("answers.gone", r.removed, s)
	for _, k := range r.changed {
		if line := s.changedLine(k, then); line != "" && len(c.Lines) < maxSeen {
			c.Lines = append(c.Lines, line)
		}
	}
	for _, k := range r.kept {
		c.Kept = append(c.Kept, s.w.Say("answers.kept", "what", s.thingName(k.kind, k.id)))
	}
	c.Finish = then.finishShift(s.plan.Finish)
	return c
}

func (s *sheet) changedLine(k kept, then *sheet) string {
	name := s.thingName(k.kind, k.id)
	if k.kind == "activity" {
		a, b := s.acts[k.id], then.acts[k.id]
		switch {
		case a.Crew != b.Crew:
			line := s.w.Say("answers.crew", "what", name, "from", s.crewName(a.Crew), "to", then.crewName(b.Crew))
			if a.Booking != schedule.Pencilled && !s.own(a.Crew) {
				line += " " + s.w.Say("answers.tell", "who", s.crewName(a.Crew))
			}
			return line
		case a.Labour != b.Labour:
			return s.w.Say("answers.hours", "what", name, "from", s.w.Effort(a.Labour.Typical), "to", s.w.Effort(b.Labour.Typical))
		}
	}
	if k.kind == "order" {
		if a, b := s.orders[k.id], then.orders[k.id]; a.Quantity != b.Quantity {
			return s.w.Say("answers.goods", "what", name, "to", b.Quantity)
		}
	}
	if k.kind == "link" || k.kind == "place" || k.kind == "crew" {
		return ""
	}
	return s.w.Say("answers.other", "what", name)
}

// named is a source where there is one: practice and memory are said by their mark.
func named(source string) string {
	if source == "common practice, no source" || source == "from memory" {
		return ""
	}
	return source
}

func (e *Engine) askScreen(scr *template.Screen, d *draft, u measure.Units, lang string) (AskScreen, bool) {
	out := AskScreen{ID: scr.ID, Title: scr.Title.In(lang), Help: scr.Help.In(lang), Skipped: true}
	var said []string
	for i := range scr.Questions {
		q := &scr.Questions[i]
		if !q.Asked(d.answers) {
			continue
		}
		a := e.askOne(q, d, u, lang)
		if a.Value != "" && q.ID != "start" { // the first day is there from the beginning
			out.Skipped = false
		}
		if s := or(a.Shown, a.Usual); s != "" {
			if len(q.Options) == 0 && q.Kind != "profile" && len(scr.Questions) > 1 { // a bare number says nothing
				s = a.Ask + ": " + s
			}
			said = append(said, s)
		}
		out.Questions = append(out.Questions, a)
	}
	out.Said = strings.Join(said, " · ")
	return out, len(out.Questions) > 0
}

func (e *Engine) askOne(q *template.Question, d *draft, u measure.Units, lang string) Ask {
	a := Ask{ID: q.ID, Kind: q.Kind, Ask: q.Ask.In(lang), Help: q.Help.In(lang), Source: named(q.Source), Mark: q.Mark,
		Value: d.answers[q.ID], Usual: template.Usual(d.answers, q.ID, u, lang)}
	if q.Mark != "" {
		a.Mark = e.words().Say("mark." + q.Mark)
	}
	for _, o := range q.Options {
		a.Options = append(a.Options, Choice{ID: o.ID, Name: o.Name.In(lang)})
	}
	switch q.Kind {
	case "profile":
		a.Kind = "choice"
	case "day":
		day := e.site.Start
		if q.ID == "back" {
			day = e.site.Back
		}
		if raw := d.head[q.ID]; raw != nil {
			day = 0
			_ = json.Unmarshal(raw, &day)
		}
		if day != 0 {
			a.Value, a.Shown = day.String(), e.sheet.dated(day)
		}
		return a
	}
	if a.Value != "" {
		a.Shown = q.Show(a.Value, u, lang)
		if q.Kind == "length" {
			n, _ := json.Number(a.Value).Int64()
			a.Value = measure.Length(n, u, lang)
		}
	}
	return a
}
