package engine

import (
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// How a crew kept its days is derived from what the site holds anyway, and from four lines of the diary
// that carry a word: cameLate and noShow, marked by the owner; late, said by the crew on its page;
// theyMoved, written when a crew gives back days it had said yes to. It is shown to the owner only.
//
//	came        first days of finished or started work
//	late        days with cameLate or late
//	no-show     days with noShow
//	moved       days given back after a yes
//	we moved    texts that told the crew other days through no doing of its own, or that it is not needed

// A trust is how a crew kept its days.
type trust struct {
	came, late, missed, theirs, ours int
	noShow                           int32 // the chance the owner wrote, percent
}

func (s *sheet) trust(crew string) (t trust) {
	if c := s.crews[crew]; c != nil {
		t.noShow = c.NoShow
	}
	days := map[string]map[schedule.Day]bool{}
	once := func(word string, d schedule.Day) int {
		if days[word] == nil {
			days[word] = map[schedule.Day]bool{}
		}
		if days[word][d] {
			return 0
		}
		days[word][d] = true
		return 1
	}
	for i := range s.site.Activities {
		if a := &s.site.Activities[i]; a.Started != 0 && slices.Contains(crewsOf(a), crew) {
			t.came += once("came", a.Started.Day())
		}
	}
	for i := range s.site.Notes {
		n := &s.site.Notes[i]
		if n.Crew != crew {
			continue
		}
		switch n.Word {
		case "late", "cameLate":
			t.late += once("late", n.Day)
		case "noShow":
			t.missed += once("noShow", n.Day)
		case "theyMoved":
			t.theirs++
		}
	}
	for i := range s.site.Texts {
		x := &s.site.Texts[i]
		if x.Crew == crew && x.Sent != 0 && (x.Kind == "moved" && x.Why == "ours" || x.Kind == "off") {
			t.ours++
		}
	}
	return t
}

// priorDays is how many first days the owner's own figure counts for: with ten of them a single miss does
// not condemn a crew, and after some ten visits what happened weighs more than what was guessed.
const priorDays = 10

// chance is the no-show chance the odds count with, in percent: the owner's figure as if seen on ten
// first days, together with the first days there were. Without any it is the owner's figure.
func (t trust) chance() int32 {
	seen := int32(t.came + t.missed)
	if seen == 0 {
		return t.noShow
	}
	sum := t.noShow*priorDays + int32(t.missed)*100
	return min(100, (sum+(priorDays+seen)/2)/(priorDays+seen))
}

// line says it in a few words, to the owner: "Came 7 times · late 1 · moved a date 2".
func (t trust) line(s *sheet) string {
	if !s.owner || t.came+t.late+t.missed+t.theirs+t.ours == 0 {
		return ""
	}
	parts := []string{s.w.Say("trust.line", "n", itoa(t.came))}
	for _, x := range []struct {
		key string
		n   int
	}{{"late", t.late}, {"noShow", t.missed}, {"theirs", t.theirs}, {"ours", t.ours}} {
		if x.n > 0 {
			parts = append(parts, s.w.Say("trust."+x.key, "n", itoa(x.n)))
		}
	}
	return strings.Join(parts, " · ")
}

// odds says what the odds make of it; empty where they take the owner's figure as it is.
func (t trust) odds(s *sheet) string {
	if t.chance() == t.noShow {
		return ""
	}
	key := "trust.odds"
	if t.noShow == 0 {
		key = "trust.oddsNone"
	}
	return s.w.Say(key, "n", itoa(int(t.chance())), "a", itoa(int(t.noShow)), "b", itoa(t.missed), "c", itoa(t.came+t.missed))
}

// withTrust is the site as the odds take it: no-show chances as the crews have shown them. The site
// itself keeps the owner's figures.
func (s *sheet) withTrust() *schedule.Site {
	site := copySite(s.site)
	for i := range site.Crews {
		if c := &site.Crews[i]; !c.Own {
			c.NoShow = s.trust(c.ID).chance()
		}
	}
	return site
}

// trustLines says for each crew what the odds made of its days, where that is not what the owner wrote.
func (s *sheet) trustLines() (out []string) {
	for i := range s.site.Crews {
		if c := &s.site.Crews[i]; !c.Own {
			if line := s.trust(c.ID).odds(s); line != "" {
				out = append(out, c.Name+": "+line)
			}
		}
	}
	if len(out) > 0 && !s.owner { // that the figures are others is said to everybody, whose is the owner's
		return []string{s.w.Say("trust.counted")}
	}
	return out
}

// came marks on a day that a crew came late, or did not come; an empty key takes the mark back. The
// mark's ID is made from what it is about, so that two phones make one.
func (e *Engine) came(r Request) {
	if !e.mayWrite() {
		return
	}
	s := e.sheet
	a := s.acts[r.ID]
	crew := r.Crew
	if a != nil && crew == "" {
		crew = a.Crew
	}
	c := s.crews[crew]
	if a == nil || c == nil || c.Own || !slices.Contains(crewsOf(a), crew) {
		e.refuse("refused.gone")
		return
	}
	day := or0(r.Day, s.today())
	id := noteID("came", crew, r.ID, day)
	if id == "" || day > s.today() || day < s.today()-3650 || r.Key != "" && r.Key != "cameLate" && r.Key != "noShow" {
		e.refuse("refused.came")
		return
	}
	edits := []opsync.Edit{removed("note", id, true)}
	if r.Key != "" {
		said := s.w.Say("came."+r.Key, "who", c.Name, "what", a.Name)
		edits = []opsync.Edit{set("note", id, "day", day, "on", r.ID, "crew", crew, "word", r.Key, "said", said, "by", e.who(e.device), "seen", true)}
	} else if !e.phone.Log.State().Has("note", id) {
		e.say("said.same")
		return
	}
	key := or(r.Key, "none")
	if e.write(r, opsync.KindEdit, label{"came." + key, c.Name, day.String()}, edits) {
		e.say("said.came."+key, "who", c.Name)
	}
	if e.refused == "" && r.Key == "noShow" && day == s.today() && a.Finished == 0 {
		e.goTo = &cantFor{crew, day}
	}
}

// cameMark is the day of a piece of work on which one may mark how its crew came: today, or its first
// day when that is over.
func (s *sheet) cameMark(a *schedule.Activity, l *schedule.Line) *CameMark {
	c := s.crews[a.Crew]
	if c == nil || c.Own || l.Start.Day() > s.today() || l.Start.Day() < s.today()-60 {
		return nil
	}
	day := l.Start.Day()
	if _, _, on := s.onDay(a.Crew, l, s.today()); on && a.Finished == 0 {
		day = s.today()
	}
	m := &CameMark{Day: day, Text: s.w.Long(day)}
	id := noteID("came", a.Crew, a.ID, day)
	for i := range s.site.Notes {
		if n := &s.site.Notes[i]; n.ID == id {
			m.Mark = n.Word
		}
	}
	return m
}

// noteID names a line of the diary by what it is about; empty when that is too long for an ID.
func noteID(word, crew, act string, d schedule.Day) string {
	id := word + "/" + crew + "/" + act + "/" + d.String()
	if len(id) > opsync.MaxID {
		id = word + "/" + opsync.HashOf([]byte(id))[:32]
	}
	return id
}

// gaveBack writes down that a crew gives back days it had said yes to, once for each.
func (s *sheet) gaveBack(crew string, a *schedule.Activity) []opsync.Edit {
	if a.Booking != schedule.Firm || a.Crew != crew || a.ToldStart == 0 || a.Started != 0 {
		return nil
	}
	c := s.crews[crew]
	if c == nil || c.Own {
		return nil
	}
	id := noteID("theyMoved", crew, a.ID, a.ToldStart.Day())
	said := s.w.Say("came.theyMoved", "who", c.Name, "day", s.w.Dated(a.ToldStart.Day()), "what", a.Name)
	return []opsync.Edit{set("note", id, "day", s.today(), "on", a.ID, "crew", crew, "word", "theyMoved", "said", said, "by", c.Name, "seen", true)}
}

// asideEdits lay texts aside for those who would be forgotten when edits are written: a crew that heard
// days of work which is given to another or removed, and a supplier whose promised day moves. They are
// part of the same operation, so undo takes them back with it.
func (s *sheet) asideEdits(edits []opsync.Edit) (out []opsync.Edit) {
	after, err := applied(s.site, edits)
	if err != nil {
		return nil
	}
	var letters []letter
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		if a.Booking == schedule.Pencilled || a.ToldStart == 0 || a.Started != 0 || a.Finished != 0 || a.ToldStart.Day() < s.today() {
			continue
		}
		now := after.Activity(a.ID)
		if c := s.crews[a.Crew]; c == nil || c.Own || now != nil && slices.Contains(crewsOf(now), a.Crew) {
			continue
		}
		letters = aside(letters, "off", a.Crew, a.ID, span(a.ToldStart, or0m(a.ToldFinish, a.ToldStart)), a.ToldStart.Day())
	}
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		if now := after.Order(o.ID); now != nil && o.Due != 0 && now.Due != 0 && o.Due != now.Due && o.Arrived == 0 && now.Arrived == 0 {
			old := span(o.Due.At(8*60), o.Due.At(8*60)) // the day is what counts
			for _, l := range s.waitingLetters("reorder") {
				if l.about == o.ID { // not sent yet: the supplier still has the day from before that
					old = l.told[0]
				}
			}
			letters = aside(letters, "reorder", o.ID, o.ID, old, now.Due)
		}
	}
	for _, l := range letters {
		if id := l.id(); len(id) <= opsync.MaxID {
			rec := s.textEdit(l, "")
			if was := s.texts[id]; was != nil && was.Sent != 0 {
				rec.Set["sent"] = value(nil)
			}
			out = append(out, rec)
		}
	}
	return out
}

