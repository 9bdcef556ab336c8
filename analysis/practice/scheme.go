package practice

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// A Scheme says what the marker gives points for. It is printed on the sheets, and
// kept in the key.
type Scheme struct {
	// Points are those of each step.
	Points StepPoints `toml:"points" json:"points"`
	// Tolerances say how near an answer must be.
	Tolerances Tolerances `toml:"tolerances" json:"tolerances"`
	// Intercept says whose work function the intercept may be called: Collectors
	// or Either.
	Intercept string `toml:"intercept" json:"intercept"`
	// Costs are points that a finding takes off instead of its usual ones, by the
	// name of its check; 0 makes it a remark.
	Costs map[string]float64 `toml:"costs" json:"costs,omitempty"`
}

// StepPoints are the points of the steps.
type StepPoints struct {
	Voltages    float64 `toml:"voltages" json:"voltages"`
	Line        float64 `toml:"line" json:"line"`
	Results     float64 `toml:"results" json:"results"`
	Uncertainty float64 `toml:"uncertainty" json:"uncertainty"`
	Fault       float64 `toml:"fault" json:"fault"`
}

// Tolerances say what counts as right. A voltage agrees with a method within the
// larger of VoltageSteps steps of the dial and VoltageU standard uncertainties of
// the method, a slope with a line within the larger of Slope, relative to it, and
// the scatter.
type Tolerances struct {
	VoltageSteps float64 `toml:"voltage_steps" json:"voltage_steps"`
	VoltageU     float64 `toml:"voltage_u" json:"voltage_u"`
	Slope        float64 `toml:"slope" json:"slope"`
}

// Whose work function the intercept may be called. The intercept is that of the
// collector (the anode); many handouts say it of the emitter (the photocathode).
const (
	Collectors = "collector"
	Either     = "either"
)

// DefaultScheme returns the scheme where none is given.
func DefaultScheme() Scheme {
	return Scheme{
		Points:     StepPoints{Voltages: 4, Line: 2, Results: 2, Uncertainty: 2, Fault: 2},
		Tolerances: Tolerances{VoltageSteps: 1, VoltageU: 3, Slope: 0.02},
		Intercept:  Collectors,
	}
}

// ReadScheme reads a scheme from the text of a TOML file, whose name errors use.
// What the file leaves out is as in the default.
func ReadScheme(file string, text []byte) (Scheme, error) {
	s := DefaultScheme()
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		var strict *toml.StrictMissingError
		var wrong *toml.DecodeError
		switch {
		case errors.As(err, &strict):
			row, column := strict.Errors[0].Position()
			return Scheme{}, fmt.Errorf("%s:%d:%d: %s", file, row, column, unknownKey(strings.Join(strict.Errors[0].Key(), ".")))
		case errors.As(err, &wrong):
			row, column := wrong.Position()
			return Scheme{}, fmt.Errorf("%s:%d:%d: %s", file, row, column, strings.TrimPrefix(wrong.Error(), "toml: "))
		}
		return Scheme{}, fmt.Errorf("%s: %w", file, err)
	}
	if err := lowerCase(text); err != nil {
		return Scheme{}, fmt.Errorf("%s: %w", file, err)
	}
	if err := s.check(); err != nil {
		return Scheme{}, fmt.Errorf("%s: %w", file, err)
	}
	return s, nil
}

// A SchemeError says which key of a scheme is wrong.
type SchemeError struct {
	// Key is such as "points.line".
	Key, Problem string
}

// Error tells the problem, which names the key.
func (e *SchemeError) Error() string { return e.Problem }

// NewScheme returns the default scheme with the points, tolerances, costs and the
// name of the intercept that are given. The error is a *SchemeError.
func NewScheme(points, tolerances, costs map[string]float64, intercept string) (Scheme, error) {
	given := make(map[string]any)
	for name, table := range map[string]map[string]float64{"points": points, "tolerances": tolerances, "costs": costs} {
		if len(table) > 0 {
			given[name] = table
		}
	}
	if intercept != "" {
		given["intercept"] = intercept
	}
	text, err := toml.Marshal(given)
	if err != nil {
		return Scheme{}, &SchemeError{Problem: err.Error()}
	}
	s := DefaultScheme()
	err = toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields().Decode(&s)
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		key := strings.Join(strict.Errors[0].Key(), ".")
		return Scheme{}, &SchemeError{key, unknownKey(key)}
	}
	if err != nil {
		return Scheme{}, &SchemeError{Problem: err.Error()}
	}
	return s, s.check()
}

