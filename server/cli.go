package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"batterboard/client/engine"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// shell is what every command on a site file has in common.
type shell struct {
	out  io.Writer
	json bool
	now  schedule.Minute
	lang string
	args []string // what is left after the flags
}

// parseShell reads flags that stand before or after the file's name; more adds a command's own.
func parseShell(name string, args []string, out, errs io.Writer, more func(*flag.FlagSet)) (sh shell, err error) {
	fs := flags(name)
	sh.out = out
	now := fs.String("now", "", "plan as seen at this `MOMENT` of the site's clock, like 2027-03-01T06:40 (default: this machine's clock)")
	fs.BoolVar(&sh.json, "json", false, "write JSON, for machines")
	fs.StringVar(&sh.lang, "lang", "", "language of the sentences, `en|es` (default: the site's)")
	if more != nil {
		more(fs)
	}
	if sh.args, err = parseAround(fs, args); err != nil {
		return sh, err
	}
	if sh.now, err = schedule.ParseMinute(*now); err != nil {
		return sh, badInput("--now: %w", err)
	}
	if sh.now == 0 {
		sh.now = civil(time.Now())
	}
	if sh.lang != "" && sh.lang != "en" && sh.lang != "es" {
		return sh, badInput("--lang is en or es, not %q", sh.lang)
	}
	return sh, nil
}

// civil is a moment as the clock on the wall shows it.
func civil(t time.Time) schedule.Minute {
	y, m, d := t.Date()
	return schedule.DateOf(y, int(m), d).At(int32(t.Hour()*60 + t.Minute()))
}

// file reads the one file a command is about; "-" is standard input.
func (sh *shell) file() (f file, err error) {
	if len(sh.args) != 1 {
		return f, badInput("name one site file, or - for standard input (got %d); batterboard export writes one", len(sh.args))
	}
	return readFile(sh.args[0])
}

// write prints what v points to as JSON for machines: a list is never null.
func (sh *shell) write(v any) error {
	engine.Fill(v)
	e := json.NewEncoder(sh.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// desk is an engine that has the file open, the same that runs in the phone: so the shell says what
// the screens say.
type desk struct {
	sh *shell
	*engine.Engine
}

// fileDevice is who writes the file's things into the engine's log.
const fileDevice = 1

func (sh *shell) desk(f file) (*desk, error) {
	d := &desk{sh, engine.New()}
	_, err := d.do(engine.Request{Do: "open", Site: "file", Device: fileDevice, Role: string(opsync.Owner), Lang: sh.lang, Ops: raws(f.ops)})
	return d, err
}

// opsOf makes a document into the operations of device 1 that a new site begins with.
func opsOf(doc []byte, label string, now time.Time) (ops [][]byte, err error) {
	edits, err := opsync.EditsFromDocument(doc)
	if err != nil {
		return nil, err
	}
	log := opsync.NewLog()
	for _, part := range opsync.SplitEdits(edits) {
		raw, err := log.Write(fileDevice, now.UnixMilli(), opsync.KindEdit, label, part)
		if err != nil {
			return nil, err
		}
		ops = append(ops, raw)
	}
	return ops, nil
}

func raws(ops [][]byte) (list []json.RawMessage) {
	for _, op := range ops {
		list = append(list, op)
	}
	return list
}

// do asks the engine; what it refuses is bad input, with its own sentence.
func (d *desk) do(r engine.Request) (*engine.View, error) {
	r.Now = d.sh.now
	reply := d.Do(r)
	if reply.Failed != "" {
		return nil, errors.New(reply.Failed)
	}
	if reply.View != nil && reply.View.Refused != "" {
		return nil, badInput("%s", reply.View.Refused)
	}
	return reply.View, nil
}

func (d *desk) show(screen, about string, day schedule.Day) (*engine.View, error) {
	v, err := d.do(engine.Request{Do: "show", Screen: screen, For: about, Day: day})
	if err == nil && v == nil {
		err = fmt.Errorf("the engine shows no %s", screen)
	}
	return v, err
}

// away reads CREW:2027-03-02..2027-03-04, or one day. CREW is an ID or a name.
func away(s string, site *schedule.Site) (c engine.Change, err error) {
	if s == "" {
		return c, badInput("say who can't come with --away, like electric:2027-03-02..2027-03-04")
	}
	colon := strings.LastIndex(s, ":")
	if colon < 1 || colon == len(s)-1 {
		return c, badInput("--away is written like electric:2027-03-02..2027-03-04, not %q", s)
	}
	crew, days := s[:colon], s[colon+1:]
	from, to, ranged := strings.Cut(days, "..")
	if !ranged {
		to = from
	}
	c = engine.Change{Kind: "away"}
	if c.From, err = schedule.ParseDay(from); err == nil {
		c.To, err = schedule.ParseDay(to)
	}
	switch {
	case err != nil:
		return c, badInput("--away: %w", err)
	case c.From == 0 || c.To == 0:
		return c, badInput("--away is written like electric:2027-03-02..2027-03-04, not %q", s)
	case c.To < c.From:
		return c, badInput("--away: %s is in the wrong order: first day first", days)
	}
	if c.Crew, err = pick("crew", crew, crewsOf(site)); err != nil {
		return c, badInput("--away: %w", err)
	}
	return c, nil
}
