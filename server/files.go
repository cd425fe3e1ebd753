package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"time"

	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// exportSite: batterboard export --data DIR --site ID.
func exportSite(args []string, out, errs io.Writer) error {
	fs := flag.NewFlagSet("export", flag.ContinueOnError)
	fs.SetOutput(errs)
	data := fs.String("data", "data", "folder of the store")
	site := fs.String("site", "", "the site's ID; not needed when there is only one")
	compact := fs.Bool("json", false, "the canonical bytes on one line, as phones compare them")
	if err := fs.Parse(args); err != nil {
		return usageError{err}
	}
	if fs.NArg() > 0 {
		return badInput("export takes no %q", fs.Arg(0))
	}
	if !hasStore(*data) {
		return badInput("there is no store in %s", *data)
	}
	st, err := openStore(*data)
	if err != nil {
		return err
	}
	defer st.close()
	id, err := st.pickSite(*site)
	if err != nil {
		return err
	}
	doc, err := st.document(id)
	if err != nil {
		return err
	}
	var pretty bytes.Buffer
	if *compact {
		pretty.Write(doc)
	} else if err := json.Indent(&pretty, doc, "", "  "); err != nil {
		return err
	}
	pretty.WriteByte('\n')
	_, err = out.Write(pretty.Bytes())
	return err
}

// pickSite checks the wanted site, or finds the only one.
func (s *store) pickSite(want string) (string, error) {
	var ids, lines []string
	err := s.each("site/", func(id string, _ []byte) error {
		name, err := s.text(string(nameKey(id)))
		ids, lines = append(ids, id), append(lines, "\n  "+id+"  "+name)
		return err
	})
	if err != nil {
		return "", err
	}
	for _, id := range ids {
		if id == want {
			return id, nil
		}
	}
	switch {
	case len(ids) == 0:
		return "", badInput("the store in %s has no site yet", s.dir)
	case want == "" && len(ids) == 1:
		return ids[0], nil
	case want == "":
		return "", badInput("say which site with --site:%s", strings.Join(lines, ""))
	}
	return "", badInput("there is no site %q in the store; there are:%s", want, strings.Join(lines, ""))
}

// document folds a site's operations. What the disk has spoilt is left out and named in the log.
func (s *store) document(site string) ([]byte, error) {
	log := opsync.NewLog()
	_, err := s.ops(site, func(raw []byte) error {
		if _, err := log.Add(raw); err != nil {
			slog.Error("operation left out", "site", site, "err", err)
		}
		return nil
	})
	return log.State().Document(), err
}

// importFile: batterboard import FILE --data DIR.
func importFile(args []string, out, errs io.Writer) error {
	var data string
	sh, err := parseShell("import", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&data, "data", "data", "folder of the store")
	})
	if err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	now := time.Now()
	if _, err := opsOf(f.doc, "import", now); err != nil {
		return badInput("%s: %w", sh.args[0], err) // before a store is made for it
	}
	st, err := openStore(data)
	if err != nil {
		return err
	}
	defer st.close()
	site, code := xid.New().String(), newCode(ownerLetters)
	if err := st.importSite(site, f.doc, "import", now); err != nil {
		return err
	}
	if err := st.addCode(code, codeRecord{Site: site, Role: opsync.Owner, Until: now.Add(ownerLife).Unix()}, now); err != nil {
		return err
	}
	if sh.json {
		return sh.write(map[string]string{"site": site, "code": code})
	}
	_, err = fmt.Fprintf(out, "site %s\nowner code %s: type it in the app within 24 hours, or open the app's address with /#/pair/%s behind it\n",
		site, spaced(code), code)
	return err
}
