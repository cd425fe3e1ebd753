package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/client/engine/measure"
	"batterboard/client/engine/trade"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// What meters say, and what it makes of the waits in the plan. A reading never moves anything by itself:
// it is kept with its time, the waits that follow from it stand beside those of the plan, and somebody takes
// them over, by hand or with a way.

// readingKinds are the things one measures on such a site, in the order of the list.
var readingKinds = []string{"air", "framing", "subfloor", "wood", "slab"}

// lastReading is the latest of a kind in a place, or without a place; nil where nobody has measured.
func (s *sheet) lastReading(of, place string) (last *schedule.Reading) {
	for i := range s.site.Readings {
		r := &s.site.Readings[i]
		if r.Of != of || place != "" && r.Place != "" && r.Place != place || of == "air" && (r.Temp == nil || r.Humidity == 0) {
			continue
		}
		if last == nil || r.At > last.At || r.At == last.At && r.ID > last.ID {
			last = r
		}
	}
	return last
}

// airAt is the air that something in a place dries in.
func (s *sheet) airAt(place string) (trade.Air, *schedule.Reading) {
	if r := s.lastReading("air", place); r != nil {
		return trade.Air{TempF: trade.Fahrenheit(*r.Temp), Humidity: r.Humidity}, r
	}
	return trade.Usual, nil
}

// placeOf is where a link's wait goes on: where the work in front of it is, or behind it.
func (s *sheet) placeOf(k *schedule.Link) string {
	if a := s.acts[k.From]; a != nil && a.Place != "" {
		return a.Place
	}
	if a := s.acts[k.To]; a != nil {
		return a.Place
	}
	return ""
}

// waiting says whether a link's wait is still ahead or under way.
func (s *sheet) waiting(k *schedule.Link) bool {
	return k.Wait != "" && s.isNode(k.From) && s.isNode(k.To) && s.lines[k.To] != nil && !s.lines[k.To].Frozen
}

// saidWait is what the rule makes of a link's wait, as it would stand in the plan, and whether that is
// something else. Where nobody has measured, the plan's own wait is as good as the usual one.
func (s *sheet) saidWait(k *schedule.Link) (span trade.Span, lag int32, differs bool) {
	air, r := s.airAt(s.placeOf(k))
	span, ok := trade.WaitFor(k.Wait, air, k.Thick)
	if !ok {
		return span, k.Lag, false
	}
	lag = min(trade.Rounded(span.Typical), maxLag)
	return span, lag, r != nil && trade.Airy(k.Wait) && lag != k.Lag
}

// waitEdits are the links whose waits the readings see otherwise; with an ID only that one.
func (s *sheet) waitEdits(only string) (edits []opsync.Edit) {
	for i := range s.site.Links {
		k := &s.site.Links[i]
		if only != "" && k.ID != only || !s.waiting(k) {
			continue
		}
		if _, lag, differs := s.saidWait(k); differs {
			edits = append(edits, set("link", k.ID, "lag", lag, "clock", true))
		}
	}
	return edits
}

func (e *Engine) readingsView(s *sheet) *ReadingsView {
	v := &ReadingsView{Metric: s.units() == measure.Metric, Foot: s.w.Say("readings.foot"), Checks: s.readingChecks()}
	var links []*schedule.Link
	for i := range s.site.Links {
		if k := &s.site.Links[i]; s.waiting(k) {
			links = append(links, k)
		}
	}
	order(links, func(i, j int) bool {
		return before(s.lines[links[i].To].Start, s.lines[links[j].To].Start, links[i].ID, links[j].ID)
	})
	for _, k := range links {
		if l, ok := s.waitLine(k); ok {
			v.Waits = append(v.Waits, l)
			if l.Differs {
				v.Differ++
			}
		}
	}
	if edits := s.waitEdits(""); len(edits) > 0 {
		v.Effect = e.whatIf(edits)
	}
	for i := range s.site.Readings {
		v.Readings = append(v.Readings, s.readingLine(&s.site.Readings[i]))
	}
	order(v.Readings, func(i, j int) bool {
		return before(v.Readings[j].At, v.Readings[i].At, v.Readings[j].ID, v.Readings[i].ID)
	})
	if len(v.Readings) > 200 {
		v.Readings = v.Readings[:200]
	}
	for _, p := range s.site.Places {
		v.Places = append(v.Places, Choice{ID: p.ID, Name: p.Name})
	}
	for _, k := range readingKinds {
		v.Kinds = append(v.Kinds, Choice{ID: k, Name: s.w.Say("reading." + k)})
	}
	switch {
	case v.Differ > 0:
		v.Line = s.w.Count("readings.differ", int64(v.Differ))
	case len(v.Readings) == 0:
		v.Line = s.w.Say("readings.none")
	default:
		v.Line = s.w.Say("readings.agree")
	}
	return v
}

