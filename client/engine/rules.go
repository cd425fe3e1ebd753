package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/client/engine/trade"
	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Which visits are made, and when: a habit to start from, edited by the owner, shown before it changes
// anything.

// rulesAsked reads a choice from a request; what is left out is as the site has it.
func (s *sheet) rulesAsked(fields map[string]json.RawMessage) trade.Rules {
	r := trade.RulesOf(s.site)
	read := func(name string, into any) {
		if raw, ok := fields[name]; ok {
			_ = json.Unmarshal(raw, into) // what is not of its kind stays as it was
		}
	}
	read("profile", &r.Profile)
	read("board", &r.Board)
	read("base", &r.Base)
	read("edition", &r.Edition)
	return r
}

// rulesOK says whether a choice is one of ours.
func rulesOK(r trade.Rules) bool {
	_, profile := trade.ProfileOf(r.Profile)
	board := r.Board == "" || r.Board == "off" || r.Board == "rated" || r.Board == "always"
	return profile && board && (r.Edition == "" || slices.Contains(trade.Editions, r.Edition))
}

func (e *Engine) rulesView(s *sheet, r Request) *RulesView {
	want := s.rulesAsked(r.Fields)
	v := &RulesView{Line: s.w.Say("rules.line"), Chosen: RulesChoice{want.Profile, want.Board, want.Base, want.Edition}, Same: true}
	for _, p := range trade.Profiles() {
		v.Profiles = append(v.Profiles, RuleProfile{p.ID, p.Name.In(s.w.Code), p.Note.In(s.w.Code), s.source(p.Source), s.w.Say("mark." + string(p.Mark))})
	}
	for _, b := range []string{"", "off", "rated", "always"} {
		v.Boards = append(v.Boards, Choice{ID: b, Name: s.w.Say("rules.board." + or(b, "usual"))})
	}
	for _, x := range append([]string{""}, trade.Editions...) {
		v.Editions = append(v.Editions, Choice{ID: x, Name: s.w.Say("rules.edition." + or(x, "usual"))})
	}
	if rulesOK(want) {
		edits, changes := e.rulesEdits(s, want)
		v.Changes, v.Same = changes, len(edits) == 0
		if len(changes) > 0 {
			v.Effect = e.whatIf(edits)
		}
	}
	for i := range s.site.Holds {
		v.Holds = append(v.Holds, s.ruleHold(&s.site.Holds[i]))
	}
	for i := range trade.KnownHolds() {
		k := &trade.KnownHolds()[i]
		if after := copySite(s.site); k.Add(after, s.site.Edition, s.w.Code, "") {
			v.More = append(v.More, Choice{ID: k.ID, Name: k.Name.In(s.w.Code)})
		}
	}
	return v
}

func (s *sheet) ruleHold(h *schedule.Hold) RuleHold {
	v := RuleHold{ID: h.ID, Name: h.Name, Code: h.Code, Fixed: h.CalledIn != 0 || h.Result != schedule.NoResult}
	terms := []string{s.w.Count("rules.notice", int64(h.Notice))}
	if h.Cutoff != 0 && h.Cutoff != 24*60 {
		terms = append(terms, s.w.Say("rules.cutoff", "time", s.w.Clock(h.Cutoff)))
	}
	if h.Hours != nil {
		terms = append(terms, s.w.Say("rules.windows"))
	}
	if h.Fee > 0 {
		terms = append(terms, s.w.Money(h.Fee))
	}
	if h.FeeAgain > 0 {
		terms = append(terms, s.w.Say("rules.again", "cost", s.w.Money(h.FeeAgain)))
	}
	if len(h.Parts) > 0 {
		terms = append(terms, s.w.Count("rules.parts", int64(len(h.Parts))))
	}
	if h.Photos > 0 {
		terms = append(terms, s.w.Count("rules.photos", int64(h.Photos)))
	}
	v.Terms = strings.Join(terms, " · ")
	for i := range trade.KnownHolds() {
		if k := &trade.KnownHolds()[i]; k.ID == h.ID {
			v.Source, v.Mark = s.source(k.Source), s.w.Say("mark."+string(k.Mark))
		}
	}
	return v
}

// rulesEdits are the edits that give the site the hold points of a choice, and the same in words.
func (e *Engine) rulesEdits(s *sheet, want trade.Rules) (edits []opsync.Edit, changes []string) {
	after := copySite(e.site)
	want.Apply(after, e.written())
	edits = append(e.differences(e.site, after, "hold"), e.differences(e.site, after, "link")...)
	changes = s.rulesChanges(e.site, after)
	head := set("site", "site")
	for name, to := range map[string][2]string{"profile": {s.site.Profile, after.Profile}, "boardSeen": {s.site.BoardSeen, after.BoardSeen}, "edition": {s.site.Edition, after.Edition}} { // any order: a field each
		if to[0] != to[1] {
			head.Set[name] = value(to[1])
		}
	}
	if s.site.BaseSeen != after.BaseSeen {
		head.Set["baseSeen"] = value(after.BaseSeen)
	}
	if len(head.Set) > 0 {
		edits = append([]opsync.Edit{head}, edits...)
	}
	return edits, changes
}

// written is the language that what is written down for everybody is written in.
func (e *Engine) written() string { return words.In(or(e.site.Lang, e.lang)).Code }

