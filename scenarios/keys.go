package scenarios

import (
	"reflect"
	"slices"
)

// Keys returns all keys that a scenario may have, in the order of a file. Those
// of a light are named by light.NAME, as in an assignment.
func Keys() []string { return keysOf("", reflect.TypeFor[document]()) }

// keysOf returns the keys of a table below a prefix.
func keysOf(prefix string, table reflect.Type) []string {
	var keys []string
	for i := range table.NumField() {
		field := table.Field(i)
		tag := field.Tag.Get("toml")
		if tag == "" && !field.Anonymous {
			continue
		}
		name := join(prefix, tag)
		kind := field.Type
		if kind.Kind() == reflect.Slice && kind.Elem().Kind() == reflect.Struct {
			kind, name = kind.Elem(), join(name, "NAME")
		}
		if kind == sourceType {
			// A name stands for the table.
			keys = append(keys, name)
		}
		if kind.Kind() == reflect.Map {
			name = join(name, "NAME")
		}
		if kind.Kind() == reflect.Struct {
			keys = append(keys, keysOf(name, kind)...)
			continue
		}
		keys = append(keys, name)
	}
	// A table that two others embed is listed once for each.
	return slices.Compact(keys)
}