// whatIf says what edits would do to the finish.
func (e *Engine) whatIf(edits []opsync.Edit) string {
	after, err := applied(e.site, edits)
	if err != nil {
		return ""
	}
	now := newSheet(after, schedule.Lay(after, e.sheet.now), e.sheet.now, e.sheet.w)
	return now.finishShift(e.sheet.plan.Finish)
}

func (s *sheet) waitLine(k *schedule.Link) (WaitLine, bool) {
	span, lag, differs := s.saidWait(k)
	name := trade.WaitName(k.Wait, s.w.Code)
	if name == "" {
		return WaitLine{}, false
	}
	air, r := s.airAt(s.placeOf(k))
	v := WaitLine{Link: k.ID, Name: s.name(k.From) + " → " + s.name(k.To), Rule: name, Now: s.long(k.Lag), Says: s.long(lag), Differs: differs,
		How: span.How.In(s.w.Code), Source: s.source(span.Source), Mark: s.w.Say("mark." + string(span.Mark)), Setting: k.Wait == trade.Coat}
	if span.Low != span.High {
		v.Says += " (" + s.long(trade.Rounded(span.Low)) + " – " + s.long(trade.Rounded(span.High)) + ")"
	}
	if trade.Airy(k.Wait) {
		if r == nil {
			v.Basis = s.w.Say("readings.usual", "air", s.airWords(air))
		} else {
			v.Basis = s.w.Say("readings.basis", "when", s.w.Moment(r.At, s.today()), "air", s.airWords(air))
		}
	}
	if l := s.lines[k.From]; l != nil {
		v.When = s.w.Say("readings.from", "when", s.w.Moment(l.Finish, s.today()))
	}
	v.Shorter = s.shorter(k, air, lag, span)
	return v, true
}

// long says a time the way one speaks of drying: "45 min", "17 h", "3 days".
func (s *sheet) long(min int32) string {
	switch {
	case min < 60:
		return itoa(int(min)) + " min"
	case min >= 3*24*60 || min%(24*60) == 0 && min > 24*60:
		return s.w.Count("days", int64((min+12*60)/(24*60)))
	}
	return s.w.Effort(min)
}

func (s *sheet) units() measure.Units { return measure.Of(s.site.Units) }

func (s *sheet) airWords(a trade.Air) string {
	return s.degrees(a.TempF) + ", " + itoa(int(a.Humidity)) + " %"
}

// degrees writes whole degrees Fahrenheit in the site's units.
func (s *sheet) degrees(f int32) string {
	if s.units() == measure.Metric {
		return measure.Temp(int64(f-32)*50/9, measure.Metric)
	}
	return itoa(int(f)) + " °F"
}

// shorter says what would shorten a wait: warmer, drier and other stuff where the formula knows, and the
// trade's own words.
func (s *sheet) shorter(k *schedule.Link, air trade.Air, lag int32, span trade.Span) (out []string) {
	try := func(key string, a trade.Air, id string, gaps ...string) {
		if x, ok := trade.WaitFor(id, a, k.Thick); ok && trade.Rounded(x.Typical) < lag {
			out = append(out, s.w.Say(key, append(gaps, "n", s.long(trade.Rounded(x.Typical)))...))
		}
	}
	if trade.Airy(k.Wait) {
		warm, dry := air, air
		warm.TempF, dry.Humidity = max(air.TempF, min(air.TempF+10, 85)), min(air.Humidity, max(air.Humidity-15, 30))
		try("shorter.warm", warm, k.Wait, "air", s.degrees(warm.TempF))
		try("shorter.dry", dry, k.Wait, "air", itoa(int(dry.Humidity))+" %")
	}
	if k.Wait == trade.Coat {
		try("shorter.setting", air, trade.CoatSetting)
	}
	if w := span.Shorter.In(s.w.Code); w != "" && len(out) == 0 {
		out = append(out, s.w.Say("shorter.words", "what", w))
	}
	return out
}

func (s *sheet) readingLine(r *schedule.Reading) ReadingLine {
	return ReadingLine{ID: r.ID, At: r.At, When: s.w.Moment(r.At, s.today()), Text: s.readingText(r), By: r.By, Said: r.Said}
}

