package run_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// columns are the names of the columns in a file.
var columns = strings.Split(run.Header, ",")

// reference is a small run with one of everything.
func reference() run.Run {
	return run.Run{
		Curves: []run.Curve{
			{Setting: "violet", Wavelength: 404.656, Readings: []run.Reading{
				{Retarding: -1, Current: 1.25e-9, Uncertainty: 2e-13, Time: 0.5, Flags: run.Overload},
				{Retarding: 0.1, Current: 3e-12, Time: 1},
			}},
			{Setting: "lid, closed", Dark: true, Readings: []run.Reading{{Retarding: 0, Current: -1e-15, Time: 2}}},
		},
		Facts: run.Facts{Temperature: 295.5, Resolution: 1e-13},
	}
}

func TestWrittenRowsAreThoseOfTheFormat(t *testing.T) {
	var b bytes.Buffer
	if err := run.Write(&b, reference()); err != nil {
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
	ok := run.Reading{Current: 1e-9}
	for _, test := range []struct {
		claim string
		curve run.Curve
	}{
		{"nan", run.Curve{Setting: "a", Wavelength: 405, Readings: []run.Reading{{Current: math.NaN()}}}},
		{"infinity", run.Curve{Setting: "a", Wavelength: 405, Readings: []run.Reading{{Retarding: math.Inf(-1)}}}},
		{"negative uncertainty", run.Curve{Setting: "a", Wavelength: 405, Readings: []run.Reading{{Uncertainty: -1}}}},
		{"a voltage of another world", run.Curve{Setting: "a", Wavelength: 405, Readings: []run.Reading{{Retarding: 1e7}}}},
		{"a name without end", run.Curve{Setting: strings.Repeat("a", run.LongestName+1), Wavelength: 405, Readings: []run.Reading{ok}}},
		{"no name", run.Curve{Wavelength: 405, Readings: []run.Reading{ok}}},
		{"a name of two lines", run.Curve{Setting: "a\nb", Wavelength: 405, Readings: []run.Reading{ok}}},
		{"a name that begins with a blank", run.Curve{Setting: " a", Wavelength: 405, Readings: []run.Reading{ok}}},
		{"no wavelength", run.Curve{Setting: "a", Readings: []run.Reading{ok}}},
		{"a wavelength in the dark", run.Curve{Setting: "a", Wavelength: 405, Dark: true, Readings: []run.Reading{ok}}},
		{"no readings", run.Curve{Setting: "a", Wavelength: 405}},
		{"a name taken twice", run.Curve{Setting: "b", Wavelength: 405, Readings: []run.Reading{ok}}},
	} {
		r := run.Run{Curves: []run.Curve{{Setting: "b", Wavelength: 405, Readings: []run.Reading{ok}}, test.curve}}
		if err := run.Write(io.Discard, r); err == nil {
			t.Errorf("%s was written", test.claim)
		}
	}
}

// full is a writer without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestAFullDiskIsReported(t *testing.T) {
	if err := run.Write(full{}, reference()); err == nil {
		t.Error("a writer that fails gives no error")
	}
	if err := run.WritePackage(full{}, reference(), "run.csv"); err == nil {
		t.Error("a writer that fails gives no error for a package")
	}
}

// settingNames generates names with all that can trouble a file.
var settingNames = rapid.OneOf(
	rapid.StringMatching(`[a-z]{1,8}( [0-9]{1,3})?`),
	rapid.StringMatching(`[-#%!;,"'=+/ A-Zµλ\\\t0-9]{1,8}`),
).Filter(func(s string) bool {
	return run.Write(io.Discard, run.Run{Curves: []run.Curve{{Setting: s, Dark: true, Readings: make([]run.Reading, 1)}}}) == nil
})

// finite generates numbers from the whole range that a file takes.
var finite = rapid.OneOf(
	rapid.Float64Range(-1e-6, 1e-6), rapid.Float64Range(-10, 10),
	rapid.Float64Range(-1e6, 1e6),
)

// runs generates runs that a file can hold.
var runs = rapid.Custom(func(t *rapid.T) run.Run {
	var r run.Run
	names := rapid.SliceOfNDistinct(settingNames, 1, 5, rapid.ID[string]).Draw(t, "names")
	for i, name := range names {
		c := run.Curve{Setting: name, Dark: rapid.Bool().Draw(t, "dark")}
		if !c.Dark {
			c.Wavelength = rapid.Float64Range(run.ShortestWavelength, run.LongestWavelength).Draw(t, "nm")
		}
		least := 1
		if i == 0 {
			least = 2
		}
		for range rapid.IntRange(least, 6).Draw(t, "readings") {
			c.Readings = append(c.Readings, run.Reading{
				Retarding: finite.Draw(t, "V"), Current: finite.Draw(t, "A"), Uncertainty: math.Abs(finite.Draw(t, "u")),
				Time: finite.Draw(t, "s"), Flags: run.Flags(rapid.IntRange(0, 1).Draw(t, "flags")),
			})
		}
		r.Curves = append(r.Curves, c)
	}
	r.Facts = run.Facts{Temperature: rapid.Float64Range(0, 400).Draw(t, "K"), Resolution: rapid.Float64Range(0, 1e-9).Draw(t, "step")}
	return r
})