// unknownKey says what may stand in a scheme.
func unknownKey(key string) string {
	return key + " is no key of a mark scheme; its tables are points, tolerances and costs, and the key intercept"
}

// lowerCase says which key of a scheme is in another letter case, which the
// decoder does not mind.
func lowerCase(text []byte) error {
	var all map[string]any
	if err := toml.Unmarshal(text, &all); err != nil {
		return err
	}
	var look func(under string, table map[string]any) error
	look = func(under string, table map[string]any) error {
		for _, key := range slices.Sorted(maps.Keys(table)) {
			if lower := strings.ToLower(key); lower != key {
				return fmt.Errorf("%s%s is no key of a mark scheme; %s%s is", under, key, under, lower)
			}
			if inner, ok := table[key].(map[string]any); ok {
				if err := look(under+key+".", inner); err != nil {
					return err
				}
			}
		}
		return nil
	}
	return look("", all)
}

// check says what is impossible in a scheme. Its errors are of the type *SchemeError.
func (s Scheme) check() error {
	const most = 1000
	for _, n := range []struct {
		key     string
		x, high float64
	}{
		{"points.voltages", s.Points.Voltages, most}, {"points.line", s.Points.Line, most}, {"points.results", s.Points.Results, most},
		{"points.uncertainty", s.Points.Uncertainty, most}, {"points.fault", s.Points.Fault, most},
		{"tolerances.voltage_steps", s.Tolerances.VoltageSteps, 100}, {"tolerances.voltage_u", s.Tolerances.VoltageU, 100},
		{"tolerances.slope", s.Tolerances.Slope, 1},
	} {
		if !(n.x >= 0 && n.x <= n.high) {
			return &SchemeError{n.key, fmt.Sprintf("%s is %g; it must be from 0 to %g", n.key, n.x, n.high)}
		}
	}
	if s.Intercept != Collectors && s.Intercept != Either {
		return &SchemeError{"intercept", fmt.Sprintf("intercept is %q; it must be %s or %s", s.Intercept, Collectors, Either)}
	}
	names := make(map[string]bool)
	for _, c := range Checks() {
		names[c.Name] = true
	}
	for name, cost := range s.Costs {
		switch {
		case !names[name]:
			return &SchemeError{"costs." + name, fmt.Sprintf("costs has %q, which is no finding; practice mark lists their names", name)}
		case !(cost >= 0 && cost <= most):
			return &SchemeError{"costs." + name, fmt.Sprintf("costs.%s is %g; it must be from 0 to %d", name, cost, most)}
		}
	}
	return nil
}

// of returns the points of a step.
func (p StepPoints) of(g Group) float64 {
	switch g {
	case Voltages:
		return p.Voltages
	case LineGroup:
		return p.Line
	case Results:
		return p.Results
	case Uncertainty:
		return p.Uncertainty
	case FaultFound:
		return p.Fault
	}
	return 0
}

// cost returns what a check's finding costs.
func (s Scheme) cost(c Check) float64 {
	if cost, ok := s.Costs[c.Name]; ok {
		return cost
	}
	if c.Name == interceptName && s.Intercept == Either {
		return 0
	}
	return c.Cost
}

// Total returns the points that there are in a set with faults or without.
func (s Scheme) Total(faults bool) float64 {
	total := s.Points.Voltages + s.Points.Line + s.Points.Results + s.Points.Uncertainty
	if faults {
		total += s.Points.Fault
	}
	return total
}

// halves rounds points to halves, which are fine enough for a person to stand by.
func halves(points float64) float64 { return math.Round(2*points) / 2 }
