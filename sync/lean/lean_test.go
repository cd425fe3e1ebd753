package lean_test

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/sync/lean"
)

// everything has a field of every kind that the program uses.
type everything struct {
	S    string                     `json:"s"`
	Opt  string                     `json:"opt,omitempty"`
	B    bool                       `json:"b"`
	I    int32                      `json:"i"`
	L    int64                      `json:"l,omitempty"`
	U    uint32                     `json:"u"`
	D    schedule.Day               `json:"d"`
	DZ   schedule.Day               `json:"dz,omitzero"`
	M    schedule.Minute            `json:"m"`
	W    schedule.Week              `json:"w"`
	WZ   schedule.Week              `json:"wz,omitzero"`
	WP   *schedule.Week             `json:"wp,omitempty"`
	Raw  json.RawMessage            `json:"raw,omitempty"`
	Raws []json.RawMessage          `json:"raws"`
	Map  map[string]string          `json:"map"`
	Set  map[string]json.RawMessage `json:"set,omitempty"`
	Mins map[string]schedule.Minute `json:"mins"`
	List []string                   `json:"list"`
	Pair [2]string                  `json:"pair"`
	Two  [][2]uint32                `json:"two"`
	R    schedule.Range             `json:"r"`
	P    *everything                `json:"p,omitempty"`
	Kids []everything               `json:"kids,omitempty"`
	Kind schedule.LinkKind          `json:"kind"`
	Min  *schedule.Minute           `json:"min"`
	Skip int                        `json:"-"`
	Bare int
}

// The text that encoding/json would write without escaping for HTML.
func std(t testing.TB, v any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		t.Fatal(err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

var samples = []string{
	`{}`, `null`, `{"s":"a\u00e9\ud83d\ude00\ud800x\n\t\"\\\/","b":true,"i":-5,"l":9007199254740993,"u":4294967295,"d":"2027-04-06","m":"2027-04-06T08:00"}`,
	`{"w":[["08:00-12:00"],[],[],[],[],[],[]],"wp":[["08:00-12:00","12:30-16:30"]],"raw": {"x" : [1, 2.50, 1e3]} ,"raws":[1,"a",null,{}]}`,
	`{"map":{"b":"2","a":"1"},"set":{"q":null,"p":1},"mins":{"x":"2027-04-06T08:00"},"list":["a","b"],"pair":["x","y","z"],"two":[[1,2],[3,4]]}`,
	`{"r":{"low":1,"typical":2},"p":{"s":"in","p":null},"kids":[{"i":1},{"i":2,"kids":[]}],"kind":"FS","min":"2027-04-06T08:00","Bare":3,"unknown":[{"a":{}}]}`,
	`{"i":"no","s":5,"list":{"a":1},"b":"x","after":1,"u":7}`, `{"i":2147483648}`, `{"i":1.5}`, `{"u":-1}`, `{"d":"2027-02-30"}`, `{"w":[["x"]]}`, `{"d":5}`,
	`[1,`, `{"a":}`, `{"a":1,}`, `[1 2]`, `"abc`, `01`, `-`, `1.`, `1e`, `tru`, `{"s":"\x"}`, "\"\x01\"", `{} {}`, ` {"s" : "x" } `, "\"\xff\"", `{"s":"a","s":"b"}`,
	`{"list":null,"map":null,"raw":null,"p":null,"s":null,"pair":null,"w":null,"min":null}`, "{\"s\":\"\u2028<>&\"}", `{"pair":["x"]}`, `{"kids":null}`, `[]`,
}

// odd says that the text names a field in other capitals, which encoding/json takes and lean does not.
func odd(v any) bool {
	names := map[string]string{}
	for _, t := range []reflect.Type{reflect.TypeFor[everything](), reflect.TypeFor[schedule.Range]()} {
		for i := range t.NumField() {
			n, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			if n == "" {
				n = t.Field(i).Name
			}
			names[strings.ToLower(n)] = n
		}
	}
	var walk func(any) bool
	walk = func(v any) bool {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				if walk(x) {
					return true
				}
			}
		case map[string]any:
			for k, x := range v {
				// encoding/json folds more letters than ToLower, such as the long s.
				if n, ok := names[strings.ToLower(strings.ToUpper(k))]; ok && n != k || walk(x) {
					return true
				}
			}
		}
		return false
	}
	return walk(v)
}

