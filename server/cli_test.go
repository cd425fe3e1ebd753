package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"batterboard/schedule"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

var update = flag.Bool("update", false, "write the golden files anew; read the difference before committing it")

const studio = "testdata/studio.json"

// shellOut runs one command line as the shell would.
func shellOut(args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = run(args, &o, &e)
	return code, o.String(), e.String()
}

// The shell's answers on a small site, word for word. Each file is testdata/NAME.txt.
func TestShellGolden(t *testing.T) {
	now := "--now=2027-03-01T06:40"
	for name, args := range map[string][]string{
		"plan":       {"plan", studio, now},
		"plan-json":  {"plan", "--json", studio, now},
		"plan-es":    {"plan", studio, now, "--lang", "es"},
		"ways":       {"ways", studio, "--away", "electric:2027-03-02..2027-03-03", now},
		"ways-json":  {"ways", studio, "--away", "electric:2027-03-02..2027-03-03", now, "--json"},
		"holds":      {"holds", "--before", "board", studio, now},
		"holds-json": {"holds", "--before", "board", studio, now, "--json"},
		"texts":      {"texts", studio, "--day", "2027-03-05", now},
		"texts-json": {"texts", studio, "--day", "2027-03-05", now, "--json"},
		"odds":       {"odds", "testdata/odds.json", now},
		"odds-es":    {"odds", "testdata/odds.json", now, "--lang", "es", "--seed", "7", "--runs", "300"},
		"odds-json":  {"odds", "testdata/odds.json", now, "--json", "--runs", "200"},
		"check":      {"check", studio, now},
		"check-json": {"check", studio, now, "--json"},
		"help":       {"help"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errs := shellOut(args...)
			if code != 0 || errs != "" {
				t.Fatalf("status %d, %s", code, errs)
			}
			if strings.HasSuffix(name, "json") && (!json.Valid([]byte(out)) || strings.Contains(out, ": null")) {
				t.Error("no JSON, or with a list that is null")
			}
			golden(t, name, out)
		})
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs (go test ./server -run Golden -update writes it anew):\n%s", file, firstDifference(string(want), got))
	}
}

func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		if i >= len(w) || i >= len(g) || w[i] != g[i] {
			return fmt.Sprintf("line %d\nwant %s\ngot  %s", i+1, at(w, i), at(g, i))
		}
	}
	return "nowhere"
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return "(nothing)"
}

