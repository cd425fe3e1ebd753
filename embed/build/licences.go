package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// part is something by others that travels inside the binary, and the texts it must travel with.
type part struct {
	Name  string   `json:"name"`
	Texts []string `json:"texts"`
}

// licences writes down what the licences say of everything by others in the binary: they ask to be passed on with
// it. client/build.mjs adds what it bundles and makes one text of all, which the server hands out as
// /licences.txt and batterboard licences prints.
func (t *tool) licences() error {
	parts, err := t.goParts()
	if err != nil {
		return err
	}
	own, err := os.ReadFile(t.path("LICENSE"))
	if err != nil {
		return err
	}
	b, err := json.Marshal(append([]part{{"Batterboard", []string{string(own)}}}, parts...))
	if err != nil {
		return err
	}
	return os.WriteFile(t.path("bin", "web", "licences.json"), b, 0o644)
}

// goParts is Go itself and every module of which a package is linked in.
func (t *tool) goParts() ([]part, error) {
	c := t.command(".", nil, "go", "list", "-deps", "-json=Dir,Module", "./server")
	out, err := c.Output()
	if err != nil {
		return nil, said(err, "go", []string{"list"})
	}
	type module struct {
		Path, Version, Dir string
		Main               bool
	}
	dirs := map[module][]string{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Dir    string
			Module *module
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module != nil && !p.Module.Main {
			dirs[*p.Module] = append(dirs[*p.Module], p.Dir)
		}
	}
	parts := []part{}
	for m, used := range dirs {
		texts, err := textsIn(m.Dir, used)
		if err != nil {
			return nil, err
		}
		if len(texts) == 0 {
			return nil, fmt.Errorf("%s comes without a licence, and may not be passed on without one", m.Path)
		}
		parts = append(parts, part{m.Path + " " + m.Version, texts})
	}
	slices.SortFunc(parts, func(a, b part) int { return strings.Compare(a.Name, b.Name) })
	language, err := t.languageLicence()
	return append([]part{{"Go", []string{language}}}, parts...), err
}

// languageLicence is Go's own. Some systems put the file elsewhere; the text in the standard library's copies of
// golang.org/x is the same.
func (t *tool) languageLicence() (string, error) {
	file, err := t.goroot("LICENSE")
	if err != nil {
		return "", err
	}
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		var out []byte
		if out, err = t.command(".", nil, "go", "list", "-m", "-f", "{{.Dir}}", "golang.org/x/sys").Output(); err == nil {
			b, err = os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "LICENSE"))
		}
	}
	return string(b), err
}

var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]es?|notice|copying|patents|unlicense)([.-].*)?$`)

// textsIn reads the licences at the top of a module and in the folders that are used, up to the top.
func textsIn(top string, used []string) (texts []string, err error) {
	seen := map[string]bool{}
	for _, dir := range append([]string{top}, used...) {
		for ; !seen[dir] && strings.HasPrefix(dir, top); dir = filepath.Dir(dir) {
			seen[dir] = true
			more, err := textsOf(dir)
			if err != nil {
				return nil, err
			}
			texts = append(texts, more...)
		}
	}
	return texts, nil
}

func textsOf(dir string) (texts []string, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		switch {
		case !licenceFile.MatchString(e.Name()) || strings.HasSuffix(e.Name(), ".go"):
		case e.IsDir(): // a folder of them
			err := filepath.WalkDir(path, func(file string, d fs.DirEntry, err error) error {
				if err != nil || d.IsDir() {
					return err
				}
				b, err := os.ReadFile(file)
				texts = append(texts, string(b))
				return err
			})
			if err != nil {
				return nil, err
			}
		default:
			b, err := os.ReadFile(path)
			if err != nil {
				return nil, err
			}
			texts = append(texts, string(b))
		}
	}
	return texts, nil
}
