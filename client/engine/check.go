package engine

import (
	"encoding/json"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Limits of what one types, in letters: a name stands on a block, a short line in a row, a long one is
// a page. They are far below what sync and schedule refuse, so that a slip is answered here.
const (
	maxName  = 120
	maxShort = 400
	maxLong  = 4000
)

// checked turns fields for a thing into an edit, or says what is wrong with them in a sentence. The
// thing is looked at as it would be, so that dates are compared with those already there.
func (e *Engine) checked(kind, id string, fields map[string]any) (opsync.Edit, string) {
	raw := map[string]json.RawMessage{}
	for k, v := range fields {
		raw[k] = value(v)
	}
	return e.checkedRaw(kind, id, raw)
}

func (e *Engine) checkedRaw(kind, id string, fields map[string]json.RawMessage) (opsync.Edit, string) {
	s, w := e.sheet, e.words()
	edit := opsync.Edit{Thing: kind, ID: id, Set: map[string]json.RawMessage{}}
	if kind == "site" {
		edit.ID = "site"
	}
	blank, ok := blankOf(kind)
	if !ok {
		return edit, w.Say("refused.gone")
	}
	for _, name := range sortedKeys(fields) {
		v := fields[name]
		if kind != "paper" { // whose name is a file's and has a rule of its own
			v = cleaned(v)
		}
		if err := setField(blank, name, v); err == errField {
			return edit, w.Say("refused.field", "field", clip(name, 30))
		} else if err != nil {
			return edit, s.unread(blank, kind, id, name, v, fields)
		}
		if name == "hours" && string(v) != "null" && noHours(v) {
			return edit, w.Say("refused.noWeek")
		}
		if name == "noise" && string(v) != "null" && noHours(v) {
			return edit, w.Say("refused.noNoise")
		}
		if isEmpty(v) {
			v = json.RawMessage("null")
		}
		edit.Set[name] = v
	}
	after, err := applied(e.site, []opsync.Edit{edit})
	if err != nil {
		return edit, w.Say("refused.change")
	}
	return edit, s.wrong(after, kind, edit.ID)
}

// blankOf is an empty thing of a kind, to try fields on.
func blankOf(kind string) (reflect.Value, bool) {
	if kind == "site" {
		return reflect.ValueOf(new(schedule.Site)).Elem(), true
	}
	l := list(new(schedule.Site), kind)
	if !l.IsValid() || kind == "text" {
		return reflect.Value{}, false
	}
	return reflect.New(l.Type().Elem()).Elem(), true
}

func isEmpty(v json.RawMessage) bool {
	s := strings.TrimSpace(string(v))
	return s == `""` || s == "null" || s == "[]"
}

// wrong says what is wrong with a thing of the site as it would be; empty when it is fine.
func (s *sheet) wrong(after *schedule.Site, kind, id string) string {
	t, ok := thing(after, kind, id)
	if !ok {
		return ""
	}
	if why := s.longText(t); why != "" {
		return why
	}
	switch x := t.Addr().Interface().(type) {
	case *schedule.Site:
		return s.wrongSite(x)
	case *schedule.Crew:
		return s.wrongCrew(after, x)
	case *schedule.Place:
		return s.firstOf(s.named(x.Name), s.count("room", x.Room, 200), s.count("carries", x.Carries, 2000))
	case *schedule.Activity:
		return s.wrongActivity(after, x)
	case *schedule.Link:
		return s.wrongLink(after, x)
	case *schedule.Hold:
		return s.wrongHold(x)
	case *schedule.Order:
		return s.wrongOrder(after, x)
	case *schedule.Away:
		return s.firstOf(s.refer(after.Crew(x.Crew) != nil, x.Crew), s.fromTo(x.From, x.To))
	case *schedule.Shut:
		return s.fromTo(x.From, x.To)
	case *schedule.Opening:
		return s.wrongOpening(after, x)
	case *schedule.Photo:
		return s.wrongPhoto(x)
	case *schedule.Paper:
		return s.wrongPaper(x)
	case *schedule.Reading:
		return s.wrongReading(after, x)
	case *schedule.Note:
		if strings.TrimSpace(x.Said) == "" {
			return s.w.Say("refused.noName")
		}
	}
	return ""
}

func (s *sheet) firstOf(whys ...string) string {
	for _, w := range whys {
		if w != "" {
			return w
		}
	}
	return ""
}

// fits refuses a text of more letters than a field of that name holds.
func (e *Engine) fits(field, text string, limit int) bool {
	if utf8.RuneCountInString(text) > limit {
		return e.refuse("refused.long", "what", e.sheet.fieldName(field), "n", itoa(limit))
	}
	return true
}

// longText finds a text field beyond its limit.
func (s *sheet) longText(t reflect.Value) string {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(t.Type().Field(i).Tag.Get("json"), ",")
		limit := maxShort
		switch name {
		case "name", "goods", "contact", "phone", "email", "acked", "code", "agency":
			limit = maxName
		case "scope", "said", "bring", "ready", "wayIn", "body":
			limit = maxLong
		}
		n := 0
		switch {
		case f.Kind() == reflect.String:
			n = utf8.RuneCountInString(f.String())
		case f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.String:
			if f.Len() > 100 {
				n = limit + 1
			}
			for k := range f.Len() {
				n = max(n, utf8.RuneCountInString(f.Index(k).String()))
			}
		}
		if n > limit {
			return s.w.Say("refused.long", "what", s.fieldName(name), "n", itoa(limit))
		}
	}
	return ""
}

