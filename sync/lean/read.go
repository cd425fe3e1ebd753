package lean

import (
	"encoding"
	"encoding/json"
	"reflect"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// Unmarshal reads one JSON value into what v points to. As in encoding/json, a value of the wrong kind
// is passed over and told in the end, the rest is read; unknown members are skipped; null leaves a
// value as it is, but clears pointers, maps, slices and interfaces.
func Unmarshal(b []byte, v any) error {
	// Like encoding/json, first see that the whole is JSON at all: nothing is half read.
	p := parser{b: b}
	if err := p.skipValue(0); err != nil {
		return err
	}
	if p.space(); p.i != len(b) {
		return errSyntax
	}
	p = parser{b: b}
	if err := p.value(reflect.ValueOf(v).Elem(), 0); err != nil {
		return err
	}
	return p.wrong
}

// Valid says whether b is one JSON value.
func Valid(b []byte) bool {
	p := parser{b: b}
	if p.skipValue(0) != nil {
		return false
	}
	p.space()
	return p.i == len(b)
}

type parser struct {
	b     []byte
	i     int
	wrong error // the first value of the wrong kind
}

func (p *parser) space() {
	for p.i < len(p.b) {
		switch p.b[p.i] {
		case ' ', '\t', '\n', '\r':
			p.i++
		default:
			return
		}
	}
}

func (p *parser) peek() byte {
	if p.space(); p.i < len(p.b) {
		return p.b[p.i]
	}
	return 0
}

// take takes the punctuation c if it comes next.
func (p *parser) take(c byte) bool {
	if p.peek() == c && c != 0 {
		p.i++
		return true
	}
	return false
}

// skipValue passes over one value and checks that it is JSON.
func (p *parser) skipValue(depth int) error {
	if depth > MaxDepth {
		return errDepth
	}
	switch c := p.peek(); c {
	case '{':
		return p.members(func([]byte) error { return p.skipValue(depth + 1) })
	case '[':
		return p.elements(func() error { return p.skipValue(depth + 1) })
	case '"':
		_, err := p.quoted()
		return err
	case 't':
		return p.word("true")
	case 'f':
		return p.word("false")
	case 'n':
		return p.word("null")
	default:
		_, err := p.number()
		return err
	}
}

func (p *parser) word(w string) error {
	if len(p.b)-p.i < len(w) || string(p.b[p.i:p.i+len(w)]) != w {
		return errSyntax
	}
	p.i += len(w)
	return nil
}

// members calls f behind each name of an object; f reads the value.
func (p *parser) members(f func(quoted []byte) error) error {
	p.i++
	if p.take('}') {
		return nil
	}
	for {
		if p.peek() != '"' {
			return errSyntax
		}
		name, err := p.quoted()
		if err != nil {
			return err
		}
		if !p.take(':') {
			return errSyntax
		}
		if err := f(name); err != nil {
			return err
		}
		if p.take('}') {
			return nil
		}
		if !p.take(',') {
			return errSyntax
		}
	}
}

func (p *parser) elements(f func() error) error {
	p.i++
	if p.take(']') {
		return nil
	}
	for {
		if err := f(); err != nil {
			return err
		}
		if p.take(']') {
			return nil
		}
		if !p.take(',') {
			return errSyntax
		}
	}
}

// quoted takes a string with its quotes (RFC 8259 section 7).
func (p *parser) quoted() ([]byte, error) {
	from := p.i
	for p.i++; p.i < len(p.b); p.i++ {
		switch c := p.b[p.i]; {
		case c == '"':
			p.i++
			return p.b[from:p.i], nil
		case c < ' ':
			return nil, errSyntax
		case c == '\\':
			if p.i++; p.i >= len(p.b) {
				return nil, errSyntax
			}
			switch p.b[p.i] {
			case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
			case 'u':
				if _, ok := hex4(p.b[p.i+1:]); !ok {
					return nil, errSyntax
				}
				p.i += 4
			default:
				return nil, errSyntax
			}
		}
	}
	return nil, errSyntax
}

func hex4(b []byte) (r rune, ok bool) {
	if len(b) < 4 {
		return 0, false
	}
	for _, c := range b[:4] {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		case c >= 'A' && c <= 'F':
			c -= 'A' - 10
		default:
			return 0, false
		}
		r = r<<4 | rune(c)
	}
	return r, true
}

