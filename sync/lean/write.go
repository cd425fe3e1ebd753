package lean

import (
	"encoding"
	"encoding/json"
	"reflect"
	"sort"
	"strconv"
	"unicode/utf8"
)

// Marshal writes v without white space; keys of maps are sorted.
func Marshal(v any) ([]byte, error) { return Append(nil, v) }

// Append is Marshal behind what is in b already.
func Append(b []byte, v any) ([]byte, error) {
	if v == nil {
		return append(b, "null"...), nil
	}
	return write(b, reflect.ValueOf(v), 0)
}

func write(b []byte, v reflect.Value, depth int) (_ []byte, err error) {
	if depth > MaxDepth {
		return nil, errDepth
	}
	t := v.Type()
	if t == rawType {
		return writeRaw(b, v.Bytes())
	}
	if t == numberType {
		return append(b, v.String()...), nil
	}
	if v.Kind() != reflect.Pointer || !v.IsNil() {
		switch m := v.Interface().(type) {
		case json.Marshaler:
			raw, err := m.MarshalJSON()
			return append(b, raw...), err
		case encoding.TextMarshaler:
			text, err := m.MarshalText()
			return appendString(b, string(text)), err
		}
	}
	switch v.Kind() {
	case reflect.String:
		return appendString(b, v.String()), nil
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool()), nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return strconv.AppendInt(b, v.Int(), 10), nil
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return strconv.AppendUint(b, v.Uint(), 10), nil
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return write(b, v.Elem(), depth+1)
	case reflect.Slice:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return writeList(b, v, depth)
	case reflect.Array:
		return writeList(b, v, depth)
	case reflect.Map:
		return writeMap(b, v, depth)
	case reflect.Struct:
		return writeStruct(b, v, depth)
	}
	panic("lean: cannot write a " + t.String())
}

// writeRaw takes over bytes that are JSON already, without touching them.
func writeRaw(b, raw []byte) ([]byte, error) {
	if raw == nil {
		return append(b, "null"...), nil
	}
	p := parser{b: raw}
	if err := p.skipValue(0); err != nil {
		return nil, err
	}
	if p.space(); p.i != len(raw) {
		return nil, errSyntax
	}
	return append(b, raw...), nil
}

func writeList(b []byte, v reflect.Value, depth int) (_ []byte, err error) {
	b = append(b, '[')
	for i := range v.Len() {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = write(b, v.Index(i), depth+1); err != nil {
			return nil, err
		}
	}
	return append(b, ']'), nil
}

func writeMap(b []byte, v reflect.Value, depth int) (_ []byte, err error) {
	if v.IsNil() {
		return append(b, "null"...), nil
	}
	keys := make([]string, 0, v.Len())
	for it := v.MapRange(); it.Next(); {
		keys = append(keys, it.Key().String())
	}
	sort.Strings(keys)
	b = append(b, '{')
	for i, k := range keys {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(appendString(b, k), ':')
		if b, err = write(b, v.MapIndex(reflect.ValueOf(k).Convert(v.Type().Key())), depth+1); err != nil {
			return nil, err
		}
	}
	return append(b, '}'), nil
}

func writeStruct(b []byte, v reflect.Value, depth int) (_ []byte, err error) {
	b = append(b, '{')
	n := 0
	for _, f := range fieldsOf(v.Type()) {
		x := v.Field(f.index)
		if f.omitEmpty && isEmpty(x) || f.omitZero && isZero(x) {
			continue
		}
		if n++; n > 1 {
			b = append(b, ',')
		}
		b = append(appendString(b, f.name), ':')
		if b, err = write(b, x, depth+1); err != nil {
			return nil, err
		}
	}
	return append(b, '}'), nil
}

func isEmpty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.String, reflect.Array:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

func isZero(v reflect.Value) bool {
	if z, ok := v.Interface().(interface{ IsZero() bool }); ok {
		return v.Kind() == reflect.Pointer && v.IsNil() || z.IsZero()
	}
	return v.IsZero()
}

const hexDigits = "0123456789abcdef"

// appendString quotes s. Bytes that are not UTF-8 become U+FFFD; U+2028 and U+2029 are escaped, as
// encoding/json does.
func appendString(b []byte, s string) []byte {
	b = append(b, '"')
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			switch {
			case c == '"' || c == '\\':
				b = append(b, '\\', c)
			case c == '\n':
				b = append(b, '\\', 'n')
			case c == '\r':
				b = append(b, '\\', 'r')
			case c == '\t':
				b = append(b, '\\', 't')
			case c == '\b':
				b = append(b, '\\', 'b')
			case c == '\f':
				b = append(b, '\\', 'f')
			case c < ' ':
				b = append(b, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
			default:
				b = append(b, c)
			}
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			b = append(b, `\ufffd`...)
		case r == '\u2028' || r == '\u2029':
			b = append(b, `\u202`...)
			b = append(b, hexDigits[r&15])
		default:
			b = append(b, s[i:i+n]...)
		}
		i += n
	}
	return append(b, '"')
}