func (s *sheet) named(name string) string {
	if strings.TrimSpace(name) == "" {
		return s.w.Say("refused.noName")
	}
	return ""
}

func (s *sheet) count(field string, n, most int32) string {
	if n < 0 || n > most {
		return s.w.Say("refused.count", "field", s.fieldName(field), "n", strconv.Itoa(int(most)))
	}
	return ""
}

func (s *sheet) refer(ok bool, id string) string {
	if ok {
		return ""
	}
	if id == "" {
		return s.w.Say("refused.missing")
	}
	return s.w.Say("refused.unknown", "id", clip(id, 64))
}

func (s *sheet) fromTo(from, to schedule.Day) string {
	switch {
	case from == 0 || to == 0:
		return s.w.Say("refused.noDay")
	case to < from:
		return s.w.Say("refused.order", "from", s.w.Near(from, s.today()), "to", s.w.Near(to, s.today()))
	case to-from > 2*366:
		return s.w.Say("refused.span", "n", itoa(2*366))
	}
	return ""
}

func (s *sheet) wrongSite(x *schedule.Site) string {
	if x.Lang != "" && !words.Known(x.Lang) {
		return s.w.Say("refused.lang", "list", s.w.Languages())
	}
	if x.Back != 0 && x.Start != 0 && x.Back < x.Start {
		return s.w.Say("refused.order", "from", s.w.Near(x.Start, s.today()), "to", s.w.Near(x.Back, s.today()))
	}
	if x.AnswerBy < 0 || x.AnswerBy >= 24*60 {
		return s.w.Say("refused.hours")
	}
	for _, pct := range x.Weather {
		if why := s.count("weather", pct, 100); why != "" {
			return why
		}
	}
	if len(x.Weather) > 12 {
		return s.w.Say("refused.count", "field", s.fieldName("weather"), "n", "12")
	}
	if s.site.Name == "" && x.Name == "" { // a site that came with the owner's link has none yet; that stops nothing else
		return s.firstOf(s.phone(x.Phone), s.wrongPlace(x))
	}
	return s.firstOf(s.named(x.Name), s.phone(x.Phone), s.wrongPlace(x))
}

// phone wants the form the message program needs; empty is fine.
func (s *sheet) phone(p string) string {
	if p == "" || smsNumber(p) != "" {
		return ""
	}
	return s.w.Say("refused.phone", "phone", clip(p, 40))
}

