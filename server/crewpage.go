package main

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"log/slog"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"batterboard/client/engine"
	"batterboard/schedule"
)

//go:embed crewpage
var crewFiles embed.FS

var crewHTML = template.Must(template.New("").Funcs(template.FuncMap{"photo": photoLine, "papers": paperList}).ParseFS(crewFiles, "crewpage/page.html"))

// photoLine is what the template needs of one picture.
func photoLine(c crewPage, p engine.CrewPhoto) any {
	alt := p.Said
	if alt == "" {
		alt = c.W.PhotoOf + " " + p.When
	}
	return struct{ Path, File, Small, Alt string }{c.Path, p.File, p.Small, alt}
}

// paperList is what the template needs of some papers.
func paperList(c crewPage, list []engine.CrewPaper) any {
	return struct {
		Path string
		P    []engine.CrewPaper
	}{c.Path, list}
}

// crewLook is the style sheet, under a name that changes with it.
var crewLook, crewLookPath = func() ([]byte, string) {
	css, err := crewFiles.ReadFile("crewpage/look.css")
	if err != nil {
		panic("this cannot be: the style sheet is embedded: " + err.Error())
	}
	sum := sha256.Sum256(css)
	return css, "/c/look." + hex.EncodeToString(sum[:5]) + ".css"
}()

// crewPolicy allows a crew's page its style sheet and its own forms. There is no script.
const crewPolicy = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// maxCrewAnswers bounds what one crew can write into a site's log from its page.
const maxCrewAnswers = 2000

// crewPage is everything that goes into the template.
type crewPage struct {
	W          *crewWords
	P          engine.CrewPage
	Title      string
	Look, Path string
	Tel        template.URL // our own: digits only, see telHref
	Webcal     template.URL // our own
	Geo        template.URL // our own: see engine.CrewPage.Geo
	Say        string       // what became of an answer
	Good       bool
	Lates      []int
	Shares     []int
	Lines      []string // on the page that says that the link is no good

	// On the page that asks whether it is right.
	V    engine.CrewVisit
	A    engine.CrewAnswer
	Ask  string
	Last uint32
}

var (
	lateChoices  = []int{10, 15, 20, 30, 45, 60, 90, 120, 180}
	shareChoices = []int{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}
)

// crewVisitor is a request that came with a good address.
type crewVisitor struct {
	linkRecord
	code string
	site *site
}

// crewAt opens what an address leads to. When it leads nowhere the answer is written already.
func (s *server) crewAt(w http.ResponseWriter, q *http.Request, tries *limiter) (v crewVisitor, ok bool, err error) {
	s.crewHeaders(w)
	if !tries.take(s.address(q)) {
		return v, false, s.crewSorry(w, http.StatusTooManyRequests, func(w *crewWords) []string { return []string{w.TooMany} })
	}
	v.code = q.PathValue("code")
	v.linkRecord, err = s.store.crewOf(v.code, s.now())
	if errors.Is(err, errLink) {
		return v, false, s.noCrew(w)
	}
	if err != nil {
		return v, false, err
	}
	v.site, err = s.sites.at(v.Site)
	return v, err == nil, err
}

func (s *server) crewHeaders(w http.ResponseWriter) {
	h := w.Header()
	h.Set("Content-Security-Policy", crewPolicy)
	h.Set("X-Robots-Tag", "noindex, nofollow, noarchive")
	h.Set("Content-Type", "text/html; charset=utf-8")
}

func (s *server) noCrew(w http.ResponseWriter) error {
	return s.crewSorry(w, http.StatusNotFound, func(w *crewWords) []string { return []string{w.GoneTitle + ". " + w.GoneSay} })
}

// crewSorry is a page in both languages: whoever opens a dead link has none we know of.
func (s *server) crewSorry(w http.ResponseWriter, status int, lines func(*crewWords) []string) error {
	en, es := crewLanguages["en"], crewLanguages["es"]
	p := crewPage{W: en, Title: en.GoneTitle + " · " + es.GoneTitle, Look: crewLookPath, Lines: append(lines(en), lines(es)...)}
	if status == http.StatusTooManyRequests {
		p.Title = "Batterboard"
	}
	return s.crewWrite(w, status, "gone", p)
}

func (s *server) crewWrite(w http.ResponseWriter, status int, name string, p crewPage) error {
	var b bytes.Buffer
	if err := crewHTML.ExecuteTemplate(&b, name, p); err != nil {
		return fmt.Errorf("crew page: %w", err)
	}
	w.Header().Set("Content-Length", strconv.Itoa(b.Len()))
	w.WriteHeader(status)
	if _, err := w.Write(b.Bytes()); err != nil {
		slog.Debug("page not sent", "err", err)
	}
	return nil
}

