package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"reflect"
	"sort"
	"strconv"
	"strings"
)

// The screen and the engine speak JSON. The Go types in client/engine/view.go and request.go say
// what is in it; this file writes the same as TypeScript, with the comments, so that a field that is
// renamed on one side does not compile on the other.
const (
	typesFile = "client/ui/view.d.ts"
	typesHead = "// Written by `go run ./embed/build types` from client/engine/view.go and request.go. Do not edit.\n"
)

var (
	engineFiles   = []string{"client/engine/view.go", "client/engine/oddsview.go", "client/engine/questionsview.go", "client/engine/changedview.go", "client/engine/forbid.go", "client/engine/reach.go", "client/engine/photosview.go", "client/engine/peopleview.go", "client/engine/readingsview.go", "client/engine/ordersview.go", "client/engine/rulesview.go", "client/engine/reviewview.go", "client/engine/weekview.go", "client/engine/textsview.go", "client/engine/request.go"}
	scheduleFiles = []string{"schedule/day.go", "schedule/site.go", "schedule/plan.go"}
)

// written are the types of package schedule that write their own JSON.
var written = map[string]struct{ ts, doc string }{
	"Minute": {"string", "A moment on the site's wall clock, 2027-03-02T08:00; empty when not set."},
	"Day":    {"string", "A date, 2027-03-02; empty when not set."},
	"Week":   {"string[][]", `Working windows of each weekday, Monday first: lists like ["08:00-12:00", "12:30-16:30"].`},
}

func (t *tool) writeTypes() error {
	text, err := t.types()
	if err != nil {
		return err
	}
	return os.WriteFile(t.path(typesFile), text, 0o644)
}

// types returns what client/ui/view.d.ts should be.
func (t *tool) types() ([]byte, error) {
	w := &typeWriter{schedule: map[string]*declared{}, engine: map[string]bool{}, wanted: map[string]bool{}}
	var engine []*declared
	for _, f := range engineFiles {
		ds, err := parseTypes(t.path(f))
		if err != nil {
			return nil, err
		}
		engine = append(engine, ds...)
	}
	for _, f := range scheduleFiles {
		ds, err := parseTypes(t.path(f))
		if err != nil {
			return nil, err
		}
		for _, d := range ds {
			w.schedule[d.name] = d
		}
	}
	for _, d := range engine {
		w.engine[d.name] = true
	}
	w.out.WriteString(typesHead)
	for _, d := range engine {
		if err := w.declare(d, d.name, false); err != nil {
			return nil, err
		}
	}
	if err := w.fromSchedule(); err != nil {
		return nil, err
	}
	return w.out.Bytes(), nil
}

// declared is one exported type of a file, with the constants of that type in order.
type declared struct {
	name   string
	doc    string
	expr   ast.Expr
	values []string
}

func parseTypes(file string) ([]*declared, error) {
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ParseComments)
	if err != nil {
		return nil, err
	}
	var found []*declared
	byName := map[string]*declared{}
	for _, decl := range f.Decls {
		g, ok := decl.(*ast.GenDecl)
		if !ok {
			continue
		}
		for _, spec := range g.Specs {
			switch s := spec.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() {
					d := &declared{name: s.Name.Name, doc: firstDoc(s.Doc, g.Doc), expr: s.Type}
					found, byName[d.name] = append(found, d), d
				}
			case *ast.ValueSpec:
				if id, ok := s.Type.(*ast.Ident); ok && byName[id.Name] != nil && len(s.Values) == 1 {
					if lit, ok := s.Values[0].(*ast.BasicLit); ok && lit.Kind == token.STRING {
						byName[id.Name].values = append(byName[id.Name].values, lit.Value)
					}
				}
			}
		}
	}
	return found, nil
}

func firstDoc(groups ...*ast.CommentGroup) string {
	for _, g := range groups {
		if g != nil {
			return strings.TrimSpace(g.Text())
		}
	}
	return ""
}

type typeWriter struct {
	out      bytes.Buffer
	engine   map[string]bool      // names the engine itself declares
	schedule map[string]*declared // what the engine may refer to
	wanted   map[string]bool      // names of package schedule that were referred to
}

// foreign is the TypeScript name of a type of package schedule: its own, unless the engine has a
// type of that name (the engine's Day is a date with its words).
func (w *typeWriter) foreign(name string) string {
	if w.engine[name] {
		return "Plain" + name
	}
	return name
}

// fromSchedule declares what was referred to, and what that refers to in turn, in order of names.
func (w *typeWriter) fromSchedule() error {
	done := map[string]bool{}
	for {
		var todo []string
		for name := range w.wanted {
			if !done[name] {
				todo = append(todo, name)
			}
		}
		if len(todo) == 0 {
			return nil
		}
		sort.Strings(todo)
		for _, name := range todo {
			done[name] = true
			if t, ok := written[name]; ok {
				w.comment("", t.doc)
				fmt.Fprintf(&w.out, "export type %s = %s;\n", w.foreign(name), t.ts)
				continue
			}
			d := w.schedule[name]
			if d == nil {
				return fmt.Errorf("%s: schedule.%s is not in %s", typesFile, name, strings.Join(scheduleFiles, ", "))
			}
			if err := w.declare(d, w.foreign(name), true); err != nil {
				return err
			}
		}
	}
}

