package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"batterboard/schedule"
)

var gaps = regexp.MustCompile(`\{[a-z]+\}`)

// Both languages have the same sentences with the same gaps.
func TestLanguagesAreComplete(t *testing.T) {
	for _, code := range Codes[1:] {
		other := In(code)
		for _, k := range en.Keys() {
			if !other.Has(k) {
				t.Errorf("%s lacks %q", code, k)
				continue
			}
			want, got := gaps.FindAllString(en.text[k], -1), gaps.FindAllString(other.text[k], -1)
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(want, got) {
				t.Errorf("%s %q has gaps %v, English %v", code, k, got, want)
			}
			if strings.TrimSpace(other.text[k]) == "" {
				t.Errorf("%s %q is empty", code, k)
			}
		}
		for _, k := range other.Keys() {
			if !en.Has(k) {
				t.Errorf("English lacks %q", k)
			}
		}
	}
}

// Every sentence the engine asks for by a literal name exists.
func TestEveryKeyTheEngineNamesExists(t *testing.T) {
	pkgs, err := parser.ParseDir(token.NewFileSet(), "..", func(f fs.FileInfo) bool { return !strings.HasSuffix(f.Name(), "_test.go") }, 0)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, pkg := range pkgs {
		ast.Inspect(pkg, func(node ast.Node) bool {
			call, ok := node.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			lit, ok := call.Args[0].(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			key, _ := strconv.Unquote(lit.Value)
			switch sel.Sel.Name {
			case "Say", "say", "refuse":
				n++
				if !en.Has(key) {
					t.Errorf("no sentence %q", key)
				}
			case "Count":
				if _, ok := sel.X.(*ast.Ident); ok && sel.X.(*ast.Ident).Name == "strings" {
					return true
				}
				n++
				if !en.Has(key+".one") || !en.Has(key+".many") {
					t.Errorf("no sentence %q with .one and .many", key)
				}
			}
			return true
		})
	}
	if n < 100 {
		t.Fatalf("found only %d sentences in the engine: the search is broken", n)
	}
}

func day(t *testing.T, s string) schedule.Day {
	t.Helper()
	d, err := schedule.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// 6 April 2027 is a Tuesday (Gregorian calendar).
func TestDatesInWords(t *testing.T) {
	tue := day(t, "2027-04-06")
	en, es := In("en"), In("es-MX")
	for _, c := range [][2]string{
		{en.Day(tue), "Tue 6"}, {es.Day(tue), "mar 6"},
		{en.Dated(tue), "Tue 6 Apr"}, {es.Dated(tue), "mar 6 abr"},
		{en.Long(tue), "Tuesday 6 April"}, {es.Long(tue), "martes 6 de abril"},
		{en.Span(tue, tue+1, tue), "Tue 6 – Wed 7"}, {es.Span(tue, tue, tue), "mar 6"},
		{en.Span(tue, tue+1, tue-60), "Tue 6 – Wed 7 Apr"},
		{en.Near(tue+366, tue), "Thu 6 Apr 2028"}, {es.Span(tue-366, tue-365, tue), "dom 5 – lun 6 abr 2026"}, {en.Span(tue-365, tue, tue), "Mon 6 Apr 2026 – Tue 6"}, {en.Near(tue+366, 0), "Thu 6 Apr"},
		{en.Near(tue+30, tue), "Thu 6 May"}, {en.Weeks(tue, tue+1), "Tue–Wed"},
		{en.Clock(8 * 60), "8:00 am"}, {en.Clock(12 * 60), "noon"}, {en.Clock(12*60 + 30), "12:30 pm"}, {en.Clock(30), "12:30 am"},
		{es.Clock(16*60 + 30), "4:30 p. m."}, {es.Clock(12 * 60), "mediodía"},
		{en.Moment(tue.At(990), tue), "Tue 6, 4:30 pm"}, {en.Moment((tue + 1).Start(), tue), "Tue 6, end of day"},
		{en.Half(tue.At(480)), "morning"}, {es.Half(tue.At(750)), "por la tarde"},
		{en.Money(18000), "$180"}, {en.Money(123456789), "$1,234,567.89"}, {en.Money(-50), "−$0.50"},
		{en.Effort(90), "1.5 h"}, {es.Effort(90), "1.5 h"}, {en.Effort(480), "8 h"},
		{en.List([]string{"a", "b", "c"}), "a, b and c"}, {es.List([]string{"agua", "impermeable"}), "agua e impermeable"},
		{es.List([]string{"agua", "hielo"}), "agua y hielo"},
		{Plain("Tue–Wed “x” … 3×"), `Tue-Wed "x" ... 3x`},
	} {
		if c[0] != c[1] {
			t.Errorf("got %q, want %q", c[0], c[1])
		}
	}
}

// A name that looks like a gap is not filled a second time.
func TestNamesAreNotGaps(t *testing.T) {
	if got := en.Say("moved", "what", "{to}{from}", "to", "A", "from", "B"); got != "{to}{from}: A ← from B." {
		t.Error(got)
	}
	if got := en.Say("no such"); got != "[no such]" {
		t.Error(got)
	}
}
