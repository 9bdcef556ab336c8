package reader

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The numbers are those of lithium after Millikan in Halliday, Resnick and
// Walker, Fundamentals of Physics, 10th ed., ch. 38, problem 85.
func TestLithiumInManyHands(t *testing.T) {
	nm := []float64{433.9, 404.7, 365.0, 312.5, 253.5}
	volt := []float64{0.55, 0.73, 1.09, 1.67, 2.57}
	for _, test := range []struct {
		claim, text string
		guesses     string
	}{
		{"plain", "wavelength_nm,stopping_V\n433.9,0.55\n404.7,0.73\n365.0,1.09\n312.5,1.67\n253.5,2.57\n", ""},
		{"semicolons and commas", "Wellenlänge [nm];Gegenspannung [V]\n433,9;0,55\n404,7;0,73\n365,0;1,09\n312,5;1,67\n253,5;2,57\n", "delimiter decimal"},
		{"angstrom by its heading", "λ (Å)\tV_s (V)\n4339\t0.55\n4047\t0.73\n3650\t1.09\n3125\t1.67\n2535\t2.57\n", "delimiter"},
		{"angstrom without a word", "wavelength,stopping_V\n4339,0.55\n4047,0.73\n3650,1.09\n3125,1.67\n2535,2.57\n", "wavelength-unit"},
		{"millivolts", "wavelength (nm),stopping voltage (mV)\n433.9,550\n404.7,730\n365.0,1090\n312.5,1670\n253.5,2570\n", ""},
		{"negative voltages", "wavelength_nm,voltage_V\n433.9,-0.55\n404.7,-0.73\n365.0,-1.09\n312.5,-1.67\n253.5,-2.57\n", "voltage-sign"},
		{"no headings", "433.9 0.55\n404.7 0.73\n365.0 1.09\n312.5 1.67\n253.5 2.57\n", "delimiter wavelength-column wavelength-unit voltage-unit"},
	} {
		rows, guesses, err := ReadTable(source("lithium.csv", test.text), Options{})
		if err != nil {
			t.Errorf("%s: %v", test.claim, err)
			continue
		}
		var gotNM, gotV []float64
		for _, r := range rows {
			gotNM, gotV = append(gotNM, r.Wavelength), append(gotV, r.Stopping)
		}
		if diff := cmp.Diff(nm, gotNM, nearly); diff != "" {
			t.Errorf("%s: wavelengths (-want +got):\n%s", test.claim, diff)
		}
		if diff := cmp.Diff(volt, gotV, nearly); diff != "" {
			t.Errorf("%s: voltages (-want +got):\n%s", test.claim, diff)
		}
		wantGuesses(t, guesses, test.guesses, "")
	}
}

func TestFrequenciesAreReadAsSuch(t *testing.T) {
	want := []float64{5.19e14, 6.88e14, 8.2e14}
	for claim, text := range map[string]string{
		"hertz":              "frequency_Hz,stopping_V\n5.19e14,0.4\n6.88e14,1.1\n8.20e14,1.6\n",
		"terahertz":          "frequency (THz),stopping_V\n519,0.4\n688,1.1\n820,1.6\n",
		"a power of ten":     "f (10^14 Hz),stopping_V\n5.19,0.4\n6.88,1.1\n8.20,1.6\n",
		"a raised power":     "ν / 10¹⁴ Hz,stopping_V\n5.19,0.4\n6.88,1.1\n8.20,1.6\n",
		"terahertz unnamed":  "frequency,stopping_V\n519,0.4\n688,1.1\n820,1.6\n",
		"hundreds unnamed":   "frequency,stopping_V\n5.19,0.4\n6.88,1.1\n8.20,1.6\n",
		"a row without volt": "frequency_THz,stopping_V\n519,0.4\n600,\n688,1.1\n820,1.6\n",
	} {
		rows, _, err := ReadTable(source("f.csv", text), Options{})
		if err != nil {
			t.Errorf("%s: %v", claim, err)
			continue
		}
		var got []float64
		for _, r := range rows {
			got = append(got, r.Frequency)
		}
		if diff := cmp.Diff(want, got, nearly); diff != "" {
			t.Errorf("%s (-want +got):\n%s", claim, diff)
		}
	}
}

