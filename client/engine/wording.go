package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A wording is the text of one kind of message in one language, with blanks in braces. The standard ones
// are sentences of words; what the owner writes instead is data of the site. Blanks are kept under one
// name ({wayIn}) whatever the language, and shown as plain words ({way in}, {entrada}); any language's
// word is understood.

// wordingBlanks are the kinds of text that have a wording, in the order they are shown, with their blanks.
var wordingBlanks = []struct {
	kind   string
	blanks []string
}{
	{"tomorrow", []string{"site", "day", "time", "was", "address", "wayIn", "work", "ready", "bring", "others", "page", "contact", "name"}},
	{"moved", []string{"site", "list", "address", "wayIn", "page", "contact", "name"}},
	{"ask", []string{"site", "list", "address", "wayIn", "replyBy", "page", "contact", "name"}},
	{"remind", []string{"site", "in", "list", "address", "wayIn", "page", "contact", "name"}},
	{"go", []string{"site", "before", "signed", "list", "address", "wayIn", "page", "contact", "name"}},
	{"off", []string{"site", "list", "address", "contact", "name"}},
	{"callIn", []string{"site", "address", "what", "code", "when", "ready", "wayIn", "contact", "name"}},
	{"order", []string{"site", "what", "quantity", "when", "address", "wayIn", "place", "replyBy", "contact", "name"}},
	{"reorder", []string{"site", "what", "quantity", "when", "was", "address", "wayIn", "place", "replyBy", "contact", "name"}},
	{"street", []string{"site", "address", "when", "noise", "dust", "deliveries", "hours", "contact"}},
}

// wordingOf is the kind of wording a kind of text goes by.
func wordingOf(kind string) string {
	if kind == "remind14" || kind == "remind7" {
		return "remind"
	}
	return kind
}

func blanksOf(kind string) []string {
	for _, x := range wordingBlanks {
		if x.kind == kind {
			return x.blanks
		}
	}
	return nil
}

// maxWording bounds what the owner writes, in bytes: a text of ten messages and its blanks.
const maxWording = 2000

// wording is the text that stands for a kind in a language: the owner's own, or the standard one.
func (s *sheet) wording(kind string, w *words.Lang) (text string, own bool) {
	id := kind + "." + w.Code
	for i := range s.site.Wordings {
		if x := &s.site.Wordings[i]; x.ID == id && x.Text != "" {
			return x.Text, true
		}
	}
	return w.Say("wording." + kind), false
}

// blanks are what stands in the blanks of one text, by name.
type blanks map[string]string

// fillBlanks writes a text. A line of which all blanks are empty is left out, so that a site without a
// way in has no line "Way in:". A value that ends its sentence itself ends it once.
func fillBlanks(text string, b blanks) string {
	var out []string
	for _, line := range strings.Split(text, "\n") {
		full, any, some := fillLine(line, b)
		if !any || some {
			out = append(out, strings.TrimSpace(full))
		}
	}
	return strings.TrimSpace(strings.Join(out, "\n"))
}

// nothing stands for an empty blank while its line is put together; no text holds it (a NUL).
const nothing = "\x00"

// tidy takes out what joined an empty blank to its line: "Old Laundry, : can you come?" has one comma too many.
var tidy = strings.NewReplacer(", "+nothing, "", ": "+nothing, "", nothing+", ", "", nothing+": ", "", " "+nothing, "", nothing, "")

// fillLine fills one line: whether it has a blank, and whether one of them has something in it.
func fillLine(line string, b blanks) (full string, any, some bool) {
	full = eachBlank(line, func(name string) string {
		any, some = true, some || b[name] != ""
		return or(b[name], nothing)
	})
	return tidy.Replace(full), any, some
}

// eachBlank puts what "of" gives in the place of each blank.
func eachBlank(text string, of func(name string) string) string {
	var out strings.Builder
	for {
		before, rest, ok := strings.Cut(text, "{")
		name, after, closed := strings.Cut(rest, "}")
		if !ok || !closed {
			out.WriteString(text)
			return out.String()
		}
		v := of(name)
		out.WriteString(before + v)
		if strings.HasSuffix(v, ".") && strings.HasPrefix(after, ".") {
			after = after[1:]
		}
		text = after
	}
}