func aside(all []letter, kind, about, id, told string, day schedule.Day) []letter {
	for i := range all {
		if x := &all[i]; x.kind == kind && x.about == about && x.day == day {
			x.acts, x.told = append(x.acts, id), append(x.told, told)
			return all
		}
	}
	return append(all, letter{kind: kind, about: about, acts: []string{id}, told: []string{told}, day: day})
}

// withAsides adds to the edits of one act what must not be forgotten with it: texts laid aside, and that
// a crew gave back days it had said yes to.
func (s *sheet) withAsides(c Change, edits []opsync.Edit) []opsync.Edit {
	s.freshBooking(edits)
	edits = append(edits, s.asideEdits(edits)...)
	if c.Kind != "away" {
		return edits
	}
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		if a.Crew == c.Crew && a.ToldStart.Day() <= c.To && lastDay(a.ToldStart, or0m(a.ToldFinish, a.ToldStart)) >= c.From {
			edits = append(edits, s.gaveBack(c.Crew, a)...)
		}
	}
	return edits
}

// freshBooking takes the booking off work that is given to another crew: that one has heard nothing. A crew
// that gets its work back before it was told off still knows its days.
func (s *sheet) freshBooking(edits []opsync.Edit) {
	for _, ed := range edits {
		raw, ok := ed.Set["crew"]
		a := s.acts[ed.ID]
		if crew := plainValue(raw); ed.Thing != "activity" || !ok || a == nil || a.Started != 0 || crew == a.Crew || ed.Set["booking"] != nil {
			continue
		} else if from, to, ok := s.unaware(crew, ed.ID); ok {
			ed.Set["booking"], ed.Set["toldStart"], ed.Set["toldFinish"] = value(string(schedule.Asked)), value(from), value(to)
		} else if a.Booking != schedule.Pencilled {
			ed.Set["booking"], ed.Set["toldStart"], ed.Set["toldFinish"] = value(nil), value(nil), value(nil)
		}
	}
}

