package run

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
)

// PackageName is the name under which a descriptor lies beside its data
// (Frictionless Data Package, version 1).
const PackageName = "datapackage.json"

// largestPackage is the most of a descriptor, in bytes, that is read.
const largestPackage = 4 << 20

// A descriptor is a Tabular Data Package (specs.frictionlessdata.io). The last
// two properties are this program's own, which the specification allows.
type descriptor struct {
	Profile     string     `json:"profile"`
	Name        string     `json:"name"`
	Title       string     `json:"title"`
	Description string     `json:"description"`
	Resources   []resource `json:"resources"`
	Temperature *float64   `json:"emitter_temperature_K,omitempty"`
	Resolution  *float64   `json:"current_resolution_A,omitempty"`
}

type resource struct {
	Profile   string `json:"profile"`
	Name      string `json:"name"`
	Path      string `json:"path"`
	Format    string `json:"format"`
	MediaType string `json:"mediatype"`
	Encoding  string `json:"encoding"`
	Schema    schema `json:"schema"`
}

type schema struct {
	Fields        []field  `json:"fields"`
	MissingValues []string `json:"missingValues"`
}

type field struct {
	Name        string      `json:"name"`
	Type        string      `json:"type"`
	Title       string      `json:"title"`
	Description string      `json:"description"`
	Constraints *constraint `json:"constraints,omitempty"`
}

type constraint struct {
	Required bool     `json:"required,omitempty"`
	Minimum  *float64 `json:"minimum,omitempty"`
	Maximum  *float64 `json:"maximum,omitempty"`
	Pattern  string   `json:"pattern,omitempty"`
}

// fields describes columnNames.
func fields() []field {
	zero, shortest, longest := 0.0, shortestWavelength, longestWavelength
	words := make([]string, len(flagWords))
	for i, w := range flagWords {
		words[i] = w.word
	}
	word := "(" + strings.Join(words, "|") + ")"
	required := &constraint{Required: true}
	return []field{
		{columnNames[0], "string", "Setting", "name of the state of the light: source, filter and attenuator", required},
		{columnNames[1], "number", "Wavelength", "nominal wavelength in standard air in nm; empty for a dark curve",
			&constraint{Minimum: &shortest, Maximum: &longest}},
		{columnNames[2], "number", "Retarding voltage", "voltage in V as the voltmeter showed it, positive when the collector is negative against the emitter", required},
		{columnNames[3], "number", "Current", "current in A, positive for electrons going from emitter to collector", required},
		{columnNames[4], "number", "Uncertainty of the current", "standard uncertainty of the current in A from the instrument's specification; empty where it is not known",
			&constraint{Minimum: &zero}},
		{columnNames[5], "number", "Time", "time of the reading in s since the session began", required},
		{columnNames[6], "string", "Flags", "what the meter reported beside the value, as words with a blank between; overload: the current was beyond the range",
			&constraint{Pattern: "^(" + word + "(" + flagSeparator + word + ")*)?$"}},
	}
}

// WritePackage writes the descriptor of a run whose CSV file lies beside it
// under fileName. Facts of the run that are not known are left out.
func WritePackage(w io.Writer, r Run, fileName string) error {
	if fileName == "" || fileName != filepath.Base(fileName) {
		return fmt.Errorf("file name %s of a data package is not plain; the data lie beside the descriptor", shown(fileName))
	}
	if err := checkFacts(r.Facts); err != nil {
		return err
	}
	d := descriptor{
		Profile: "tabular-data-package",
		Name:    resourceName(fileName),
		Title:   "Current of a photocell against retarding voltage",
		Description: "Readings of the current through a vacuum photocell against the retarding voltage, " +
			"one curve for each setting of the light.",
		Resources: []resource{{
			Profile: "tabular-data-resource", Name: resourceName(fileName), Path: fileName,
			Format: "csv", MediaType: "text/csv", Encoding: "utf-8",
			Schema: schema{Fields: fields(), MissingValues: []string{""}},
		}},
		Temperature: known(r.Facts.Temperature),
		Resolution:  known(r.Facts.Resolution),
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(d)
}

// known returns x, or nil where 0 says that it is not known.
func known(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}

// resourceName turns a file name into a name as the specification wants it: of
// small letters, digits and ".-_".
func resourceName(fileName string) string {
	s := strings.ToLower(strings.TrimSuffix(fileName, filepath.Ext(fileName)))
	s = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '.' || r == '-' || r == '_' {
			return r
		}
		return '-'
	}, s)
	if s == "" {
		return "run"
	}
	return s
}

// checkFacts returns an error for facts that cannot be.
func checkFacts(f Facts) error {
	if math.IsNaN(f.Temperature) || math.IsInf(f.Temperature, 0) || f.Temperature < 0 {
		return fmt.Errorf("an emitter temperature of %v K is impossible; a finite one above 0 K is needed", f.Temperature)
	}
	if math.IsNaN(f.Resolution) || math.IsInf(f.Resolution, 0) || f.Resolution < 0 {
		return fmt.Errorf("a resolution of %v A is impossible; a finite current above 0 A is needed", f.Resolution)
	}
	return nil
}

// ReadPackage reads the facts about dataFile from the descriptor in r, which
// name says in errors. A descriptor that does not speak of dataFile, or knows
// no such fact, gives zero facts.
func ReadPackage(r io.Reader, name, dataFile string) (Facts, error) {
	text, err := readBounded(r, name, largestPackage)
	if err != nil {
		return Facts{}, err
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
		return Facts{}, jsonError(err, text, name)
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
		return Facts{}, nil
	}
	var f Facts
	if d.Temperature != nil {
		f.Temperature = *d.Temperature
	}
	if d.Resolution != nil {
		f.Resolution = *d.Resolution
	}
	if err := checkFacts(f); err != nil {
		return Facts{}, &Error{File: name, Text: err.Error()}
	}
	return f, nil
}

// jsonError gives a fault of JSON its place in the text.
func jsonError(err error, text []byte, name string) error {
	offset := int64(-1)
	what := "is not JSON"
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset = kind.Offset
		what = "has a value of the wrong kind"
	}
	e := &Error{File: name, Text: fmt.Sprintf("the descriptor %s (%v); a Frictionless Data Package is needed", what, err)}
	if offset >= 0 && offset <= int64(len(text)) {
		before := text[:offset]
		e.Line = 1 + bytes.Count(before, []byte{'\n'})
		e.Column = len(before) - (bytes.LastIndexByte(before, '\n') + 1)
	}
	return e
}
