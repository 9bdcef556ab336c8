package scenarios

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// tree is a scenario file as the parser leaves it: tables, lists, numbers,
// words. The keys keep their letter case.
type tree = map[string]any

// mostText keeps a file that is none from being read for minutes: a population
// of a thousand rows has less than a megabyte.
const mostText = 16 << 20 // bytes

// parse reads TOML. A byte-order mark at its head, which some editors write, is
// no part of it.
func parse(file string, text []byte) (tree, error) {
	if len(text) > mostText {
		return nil, &Error{File: file, Problem: fmt.Sprintf("the file has %d bytes; at most %d are allowed", len(text), mostText)}
	}
	t := make(tree)
	err := toml.Unmarshal(text, &t)
	var syntax *toml.DecodeError
	switch {
	case err == nil:
		return t, nil
	case errors.As(err, &syntax):
		line, column := syntax.Position()
		problem := strings.TrimPrefix(syntax.Error(), "toml: ")
		return nil, &Error{file, line, column, strings.ReplaceAll(problem, "U+000A", "the end of the line")}
	}
	return nil, &Error{File: file, Problem: strings.TrimPrefix(err.Error(), "toml: ")}
}

// withoutMark takes a byte-order mark off.
func withoutMark(text []byte) []byte { return bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")) }

// A binder puts a tree into a document. Where a number or a word has a law
// instead, the law is kept and the document's field waits for its median.
type binder struct {
	c    *checker
	laws []*lawful
}

// bind fills a table of the document, whose keys are below a prefix. The path
// is that of the table's fields.
func (b *binder) bind(prefix string, table reflect.Value, t tree, path []int) {
	fields := fieldsOf(table.Type())
	for _, name := range b.sorted(prefix, t) {
		key := join(prefix, name)
		f, ok := fields[name]
		if !ok {
			b.c.fail(key, "%s is not a key of a scenario; %sstopvolt scenarios --keys lists them", key, nearest(name, fields))
			return
		}
		at := slices.Concat(path, f.index)
		b.value(key, table.FieldByIndex(f.index), t[name], at)
	}
}

// sorted returns the keys of a table in the order in which they stand in the
// file, so that the first mistake is told first.
func (b *binder) sorted(prefix string, t tree) []string {
	names := make([]string, 0, len(t))
	for name := range t {
		names = append(names, name)
	}
	slices.SortFunc(names, func(x, y string) int {
		p, q := b.c.places.find(join(prefix, x)), b.c.places.find(join(prefix, y))
		if p.line != q.line {
			return p.line - q.line
		}
		if p.column != q.column {
			return p.column - q.column
		}
		return strings.Compare(x, y)
	})
	return names
}

// value fills a field.
func (b *binder) value(key string, field reflect.Value, value any, path []int) {
	switch field.Kind() {
	case reflect.Struct:
		if name := field.FieldByName("Name"); field.Type() == sourceType && isWord(value) {
			b.leaf(key, name, value, append(slices.Clip(path), 0))
			return
		}
		if t, ok := value.(tree); ok {
			b.bind(key, field, t, path)
			return
		}
		b.mismatch(key, value, "a table")
	case reflect.Slice:
		b.list(key, field, value, path)
	case reflect.Map:
		b.named(key, field, value)
	case reflect.Interface:
		// Rows of joint tables are read when their columns are known.
		field.Set(reflect.ValueOf(value))
	default:
		b.leaf(key, field, value, path)
	}
}

// named fills a table of numbers whose names the file chooses.
func (b *binder) named(key string, field reflect.Value, value any) {
	t, ok := value.(tree)
	if !ok {
		b.mismatch(key, value, "a table of numbers")
		return
	}
	field.Set(reflect.MakeMap(field.Type()))
	for _, name := range b.sorted(key, t) {
		number := reflect.New(field.Type().Elem()).Elem()
		b.leaf(join(key, name), number, t[name], nil)
		field.SetMapIndex(reflect.ValueOf(name), number)
	}
}

// mostEntries bounds every list.
const mostEntries = 100_000

// list fills a list of tables or of values.
func (b *binder) list(key string, field reflect.Value, value any, path []int) {
	entries, ok := value.([]any)
	if !ok {
		b.mismatch(key, value, "a list")
		return
	}
	if len(entries) > mostEntries {
		b.c.fail(key, "%s has %d entries; at most %d are allowed", key, len(entries), mostEntries)
		return
	}
	field.Set(reflect.MakeSlice(field.Type(), len(entries), len(entries)))
	for i, entry := range entries {
		b.value(fmt.Sprintf("%s.%d", key, i), field.Index(i), entry, append(slices.Clip(path), i))
	}
}

// leaf fills a number, a word, or a yes or no, or takes the law of it.
func (b *binder) leaf(key string, field reflect.Value, value any, path []int) {
	if t, ok := value.(tree); ok {
		if path == nil && !strings.HasPrefix(key, shared+".") {
			b.mismatch(key, value, needs[field.Kind()])
			return
		}
		b.law(key, field.Kind(), t, path)
		return
	}
	ok := false
	switch x := value.(type) {
	case float64:
		if ok = field.Kind() == reflect.Float64; ok {
			field.SetFloat(x)
		}
	case int64:
		switch field.Kind() {
		case reflect.Float64:
			ok = true
			field.SetFloat(float64(x))
		case reflect.Int:
			ok = x == int64(int(x))
			field.SetInt(x)
		}
	case string:
		if ok = field.Kind() == reflect.String; ok {
			field.SetString(x)
		}
	case bool:
		if ok = field.Kind() == reflect.Bool; ok {
			field.SetBool(x)
		}
	}
	if !ok {
		b.mismatch(key, value, needs[field.Kind()])
	}
}

// needs says in words what a field needs.
var needs = map[reflect.Kind]string{
	reflect.Float64: "a number", reflect.Int: "a whole number", reflect.String: "a text in quotes", reflect.Bool: "true or false",
}

// sourceType is the table for which a name may stand, the first of its fields.
var sourceType = reflect.TypeFor[sourceTable]()

// isWord reports whether a value is a text or the law of one.
func isWord(value any) bool {
	if t, ok := value.(tree); ok {
		_, ok = t[oneOfLaw]
		return ok
	}
	_, ok := value.(string)
	return ok
}

// mismatch records that a value is of the wrong kind.
func (b *binder) mismatch(key string, value any, needed string) {
	if b.c.err == nil {
		b.c.err = b.c.places.find(key).ofValue().errorf("%s: there is %s where %s is needed", key, kindOf(value), needed)
	}
}

// kindOf says in words what a value is.
func kindOf(value any) string {
	switch value.(type) {
	case float64:
		return "a number with a point"
	case int64:
		return "a whole number"
	case string:
		return "a text"
	case bool:
		return "true or false"
	case []any:
		return "a list"
	case tree:
		return "a table"
	}
	return "a date or a time"
}

// field is one key of a table: where it stands in the document.
type field struct {
	index []int
	kind  reflect.Type
}

// fieldsOf returns the keys of a table by their names. A table that another
// embeds gives it its keys.
func fieldsOf(table reflect.Type) map[string]field {
	fields := make(map[string]field)
	for _, f := range reflect.VisibleFields(table) {
		if name := f.Tag.Get("toml"); name != "" {
			fields[name] = field{f.Index, f.Type}
		}
	}
	return fields
}

// nearest names the key that a wrong one was meant for, if one is near.
func nearest(name string, fields map[string]field) string {
	best, distance := "", math.MaxInt
	for known := range fields {
		d := 3 * edits(strings.ToLower(name), strings.ToLower(known))
		if strings.EqualFold(name, known) {
			d = -1
		}
		if d < distance || d == distance && known < best {
			best, distance = known, d
		}
	}
	if distance > max(len(name), 3) {
		return ""
	}
	return best + " is; "
}

// edits returns the number of letters to change, add or leave out that turn one
// word into another (V. I. Levenshtein, Soviet Physics Doklady 10, 707 (1966)).
func edits(from, to string) int {
	if len(from) > mostName || len(to) > mostName {
		return math.MaxInt / 8
	}
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(from) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(to) {
			cost := diagonal
			if from[i] != to[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}
