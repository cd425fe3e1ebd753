package engine

import "reflect"

// fillEmpty makes every list and table of a view present: the screen is typed to find [] and {},
// never null. Fields that may be left out (omitempty) stay as they are.
func fillEmpty(v *View) { Fill(v) }

// Fill does the same for anything that v points to, for who writes it as JSON without a phone.
func Fill(v any) { fillIn(reflect.ValueOf(v).Elem()) }

func fillIn(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillIn(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() {
				fillIn(f)
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
			return
		}
		for i := range v.Len() {
			fillIn(v.Index(i))
		}
	case reflect.Map:
		if v.IsNil() {
			v.Set(reflect.MakeMap(v.Type()))
		}
	}
}