// unaware are the days a crew still believes in, because nobody has told it yet that it is not needed.
func (s *sheet) unaware(crew, id string) (from, to schedule.Minute, ok bool) {
	for _, l := range s.waitingLetters("off") {
		if k := slices.Index(l.acts, id); k >= 0 && l.about == crew && !s.isSent(&l) {
			return parseSpan(l.told[k])
		}
	}
	return 0, 0, false
}

// wroteAt says when a field was last written, on the site's clock.
func (e *Engine) wroteAt(kind, id, field string) schedule.Minute {
	if wall, ok := e.phone.Log.State().Wrote(kind, id, field); ok {
		return schedule.Minute(wall/60000) + e.offset
	}
	return 0
}

// trustWords is how a crew kept its days, in full, and what the odds make of it.
func (s *sheet) trustWords(crew string) []string {
	if !s.owner {
		return nil
	}
	t := s.trust(crew)
	out := []string{or(t.line(s), s.w.Say("trust.none"))}
	if odds := t.odds(s); odds != "" {
		out = append(out, odds)
	}
	return out
}

// trustNote is how a crew kept its days, for where one chooses a crew.
func (s *sheet) trustNote(crew string) string {
	if c := s.crews[crew]; c == nil || c.Own {
		return ""
	}
	return s.trust(crew).line(s)
}
