package reader

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"stopvolt/instrument/run"
)

// largestPackage is the most of a descriptor, in bytes, that is read.
const largestPackage = 4 << 20

// ReadPackage reads the facts about dataFile from the descriptor in r, which
// name says in errors. A descriptor that does not speak of dataFile, or knows
// no such fact, gives zero facts.
func ReadPackage(r io.Reader, name, dataFile string) (run.Facts, error) {
	text, err := readBounded(r, name, largestPackage)
	if err != nil {
		return run.Facts{}, err
	}
	var d struct {
		Resources []struct {
			Path json.RawMessage `json:"path"`
		} `json:"resources"`
		Temperature *float64 `json:"emitter_temperature_K"`
		Resolution  *float64 `json:"current_resolution_A"`
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if err := json.Unmarshal(text, &d); err != nil {
		return run.Facts{}, jsonError(err, text, name)
	}
	base, speaks := filepath.Base(dataFile), false
	for _, resource := range d.Resources {
		var one string
		var many []string
		if json.Unmarshal(resource.Path, &one) == nil {
			many = []string{one}
		} else if json.Unmarshal(resource.Path, &many) != nil {
			continue
		}
		for _, p := range many {
			speaks = speaks || filepath.Base(p) == base
		}
	}
	if !speaks {
		return run.Facts{}, nil
	}
	var f run.Facts
	if d.Temperature != nil {
		f.Temperature = *d.Temperature
	}
	if d.Resolution != nil {
		f.Resolution = *d.Resolution
	}
	if err := f.Check(); err != nil {
		return run.Facts{}, &Error{File: name, Text: err.Error()}
	}
	return f, nil
}

// jsonError tells a fault of JSON with its place in the text.
func jsonError(err error, text []byte, name string) error {
	offset := int64(-1)
	e := &Error{File: name, Text: "the descriptor is not JSON; a Frictionless Data Package is needed"}
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset = kind.Offset
		e.Text = fmt.Sprintf("%s is a %s in the descriptor; a Frictionless Data Package is needed, with facts that are numbers", kind.Field, kind.Value)
		if kind.Field == "" {
			e.Text = fmt.Sprintf("the descriptor is a %s; a Frictionless Data Package is needed", kind.Value)
		}
	}
	if offset >= 0 && offset <= int64(len(text)) {
		before := text[:offset]
		e.Line = 1 + bytes.Count(before, []byte{'\n'})
		e.Column = len(before) - (bytes.LastIndexByte(before, '\n') + 1)
	}
	return e
}
