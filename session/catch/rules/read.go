package rules

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"ledgehand/session/catch/names"
)

// reader reads itself from a file.
type reader interface{ read(n *node) error }

// Load reads a pack from a file, YAML or JSON. Whatever it does not know is refused: a field that was misspelt must not
// be a rule that is missing. The error is a *Refused.
func Load(data []byte) (*Pack, error) {
	n, err := parse(data)
	if err != nil {
		return nil, err
	}
	p := &Pack{}
	if err := readStruct(n, p); err != nil {
		return nil, err
	}
	if err := p.check(n); err != nil {
		return nil, err
	}
	return p, nil
}

// readStruct fills the fields of a struct, by their names in the file.
func readStruct(n *node, into any) error {
	if n.kind != mapping {
		return n.refuse(WhyMap, "")
	}
	v := reflect.ValueOf(into).Elem()
	fields := fieldsOf(v)
	var seen []string
	for i, k := range n.keys {
		k.path = joinPath(n.path, k.text)
		f, ok := fields[k.text]
		if !ok {
			k.path = n.path
			return k.refuse(WhyField, nearest(k.text, fields))
		}
		if slices.Contains(seen, k.text) {
			return k.refuse(WhyTwice, "")
		}
		seen = append(seen, k.text)
		x := n.vals[i]
		x.path = k.path
		if x.null {
			return x.refuse(WhyMissing, "")
		}
		if err := readValue(x, f); err != nil {
			return err
		}
	}
	return nil
}

func joinPath(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// fieldsOf are the fields by their names, those of embedded structs among them.
func fieldsOf(v reflect.Value) map[string]reflect.Value {
	out := map[string]reflect.Value{}
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Anonymous {
			for name, x := range fieldsOf(v.Field(i)) {
				out[name] = x
			}
			continue
		}
		if tag := f.Tag.Get("json"); tag != "" {
			out[tag] = v.Field(i)
		}
	}
	return out
}

func readValue(n *node, v reflect.Value) error {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if r, ok := v.Addr().Interface().(reader); ok {
		return r.read(n)
	}
	switch v.Kind() {
	case reflect.Struct:
		if err := readStruct(n, v.Addr().Interface()); err != nil {
			return err
		}
		if r, ok := v.Addr().Interface().(*Rule); ok {
			r.line = n.line
		}
		return nil
	case reflect.Slice:
		if n.kind != list {
			return n.refuse(WhyList, "["+n.text+"]")
		}
		for i, x := range n.vals {
			if x.path = fmt.Sprintf("%s %d", n.path, i+1); x.null {
				return x.refuse(WhyMissing, "")
			}
			one := reflect.New(v.Type().Elem()).Elem()
			if err := readValue(x, one); err != nil {
				return err
			}
			v.Set(reflect.Append(v, one))
		}
		return nil
	}
	if n.kind != scalar {
		return n.refuse(WhyScalar, "")
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(strings.TrimSpace(n.text))
	case reflect.Bool:
		if n.quoted || n.text != "true" && n.text != "false" {
			return n.refuse(WhyTrue, "")
		}
		v.SetBool(n.text == "true")
	case reflect.Int:
		x, err := strconv.Atoi(n.text)
		if err != nil || n.quoted {
			return n.refuse(WhyNumber, "10")
		}
		if x < 0 || x > mostNumber {
			return n.refuse(WhyRange, "10")
		}
		v.SetInt(int64(x))
	default:
		panic("no way to read a " + v.Type().String()) // a field of our own, which the first test with it meets
	}
	return nil
}

// nearest is the field most like what was written, "" if none is.
func nearest(said string, fields map[string]reflect.Value) string {
	best, least := "", 3
	if len(said) > 40 {
		return "" // no slip of the pen
	}
	for name := range fields {
		if d := names.Slips(said, name); d < least || d == least && best != "" && name < best {
			best, least = name, d
		}
	}
	return best
}

func oneOf(n *node, field, said string, of []string) error {
	if slices.Contains(of, said) {
		return nil
	}
	at := n
	if f := n.field(field); f != nil {
		at = f
	}
	return at.refuse(WhyWord, strings.Join(of, ", "))
}
