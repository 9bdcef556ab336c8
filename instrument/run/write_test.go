package run

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// reference is a small run with one of everything.
func reference() Run {
	return Run{
		Curves: []Curve{
			{Setting: "violet", Wavelength: 404.656, Readings: []Reading{
				{Retarding: -1, Current: 1.25e-9, Uncertainty: 2e-13, Time: 0.5, Flags: Overload},
				{Retarding: 0.1, Current: 3e-12, Time: 1},
			}},
			{Setting: "lid, closed", Dark: true, Readings: []Reading{{Retarding: 0, Current: -1e-15, Time: 2}}},
		},
		Facts: Facts{Temperature: 295.5, Resolution: 1e-13},
	}
}

func TestWrittenRowsAreThoseOfTheFormat(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, reference()); err != nil {
		t.Fatal(err)
	}
	want := strings.Join([]string{
		"setting,wavelength_nm,retarding_V,current_A,u_current_A,time_s,flags",
		"violet,404.656,-1,1.25e-09,2e-13,0.5,overload",
		"violet,404.656,0.1,3e-12,,1,",
		`"lid, closed",,0,-1e-15,,2,`,
		"",
	}, "\r\n") // RFC 4180, section 2: lines end in CRLF
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Errorf("file (-want +got):\n%s", diff)
	}
}

func TestWhatCannotBeHeldInAFileIsRefused(t *testing.T) {
	ok := Reading{Current: 1e-9}
	for _, test := range []struct {
		claim string
		curve Curve
	}{
		{"nan", Curve{Setting: "a", Wavelength: 405, Readings: []Reading{{Current: math.NaN()}}}},
		{"infinity", Curve{Setting: "a", Wavelength: 405, Readings: []Reading{{Retarding: math.Inf(-1)}}}},
		{"negative uncertainty", Curve{Setting: "a", Wavelength: 405, Readings: []Reading{{Uncertainty: -1}}}},
		{"no name", Curve{Wavelength: 405, Readings: []Reading{ok}}},
		{"a name of two lines", Curve{Setting: "a\nb", Wavelength: 405, Readings: []Reading{ok}}},
		{"a name that begins with a blank", Curve{Setting: " a", Wavelength: 405, Readings: []Reading{ok}}},
		{"no wavelength", Curve{Setting: "a", Readings: []Reading{ok}}},
		{"a wavelength in the dark", Curve{Setting: "a", Wavelength: 405, Dark: true, Readings: []Reading{ok}}},
		{"no readings", Curve{Setting: "a", Wavelength: 405}},
		{"a name taken twice", Curve{Setting: "b", Wavelength: 405, Readings: []Reading{ok}}},
	} {
		r := Run{Curves: []Curve{{Setting: "b", Wavelength: 405, Readings: []Reading{ok}}, test.curve}}
		if err := Write(io.Discard, r); err == nil {
			t.Errorf("%s was written", test.claim)
		}
	}
}

// full is a writer without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestAFullDiskIsReported(t *testing.T) {
	if err := Write(full{}, reference()); err == nil {
		t.Error("a writer that fails gives no error")
	}
	if err := WritePackage(full{}, reference(), "run.csv"); err == nil {
		t.Error("a writer that fails gives no error for a package")
	}
}

// settingNames generates names with all that can trouble a file.
var settingNames = rapid.OneOf(
	rapid.StringMatching(`[a-z]{1,8}( [0-9]{1,3})?`),
	rapid.StringMatching(`[-#%!;,"'=+/ A-Zµλ\\\t0-9]{1,8}`),
).Filter(func(s string) bool { return checkName(s) == nil })

// finite generates numbers from the whole range.
var finite = rapid.OneOf(
	rapid.Float64Range(-1e-6, 1e-6), rapid.Float64Range(-10, 10),
	rapid.Float64().Filter(func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }),
)

// runs generates runs that a file can hold.
var runs = rapid.Custom(func(t *rapid.T) Run {
	var r Run
	names := rapid.SliceOfNDistinct(settingNames, 1, 5, rapid.ID[string]).Draw(t, "names")
	for i, name := range names {
		c := Curve{Setting: name, Dark: rapid.Bool().Draw(t, "dark")}
		if !c.Dark {
			c.Wavelength = rapid.Float64Range(shortestWavelength, longestWavelength).Draw(t, "nm")
		}
		least := 1
		if i == 0 {
			least = 2
		}
		for range rapid.IntRange(least, 6).Draw(t, "readings") {
			c.Readings = append(c.Readings, Reading{
				Retarding: finite.Draw(t, "V"), Current: finite.Draw(t, "A"), Uncertainty: math.Abs(finite.Draw(t, "u")),
				Time: finite.Draw(t, "s"), Flags: Flags(rapid.IntRange(0, 1).Draw(t, "flags")),
			})
		}
		r.Curves = append(r.Curves, c)
	}
	r.Facts = Facts{Temperature: rapid.Float64Range(0, 400).Draw(t, "K"), Resolution: rapid.Float64Range(0, 1e-9).Draw(t, "step")}
	return r
})