func TestBadInputIsStatusTwo(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	broken := file("broken.json", `{"name": "Half`)
	wrong := file("wrong.json", `{"format": 1, "name": "X", "activities": {"a": 1}}`)
	newer := file("newer.json", `{"format": 7, "name": "X"}`)
	empty := file("empty.json", "")
	huge := file("huge.json", manyActivities(10_000))
	large := file("large.json", strings.Repeat(" ", schedule.MaxBytes+1))
	twice := file("twice.json", "{\"format\": 1, \"name\": \"X\",\n\"activities\": [{\"id\": \"a\", \"name\": \"A\", \"name\": \"B\"}]}")
	capital := file("capital.json", `{"format": 1, "name": "X", "activities": [{"id": "a", "Name": "A"}]}`)
	foreign := file("foreign.json", `{"name": "client", "version": "1.0.0"}`)
	latin := file("latin.json", "{\"format\": 1,\n\"name\": \"Jos\xe9\"}")
	wide := file("wide.json", "\xff\xfe{\x00}\x00")
	deep := file("deep.json", `{"format": 1, "name": "X", "more": `+strings.Repeat("[", 40)+strings.Repeat("]", 40)+"}")
	deeper := file("deeper.json", `{"format": 1, "name": "X", "more": `+strings.Repeat("[", 100_000)+strings.Repeat("]", 100_000)+"}")
	data := filepath.Join(dir, "data")
	for _, c := range []struct {
		say  string
		args []string
	}{
		{"batterboard keeps the line", nil},
		{`no command "plant"; did you mean plan?`, []string{"plant", studio}},
		{`no command "zzz"`, []string{"zzz"}},
		{"there is no file", []string{"plan", filepath.Join(dir, "none.json")}},
		{"name one site file", []string{"plan"}},
		{"name one site file", []string{"plan", studio, studio}},
		{"line 1 does not read as JSON", []string{"plan", broken}},
		{"activities", []string{"plan", wrong}},
		{"newer version", []string{"check", newer}},
		{"is a folder", []string{"plan", dir}},
		{"more than 4 MB", []string{"plan", large}},
		{`in line 2, "name" stands there a second time`, []string{"import", twice, "--data", data}},
		{`in activities, "Name" is written "name"`, []string{"check", capital}},
		{`does not say "format": 1`, []string{"import", foreign, "--data", data}},
		{"line 2 is not in UTF-8", []string{"import", latin, "--data", data}},
		{"UTF-16", []string{"import", wide, "--data", data}},
		{"deep.json: a value is nested", []string{"plan", deep, "--json"}},
		{"max depth", []string{"plan", deeper}},
		{"--time cannot be \"5\": search for so long", []string{"solve", studio, "--time", "5"}},
		{"--now needs something behind it", []string{"plan", studio, "--now"}},
		{"did you mean electric?", []string{"ways", studio, "--away", "electrik:2027-03-02"}},
		{"--away is written like", []string{"ways", studio, "--away", "electric:"}},
		{"did you mean rough-electric, rough-inspection?", []string{"holds", studio, "--before", "rough"}},
		{"--addr is written like", []string{"serve", "--addr", "8080", "--data", data}},
		{"--addr is written like", []string{"serve", "--addr", ":99999", "--data", data}},
		{"the file is empty", []string{"check", empty}},
		{"10,000 activities; at most 2,000", []string{"plan", huge}},
		{"10,000 activities; at most 2,000", []string{"import", huge, "--data", data}},
		{"line 1 does not read as JSON", []string{"import", broken, "--data", data}},
		{"cannot be an object in braces", []string{"import", wrong, "--data", data}},
		{"--now", []string{"plan", studio, "--now", "tomorrow"}},
		{"--lang", []string{"plan", studio, "--lang", "fr"}},
		{"plan has no --speed", []string{"plan", studio, "--speed", "9"}},
		{"say who can't come with --away", []string{"ways", studio}},
		{"--away", []string{"ways", studio, "--away", "electric:2027-02-30"}},
		{"wrong order", []string{"ways", studio, "--away", "electric:2027-03-04..2027-03-02"}},
		{`no crew "sparks"`, []string{"ways", studio, "--away", "sparks:2027-03-02"}},
		{"--effort", []string{"ways", studio, "--away", "electric:2027-03-02", "--effort", "-1"}},
		{`no activity, hold point or delivery "roof"`, []string{"holds", studio, "--before", "roof"}},
		{"say what to look in front of", []string{"holds", studio}},
		{"--day", []string{"texts", studio, "--day", "Friday"}},
		{"no store in", []string{"export", "--data", filepath.Join(dir, "nothing")}},
		{"belong together", []string{"serve", "--tls-cert", "x"}},
		{"--public-url", []string{"serve", "--public-url", "board.example", "--data", data}},
		{"--demo-today", []string{"serve", "--demo-today", "soon", "--data", data}},
		{`takes no "now"`, []string{"serve", "now"}},
		{"there are list, owner, revoke and recovery", []string{"access", "lst", "--data", data}},
	} {
		code, out, errs := shellOut(c.args...)
		if code != 2 || out != "" || !strings.Contains(errs, c.say) {
			t.Errorf("%q: status %d, out %.60q, errors %q; want 2 and %q", c.args, code, out, errs, c.say)
		}
	}
	if _, err := os.Stat(data); !os.IsNotExist(err) {
		t.Error("a refused import left a store behind")
	}
}