// asWritten compares readings to the digits that a file holds of them.
var asWritten = cmp.Comparer(func(a, b run.Reading) bool {
	within := func(a, b, fraction, margin float64) bool {
		return math.Abs(a-b) <= margin+fraction*math.Abs(a)
	}
	return within(a.Retarding, b.Retarding, 1e-15, 0.51e-9) && within(a.Time, b.Time, 1e-15, 0.51e-9) &&
		within(a.Current, b.Current, 5.1e-12, 0) && within(a.Uncertainty, b.Uncertainty, 5.1e-3, 0) && a.Flags == b.Flags
})

func TestWhatIsWrittenReadsBackTheSameWithoutAGuess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := runs.Draw(t, "run")
		var data, beside bytes.Buffer
		if err := run.Write(&data, want); err != nil {
			t.Fatal(err)
		}
		if err := run.WritePackage(&beside, want, "run.csv"); err != nil {
			t.Fatal(err)
		}
		text := data.String()
		got, guesses, err := reader.Read([]reader.Source{{Name: "run.csv", Reader: &data, Package: &beside}}, reader.Options{})
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		if diff := cmp.Diff(want, got, asWritten, cmpopts.EquateApprox(0, 0.51e-9)); diff != "" {
			t.Fatalf("run (-written +read):\n%s", diff)
		}
		if len(guesses) > 0 {
			t.Fatalf("guessed %v", guesses)
		}
		var again bytes.Buffer
		if err := run.Write(&again, got); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(text, again.String()); diff != "" {
			t.Fatalf("what was read is written otherwise (-first +second):\n%s", diff)
		}
	})
}

func TestNumbersAreWrittenAsAPersonWould(t *testing.T) {
	third := 0.1 + 0.2 // 0.30000000000000004
	var b bytes.Buffer
	err := run.Write(&b, run.Run{Curves: []run.Curve{{Setting: "violet", Wavelength: 404.656, Readings: []run.Reading{
		{Retarding: third, Current: 3 * 4.1e-12, Uncertainty: 5.913945458929777e-14, Time: third},
		{Retarding: third - 0.3, Current: -0.1e-12 * 7, Time: 3600.1},
	}}}})
	want := run.Header + "\r\nviolet,404.656,0.3,1.23e-11,5.91e-14,0.3,\r\nviolet,404.656,0,-7e-13,,3600.1,\r\n"
	if diff := cmp.Diff(want, b.String()); diff != "" || err != nil {
		t.Errorf("error %v, file (-want +got):\n%s", err, diff)
	}
}

// The reader of the standard library knows RFC 4180 and nothing of this
// package.
func TestAnyReaderOfCSVReadsTheFile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := runs.Draw(t, "run")
		var b bytes.Buffer
		if err := run.Write(&b, r); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		k := 1
		for _, c := range r.Curves {
			for range c.Readings {
				if run.Original(rows[k][0]) != c.Setting || len(rows[k]) != len(columns) {
					t.Fatalf("row %d is %q, want setting %q", k, rows[k], c.Setting)
				}
				k++
			}
		}
	})
}

func TestRowsAreWrittenWithoutAllocating(t *testing.T) {
	w := run.NewWriter(io.Discard)
	c := run.Curve{Setting: "violet", Wavelength: 404.656}
	r := run.Reading{Retarding: 0.1, Current: 1.2345e-10, Uncertainty: 1e-13, Time: 12.5}
	if err := w.Write(c, r); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(1000, func() { _ = w.Write(c, r) }); n > 0 {
		t.Errorf("a row allocates %v times, want none", n)
	}
}

func BenchmarkWriter(b *testing.B) {
	w := run.NewWriter(io.Discard)
	c := run.Curve{Setting: "violet", Wavelength: 404.656}
	b.ReportAllocs()
	for i := range b.N {
		if err := w.Write(c, run.Reading{Retarding: float64(i) / 64, Current: 1.2345e-10, Time: float64(i)}); err != nil {
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
	if err := run.WritePackage(&b, reference(), "Run 1.csv"); err != nil {
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
	if diff := cmp.Diff(columns, names); diff != "" {
		t.Errorf("fields (-want +got):\n%s", diff)
	}
	if d["emitter_temperature_K"] != 295.5 || d["current_resolution_A"] != 1e-13 {
		t.Errorf("facts %v and %v", d["emitter_temperature_K"], d["current_resolution_A"])
	}
}

func TestUnknownFactsAreLeftOutOfThePackage(t *testing.T) {
	var b bytes.Buffer
	if err := run.WritePackage(&b, run.Run{}, "run.csv"); err != nil {
		t.Fatal(err)
	}
	if s := b.String(); strings.Contains(s, "temperature") || strings.Contains(s, "resolution") {
		t.Errorf("unknown facts stand in %s", s)
	}
}