func TestWhatIsWrittenReadsBackTheSameWithoutAGuess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := runs.Draw(t, "run")
		var data, beside bytes.Buffer
		if err := Write(&data, want); err != nil {
			t.Fatal(err)
		}
		if err := WritePackage(&beside, want, "run.csv"); err != nil {
			t.Fatal(err)
		}
		text := data.String()
		got, guesses, err := Read([]Source{{Name: "run.csv", Reader: &data, Package: &beside}}, Options{})
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("run (-written +read):\n%s", diff)
		}
		if len(guesses) > 0 {
			t.Fatalf("guessed %v", guesses)
		}
	})
}

// The reader of the standard library knows RFC 4180 and nothing of this
// package.
func TestAnyReaderOfCSVReadsTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := runs.Draw(t, "run")
		var b bytes.Buffer
		if err := Write(&b, r); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		k := 1
		for _, c := range r.Curves {
			for range c.Readings {
				if rows[k][0] != c.Setting || len(rows[k]) != len(columnNames) {
					t.Fatalf("row %d is %q, want setting %q", k, rows[k], c.Setting)
				}
				k++
			}
		}
	})
}

func TestRowsAreWrittenWithoutAllocating(t *testing.T) {
	w := NewWriter(io.Discard)
	c := Curve{Setting: "violet", Wavelength: 404.656}
	r := Reading{Retarding: 0.1, Current: 1.2345e-10, Uncertainty: 1e-13, Time: 12.5}
	if err := w.Write(c, r); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(1000, func() { _ = w.Write(c, r) }); n > 0 {
		t.Errorf("a row allocates %v times, want none", n)
	}
}

func BenchmarkWriter(b *testing.B) {
	w := NewWriter(io.Discard)
	c := Curve{Setting: "violet", Wavelength: 404.656}
	b.ReportAllocs()
	for i := range b.N {
		if err := w.Write(c, Reading{Retarding: float64(i) / 64, Current: 1.2345e-10, Time: float64(i)}); err != nil {
			b.Fatal(err)
		}
	}
}

// What the descriptor has to hold stands in the specifications Data Package,
// Tabular Data Package and Table Schema, version 1 (specs.frictionlessdata.io).
// The library datapackage 1.1.10 for JavaScript, by the specifications' authors,
// found descriptor and data of this run valid and cast every cell.
func TestThePackageIsAFrictionlessOne(t *testing.T) {
	var b bytes.Buffer
	if err := WritePackage(&b, reference(), "Run 1.csv"); err != nil {
		t.Fatal(err)
	}
	var d map[string]any
	if err := json.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	if d["profile"] != "tabular-data-package" || d["name"] != "run-1" {
		t.Errorf("profile %v and name %v", d["profile"], d["name"])
	}
	r := d["resources"].([]any)[0].(map[string]any)
	if r["profile"] != "tabular-data-resource" || r["path"] != "Run 1.csv" {
		t.Errorf("resource %v", r)
	}
	types := map[string]bool{"string": true, "number": true}
	var names []string
	for _, f := range r["schema"].(map[string]any)["fields"].([]any) {
		f := f.(map[string]any)
		names = append(names, f["name"].(string))
		if !types[f["type"].(string)] || f["title"] == "" || f["description"] == "" {
			t.Errorf("field %v lacks a type of Table Schema, a title or a description", f)
		}
	}
	if diff := cmp.Diff(columnNames[:], names); diff != "" {
		t.Errorf("fields (-want +got):\n%s", diff)
	}
	if d["emitter_temperature_K"] != 295.5 || d["current_resolution_A"] != 1e-13 {
		t.Errorf("facts %v and %v", d["emitter_temperature_K"], d["current_resolution_A"])
	}
}

func TestUnknownFactsAreLeftOutOfThePackage(t *testing.T) {
	var b bytes.Buffer
	if err := WritePackage(&b, Run{}, "run.csv"); err != nil {
		t.Fatal(err)
	}
	if s := b.String(); strings.Contains(s, "temperature") || strings.Contains(s, "resolution") {
		t.Errorf("unknown facts stand in %s", s)
	}
}

func TestPackagesOfOthersAreReadForWhatTheyKnow(t *testing.T) {
	for _, test := range []struct {
		claim, text string
		want        Facts
		fault       string
	}{
		{"both facts", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":300,"current_resolution_A":1e-12}`, Facts{300, 1e-12}, ""},
		{"a path in parts", `{"resources":[{"path":["data/run.csv"]}],"emitter_temperature_K":300}`, Facts{Temperature: 300}, ""},
		{"another file", `{"resources":[{"path":"other.csv"}],"emitter_temperature_K":300}`, Facts{}, ""},
		{"nothing known", `{"resources":[{"data":[1,2]},{"path":"run.csv"}]}`, Facts{}, ""},
		{"a byte-order mark", "\ufeff" + `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":300}`, Facts{Temperature: 300}, ""},
		{"not JSON", "{\n \"resources\": [,]\n}", Facts{}, "datapackage.json:2:16: the descriptor is not JSON (invalid character ',' looking for beginning of value); a Frictionless Data Package is needed"},
		{"a negative temperature", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":-3}`, Facts{}, "datapackage.json: an emitter temperature of -3 K is impossible; a finite one above 0 K is needed"},
		{"a temperature in words", `{"resources":[{"path":"run.csv"}],"emitter_temperature_K":"warm"}`, Facts{}, "datapackage.json:1:64: the descriptor has a value of the wrong kind (json: cannot unmarshal string into Go struct field .emitter_temperature_K of type float64); a Frictionless Data Package is needed"},
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