func (s *sheet) readingText(r *schedule.Reading) string {
	var parts []string
	if r.Temp != nil {
		parts = append(parts, measure.Temp(int64(*r.Temp), s.units()))
	}
	if r.Humidity != 0 {
		parts = append(parts, s.w.Say("reading.rh", "n", itoa(int(r.Humidity))))
	}
	if r.Moisture != 0 {
		parts = append(parts, s.w.Say("reading.moist", "n", tenthsText(r.Moisture)))
	}
	what := s.w.Say("reading." + r.Of)
	if !s.w.Has("reading." + r.Of) {
		what = r.Of
	}
	if r.Place != "" {
		what += ", " + s.name(r.Place)
	}
	return what + ": " + strings.Join(parts, ", ")
}

func tenthsText(n int32) string {
	t := itoa(int(n / 10))
	if n%10 != 0 {
		t += "." + itoa(int(n%10))
	}
	return t
}

// readingChecks hold the latest readings against the limits of work that is still ahead.
func (s *sheet) readingChecks() (out []string) {
	ahead := map[string]bool{} // trades with work to start
	for i := range s.site.Activities {
		if a := &s.site.Activities[i]; a.Finished == 0 {
			ahead[s.trade(a.Crew)] = true
		}
	}
	say := func(key string, f trade.Figure, n string) {
		out = append(out, s.w.Say(key, "n", n, "limit", itoa(int(f.Typical)), "source", s.source(f.Source)))
	}
	if air, r := s.airAt(""); r != nil {
		cold, key := trade.LimitOf("tape-cold"), "check.tapeCold"
		if !ahead["taping"] || ahead["board"] && air.TempF < int32(trade.LimitOf("board-cold").Typical) {
			cold, key = trade.LimitOf("board-cold"), "check.boardCold"
		}
		if air.TempF < int32(cold.Typical) && (ahead["taping"] || ahead["board"]) {
			out = append(out, s.w.Say(key, "n", s.degrees(air.TempF), "limit", s.degrees(int32(cold.Typical)), "source", cold.Source))
		}
		if low, high := trade.LimitOf("wood-dry-air"), trade.LimitOf("wood-damp-air"); s.lastReading("wood", "") != nil && ahead["floor"] &&
			(air.Humidity < int32(low.Typical) || air.Humidity > int32(high.Typical)) {
			out = append(out, s.w.Say("check.woodAir", "n", itoa(int(air.Humidity)), "low", itoa(int(low.Typical)), "high", itoa(int(high.Typical)), "source", low.Source))
		}
	}
	if r := s.lastReading("framing", ""); r != nil && ahead["insulation"] {
		if f := trade.LimitOf("framing-wet"); int64(r.Moisture) > f.Typical*10 {
			say("check.framingWet", f, tenthsText(r.Moisture))
		}
	}
	if r := s.lastReading("slab", ""); r != nil && ahead["floor"] {
		if f := trade.LimitOf("slab-damp"); int64(r.Humidity) > f.Typical {
			say("check.slabDamp", f, itoa(int(r.Humidity)))
		}
	}
	wood, sub := s.lastReading("wood", ""), s.lastReading("subfloor", "")
	if wood != nil && sub != nil && ahead["floor"] {
		apart := max(wood.Moisture-sub.Moisture, sub.Moisture-wood.Moisture)
		plank, strip := trade.LimitOf("wood-plank"), trade.LimitOf("wood-strip")
		switch {
		case int64(apart) > strip.Typical*10:
			say("check.woodApart", strip, tenthsText(apart))
		case int64(apart) > plank.Typical*10:
			say("check.plankApart", plank, tenthsText(apart))
		default:
			say("check.woodSettled", plank, tenthsText(apart))
		}
	}
	return out
}

// reading keeps what a meter said.
func (e *Engine) reading(r Request) {
	if !e.mayWrite() {
		return
	}
	fields := map[string]json.RawMessage{"at": value(r.Now), "by": value(e.who(e.device))}
	for k, v := range r.Fields {
		fields[k] = v
	}
	if n := len(e.site.Readings); n >= schedule.MaxReadings {
		e.refuse("refused.full", "n", itoa(n), "what", e.words().Say("kind.reading"))
		return
	}
	edit, why := e.checkedRaw("reading", e.newID(), fields)
	if why != "" {
		e.refused = why
		return
	}
	for k, v := range edit.Set { // any order: each is looked at alone
		if string(v) == "null" {
			delete(edit.Set, k)
		}
	}
	after, _ := applied(e.site, []opsync.Edit{edit})
	text := e.sheet.readingText(&after.Readings[len(after.Readings)-1])
	if e.write(r, opsync.KindEdit, label{"reading", text}, []opsync.Edit{edit}) {
		e.said = e.words().Say("said.reading", "what", text)
		if n := len(e.sheet.waitEdits("")); n > 0 {
			e.said += " " + e.words().Count("readings.differ", int64(n))
		}
	}
}