// keepBlanks turns what the owner wrote into the form that is kept, or says what is wrong with it.
func (s *sheet) keepBlanks(kind, text string) (kept, why string) {
	var out strings.Builder
	rest := strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n"))
	for {
		before, tail, ok := strings.Cut(rest, "{")
		if strings.Contains(before, "}") {
			return "", s.w.Say("refused.brace")
		}
		out.WriteString(before)
		if !ok {
			break
		}
		name, after, closed := strings.Cut(tail, "}")
		if !closed || strings.ContainsAny(name, "{\n") {
			return "", s.w.Say("refused.brace")
		}
		key := blankCalled(kind, name)
		if key == "" {
			return "", s.w.Say("refused.blank", "blank", "{"+clip(name, 30)+"}", "blanks", strings.Join(s.blankNames(kind, s.w), " "))
		}
		out.WriteString("{" + key + "}")
		rest = after
	}
	kept = out.String()
	if len(kept) > maxWording {
		return "", s.w.Say("refused.wordingLong", "n", itoa(maxWording))
	}
	return kept, ""
}

// blankCalled finds a blank by its word in any language, or by its own name; case does not matter.
func blankCalled(kind, name string) string {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	for _, key := range blanksOf(kind) {
		if strings.ToLower(key) == name {
			return key
		}
		for _, code := range words.Codes {
			if strings.ToLower(words.In(code).Say("blank."+key)) == name {
				return key
			}
		}
	}
	return ""
}

// showBlanks is a kept text with its blanks in the words of a language.
func showBlanks(text string, w *words.Lang) string {
	return eachBlank(text, func(name string) string {
		if w.Has("blank." + name) {
			name = w.Say("blank." + name)
		}
		return "{" + name + "}"
	})
}

func (s *sheet) blankNames(kind string, w *words.Lang) (out []string) {
	for _, key := range blanksOf(kind) {
		out = append(out, "{"+w.Say("blank."+key)+"}")
	}
	return out
}

// wordingsView shows the wordings, and one of them opened: as it stands or as the owner is writing it.
func (s *sheet) wordingsView(id string, draft *string) *WordingsView {
	v := &WordingsView{Plain: s.site.Plain}
	for _, x := range wordingBlanks {
		for _, code := range words.Codes {
			text, own := s.wording(x.kind, words.In(code))
			line := WordingLine{ID: x.kind + "." + code, Name: s.w.Say("textKind." + x.kind), Lang: code, Language: words.In(code).Name, Own: own}
			line.Preview = clip(strings.ReplaceAll(showBlanks(text, words.In(code)), "\n", " "), 90)
			v.Lines = append(v.Lines, line)
		}
	}
	kind, code, _ := strings.Cut(id, ".")
	if blanksOf(kind) != nil && words.Known(code) {
		v.Open = s.openWording(kind, words.In(code), draft)
	}
	return v
}

func (s *sheet) openWording(kind string, w *words.Lang, draft *string) *WordingOpen {
	text, own := s.wording(kind, w)
	o := &WordingOpen{ID: kind + "." + w.Code, Name: s.w.Say("textKind." + kind), Lang: w.Code, Language: w.Name, Own: own,
		Text: showBlanks(text, w), Standard: showBlanks(w.Say("wording."+kind), w)}
	if draft != nil {
		kept, why := s.keepBlanks(kind, *draft)
		o.Text, o.Wrong = *draft, why
		if why == "" {
			text = kept
		}
	}
	for _, key := range blanksOf(kind) {
		o.Blanks = append(o.Blanks, Blank{"{" + w.Say("blank."+key) + "}", s.w.Say("blankNote." + key)})
	}
	b := s.sampleBlanks(kind, w)
	o.Example = s.finished(fillBlanks(text, b))
	o.Length = s.lengthWords(o.Example)
	if w != s.w {
		theirs, _ := s.wording(kind, s.w)
		o.Yours = fillBlanks(theirs, s.sampleBlanks(kind, s.w))
	}
	return o
}