func (s *sheet) wrongCrew(after *schedule.Site, x *schedule.Crew) string {
	if len(x.ID) > 44 { // "tomorrow/" + ID + "/2027-03-02" must be an ID too
		return s.w.Say("refused.id")
	}
	if x.Lang != "" && !words.Known(x.Lang) {
		return s.w.Say("refused.lang", "list", s.w.Languages())
	}
	for _, id := range x.Stands {
		if why := s.refer(after.Crew(id) != nil && id != x.ID, id); why != "" {
			return why
		}
	}
	for _, ex := range []*schedule.Extra{x.Saturday, x.Overtime} {
		if ex != nil && (ex.From < 0 || ex.To > 24*60 || ex.From >= ex.To || ex.Cost < 0) {
			return s.w.Say("refused.hours")
		}
	}
	if x.Twice != nil && x.Twice.Cost < 0 {
		return s.w.Say("refused.negative", "what", or(x.Name, x.ID))
	}
	return s.firstOf(s.named(x.Name), s.phone(x.Phone), s.count("size", x.Size, 200), s.count("teams", x.Teams, 50), s.count("noShow", x.NoShow, 100))
}

// maxLabour is 5,000 hours of one person: a crew of five for half a year.
const maxLabour = 5000 * 60

func (s *sheet) wrongActivity(after *schedule.Site, x *schedule.Activity) string {
	r := x.Labour
	if r.Typical < 0 || r.Low < 0 || r.High < 0 {
		return s.w.Say("refused.negative", "what", or(x.Name, x.ID))
	}
	if r.Typical > maxLabour || r.High > maxLabour {
		return s.w.Say("refused.tooLong", "what", or(x.Name, x.ID), "n", itoa(maxLabour/60))
	}
	if r.Typical == 0 && (r.Low > 0 || r.High > 0) {
		return s.w.Say("refused.noTypical", "what", or(x.Name, x.ID))
	}
	if r.Low > r.Typical || r.High != 0 && r.High < r.Typical {
		return s.w.Say("refused.range", "what", or(x.Name, x.ID))
	}
	if x.Crew != "" && after.Crew(x.Crew) == nil {
		return s.refer(false, x.Crew)
	}
	for _, id := range x.With {
		if why := s.refer(after.Crew(id) != nil, id); why != "" {
			return why
		}
	}
	if x.Place != "" && after.Place(x.Place) == nil {
		return s.refer(false, x.Place)
	}
	if x.Done < 0 || x.Done > 100 {
		return s.w.Say("refused.percent")
	}
	if b := x.Booking; b != schedule.Pencilled && b != schedule.Asked && b != schedule.Firm {
		return s.w.Say("refused.booking")
	}
	return s.firstOf(s.named(x.Name), s.count("hands", x.Hands, 200), s.wrongDates(x))
}

func (s *sheet) wrongDates(x *schedule.Activity) string {
	switch {
	case x.Started > s.now || x.Finished > s.now:
		return s.w.Say("refused.future", "when", s.w.Moment(max(x.Started, x.Finished), s.today()))
	case x.Finished != 0 && x.Started > x.Finished:
		return s.w.Say("refused.finishBefore", "what", x.Name, "when", s.w.Moment(x.Started, s.today()))
	case x.MustBy != 0 && x.NotBefore != 0 && x.MustBy < x.NotBefore.Day():
		return s.w.Say("refused.order", "from", s.w.Near(x.NotBefore.Day(), s.today()), "to", s.w.Near(x.MustBy, s.today()))
	}
	if was := s.acts[x.ID]; begun(x) && (was == nil || !begun(was)) {
		if text, must := s.mustAck(x); must {
			return s.w.Say("refused.caution", "what", x.Name, "caution", text)
		}
	}
	return ""
}

func (s *sheet) wrongHold(x *schedule.Hold) string {
	if x.Cutoff < 0 || x.Cutoff > 24*60 {
		return s.w.Say("refused.hours")
	}
	return s.firstOf(s.named(x.Name), s.count("notice", x.Notice, 60), s.count("photos", x.Photos, 999), s.count("taken", x.Taken, 999), s.count("fails", x.Fails, 99), s.count("failPct", x.FailPct, 100))
}

func (s *sheet) wrongOrder(after *schedule.Site, x *schedule.Order) string {
	switch {
	case strings.TrimSpace(x.Goods) == "":
		return s.w.Say("refused.noName")
	case x.Due != 0 && x.Ordered != 0 && x.Due < x.Ordered:
		return s.w.Say("refused.order", "from", s.w.Near(x.Ordered, s.today()), "to", s.w.Near(x.Due, s.today()))
	case x.Arrived != 0 && x.Arrived > s.today():
		return s.w.Say("refused.future", "when", s.w.Near(x.Arrived, s.today()))
	case x.Stands != "" && after.Place(x.Stands) == nil:
		return s.refer(false, x.Stands)
	case x.Cost < 0 || x.WeightKg < 0:
		return s.w.Say("refused.negativeNumber")
	}
	return s.firstOf(s.count("lead", x.Lead, 730), s.firmEarly(x))
}

