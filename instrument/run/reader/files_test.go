package reader

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/instrument/run"
)

// folder makes a folder of files.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestFactsLieBesideTheFile(t *testing.T) {
	want := run.Run{
		Curves: []run.Curve{
			{Setting: "violet", Wavelength: 404.656, Readings: []run.Reading{{Retarding: -1, Current: 1.25e-9, Uncertainty: 2e-13}, {Retarding: 0.1, Current: 3e-12}}},
			{Setting: "lid, closed", Dark: true, Readings: []run.Reading{{Current: -1e-15, Time: 2}}},
		},
		Facts: run.Facts{Temperature: 295.5, Resolution: 1e-13},
	}
	var data, beside bytes.Buffer
	if err := run.Write(&data, want); err != nil {
		t.Fatal(err)
	}
	if err := run.WritePackage(&beside, want, "run.csv"); err != nil {
		t.Fatal(err)
	}
	dir := folder(t, map[string]string{"run.csv": data.String(), run.PackageName: beside.String()})
	got, guesses, err := ReadFiles([]string{filepath.Join(dir, "run.csv")}, nil, Options{})
	if err != nil || len(guesses) > 0 {
		t.Fatalf("error %v, guesses %v", err, guesses)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("run (-written +read):\n%s", diff)
	}
}

func TestABrokenPackageBesideIsAFault(t *testing.T) {
	dir := folder(t, map[string]string{"405.csv": "retarding_V,current_A\n0,1\n1,0\n", run.PackageName: "{"})
	_, _, err := ReadFiles([]string{filepath.Join(dir, "405.csv")}, nil, Options{})
	if err == nil || !strings.Contains(err.Error(), run.PackageName+":1:1: the descriptor is not JSON") {
		t.Errorf("got %v", err)
	}
}

func TestStandardInputIsAFile(t *testing.T) {
	const curve = "retarding_V,current_A\n0,1e-9\n1,0\n"
	r, _, err := ReadFiles([]string{"-"}, strings.NewReader(curve), Options{Wavelengths: []float64{405}})
	if err != nil || len(r.Curves) != 1 || r.Curves[0].Wavelength != 405 {
		t.Errorf("got %v and %v, want one curve at 405 nm", r.Curves, err)
	}
	rows, _, err := ReadTableFile("-", strings.NewReader("wavelength_nm,stopping_V\n405,0.7\n"), Options{})
	if err != nil || len(rows) != 1 {
		t.Errorf("got %v and %v, want one row", rows, err)
	}
	_, _, err = ReadFiles([]string{"-"}, strings.NewReader("V,I\n0,x\n"), Options{})
	if err == nil || !strings.HasPrefix(err.Error(), "standard input:1:1: no row") {
		t.Errorf("got %v, want the place in standard input", err)
	}
}

func TestNothingToReadIsAFault(t *testing.T) {
	if _, _, err := ReadFiles(nil, nil, Options{}); err == nil {
		t.Error("no files give no error")
	}
	dir := folder(t, nil)
	_, _, err := ReadFiles([]string{dir}, nil, Options{})
	if err == nil || err.Error() != dir+": cannot be read: is a directory" {
		t.Errorf("a folder gives %v", err)
	}
}

