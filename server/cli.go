package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
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
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(errs)
	sh.out = out
	now := fs.String("now", "", "plan as seen at this moment of the site's clock, like 2027-03-01T06:40 (default: this machine's clock)")
	fs.BoolVar(&sh.json, "json", false, "write JSON")
	fs.StringVar(&sh.lang, "lang", "", "language of the sentences, en or es (default: the site's)")
	if more != nil {
		more(fs)
	}
	for len(args) > 0 {
		if err := fs.Parse(args); err != nil {
			return sh, usageError{err}
		}
		if args = fs.Args(); len(args) > 0 {
			sh.args, args = append(sh.args, args[0]), args[1:]
		}
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

// file is a site file that was read and understood.
type file struct {
	doc  []byte
	site *schedule.Site
}

// file reads the one file a command is about; "-" is standard input.
func (sh *shell) file() (f file, err error) {
	if len(sh.args) != 1 {
		return f, badInput("name one site file (got %d); batterboard export writes one", len(sh.args))
	}
	return readFile(sh.args[0])
}

func readFile(name string) (f file, err error) {
	in := os.Stdin
	if name != "-" {
		if in, err = os.Open(name); err != nil {
			return f, usageError{err}
		}
		defer in.Close()
	}
	// One byte more than allowed, so that a file above the limit is seen to be one.
	if f.doc, err = io.ReadAll(io.LimitReader(in, schedule.MaxBytes+1)); err != nil {
		return f, fmt.Errorf("read %s: %w", name, err)
	}
	if f.site, err = schedule.ParseSite(f.doc); err != nil {
		return f, badInput("%s: %w", name, err)
	}
	return f, nil
}

// write prints a value as JSON for machines.
func (sh *shell) write(v any) error {
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
	ops, err := opsOf(f.doc, "file", time.Now())
	if err != nil {
		return nil, badInput("%w", err)
	}
	d := &desk{sh, engine.New()}
	_, err = d.do(engine.Request{Do: "open", Site: "file", Device: fileDevice, Role: string(opsync.Owner), Lang: sh.lang, Ops: raws(ops)})
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

// away reads CREW:2027-03-02..2027-03-04, or one day.
func away(s string, site *schedule.Site) (c engine.Change, err error) {
	crew, days, ok := strings.Cut(s, ":")
	if !ok {
		return c, badInput("--away is written like electric:2027-03-02..2027-03-04, not %q", s)
	}
	from, to, ranged := strings.Cut(days, "..")
	if !ranged {
		to = from
	}
	c = engine.Change{Kind: "away", Crew: crew}
	if c.From, err = schedule.ParseDay(from); err == nil {
		c.To, err = schedule.ParseDay(to)
	}
	switch {
	case err != nil:
		return c, badInput("--away: %w", err)
	case c.From == 0 || c.To < c.From:
		return c, badInput("--away: the days %s are in the wrong order", days)
	case site.Crew(crew) == nil:
		return c, badInput("--away: there is no crew %q; there are %s", crew, strings.Join(crewIDs(site), ", "))
	}
	return c, nil
}

func crewIDs(site *schedule.Site) (ids []string) {
	for _, c := range site.Crews {
		ids = append(ids, c.ID)
	}
	return ids
}