// A file that was cut off anywhere is refused by every command that reads one, in one sentence, and nothing comes of it.
func TestAFileCutOffAnywhere(t *testing.T) {
	whole, err := os.ReadFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	whole = bytes.TrimSpace(whole)
	dir := t.TempDir()
	part, data := filepath.Join(dir, "part.json"), filepath.Join(dir, "data")
	for n := range whole {
		if err := os.WriteFile(part, whole[:n], 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := readFile(part)
		if bad := new(usageError); !errors.As(err, bad) || strings.Contains(err.Error(), "\n") {
			t.Fatalf("%d bytes of %d: %v", n, len(whole), err)
		}
		if n%211 != 0 {
			continue
		}
		for _, args := range [][]string{{"plan", part}, {"check", part}, {"import", part, "--data", data}} {
			if code, out, errs := shellOut(args...); code != 2 || out != "" || !strings.HasPrefix(errs, "batterboard: "+part+": ") {
				t.Errorf("%q, %d bytes: status %d, %q, %q", args, n, code, out, errs)
			}
		}
	}
	if _, err := os.Stat(data); !os.IsNotExist(err) {
		t.Error("a refused import left a store behind")
	}
}

// The mark that some editors put in front of UTF-8 is no part of the text (RFC 8259, 8.1: a parser may ignore it).
func TestAMarkInFrontIsIgnored(t *testing.T) {
	text, err := os.ReadFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	marked := filepath.Join(t.TempDir(), "marked.json")
	if err := os.WriteFile(marked, append([]byte("\xef\xbb\xbf"), text...), 0o600); err != nil {
		t.Fatal(err)
	}
	now := "--now=2027-03-01T06:40"
	_, want, _ := shellOut("plan", studio, now)
	if code, out, errs := shellOut("plan", marked, now); code != 0 || out != want {
		t.Errorf("status %d, %s", code, errs)
	}
}

// Things go by the names that stand on the screens as well as by their IDs.
func TestThingsGoByTheirNames(t *testing.T) {
	now := "--now=2027-03-01T06:40"
	for _, c := range [][2][]string{
		{{"ways", studio, now, "--away", "electric:2027-03-02"}, {"ways", studio, now, "--away", "ELECTRIC:2027-03-02"}},
		{{"holds", studio, now, "--before", "rough-electric"}, {"holds", studio, now, "--before", "Rough-in"}},
	} {
		_, want, _ := shellOut(c[0]...)
		if code, out, errs := shellOut(c[1]...); code != 0 || out != want {
			t.Errorf("%q: status %d, %s, %s", c[1], code, errs, firstDifference(want, out))
		}
	}
}

// Each command has a page of its own, on standard output, that names every one of its flags as they are typed.
func TestEveryCommandHasAPage(t *testing.T) {
	for _, c := range commands() {
		code, out, errs := shellOut(c.name, "--help")
		if code != 0 || errs != "" || !strings.HasPrefix(out, "batterboard "+c.name+" ") || strings.Contains(c.args, "--") && !strings.Contains(out, "\n  --") {
			t.Errorf("%s --help: status %d, %q, %q", c.name, code, out, errs)
		}
		if _, same, _ := shellOut("help", c.name); same != out {
			t.Errorf("help %s says something else", c.name)
		}
		for _, word := range strings.Fields(c.args) { // what the usage speaks of is explained
			if name, ok := strings.CutPrefix(strings.Trim(word, "[]"), "--"); ok && !strings.Contains(out, "\n  --"+name) {
				t.Errorf("%s --help does not explain --%s", c.name, name)
			}
		}
	}
}

// A second import of one site makes a second site, says so, and leaves the first as it was.
func TestImportOfTheSameSite(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	_, first, _ := shellOut("import", studio, "--data", data)
	id := strings.Fields(first)[1]
	_, before, _ := shellOut("export", "--data", data, "--site", id)
	code, out, errs := shellOut("import", studio, "--data", data)
	if code != 0 || errs != "" || !strings.Contains(out, "There was a site of that name already, "+id) {
		t.Fatalf("status %d, %q, %q", code, out, errs)
	}
	if _, after, _ := shellOut("export", "--data", data, "--site", id); after != before {
		t.Error("the first site was changed")
	}
	if code, out, errs := shellOut("import", circle(t, t.TempDir()), "--data", data); code != 0 || !strings.Contains(out, "It came with 1 problem; batterboard check ") {
		t.Errorf("a circle comes in beside the plan: status %d, %q, %q", code, out, errs)
	}
	if strings.Contains(first, "already") {
		t.Errorf("the first import says %q", first)
	}
}

// The commands that README.md shows are there and know the flags they are shown with, and its site file is a whole one.
func TestReadmeShowsWhatIsThere(t *testing.T) {
	b, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	pages, shown := map[string]string{}, 0
	for _, c := range commands() {
		_, pages[c.name], _ = shellOut(c.name, "--help")
	}
	for line := range strings.Lines(string(b)) {
		words := strings.Fields(line)
		if len(words) < 2 || words[0] != "batterboard" {
			continue
		}
		shown++
		page, ok := pages[words[1]]
		if !ok {
			t.Errorf("there is no %s %s", words[0], words[1])
		}
		line, _, _ = strings.Cut(line, " #")
		for _, w := range strings.Fields(line) {
			if w = strings.Trim(w, "[]"); strings.HasPrefix(w, "--") && !strings.Contains(page, "\n  "+w) {
				t.Errorf("batterboard %s does not know %s", words[1], w)
			}
		}
	}
	if shown < 10 {
		t.Errorf("only %d commands found", shown)
	}
	_, rest, _ := strings.Cut(string(b), "```json\n")
	example, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("README.md has no example of a site file")
	}
	path := filepath.Join(t.TempDir(), "example.json")
	if err := os.WriteFile(path, []byte(example), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, out, errs := shellOut("check", path, "--now=2027-03-01T06:40"); code != 0 || !strings.Contains(out, "Nothing is wrong") || strings.Contains(out, "?") {
		t.Errorf("the example: status %d, %s%s", code, out, errs)
	}
}

func manyActivities(n int) string {
	var b strings.Builder
	b.WriteString(`{"format":1,"name":"Much","activities":[`)
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"id":"a%d","name":"A","labour":{"typical":60}}`, i)
	}
	b.WriteString("]}")
	return b.String()
}

func TestFailureIsStatusOne(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		say  string
		args []string
	}{
		{"listen", []string{"serve", "--addr", "256.0.0.1:1", "--data", filepath.Join(dir, "d")}},
		{"1 problem", []string{"check", circle(t, dir), "--now", "2027-03-01T06:40"}},
	} {
		code, out, errs := shellOut(c.args...)
		if code != 1 || !strings.Contains(errs, c.say) {
			t.Errorf("%q: status %d, %q", c.args, code, errs)
		}
		if c.args[0] == "check" && (!strings.HasPrefix(out, "! ") || strings.Contains(out, "Nothing is wrong")) {
			t.Errorf("%q says %q", c.args, out)
		}
	}
}

// circle writes a site whose two activities wait for each other.
func circle(t *testing.T, dir string) string {
	t.Helper()
	path := filepath.Join(dir, "circle.json")
	text := `{"format":1,"name":"Ring","start":"2027-03-01","activities":[{"id":"a","name":"A","labour":{"typical":60}},
		{"id":"b","name":"B","labour":{"typical":60}}],"links":[{"id":"l1","from":"a","to":"b"},{"id":"l2","from":"b","to":"a"}]}`
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestImportThenExport(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	if code, out, _ := shellOut("import", studio, "--data", data); code != 0 || !strings.HasPrefix(out, "site ") {
		t.Fatalf("import: %d %s", code, out)
	}
	code, out, errs := shellOut("export", "--data", data)
	if code != 0 {
		t.Fatal(errs)
	}
	original, err := os.ReadFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	want, got := byID(t, original), byID(t, []byte(out))
	if !reflect.DeepEqual(want, got) {
		t.Errorf("came back changed:\n%v\n%v", want, got)
	}
	// What was exported comes in again, and goes out in the same bytes.
	again := filepath.Join(t.TempDir(), "again.json")
	if err := os.WriteFile(again, []byte(out), 0o644); err != nil {
		t.Fatal(err)
	}
	second := filepath.Join(t.TempDir(), "second")
	if code, _, errs := shellOut("import", again, "--data", second); code != 0 {
		t.Fatal(errs)
	}
	if _, out2, _ := shellOut("export", "--data", second); out2 != out {
		t.Error("the second export has other bytes")
	}
	if code, _, errs := shellOut("export", "--data", data, "--site", "nosuch"); code != 2 || !strings.Contains(errs, "Potter's studio") {
		t.Errorf("a wrong site: %d %s", code, errs)
	}
}

// byID reads a site file with its lists as maps, because their order is no part of what it says.
func byID(t *testing.T, doc []byte) map[string]any {
	t.Helper()
	var top map[string]any
	if err := json.Unmarshal(doc, &top); err != nil {
		t.Fatal(err)
	}
	for name, v := range top {
		list, ok := v.([]any)
		if !ok {
			continue
		}
		things := map[string]any{}
		for _, x := range list {
			things[x.(map[string]any)["id"].(string)] = x
		}
		top[name] = things
	}
	return top
}

func TestAStoreInUseIsLeftAlone(t *testing.T) {
	w := newWorld(t)
	if code, _, errs := shellOut("export", "--data", w.dir); code != 1 || !strings.Contains(errs, "is in use, and the program that has it open takes no commands") {
		t.Errorf("status %d, %s", code, errs)
	}
	if _, err := openStore(w.dir); !errors.Is(err, errInUse) {
		t.Errorf("opened twice: %v", err)
	}
}

// What export writes keeps the published schema, so any other program can read it.
func TestExportKeepsTheSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile(filepath.Join("..", "testdata", "site.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(t.TempDir(), "data")
	if code, _, errs := shellOut("import", studio, "--data", data); code != 0 {
		t.Fatal(errs)
	}
	for _, args := range [][]string{{"export", "--data", data}, {"export", "--data", data, "--json"}} {
		_, out, errs := shellOut(args...)
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
		if err != nil {
			t.Fatal(err, errs)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%q: %v", args, err)
		}
	}
}