// wrongReading says what is wrong with a reading.
func (s *sheet) wrongReading(after *schedule.Site, x *schedule.Reading) string {
	switch {
	case !slices.Contains(readingKinds, x.Of):
		return s.w.Say("refused.readingOf")
	case x.Temp == nil && x.Humidity == 0 && x.Moisture == 0:
		return s.w.Say("refused.readingEmpty")
	case x.Of == "air" && (x.Temp == nil || x.Humidity == 0):
		return s.w.Say("refused.readingAir")
	case x.Temp != nil && (*x.Temp < -400 || *x.Temp > 600), x.Humidity < 0, x.Humidity > 100, x.Moisture < 0, x.Moisture > 1000:
		return s.w.Say("refused.readingRange")
	case x.At > s.now:
		return s.w.Say("refused.future", "when", s.w.Moment(x.At, s.today()))
	case x.At == 0:
		return s.w.Say("refused.noDay")
	case x.Place != "" && after.Place(x.Place) == nil:
		return s.refer(false, x.Place)
	}
	return ""
}

// waits takes over what the readings say: all of it, or one link's. Key "own" keeps the plan's own wait,
// which then is nobody's rule; "setting" does a coat with compound that sets by itself.
func (e *Engine) waits(r Request) {
	if !e.mayWrite() {
		return
	}
	k := e.site.Link(r.ID)
	if r.ID != "" && (k == nil || k.Wait == "") || r.ID == "" && r.Key != "" {
		e.refuse("refused.gone")
		return
	}
	edits := e.sheet.waitEdits(r.ID)
	switch r.Key {
	case "own":
		edits = []opsync.Edit{set("link", r.ID, "wait", nil)}
	case "setting":
		span, _ := trade.WaitFor(trade.CoatSetting, trade.Usual, 0)
		edits = []opsync.Edit{set("link", r.ID, "wait", trade.CoatSetting, "lag", span.Typical, "clock", true, "why", e.words().Say("wait.setting"))}
	case "":
	default:
		e.refuse("refused.gone")
		return
	}
	if len(edits) == 0 {
		e.say("said.same")
		return
	}
	was := e.sheet.plan.Finish
	if e.write(r, opsync.KindEdit, label{"waits"}, edits) {
		e.sayChanged(was)
		if r.Key == "" {
			e.said = e.words().Say("said.waits") + " " + e.sheet.finishShift(was)
		}
	}
}

// waitsChange is the same as a question for ways.
func (e *Engine) waitsChange() ([]opsync.Edit, string, label, bool) {
	edits := e.sheet.waitEdits("")
	if len(edits) == 0 {
		return nil, "", nil, e.refuse("refused.waitsSame")
	}
	return edits, e.words().Say("title.waits"), label{"way.waits"}, true
}

// waitKept gives a link that is given a wait, and no time of its own, the time of the rule.
func (e *Engine) waitKept(edit *opsync.Edit) {
	var id string
	if json.Unmarshal(edit.Set["wait"], &id) != nil || id == "" || edit.Set["lag"] != nil {
		return
	}
	after, err := applied(e.site, []opsync.Edit{*edit})
	if err != nil {
		return
	}
	if k := after.Link(edit.ID); k != nil {
		if _, lag, _ := e.sheet.saidWait(k); lag != k.Lag {
			edit.Set["lag"], edit.Set["clock"] = value(lag), value(true)
		}
	}
}

// waitChoices are the waits a link may take.
func (s *sheet) waitChoices() (out []Choice) {
	for _, id := range trade.WaitIDs() {
		out = append(out, Choice{ID: id, Name: trade.WaitName(id, s.w.Code)})
	}
	return out
}

// source names where a fact is from; that there is none is said in the owner's language.
func (s *sheet) source(text string) string {
	for _, none := range []string{"common practice, no source", "from memory"} {
		if rest, ok := strings.CutPrefix(text, none); ok {
			return s.w.Say("source."+none[:4]) + rest
		}
	}
	return text
}

// pounds writes tenths of a pound in the site's units.
func (s *sheet) pounds(tenths int64) string {
	if s.units() == measure.Metric {
		return tenthsText(int32((tenths*4536+5000)/10000)) + " kg"
	}
	return tenthsText(int32(tenths)) + " lb"
}

// load writes what a floor carries, given in pounds a square foot.
func (s *sheet) load(psf int64) string {
	if s.units() == measure.Metric {
		return itoa(int((psf*4882+500)/1000)) + " kg/m²"
	}
	return s.w.Say("load", "n", itoa(int(psf)))
}