func TestOptionsThatCannotBeAreFaults(t *testing.T) {
	for _, test := range []struct {
		options Options
		want    string
	}{
		{Options{Delimiter: '"'}, `'"' cannot be a delimiter; a comma, a semicolon, a tab or a blank is needed`},
		{Options{Decimal: ';'}, `';' cannot be a decimal mark; a point or a comma is needed`},
		{Options{VoltageSign: 2}, "a sign of the voltage of 2 is impossible; 1 for a retarding voltage or -1 for the collector's potential is needed"},
		{Options{CurrentSign: -3}, "a sign of the current of -3 is impossible; 1 or -1 is needed"},
		{Options{CurrentUnit: "furlong"}, `"furlong" is not a unit of current; one such as A is needed`},
		{Options{WavelengthUnit: "mV"}, `"mV" is not a unit of wavelength or frequency; one such as nm or THz is needed`},
		{Options{Wavelengths: []float64{4047}}, "a wavelength of 4047 nm lies outside 100 to 2000 nm"},
	} {
		for _, read := range []func() error{
			func() error { _, _, err := Read(nil, test.options); return err },
			func() error { _, _, err := ReadFiles(nil, nil, test.options); return err },
			func() error { _, _, err := ReadTable(source("t.csv", "x"), test.options); return err },
		} {
			if err := read(); err == nil || err.Error() != test.want {
				t.Errorf("got  %v\nwant %s", err, test.want)
			}
		}
	}
}

func TestOptionsOverruleGuesses(t *testing.T) {
	const text = "V;I\n0;1,5\n1;0,5\n"
	want := func(readings ...run.Reading) []run.Reading { return readings }
	for _, test := range []struct {
		claim   string
		options Options
		want    []run.Reading
	}{
		{"units", Options{VoltageUnit: "mV", CurrentUnit: "1e-7 A"}, want(run.Reading{Retarding: 0, Current: 1.5e-7}, run.Reading{Retarding: 1e-3, Current: 0.5e-7})},
		{"the sign of the voltage", Options{VoltageSign: -1, CurrentUnit: "nA"}, want(run.Reading{Retarding: 0, Current: 1.5e-9}, run.Reading{Retarding: -1, Current: 0.5e-9})},
		{"the sign of the current", Options{CurrentSign: -1, VoltageSign: 1, CurrentUnit: "nA"}, want(run.Reading{Retarding: 0, Current: -1.5e-9}, run.Reading{Retarding: 1, Current: -0.5e-9})},
		{"delimiter and decimal mark", Options{Delimiter: ';', Decimal: ',', CurrentUnit: "nA"}, want(run.Reading{Retarding: 0, Current: 1.5e-9}, run.Reading{Retarding: 1, Current: 0.5e-9})},
	} {
		r, guesses := readOne(t, "405.csv", text, test.options)
		if diff := cmp.Diff(test.want, r.Curves[0].Readings, nearly); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.claim, diff)
		}
		for _, g := range guesses {
			if g.Option == "voltage-sign" && test.options.VoltageSign != 0 || g.Option == "current-unit" || g.Option == "delimiter" && test.options.Delimiter != 0 {
				t.Errorf("%s: guessed %v all the same", test.claim, g)
			}
		}
	}
}

func TestTablesOfOtherUnitsByOption(t *testing.T) {
	rows, _, err := ReadTable(source("t.csv", "light;a;b\nblue;4358;800\nviolet;4047;1000\n"),
		Options{WavelengthColumn: "a", VoltageColumn: "3", SettingColumn: "LIGHT", WavelengthUnit: "angstrom", VoltageUnit: "mV"})
	want := []StoppingVoltage{{Line: 2, Setting: "blue", Wavelength: 435.8, Stopping: 0.8}, {Line: 3, Setting: "violet", Wavelength: 404.7, Stopping: 1}}
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
	rows, _, err = ReadTable(source("t.csv", "x;stopping_V\n688;0.8\n740;1\n"), Options{WavelengthColumn: "x", WavelengthUnit: "THz"})
	if err != nil || rows[0].Frequency != 688e12 {
		t.Errorf("got %v and %v, want 688 THz", rows, err)
	}
	rows, guesses, err := ReadTable(source("t.csv", "wavelength_nm,collector_V,freq (THz)\n436,-0.8,688\n405,-1,740\n690,0.1,434\n"), Options{})
	if err != nil || rows[0].Stopping != 0.8 || rows[2].Stopping != -0.1 || len(guesses) != 2 {
		t.Errorf("got %v, %v and %v, want the collector's potential turned and two remarks", rows, guesses, err)
	}
}