// number takes a number (RFC 8259 section 6).
func (p *parser) number() ([]byte, error) {
	from := p.i
	if p.i < len(p.b) && p.b[p.i] == '-' {
		p.i++
	}
	digits := func() bool {
		at := p.i
		for p.i < len(p.b) && p.b[p.i] >= '0' && p.b[p.i] <= '9' {
			p.i++
		}
		return p.i > at
	}
	if p.i < len(p.b) && p.b[p.i] == '0' {
		p.i++
	} else if !digits() {
		return nil, errSyntax
	}
	if p.i < len(p.b) && p.b[p.i] == '.' {
		if p.i++; !digits() {
			return nil, errSyntax
		}
	}
	if p.i < len(p.b) && p.b[p.i]|0x20 == 'e' {
		if p.i++; p.i < len(p.b) && (p.b[p.i] == '+' || p.b[p.i] == '-') {
			p.i++
		}
		if !digits() {
			return nil, errSyntax
		}
	}
	return p.b[from:p.i], nil
}

// unquote reads what a quoted string says. Halves of surrogate pairs and bytes that are not UTF-8
// become U+FFFD.
func unquote(q []byte) string {
	q = q[1 : len(q)-1]
	plain := true
	for _, c := range q {
		if c == '\\' || c >= utf8.RuneSelf {
			plain = false
			break
		}
	}
	if plain {
		return string(q)
	}
	out := make([]byte, 0, len(q))
	for i := 0; i < len(q); {
		if q[i] != '\\' {
			r, n := utf8.DecodeRune(q[i:])
			out = utf8.AppendRune(out, r)
			i += n
			continue
		}
		i += 2
		switch c := q[i-1]; c {
		case 'b':
			out = append(out, '\b')
		case 'f':
			out = append(out, '\f')
		case 'n':
			out = append(out, '\n')
		case 'r':
			out = append(out, '\r')
		case 't':
			out = append(out, '\t')
		case 'u':
			r, _ := hex4(q[i:])
			i += 4
			if utf16.IsSurrogate(r) {
				pair := rune(utf8.RuneError)
				if len(q) >= i+6 && q[i] == '\\' && q[i+1] == 'u' {
					low, _ := hex4(q[i+2:])
					if pair = utf16.DecodeRune(r, low); pair != utf8.RuneError {
						i += 6
					}
				}
				r = pair
			}
			out = utf8.AppendRune(out, r)
		default:
			out = append(out, c)
		}
	}
	return string(out)
}

// value reads the next value into v. The input has been checked already.
func (p *parser) value(v reflect.Value, depth int) error {
	if p.peek() == 'n' && v.Kind() != reflect.Pointer {
		return p.null(v, depth)
	}
	from := p.i
	if v.Type() == rawType {
		if err := p.skipValue(depth); err != nil {
			return err
		}
		v.SetBytes(append([]byte(nil), p.b[from:p.i]...))
		return nil
	}
	if v.Kind() != reflect.Pointer && v.CanAddr() {
		switch m := v.Addr().Interface().(type) {
		case json.Unmarshaler:
			if err := p.skipValue(depth); err != nil {
				return err
			}
			return m.UnmarshalJSON(p.b[from:p.i])
		case encoding.TextUnmarshaler:
			if p.peek() != '"' {
				return p.mismatch(depth)
			}
			q, err := p.quoted()
			if err != nil {
				return err
			}
			return m.UnmarshalText([]byte(unquote(q)))
		}
	}
	switch v.Kind() {
	case reflect.Pointer:
		if p.peek() == 'n' {
			v.SetZero()
			return p.word("null")
		}
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		return p.value(v.Elem(), depth+1)
	case reflect.Interface:
		x, err := p.any(depth)
		if err == nil {
			v.Set(reflect.ValueOf(x))
		}
		return err
	}
	switch p.peek() {
	case '{':
		return p.object(v, depth)
	case '[':
		return p.list(v, depth)
	}
	return p.scalar(v, depth)
}

func (p *parser) null(v reflect.Value, depth int) error {
	if err := p.word("null"); err != nil {
		return err
	}
	switch v.Kind() {
	case reflect.Interface, reflect.Map, reflect.Slice:
		if v.Type() == rawType {
			v.SetBytes([]byte("null"))
			return nil
		}
		v.SetZero()
	}
	return nil
}