func (s *sheet) wrongOpening(after *schedule.Site, x *schedule.Opening) string {
	if x.From < 0 || x.To > 24*60 || x.From >= x.To || x.Cost < 0 {
		return s.w.Say("refused.hours")
	}
	if x.Day == 0 {
		return s.w.Say("refused.noDay")
	}
	return s.refer(after.Crew(x.Crew) != nil, x.Crew)
}

// maxThick is a yard, in sixty-fourths of an inch: no slab of a room is thicker.
const maxThick = 36 * 64

// maxLag is a year of minutes: no curing takes longer.
const maxLag = 366 * 24 * 60

func (s *sheet) wrongLink(after *schedule.Site, x *schedule.Link) string {
	node := func(id string) bool {
		return after.Activity(id) != nil || after.Hold(id) != nil || after.Order(id) != nil
	}
	if why := s.firstOf(s.refer(node(x.From), x.From), s.refer(node(x.To), x.To)); why != "" {
		return why
	}
	switch x.Kind {
	case "", schedule.FS, schedule.SS, schedule.FF, schedule.SF:
	default:
		return s.w.Say("refused.linkKind")
	}
	if x.Thick < 0 || x.Thick > maxThick {
		return s.w.Say("refused.huge", "field", s.fieldName("thick"))
	}
	if x.Lag > maxLag || x.Lag < -maxLag {
		return s.w.Say("refused.lag")
	}
	for i := range after.Links {
		if k := &after.Links[i]; k.ID != x.ID && k.From == x.From && k.To == x.To && or(string(k.Kind), "FS") == or(string(x.Kind), "FS") && s.site.Link(x.ID) == nil {
			return s.w.Say("refused.linked", "from", s.nameIn(after, x.From), "to", s.nameIn(after, x.To))
		}
	}
	if chain := circle(after, x); chain != nil {
		names := make([]string, len(chain))
		for i, id := range chain {
			names[i] = s.nameIn(after, id)
		}
		if x.From == x.To {
			return s.w.Say("refused.itself", "what", s.nameIn(after, x.From))
		}
		return s.w.Say("refused.circle", "from", s.nameIn(after, x.From), "to", s.nameIn(after, x.To), "chain", strings.Join(names, " → "))
	}
	return ""
}

// nameIn names a node of a site that is not the sheet's own.
func (s *sheet) nameIn(site *schedule.Site, id string) string {
	if a := site.Activity(id); a != nil {
		return or(a.Name, id)
	}
	return s.name(id)
}

// circle follows the links on from the new one's end; when that leads back to its start, it returns
// the way round, beginning and ending with the same node.
func circle(site *schedule.Site, link *schedule.Link) []string {
	next := map[string][]string{}
	for i := range site.Links {
		if k := &site.Links[i]; k.ID != link.ID {
			next[k.From] = append(next[k.From], k.To)
		}
	}
	came := map[string]string{link.To: ""}
	todo := []string{link.To}
	for len(todo) > 0 {
		x := todo[0]
		todo = todo[1:]
		if x == link.From {
			chain := []string{}
			for y := x; y != ""; y = came[y] {
				chain = append(chain, y)
			}
			slices.Reverse(chain)
			return append([]string{link.From}, chain...)
		}
		for _, y := range next[x] {
			if _, seen := came[y]; !seen {
				came[y] = x
				todo = append(todo, y)
			}
		}
	}
	return nil
}

func sortedKeys(m map[string]json.RawMessage) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	order(keys, func(i, j int) bool { return keys[i] < keys[j] })
	return keys
}

// plainValue is a JSON value as a person wrote it.
func plainValue(v json.RawMessage) string {
	var s string
	if json.Unmarshal(v, &s) == nil {
		return s
	}
	return string(v)
}

func (s *sheet) fieldName(name string) string {
	if key := "field." + name; s.w.Has(key) {
		return s.w.Say(key)
	}
	return name
}