// differences are the edits that make the things of a kind of one site those of another.
func (e *Engine) differences(was, now *schedule.Site, kind string) (edits []opsync.Edit) {
	a, b := list(was, kind), list(now, kind)
	for i := range a.Len() {
		id := a.Index(i).FieldByName("ID").String()
		if _, there := thing(now, kind, id); !there {
			edits = append(edits, removed(kind, id, true))
		}
	}
	for i := range b.Len() {
		id := b.Index(i).FieldByName("ID").String()
		ed := set(kind, id)
		var old map[string]any
		if t, ok := thing(was, kind, id); ok {
			old = plainFields(t)
		}
		fresh := plainFields(b.Index(i))
		for name, v := range fresh { // any order: a field each
			if x := value(v); name != "id" && (old == nil || string(value(old[name])) != string(x)) {
				ed.Set[name] = x
			}
		}
		for name := range old { // any order: a field each
			if _, still := fresh[name]; !still {
				ed.Set[name] = value(nil)
			}
		}
		if len(ed.Set) > 0 {
			edits = append(edits, ed)
		}
	}
	return e.alive(edits)
}

// rulesChanges says what would be another with the hold points of a changed site.
func (s *sheet) rulesChanges(from, after *schedule.Site) (out []string) {
	for i := range after.Holds {
		h := &after.Holds[i]
		was := from.Hold(h.ID)
		if was == nil {
			out = append(out, s.w.Say("rules.new", "what", h.Name, "after", s.beside(after, h.ID, true), "before", s.beside(after, h.ID, false)))
			continue
		}
		name := s.name(h.ID)
		if h.Notice != was.Notice {
			out = append(out, s.w.Count("rules.noticeNow", int64(h.Notice), "what", name, "was", itoa(int(was.Notice))))
		}
		if h.Agency != was.Agency {
			out = append(out, s.w.Say("rules.agencyNow", "what", name, "who", or(h.Agency, "–"), "was", or(was.Agency, "–")))
		}
		if h.Code != was.Code {
			out = append(out, s.w.Say("rules.codeNow", "what", name, "code", h.Code, "was", or(was.Code, "–")))
		}
		if len(h.Ready) != len(was.Ready) {
			out = append(out, s.w.Say("rules.readyNow", "what", name, "list", strings.Join(h.Ready, "; ")))
		}
	}
	for i := range s.site.Holds {
		if h := &s.site.Holds[i]; after.Hold(h.ID) == nil {
			out = append(out, s.w.Say("rules.gone", "what", h.Name))
		}
	}
	return out
}

// beside names what stands right in front of a hold point of a site, or right behind it.
func (s *sheet) beside(site *schedule.Site, id string, front bool) string {
	var names []string
	for _, k := range site.Links {
		switch {
		case front && k.To == id:
			names = append(names, s.holdNameIn(site, k.From))
		case !front && k.From == id:
			names = append(names, s.holdNameIn(site, k.To))
		}
	}
	if len(names) == 0 {
		return "–"
	}
	return s.w.List(names)
}

func (s *sheet) holdNameIn(site *schedule.Site, id string) string {
	if h := site.Hold(id); h != nil {
		return or(h.Name, id)
	}
	return s.nameIn(site, id)
}

// rules takes a choice: one act that undo takes back. With an ID it adds one known hold point.
func (e *Engine) rules(r Request) {
	if !e.mayWrite() {
		return
	}
	switch {
	case r.ID != "":
		e.addKnown(r)
		return
	case r.Key == "all":
		e.allVisits(r)
		return
	}
	want := e.sheet.rulesAsked(r.Fields)
	if !rulesOK(want) {
		e.refuse("refused.rules")
		return
	}
	edits, _ := e.rulesEdits(e.sheet, want)
	if len(edits) == 0 {
		e.say("said.same")
		return
	}
	p, _ := trade.ProfileOf(want.Profile)
	e.writeAndSay(r, label{"rules", p.Name.In(e.words().Code)}, edits)
}

func (e *Engine) addKnown(r Request) {
	for i := range trade.KnownHolds() {
		k := &trade.KnownHolds()[i]
		if k.ID != r.ID {
			continue
		}
		after := copySite(e.site)
		agency := ""
		for _, h := range e.site.Holds {
			agency = or(agency, h.Agency)
		}
		if len(e.site.Holds) < schedule.MaxHolds && k.Add(after, e.site.Edition, e.written(), agency) {
			e.writeAndSay(r, label{"add", k.Name.In(e.words().Code)}, append(e.differences(e.site, after, "hold"), e.differences(e.site, after, "link")...))
			return
		}
	}
	e.refuse("refused.gone")
}

// shared are what an office usually has the same for all its visits.
var shared = []string{"agency", "phone", "notice", "cutoff", "hours", "fee", "feeAgain"}

// allVisits writes the same terms to every hold point that is still open: one office, one telephone.
func (e *Engine) allVisits(r Request) {
	for name := range r.Fields { // any order: one stranger is enough
		if !slices.Contains(shared, name) {
			e.refuse("refused.field", "field", clip(name, 30))
			return
		}
	}
	var edits []opsync.Edit
	for i := range e.site.Holds {
		h := &e.site.Holds[i]
		if h.CalledIn != 0 || h.Result != schedule.NoResult {
			continue
		}
		edit, why := e.checkedRaw("hold", h.ID, r.Fields)
		if why != "" {
			e.refused = why
			return
		}
		if e.dropSame(&edit); len(edit.Set) > 0 {
			edits = append(edits, edit)
		}
	}
	if len(edits) == 0 {
		e.say("said.same")
		return
	}
	e.writeAndSay(r, label{"rulesAll"}, edits)
}