func compare(t *testing.T, b []byte) {
	t.Helper()
	var any1, any2 any
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	err1 := d.Decode(&any1)
	if err1 == nil && !json.Valid(b) {
		err1 = errRest
	}
	err2 := lean.Unmarshal(b, &any2)
	if err2 != nil && strings.Contains(err2.Error(), "too deep") {
		return
	}
	if (err1 == nil) != (err2 == nil) || lean.Valid(b) != json.Valid(b) {
		t.Fatalf("%q: encoding/json says %v, lean %v", b, err1, err2)
	}
	if err1 != nil {
		return
	}
	if !reflect.DeepEqual(any1, any2) {
		t.Fatalf("%q reads as %#v, lean %#v", b, any1, any2)
	}
	if got, err := lean.Marshal(any2); err != nil || !bytes.Equal(got, std(t, any1)) {
		t.Fatalf("%q is written %s, lean %s (%v)", b, std(t, any1), got, err)
	}
	if odd(any1) {
		return
	}
	var e1, e2 everything
	err1, err2 = json.Unmarshal(b, &e1), lean.Unmarshal(b, &e2)
	if (err1 == nil) != (err2 == nil) {
		t.Fatalf("%q: encoding/json says %v, lean %v", b, err1, err2)
	}
	if err1 != nil {
		return
	}
	if !reflect.DeepEqual(e1, e2) {
		t.Fatalf("%q reads as\n%+v, lean\n%+v", b, e1, e2)
	}
	// encoding/json takes the white space out of raw messages, lean leaves every byte.
	got, err := lean.Marshal(e2)
	var tidy bytes.Buffer
	if err != nil || json.Compact(&tidy, got) != nil || !bytes.Equal(tidy.Bytes(), std(t, e1)) {
		t.Fatalf("%q is written\n%s, lean\n%s (%v)", b, std(t, e1), got, err)
	}
}

type rest struct{}

func (rest) Error() string { return "something after the end" }

var errRest = rest{}

func TestReadsAndWritesLikeEncodingJSON(t *testing.T) {
	for _, s := range samples {
		compare(t, []byte(s))
		for i := range len(s) { // cut anywhere
			compare(t, []byte(s[:i]))
		}
	}
}

func FuzzLikeEncodingJSON(f *testing.F) {
	for _, s := range samples {
		f.Add([]byte(s))
	}
	f.Fuzz(compare)
}

func TestDeepIsRefused(t *testing.T) {
	for _, s := range []string{strings.Repeat("[", 1e6), strings.Repeat(`{"p":`, 1e5) + "1" + strings.Repeat("}", 1e5)} {
		var x any
		var e everything
		if lean.Unmarshal([]byte(s), &x) == nil || lean.Unmarshal([]byte(s), &e) == nil || lean.Valid([]byte(s)) {
			t.Error("a tower of brackets was read")
		}
	}
}

// Raw messages keep their very bytes, the order of names and escapes included: they are hashed.
func TestRawMessagesKeepTheirBytes(t *testing.T) {
	raw := `{"z":"<&>\u00e9","a":1.50 }`
	got, err := lean.Marshal(map[string]any{"op": json.RawMessage(raw)})
	if err != nil || string(got) != `{"op":`+raw+`}` {
		t.Errorf("%s %v", got, err)
	}
	if _, err := lean.Marshal(json.RawMessage(`{"a":`)); err == nil {
		t.Error("broken raw JSON was written")
	}
}