// crewShow is GET: it reads and shows. Nothing that is asked with GET answers for anybody.
func (s *server) crewShow(w http.ResponseWriter, q *http.Request) error {
	v, ok, err := s.crewAt(w, q, s.pages)
	if err != nil || !ok {
		return err
	}
	return s.crewDraw(w, q, v, http.StatusOK, "", false)
}

// crewDraw writes a crew's page as things stand, with a sentence about what became of an answer.
func (s *server) crewDraw(w http.ResponseWriter, q *http.Request, v crewVisitor, status int, say string, good bool) error {
	p, ok := v.site.crewPage(v.Crew, s.siteNow)
	if !ok {
		return s.noCrew(w)
	}
	c := s.crewBlank(q, v, p)
	c.Say, c.Good = say, good
	return s.crewWrite(w, status, "page", c)
}

func (s *server) crewBlank(q *http.Request, v crewVisitor, p engine.CrewPage) crewPage {
	_, host, _ := strings.Cut(s.base(q), "://")
	p = s.onlyHere(v.Site, p)
	return crewPage{W: crewWordsIn(p.Lang), P: p, Title: p.Name + " · " + p.Site, Look: crewLookPath, Path: "/c/" + v.code,
		Tel: telHref(p.Phone), Geo: template.URL(p.Geo), Webcal: template.URL("webcal://" + host + "/c/" + v.code + "/days.ics"), Lates: lateChoices, Shares: shareChoices}
}

// telHref is a tel: address (RFC 3966) of what somebody typed as a number, empty when it is none.
func telHref(phone string) template.URL {
	var b strings.Builder
	for i, r := range phone {
		switch {
		case r >= '0' && r <= '9', r == '+' && i == 0:
			b.WriteRune(r)
		case strings.ContainsRune(" -.()/\u00a0", r):
		default:
			return ""
		}
	}
	if n := len(strings.TrimPrefix(b.String(), "+")); n < 3 || n > 15 {
		return ""
	}
	return template.URL("tel:" + b.String())
}

// crewSay is POST: first it asks whether it is right, then it writes down.
func (s *server) crewSay(w http.ResponseWriter, q *http.Request) error {
	v, ok, err := s.crewAt(w, q, s.pages)
	if err != nil || !ok {
		return err
	}
	b := v.site.crewBoard(s.siteNow)
	p, ok := b.Page(v.Crew)
	if !ok {
		return s.noCrew(w)
	}
	words := crewWordsIn(p.Lang)
	if !s.fromOurPage(q) {
		return s.crewDraw(w, q, v, http.StatusForbidden, words.Foreign, false)
	}
	a, last, err := readAnswer(q)
	if err != nil {
		return s.crewDraw(w, q, v, http.StatusBadRequest, words.Form, false)
	}
	// Asked first as if it were written, so that a stale page hears of it before it is asked to confirm.
	if _, _, no := b.Answer(v.Crew, a, "0"); no != "" {
		return s.crewNot(w, q, v, words, no)
	}
	if q.PostForm.Get("sure") == "" {
		return s.crewAsk(w, q, v, p, a)
	}
	return s.crewTake(w, q, v, p, a, last)
}

// fromOurPage says whether a form came from a page of this server. No cookie is involved, so there is
// nothing another page could borrow; this only keeps honest mistakes out. The page forbids referrers,
// so its own forms come with "Origin: null" (Fetch, section 3.2), and old phones send nothing at all.
func (s *server) fromOurPage(q *http.Request) bool {
	if site := q.Header.Get("Sec-Fetch-Site"); site != "" {
		return site == "same-origin"
	}
	origin := q.Header.Get("Origin")
	return origin == "" || origin == "null" || s.sameOrigin(q)
}

// readAnswer reads the form. What was left empty is zero; what cannot be read is an error.
func readAnswer(q *http.Request) (a engine.CrewAnswer, last uint32, err error) {
	if err = q.ParseForm(); err != nil {
		return a, 0, err
	}
	f := q.PostForm
	a = engine.CrewAnswer{Visit: f.Get("visit"), Shown: f.Get("shown"), Do: f.Get("do"), Said: cleanSaid(f.Get("said"))}
	if a.Day, err = schedule.ParseDay(f.Get("day")); err != nil {
		return a, 0, err
	}
	if n := f.Get("count"); n != "" {
		count, err := strconv.ParseInt(n, 10, 32)
		if err != nil {
			return a, 0, err
		}
		a.Count = int32(count)
	}
	if n := f.Get("last"); n != "" {
		seq, err := strconv.ParseUint(n, 10, 32)
		if err != nil {
			return a, 0, err
		}
		last = uint32(seq)
	}
	return a, last, nil
}