func (w *typeWriter) declare(d *declared, name string, inSchedule bool) error {
	w.comment("", d.doc)
	s, ok := d.expr.(*ast.StructType)
	if !ok {
		text, err := w.expr(d.expr, inSchedule)
		if len(d.values) > 0 {
			text = strings.Join(d.values, " | ")
		}
		fmt.Fprintf(&w.out, "export type %s = %s;\n", name, text)
		return err
	}
	fmt.Fprintf(&w.out, "export interface %s {\n", name)
	for _, f := range s.Fields.List {
		if err := w.field(f, inSchedule); err != nil {
			return fmt.Errorf("%s: %w", d.name, err)
		}
	}
	w.out.WriteString("}\n")
	return nil
}

func (w *typeWriter) field(f *ast.Field, inSchedule bool) error {
	if len(f.Names) != 1 || f.Tag == nil {
		return fmt.Errorf("a field that crosses to the screen has one name and a json tag")
	}
	tag, err := strconv.Unquote(f.Tag.Value)
	if err != nil {
		return err
	}
	name, options, _ := strings.Cut(reflect.StructTag(tag).Get("json"), ",")
	if name == "-" {
		return nil
	}
	if name == "" {
		return fmt.Errorf("%s has no name in its json tag", f.Names[0].Name)
	}
	typ, err := w.expr(f.Type, inSchedule)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	optional := ""
	if strings.HasPrefix(options, "omit") {
		optional, typ = "?", strings.TrimSuffix(typ, " | null")
	}
	w.comment("  ", firstDoc(f.Doc, f.Comment))
	fmt.Fprintf(&w.out, "  %s%s: %s;\n", name, optional, typ)
	return nil
}

// plain are the Go types that JSON has under another name. A map that is nil and a slice that is nil
// are written as null by encoding/json; the engine promises not to send such, and its tests hold it
// to that.
var plain = map[string]string{
	"string": "string", "bool": "boolean", "any": "unknown",
	"int": "number", "int32": "number", "int64": "number", "uint32": "number", "uint64": "number", "float64": "number",
}

func (w *typeWriter) expr(e ast.Expr, inSchedule bool) (string, error) {
	switch e := e.(type) {
	case *ast.Ident:
		if p := plain[e.Name]; p != "" {
			return p, nil
		}
		if inSchedule {
			w.wanted[e.Name] = true
			return w.foreign(e.Name), nil
		}
		return e.Name, nil
	case *ast.StarExpr:
		inner, err := w.expr(e.X, inSchedule)
		return inner + " | null", err
	case *ast.ArrayType:
		return w.array(e, inSchedule)
	case *ast.MapType:
		value, err := w.expr(e.Value, inSchedule)
		return "Record<string, " + value + ">", err
	case *ast.SelectorExpr:
		return w.selector(e)
	}
	return "", fmt.Errorf("%T has no TypeScript of ours", e)
}

func (w *typeWriter) array(e *ast.ArrayType, inSchedule bool) (string, error) {
	elem, err := w.expr(e.Elt, inSchedule)
	if err != nil {
		return "", err
	}
	if strings.Contains(elem, " | ") {
		elem = "(" + elem + ")"
	}
	if e.Len == nil {
		return elem + "[]", nil
	}
	lit, ok := e.Len.(*ast.BasicLit)
	if !ok {
		return "", fmt.Errorf("an array whose length is not a number")
	}
	n, err := strconv.Atoi(lit.Value)
	return "[" + strings.TrimSuffix(strings.Repeat(elem+", ", n), ", ") + "]", err
}

func (w *typeWriter) selector(e *ast.SelectorExpr) (string, error) {
	pkg, name := e.X.(*ast.Ident).Name, e.Sel.Name
	switch {
	case pkg == "schedule":
		w.wanted[name] = true
		return w.foreign(name), nil
	case pkg == "json" && name == "RawMessage":
		return "unknown", nil
	}
	return "", fmt.Errorf("%s.%s is not known to the type writer", pkg, name)
}

func (w *typeWriter) comment(indent, doc string) {
	switch lines := strings.Split(doc, "\n"); {
	case doc == "":
	case len(lines) == 1:
		fmt.Fprintf(&w.out, "%s/** %s */\n", indent, doc)
	default:
		fmt.Fprintf(&w.out, "%s/**\n%s * %s\n%s */\n", indent, indent, strings.Join(lines, "\n"+indent+" * "), indent)
	}
}
