package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"strings"

	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// exportSite: batterboard export --data DIR --site ID.
func exportSite(args []string, out, errs io.Writer) error {
	fs := flags("export")
	data := fs.String("data", "data", "`DIR`, the folder of the store")
	site := fs.String("site", "", "the site's `ID`; not needed when there is only one")
	compact := fs.Bool("json", false, "the canonical bytes on one line, as phones compare them")
	if err := parse(fs, args); err != nil {
		return err
	}
	if fs.NArg() > 0 {
		return badInput("export takes no %q", fs.Arg(0))
	}
	if !hasStore(*data) {
		return badInput("there is no store in %s", *data)
	}
	var doc, pretty bytes.Buffer
	if err := atStore(*data, ask{Do: "export", Site: *site}, &doc); err != nil {
		return err
	}
	if *compact {
		pretty = doc
	} else if err := json.Indent(&pretty, doc.Bytes(), "", "  "); err != nil {
		return err
	}
	pretty.WriteByte('\n')
	_, err := out.Write(pretty.Bytes())
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
	sh := shell{out: out}
	fs := flags("import")
	data := fs.String("data", "data", "`DIR`, the folder of the store")
	fs.BoolVar(&sh.json, "json", false, "write JSON, for machines")
	var err error
	if sh.args, err = parseAround(fs, args); err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	var raw bytes.Buffer
	if err := atStore(*data, ask{Do: "import", Doc: f.doc}, &raw); err != nil {
		return err
	}
	var a ownerCode
	if err := json.Unmarshal(raw.Bytes(), &a); err != nil {
		return err
	}
	if sh.json {
		return sh.write(&a)
	}
	if _, err = fmt.Fprintf(out, "site %s\n%s", a.Site, a.words()); err == nil && a.Beside != "" {
		_, err = fmt.Fprintf(out, "There was a site of that name already, %s; it is as it was.\n", a.Beside)
	}
	if n := len(f.site.Problems()); n > 0 && err == nil {
		_, err = fmt.Fprintf(out, "It came with %s; batterboard check %s names them, and so does the app.\n", count(n, "problem", "problems"), sh.args[0])
	}
	return err
}

// siteCalled finds a site of that name, if there is one.
func (s *store) siteCalled(name string) (found string, err error) {
	err = s.each("site/", func(id string, _ []byte) error {
		its, err := s.text(string(nameKey(id)))
		if name != "" && its == cleanName(name) {
			found = id
		}
		return err
	})
	return found, err
}

func (s *server) answerImport(a ask, out io.Writer) error {
	var head struct{ Name string }
	if err := json.Unmarshal(a.Doc, &head); err != nil {
		return badInput("%w", err)
	}
	beside, err := s.store.siteCalled(head.Name)
	if err != nil {
		return err
	}
	site := xid.New().String()
	if err := s.store.importSite(site, a.Doc, "import", s.now()); err != nil {
		return badInput("%w", err)
	}
	return s.ownerLink(ownerCode{Site: site, Beside: beside}, out)
}