// finished is a text as it goes out: without typographic signs, cut to what networks take, and in plain
// letters where the owner wants that.
func (s *sheet) finished(text string) string {
	text = words.Plain(text)
	if s.site.Plain {
		text = plainLetters(text)
	}
	if r := []rune(text); len(r) > maxBody {
		return string(r[:maxBody-3]) + "..."
	}
	return text
}

// lengthWords says how long a text is, and what odd letters cost.
func (s *sheet) lengthWords(text string) string {
	l := lengthOf(text)
	letters, parts := s.w.Count("length.letters", int64(l.Letters)), s.w.Count("length.parts", int64(l.Parts))
	plain := s.w.Say("length.plain", "letters", letters, "parts", parts)
	if l.Odd == "" {
		return plain
	}
	fewer := lengthOf(plainLetters(text))
	if fewer.Odd != "" || fewer.Parts == l.Parts {
		return plain
	}
	var odd []string
	for _, r := range l.Odd {
		odd = append(odd, string(r))
	}
	return s.w.Say("length.wide", "letters", letters, "parts", parts, "fewer", s.w.Count("length.parts", int64(fewer.Parts)), "odd", strings.Join(odd, " "))
}

// ownWording keeps a wording (ID, Said), or takes it back to the standard one (empty Said).
func (e *Engine) ownWording(r Request) {
	if !e.mayWrite() {
		return
	}
	s := e.sheet
	kind, code, _ := strings.Cut(r.ID, ".")
	if blanksOf(kind) == nil || !words.Known(code) {
		e.refuse("refused.gone")
		return
	}
	w := words.In(code)
	name := s.w.Say("textKind."+kind) + " (" + w.Name + ")"
	if r.Key == "reset" {
		if _, own := s.wording(kind, w); own && e.write(r, opsync.KindEdit, label{"wording", name}, []opsync.Edit{set("wording", r.ID, "text", "")}) {
			e.say("said.wordingReset")
		}
		return
	}
	kept, why := s.keepBlanks(kind, r.Said)
	if why != "" {
		e.refused = why
		return
	}
	if kept == "" {
		e.refuse("refused.wordingEmpty")
		return
	}
	text := kept
	if kept == w.Say("wording."+kind) { // the standard one, written out: stay with it when it gets better
		text = ""
	}
	if have, _ := s.wording(kind, w); have == kept {
		e.say("said.same")
		return
	}
	if e.write(r, opsync.KindEdit, label{"wording", name}, []opsync.Edit{set("wording", r.ID, "text", text)}) {
		e.say("said.wording")
	}
}

// sampleBlanks fills a preview from the site itself: the next text of that kind, or what comes nearest.
func (s *sheet) sampleBlanks(kind string, w *words.Lang) blanks {
	var best *letter
	for _, l := range s.sampleLetters() {
		if wordingOf(l.kind) != kind {
			continue
		}
		if best == nil || s.langOf(l.about) == w && s.langOf(best.about) != w {
			best = &l
		}
	}
	if best == nil {
		best = s.madeUp(kind)
	}
	if best == nil {
		return s.common(w, "")
	}
	return s.blanksFor(w, *best)
}

// madeUp is a text of a kind that nobody needs now, about the next work there is.
func (s *sheet) madeUp(kind string) *letter {
	for _, id := range s.byStart() {
		l := s.lines[id]
		switch {
		case l.Start >= schedule.Never:
		case kind == "callIn" && s.holds[id] != nil, (kind == "order" || kind == "reorder") && s.orders[id] != nil:
			return &letter{kind: kind, about: id, acts: []string{id}, day: l.Start.Day()}
		case s.acts[id] != nil && !slices.Contains([]string{"callIn", "order", "reorder", "street"}, kind):
			if c := s.crews[s.acts[id].Crew]; c != nil && !c.Own {
				return &letter{kind: kind, about: c.ID, acts: []string{id}, day: l.Start.Day()}
			}
		}
	}
	if kind == "street" {
		return &letter{kind: kind, about: "street", day: s.today()}
	}
	return nil
}