func TestUncertaintiesOfBothCoordinates(t *testing.T) {
	want := []StoppingVoltage{
		{Line: 2, Setting: "blue", Wavelength: 436, UWavelength: 2, Stopping: 0.55, UStopping: 0.01},
		{Line: 3, Setting: "violet", Wavelength: 405, UWavelength: 3, Stopping: 0.73, UStopping: 0},
	}
	for _, text := range []string{
		"setting,wavelength_nm,u_wavelength_nm,stopping_V,u_V\nblue,436,2,0.55,0.01\nviolet,405,3,0.73,\n",
		"colour,wavelength (nm),u(λ) (nm),V_s (V),error (mV)\nblue,436,2,0.55,10\nviolet,405,3,0.73,\n",
		"light,λ [nm],± [nm],stopping potential [V],± [V]\nblue,436,2,0.55,0.01\nviolet,405,3,0.73,\n",
		"light,λ [nm],error,stopping potential [V],error\nblue,436,2,0.55,0.01\nviolet,405,3,0.73,\n",
		"setting,wavelength_nm,u_wavelength_nm,stopping_V,u_stopping_V\nblue,436,2,0.55,0.01\nviolet,405,3,0.73,\n",
	} {
		rows, _, err := ReadTable(source("t.csv", text), Options{})
		if err != nil {
			t.Errorf("%v in %q", err, text)
			continue
		}
		if diff := cmp.Diff(want, rows, nearly); diff != "" {
			t.Errorf("%q (-want +got):\n%s", text, diff)
		}
	}
}

func TestSlipsOfTablesAreNoticed(t *testing.T) {
	for _, test := range []struct{ claim, text, want string }{
		{"a frequency in THz as a wavelength", "wavelength_nm,stopping_V\n519,0.4\n688,1.1\n820,1.6\n",
			`t.csv:1:1: the stopping voltage falls where the frequency of the light rises; "wavelength_nm" may hold a frequency in THz (head the column frequency_THz), or the voltages have the wrong sign`},
		{"a wavelength as a frequency", "frequency_THz,stopping_V\n365,1.6\n436,1.1\n577,0.4\n",
			`t.csv:1:1: the stopping voltage falls where the frequency of the light rises; "frequency_THz" may hold a wavelength in nm (head the column wavelength_nm), or the voltages have the wrong sign`},
		{"a frequency in Hz as a wavelength", "wavelength_nm,stopping_V\n5.19e14,0.4\n6.88e14,1.1\n",
			"t.csv:2:1: 5.19e14 looks like a frequency in Hz; head the column frequency_Hz, or give the wavelength of 577.6 nm"},
		{"a frequency in 1e14 Hz as a wavelength", "wavelength_nm,stopping_V\n5.19,0.4\n6.88,1.1\n",
			"t.csv:2:1: 5.19 looks like a frequency in 1e14 Hz; head the column so, or give the wavelength of 577.6 nm"},
		{"a wavelength in Hz", "frequency_Hz,stopping_V\n405,0.4\n365,1.1\n",
			"t.csv:2:1: 405 Hz is no frequency of light; if it is a wavelength in nm, head the column wavelength_nm"},
		{"angstrom for nanometre", "wavelength_nm,stopping_V\n4047,0.73\n3650,1.09\n",
			"t.csv:2:1: a wavelength of 4047 nm looks like one in angstrom; 404.7 nm is meant, or give --wavelength-unit angstrom"},
		{"text", "wavelength_nm,stopping_V\n405,0.73\n365,about 1\n", `t.csv:3:5: "about 1" is not a number; a voltage in V is needed`},
		{"a date", "wavelength_nm;stopping_V\n405;0,73\n365;1.09.2026\n", `t.csv:3:5: "1.09.2026" is a date, as spreadsheets make of numbers; a voltage in V is needed: format the cells as numbers and type them again`},
		{"no light", "name,stopping_V\n1,0.73\n2,1.09\n", "t.csv:1:1: no column is named as the wavelength or the frequency; name it wavelength_nm or frequency_Hz, or choose with --wavelength-column"},
		{"empty", "", "t.csv: is empty; a table of voltage and current is needed"},
	} {
		_, _, err := ReadTable(source("t.csv", test.text), Options{})
		var fault *Error
		if !errors.As(err, &fault) || err.Error() != test.want {
			t.Errorf("%s:\ngot  %v\nwant %s", test.claim, err, test.want)
		}
	}
}

func TestRepeatsAndThresholdsAreRemarkedOn(t *testing.T) {
	rows, guesses, err := ReadTable(source("t.csv", "wavelength_nm,stopping_V\n690,0\n577,0.1\n436,0.8\n365,1.35\n436,0.82\n"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range rows {
		if r.BelowThreshold != (i == 0) {
			t.Errorf("%v nm at %v V: below threshold %v", r.Wavelength, r.Stopping, r.BelowThreshold)
		}
	}
	var text []string
	for _, g := range guesses {
		text = append(text, g.String())
	}
	for _, want := range []string{"436 nm stands in line 4 and again in line 6; both count", "0 V at 690 nm in line 2 lies below the threshold"} {
		if !strings.Contains(strings.Join(text, "\n"), want) {
			t.Errorf("no remark %q in %q", want, text)
		}
	}
}
