package run

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// PackageName is the name under which a descriptor lies beside its data
// (Frictionless Data Package, version 1).
const PackageName = "datapackage.json"

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

// fields describes the columns of the CSV file.
func fields() []field {
	zero, shortest, longest := 0.0, ShortestWavelength, LongestWavelength
	words := make([]string, len(flagWords))
	for i, w := range flagWords {
		words[i] = w.word
	}
	word := "(" + strings.Join(words, "|") + ")"
	required := &constraint{Required: true}
	return []field{
		{ColumnSetting, "string", "Setting", "name of the state of the light: source, filter and attenuator", required},
		{ColumnWavelength, "number", "Wavelength", "nominal wavelength in standard air in nm; empty for a dark curve",
			&constraint{Minimum: &shortest, Maximum: &longest}},
		{ColumnRetarding, "number", "Retarding voltage", "voltage in V as the voltmeter showed it, positive when the collector is negative against the emitter", required},
		{ColumnCurrent, "number", "Current", "current in A, positive for electrons going from emitter to collector", required},
		{ColumnUncertainty, "number", "Uncertainty of the current", "standard uncertainty of the current in A from the instrument's specification; empty where it is not known",
			&constraint{Minimum: &zero}},
		{ColumnTime, "number", "Time", "time of the reading in s since the session began", required},
		{ColumnFlags, "string", "Flags", "what the meter reported beside the value, as words with a blank between; overload: the current was beyond the range",
			&constraint{Pattern: "^(" + word + "(" + flagSeparator + word + ")*)?$"}},
	}
}

// WritePackage writes the descriptor of a run whose CSV file lies beside it
// under fileName. Facts of the run that are not known are left out.
func WritePackage(w io.Writer, r Run, fileName string) error {
	if fileName == "" || fileName != filepath.Base(fileName) {
		return fmt.Errorf("file name %.40q of a data package is not plain; the data lie beside the descriptor", fileName)
	}
	if err := r.Facts.Check(); err != nil {
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
