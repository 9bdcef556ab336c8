package reader

import (
	"fmt"
	"strings"
	"testing"

	"stopvolt/instrument/run"
)

func TestPackagesOfOthersAreReadForWhatTheyKnow(t *testing.T) {
	for _, test := range []struct {
		claim, text string
		want        run.Facts
		fault       string
	}{
		{"both facts", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":300,"current_resolution_A":1e-12}`, run.Facts{Temperature: 300, Resolution: 1e-12}, ""},
		{"a path in parts", `{"resources":[{"path":["data/run.csv"]}],"emitter_temperature_K":300}`, run.Facts{Temperature: 300}, ""},
		{"another file", `{"resources":[{"path":"other.csv"}],"emitter_temperature_K":300}`, run.Facts{}, ""},
		{"nothing known", `{"resources":[{"data":[1,2]},{"path":"run.csv"}]}`, run.Facts{}, ""},
		{"a byte-order mark", "\ufeff" + `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":300}`, run.Facts{Temperature: 300}, ""},
		{"not JSON", "{\n \"resources\": [,]\n}", run.Facts{}, "datapackage.json:2:16: the descriptor is not JSON; a Frictionless Data Package is needed"},
		{"a negative temperature", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":-3}`, run.Facts{}, "datapackage.json: an emitter temperature of -3 K is impossible; a finite one above 0 K is needed"},
		{"a temperature in words", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":"warm"}`, run.Facts{}, "datapackage.json:1:64: emitter_temperature_K is a string in the descriptor; a Frictionless Data Package is needed, with facts that are numbers"},
	} {
		got, err := ReadPackage(strings.NewReader(test.text), "datapackage.json", "run.csv")
		if got != test.want || err != nil && err.Error() != test.fault || err == nil && test.fault != "" {
			t.Errorf("%s: got %v, %v; want %v, %q", test.claim, got, err, test.want, test.fault)
		}
	}
}

func TestSessionsOfDifferentTemperatureAreNotMixed(t *testing.T) {
	var sources []Source
	for _, kelvin := range []float64{290, 300} {
		name := fmt.Sprintf("%v.csv", kelvin+200)
		beside := fmt.Sprintf(`{"resources":[{"path":%q}],"emitter_temperature_K":%v}`, name, kelvin)
		s := source(name, "retarding_V,current_A\n0,1e-9\n1,0\n")
		s.Package = strings.NewReader(beside)
		sources = append(sources, s)
	}
	_, _, err := Read(sources, Options{})
	const want = "500.csv: its emitter temperature of 300 K contradicts the 290 K of 490.csv; files of one session agree"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
