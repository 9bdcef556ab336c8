package main

import (
	"encoding/json"
	"io"
	"math"
)

// number is a value in JSON, null where there is none.
type number float64

// MarshalJSON writes the fewest digits that read back as the same number.
func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (n *number) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		*n = none
		return nil
	}
	return json.Unmarshal(text, (*float64)(n))
}

// none is the number of what has no value.
var none = number(math.NaN())

// schema is the version of all JSON that the commands write.
const schema = 1

// writeJSON writes a value as indented JSON.
func writeJSON(w io.Writer, value any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(value)
}
