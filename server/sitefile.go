package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"batterboard/schedule"
)

// file is a site file that was read and understood.
type file struct {
	doc  []byte
	ops  [][]byte // the same as the operations a new site begins with
	site *schedule.Site
}

// readFile reads a site file; "-" is standard input. Whatever is wrong with it is said here, before anything is made of
// it, so that the commands agree and import leaves nothing half done.
func readFile(name string) (f file, err error) {
	in, called := os.Stdin, name
	if name == "-" {
		called = "standard input"
	} else if in, err = openFile(name); err != nil {
		return f, err
	} else {
		defer in.Close()
	}
	// One byte more than allowed, so that a file above the limit is seen to be one.
	if f.doc, err = io.ReadAll(io.LimitReader(in, schedule.MaxBytes+1)); err != nil {
		return f, fmt.Errorf("read %s: %w", called, err)
	}
	if f.doc, err = plainText(f.doc); err == nil {
		err = f.understand()
	}
	if err != nil {
		return f, badInput("%s: %w", called, err)
	}
	return f, nil
}

func openFile(name string) (*os.File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, badInput("there is no file %s", name)
	case err == nil && info.IsDir():
		return nil, badInput("%s is a folder; name one site file", name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, badInput("%w", err)
	}
	return f, nil
}

// plainText is the file in UTF-8, as RFC 8259 (8.1) wants JSON, without the mark that some editors put in front.
func plainText(doc []byte) ([]byte, error) {
	doc = bytes.TrimPrefix(doc, []byte("\xef\xbb\xbf"))
	if bytes.HasPrefix(doc, []byte("\xff\xfe")) || bytes.HasPrefix(doc, []byte("\xfe\xff")) {
		return nil, errors.New("this file is in UTF-16; save it as UTF-8, then try again")
	}
	if len(doc) > schedule.MaxBytes {
		return nil, fmt.Errorf("this file has more than %d MB, and a site file has at most that. Nothing was changed", schedule.MaxBytes>>20)
	}
	for i, line := range bytes.Split(doc, []byte("\n")) {
		if !utf8.Valid(line) {
			return nil, fmt.Errorf("line %d is not in UTF-8; save the file as UTF-8, then try again", i+1)
		}
	}
	return doc, nil
}

// understand reads what the bytes say.
func (f *file) understand() (err error) {
	if f.site, err = schedule.ParseSite(f.doc); err != nil {
		return err
	}
	if err := twice(json.NewDecoder(bytes.NewReader(f.doc)), f.doc); err != nil {
		return err
	}
	var head struct{ Format *int64 }
	if err := json.Unmarshal(f.doc, &head); err != nil || head.Format == nil {
		return errors.New(`not a site file: it does not say "format": 1`)
	}
	for _, u := range f.unknown() {
		if u.meant != "" {
			return fmt.Errorf("in %s, %q is written %q", u.In, u.Name, u.meant)
		}
	}
	f.ops, err = opsOf(f.doc, "file", time.Now())
	return err
}

// twice finds a name that stands twice in one object. Only the last would count, and the other be lost without a word.
func twice(d *json.Decoder, doc []byte) error {
	open, err := d.Token()
	if err != nil || open != json.Delim('{') && open != json.Delim('[') {
		return err
	}
	seen := map[any]bool{}
	for d.More() {
		if open == json.Delim('{') {
			name, err := d.Token()
			if err != nil {
				return err
			}
			if seen[name] {
				line := 1 + bytes.Count(doc[:d.InputOffset()], []byte("\n"))
				return fmt.Errorf("in line %d, %q stands there a second time; keep one of them", line, name)
			}
			seen[name] = true
		}
		if err := twice(d, doc); err != nil {
			return err
		}
	}
	_, err = d.Token()
	return err
}

// unknown is a field that this program has no use for. It is kept as it is, unless it is one that we know in other letters.
type unknown struct {
	In    string `json:"in"`
	Name  string `json:"field"`
	Times int    `json:"times"`
	meant string // the field that was meant: the same but for large and small letters
}

func (u unknown) String() string {
	if u.Times == 1 {
		return u.In + ": " + u.Name
	}
	return fmt.Sprintf("%s: %s (%d times)", u.In, u.Name, u.Times)
}

// unknown lists the fields of a file that this program does not know, each once, in the order of their names.
func (f *file) unknown() []unknown {
	var doc any
	if json.Unmarshal(f.doc, &doc) != nil {
		return nil
	}
	found := map[unknown]int{}
	compare(doc, reflect.TypeFor[schedule.Site](), "the site", found)
	list := []unknown{}
	for u, n := range found {
		u.Times = n
		list = append(list, u)
	}
	slices.SortFunc(list, func(a, b unknown) int { return strings.Compare(a.In+"\x00"+a.Name, b.In+"\x00"+b.Name) })
	return list
}

func compare(v any, t reflect.Type, in string, found map[unknown]int) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if reflect.PointerTo(t).Implements(reflect.TypeFor[json.Unmarshaler]()) {
		return // written in a form of its own
	}
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			if t.Kind() == reflect.Slice {
				compare(x, t.Elem(), in, found)
			}
		}
	case map[string]any:
		if t.Kind() != reflect.Struct {
			return
		}
		known := map[string]reflect.Type{}
		for _, f := range reflect.VisibleFields(t) {
			if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "" && name != "-" {
				known[name] = f.Type
			}
		}
		for name, x := range v {
			inner := in
			if _, list := x.([]any); list {
				inner = name
			}
			if ft, ok := known[name]; ok {
				compare(x, ft, inner, found)
				continue
			}
			u := unknown{In: in, Name: name}
			for k := range known {
				if strings.EqualFold(k, name) {
					u.meant = k
				}
			}
			found[u]++
		}
	}
}
