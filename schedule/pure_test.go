package schedule_test

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// pure lists the folders whose results must be the same bytes on every machine.
var pure = []string{"schedule", "schedule/check", "schedule/exact", "sync", "client/engine", "client/engine/words"}

// anyOrder lists the loops over maps that only a reader can see are harmless: package and function, and why.
var anyOrder = map[string]string{
	"opsync circular":   "peels nodes that wait for nothing: any order peels the same",
	"opsync document":   "fills a map of members, written in order of name",
	"opsync salvage":    "asks whether anything is missing",
	"opsync Clashes":    "gathers through add, and sorts",
	"engine applied":    "each field is set once",
	"engine readThings": "each field is set once",
}

// TestPure reads the pure packages: no goroutine, no floating point, no import of clocks, systems, nets
// or chance, and no result that depends on the order of a map. A loop over a map is allowed where its
// line, or the one above, says why the order does not matter: "// any order: …".
func TestPure(t *testing.T) {
	fset := token.NewFileSet()
	imports := importer.ForCompiler(fset, "source", nil)
	for _, folder := range pure {
		files := parse(t, fset, filepath.Join("..", folder))
		info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		conf := types.Config{Importer: imports, Error: func(error) {}} // what does not compile is for go vet to say
		conf.Check("batterboard/"+folder, fset, files, info)
		for _, f := range files {
			forbidden(t, fset, f)
			for _, fault := range impure(fset, f, info) {
				t.Error(fault)
			}
		}
	}
}

func parse(t *testing.T, fset *token.FileSet, dir string) (files []*ast.File) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if name := e.Name(); strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			f, err := parser.ParseFile(fset, filepath.Join(dir, name), nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
	}
	return files
}

func forbidden(t *testing.T, fset *token.FileSet, f *ast.File) {
	for _, im := range f.Imports {
		path := strings.Trim(im.Path.Value, `"`)
		if slices.Contains([]string{"time", "os", "net", "math", "math/rand", "math/rand/v2", "sync", "runtime", "unsafe", "syscall"}, path) ||
			strings.HasPrefix(path, "net/") || strings.HasPrefix(path, "os/") {
			t.Errorf("%s: imports %s", fset.Position(im.Pos()), path)
		}
	}
}

// impure lists the statements and types a pure file must not have.
func impure(fset *token.FileSet, f *ast.File, info *types.Info) (faults []string) {
	reasons := map[int]bool{}
	for _, group := range f.Comments {
		for _, c := range group.List {
			if strings.HasPrefix(c.Text, "// any order:") {
				reasons[fset.Position(c.Pos()).Line] = true
			}
		}
	}
	say := func(n ast.Node, what string) { faults = append(faults, fset.Position(n.Pos()).String()+": "+what) }
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			say(n, "starts a goroutine")
		case *ast.SelectStmt:
			say(n, "waits on channels")
		case *ast.Ident:
			if n.Name == "float64" || n.Name == "float32" {
				say(n, "uses "+n.Name)
			}
		case *ast.BasicLit:
			if n.Kind == token.FLOAT || n.Kind == token.IMAG {
				say(n, "has the number "+n.Value)
			}
		case *ast.RangeStmt:
			line := fset.Position(n.Pos()).Line
			if _, isMap := under(info, n.X).(*types.Map); isMap && !reasons[line] && !reasons[line-1] && !harmless(n.Body.List, info, sortsAfter(f, n)) && anyOrder[f.Name.Name+" "+holder(f, n)] == "" {
				say(n, holder(f, n)+" goes over a map; sort what it gathers, or say why any order will do (// any order: …)")
			}
		}
		return true
	})
	return faults
}

// holder is the function a statement is in.
func holder(f *ast.File, n ast.Node) string {
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Pos() <= n.Pos() && n.End() <= fn.End() {
			return fn.Name.Name
		}
	}
	return ""
}

// sortsAfter tells whether the function that holds a loop sorts something after it.
func sortsAfter(f *ast.File, loop ast.Node) (sorts bool) {
	for _, d := range f.Decls {
		if d.Pos() > loop.Pos() || d.End() < loop.End() {
			continue
		}
		ast.Inspect(d, func(n ast.Node) bool {
			if call, ok := n.(*ast.CallExpr); ok && call.Pos() > loop.End() {
				name := strings.ToLower(types.ExprString(call.Fun))
				sorts = sorts || strings.Contains(name, "sort") || name == "order"
			}
			return true
		})
	}
	return sorts
}

// harmless tells whether statements do the same in any order: they fill or empty maps, count, keep the
// largest, or gather into a slice that is sorted after.
func harmless(list []ast.Stmt, info *types.Info, sorted bool) bool {
	for _, s := range list {
		ok := false
		switch s := s.(type) {
		case *ast.IncDecStmt, *ast.BranchStmt, *ast.DeclStmt:
			ok = true
		case *ast.AssignStmt:
			ok = harmlessAssign(s, info, sorted)
		case *ast.ExprStmt:
			call, isCall := s.X.(*ast.CallExpr)
			ok = isCall && types.ExprString(call.Fun) == "delete"
		case *ast.IfStmt:
			ok = harmless(s.Body.List, info, sorted) && (s.Else == nil || harmless([]ast.Stmt{s.Else}, info, sorted))
		case *ast.BlockStmt:
			ok = harmless(s.List, info, sorted)
		case *ast.RangeStmt:
			ok = harmless(s.Body.List, info, sorted)
		case *ast.ForStmt:
			ok = harmless(s.Body.List, info, sorted)
		}
		if !ok {
			return false
		}
	}
	return true
}

func harmlessAssign(s *ast.AssignStmt, info *types.Info, sorted bool) bool {
	if s.Tok == token.DEFINE || s.Tok == token.OR_ASSIGN || s.Tok == token.ADD_ASSIGN && isWhole(info, s.Lhs[0]) {
		return true
	}
	for i, l := range s.Lhs {
		if ix, ok := l.(*ast.IndexExpr); ok {
			if _, isMap := under(info, ix.X).(*types.Map); isMap {
				continue
			}
		}
		if len(s.Rhs) <= i {
			return false
		}
		call, ok := s.Rhs[i].(*ast.CallExpr)
		if !ok {
			return false
		}
		if name := types.ExprString(call.Fun); !(name == "max" || name == "min" || name == "append" && sorted) {
			return false
		}
	}
	return true
}

func isWhole(info *types.Info, e ast.Expr) bool {
	b, ok := under(info, e).(*types.Basic)
	return ok && b.Info()&types.IsInteger != 0
}

func under(info *types.Info, e ast.Expr) types.Type {
	if tv, ok := info.Types[e]; ok && tv.Type != nil {
		return tv.Type.Underlying()
	}
	return nil
}

// TestPureSees: the test above finds what it looks for.
func TestPureSees(t *testing.T) {
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "x.go", `package x
func f(m map[string]int) {
	go f(nil)
	var x float64 = 1.5
	for k := range m {
		print(k)
	}
	// any order: it is a test
	for k := range m {
		print(k)
	}
}`, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	(&types.Config{Error: func(error) {}}).Check("x", fset, []*ast.File{f}, info)
	if faults := impure(fset, f, info); len(faults) != 4 {
		t.Errorf("found %q, want four faults", faults)
	}
}
