package check_test

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// TestSharesNoCode: the checker is worth something because it does not reckon as the planner does. Of the planner's
// package it uses types, constants and what turns dates into numbers and text, which package schedule holds against
// the standard library's (TestDates); no calendar, no search, no look-up. Everything else it imports is the
// standard library's.
func TestSharesNoCode(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("needs the go command")
	}
	dates := []string{"Day.Start", "Day.At", "Day.Weekday", "Day.String", "Minute.Day", "Minute.OfDay", "Minute.String"}
	fset := token.NewFileSet()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var parsed []*ast.File
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		parsed = append(parsed, f)
		for _, i := range f.Imports {
			path := strings.Trim(i.Path.Value, `"`)
			if strings.Contains(path, "/") && path != "batterboard/schedule" {
				t.Errorf("%s imports %s", name, path)
			}
		}
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.ForCompiler(fset, "source", nil)}
	if _, err := conf.Check("batterboard/schedule/check", fset, parsed, info); err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for id, o := range info.Uses {
		f, ok := o.(*types.Func)
		if !ok || f.Pkg() == nil || f.Pkg().Path() != "batterboard/schedule" {
			continue
		}
		name := f.Name()
		if r := f.Signature().Recv(); r != nil {
			of := r.Type()
			if p, ok := of.(*types.Pointer); ok {
				of = p.Elem()
			}
			name = of.(*types.Named).Obj().Name() + "." + name
		}
		used[name] = true
		if !slices.Contains(dates, name) {
			t.Errorf("%s: the checker calls schedule's %s", fset.Position(id.Pos()), name)
		}
	}
	if len(used) < 4 {
		t.Errorf("only %v was seen to be used: this test sees nothing", used)
	}
}
