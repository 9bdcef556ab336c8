package result

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
)

// Schema is the version of the JSON that the commands write, and StudySchema that
// of studies, their parts and budgets. It rises when a key goes or changes its
// meaning; a new key leaves it as it is.
const (
	Schema      = 1
	StudySchema = 2
)

// A Number is a value in JSON, null where there is none.
type Number float64

// None is the number of what has no value.
var None = Number(math.NaN())

// MarshalJSON writes the fewest digits that read back as the same number.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (n *Number) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		*n = None
		return nil
	}
	return json.Unmarshal(text, (*float64)(n))
}

// An Object is a value in JSON whose keys keep their order.
type Object []Member

// A Member is a key of an object with its value.
type Member struct {
	Key   string
	Value any
}

// MarshalJSON writes the members in their order.
func (o Object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := encode(&b, m.Key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := encode(&b, m.Value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// encode writes a value. Signs of markup stay as they are: no page takes them in.
func encode(w io.Writer, value any) error {
	if x, ok := value.(float64); ok {
		value = Number(x)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(value)
}

// object returns a row with the keys of its columns.
func (cs Columns[R]) object(row R) Object {
	o := Object{}
	for _, c := range cs.in(JSON) {
		value := c.Value(row)
		if c.Optional && !hasValue(value) {
			continue
		}
		o = append(o, Member{c.Key, value})
	}
	return o
}

// objects returns rows as a list that is never null.
func (cs Columns[R]) objects(rows []R) []Object {
	all := []Object{}
	for _, row := range rows {
		all = append(all, cs.object(row))
	}
	return all
}

// WriteJSON writes a value as indented JSON.
func WriteJSON(w io.Writer, value any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(value)
}