// mismatch passes over a value of the wrong kind.
func (p *parser) mismatch(depth int) error {
	if p.wrong == nil {
		p.wrong = errShape
	}
	return p.skipValue(depth)
}

func (p *parser) scalar(v reflect.Value, depth int) error {
	c := p.peek()
	switch {
	case c == '"' && v.Kind() == reflect.String && v.Type() != numberType:
		q, err := p.quoted()
		if err == nil {
			v.SetString(unquote(q))
		}
		return err
	case (c == 't' || c == 'f') && v.Kind() == reflect.Bool:
		v.SetBool(c == 't')
		return p.skipValue(depth)
	case c == '-' || c >= '0' && c <= '9':
		num, err := p.number()
		if err != nil {
			return err
		}
		return p.set(v, string(num))
	}
	return p.mismatch(depth)
}

func (p *parser) set(v reflect.Value, num string) error {
	fail := func() error {
		if p.wrong == nil {
			p.wrong = errShape
		}
		return nil
	}
	switch v.Kind() {
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		n, err := strconv.ParseInt(num, 10, 64)
		if err != nil || v.OverflowInt(n) {
			return fail()
		}
		v.SetInt(n)
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		n, err := strconv.ParseUint(num, 10, 64)
		if err != nil || v.OverflowUint(n) {
			return fail()
		}
		v.SetUint(n)
	case reflect.String:
		if v.Type() != numberType {
			return fail()
		}
		v.SetString(num)
	case reflect.Float32, reflect.Float64, reflect.Complex64, reflect.Complex128:
		panic("lean: cannot read into a " + v.Type().String())
	default:
		return fail()
	}
	return nil
}

func (p *parser) list(v reflect.Value, depth int) error {
	if depth > MaxDepth {
		return errDepth
	}
	n := 0
	switch v.Kind() {
	case reflect.Slice:
		v.SetLen(0)
		err := p.elements(func() error {
			if n >= v.Cap() {
				v.Grow(1)
			}
			v.SetLen(n + 1)
			v.Index(n).SetZero()
			n++
			return p.value(v.Index(n-1), depth+1)
		})
		if n == 0 && err == nil {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		return err
	case reflect.Array:
		err := p.elements(func() error {
			n++
			if n > v.Len() {
				return p.skipValue(depth + 1)
			}
			return p.value(v.Index(n-1), depth+1)
		})
		for ; n < v.Len(); n++ {
			v.Index(n).SetZero()
		}
		return err
	}
	return p.mismatch(depth)
}

func (p *parser) object(v reflect.Value, depth int) error {
	if depth > MaxDepth {
		return errDepth
	}
	switch v.Kind() {
	case reflect.Struct:
		fields := fieldsOf(v.Type())
		return p.members(func(q []byte) error {
			name := unquote(q)
			for i := range fields {
				if fields[i].name == name {
					return p.value(v.Field(fields[i].index), depth+1)
				}
			}
			return p.skipValue(depth + 1)
		})
	case reflect.Map:
		if v.IsNil() {
			v.Set(reflect.MakeMap(v.Type()))
		}
		elem := v.Type().Elem()
		return p.members(func(q []byte) error {
			x := reflect.New(elem).Elem()
			if err := p.value(x, depth+1); err != nil {
				return err
			}
			v.SetMapIndex(reflect.ValueOf(unquote(q)).Convert(v.Type().Key()), x)
			return nil
		})
	}
	return p.mismatch(depth)
}

// any reads a value of any kind: nil, bool, string, json.Number, []any, map[string]any.
func (p *parser) any(depth int) (any, error) {
	if depth > MaxDepth {
		return nil, errDepth
	}
	switch c := p.peek(); c {
	case '{':
		m := map[string]any{}
		err := p.members(func(q []byte) error {
			x, err := p.any(depth + 1)
			m[unquote(q)] = x
			return err
		})
		return m, err
	case '[':
		l := []any{}
		err := p.elements(func() error {
			x, err := p.any(depth + 1)
			l = append(l, x)
			return err
		})
		return l, err
	case '"':
		q, err := p.quoted()
		if err != nil {
			return nil, err
		}
		return unquote(q), nil
	case 't', 'f':
		return c == 't', p.skipValue(depth)
	case 'n':
		return nil, p.word("null")
	}
	num, err := p.number()
	return json.Number(num), err
}