// cleanSaid keeps what people write and drops what could only disturb.
func cleanSaid(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '\n' {
			return r
		}
		if r < ' ' || r == 0x7f || r == utf8.RuneError || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, strings.ReplaceAll(strings.ToValidUTF8(s, ""), "\r\n", "\n"))
	return strings.TrimSpace(s)
}

// crewNot answers what is not taken with the page as it stands now.
func (s *server) crewNot(w http.ResponseWriter, q *http.Request, v crewVisitor, words *crewWords, no engine.CrewNo) error {
	switch no {
	case engine.CrewStale:
		return s.crewDraw(w, q, v, http.StatusConflict, words.Stale, false)
	case engine.CrewGone:
		return s.crewDraw(w, q, v, http.StatusConflict, words.Over, false)
	case engine.CrewFull:
		return s.crewDraw(w, q, v, http.StatusConflict, words.PhotoFull, false)
	}
	return s.crewDraw(w, q, v, http.StatusBadRequest, words.Form, false)
}

// crewAsk shows what is about to be sent.
func (s *server) crewAsk(w http.ResponseWriter, q *http.Request, v crewVisitor, p engine.CrewPage, a engine.CrewAnswer) error {
	c := s.crewBlank(q, v, p)
	c.V = p.Visit(a.Visit)
	c.A, c.Title = a, c.W.SureTitle
	n := strconv.Itoa(int(a.Count))
	switch a.Do {
	case "yes":
		c.Ask = c.W.SureYes
	case "no":
		c.Ask = c.W.SureNo
	case "other":
		c.Ask = c.W.SureOther + " " + engine.LongDay(p.Lang, a.Day)
	case "late":
		c.Ask = c.W.SureLate + " " + n
	case "done":
		c.Ask = c.W.SureDone + " " + n
	default:
		c.Ask = c.W.SureAsk
	}
	num, err := s.store.crewNum(v.Site, v.Crew)
	if err != nil {
		return err
	}
	c.Last = v.site.answers(num)
	return s.crewWrite(w, http.StatusOK, "sure", c)
}

// crewTake writes an answer down. The page says thank you after the fsync, not before.
func (s *server) crewTake(w http.ResponseWriter, q *http.Request, v crewVisitor, p engine.CrewPage, a engine.CrewAnswer, last uint32) error {
	words := crewWordsIn(p.Lang)
	if !s.says.take(s.address(q)) {
		return s.crewDraw(w, q, v, http.StatusTooManyRequests, words.TooMany, false)
	}
	if last >= maxCrewAnswers {
		return s.crewDraw(w, q, v, http.StatusConflict, words.Closed, false)
	}
	num, err := s.authorNumber(v.Site, v.Crew, p.Name)
	if err != nil {
		return err
	}
	no, err := v.site.take(reply{a, v.Crew, last}, s.siteNow, num, s.now().UnixMilli())
	switch {
	case errors.Is(err, errAgain):
		return s.crewDraw(w, q, v, http.StatusConflict, words.Again, false)
	case err != nil:
		slog.Error("crew's answer not stored", "site", v.Site, "err", err)
		return s.crewDraw(w, q, v, http.StatusServiceUnavailable, words.Busy, false)
	case no != "":
		return s.crewNot(w, q, v, words, no)
	}
	slog.Info("a crew answered", "site", v.Site, "num", num, "do", a.Do)
	s.push.tellAnswer(v.Site, v.Crew, p.Name, a, p.Visit(a.Visit).From)
	thanks := map[string]string{"yes": words.ThankYes, "no": words.ThankNo, "other": words.ThankOther}[a.Do]
	if thanks == "" {
		thanks = words.ThankNote
	}
	return s.crewDraw(w, q, v, http.StatusOK, thanks, true)
}

// authorNumber is the number that somebody without a phone writes under on a site; the phones hear of
// a new one.
func (s *server) authorNumber(site, author, name string) (uint32, error) {
	epoch, err := s.store.epoch(site)
	if err != nil {
		return 0, err
	}
	num, given, err := s.store.crewSeat(site, author, name, epoch)
	if err == nil && given {
		err = s.sites.renamed(site)
	}
	return num, err
}

// crewStyle serves the style sheet.
func (s *server) crewStyle(w http.ResponseWriter, _ *http.Request) error {
	h := w.Header()
	h.Set("Content-Type", "text/css; charset=utf-8")
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	if _, err := w.Write(crewLook); err != nil {
		slog.Debug("style sheet not sent", "err", err)
	}
	return nil
}
