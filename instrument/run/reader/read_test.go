package reader

import (
	"bytes"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"stopvolt/instrument/run"
)

// source makes a file of a text.
func source(name, text string) Source {
	return Source{Name: name, Reader: strings.NewReader(text)}
}

// readOne reads one file that has to be good.
func readOne(t *testing.T, name, text string, o Options) (run.Run, []Guess) {
	t.Helper()
	r, guesses, err := Read([]Source{source(name, text)}, o)
	if err != nil {
		t.Fatalf("reading %s: %v", name, err)
	}
	return r, guesses
}

// wantGuesses compares the options that were guessed, but one, with a list.
func wantGuesses(t *testing.T, guesses []Guess, want, but string) {
	t.Helper()
	var got []string
	for _, g := range guesses {
		if g.Option != "" && g.Option != but {
			got = append(got, g.Option)
		}
	}
	if s := strings.Join(got, " "); s != want {
		t.Errorf("guessed %q, want %q: %v", s, want, guesses)
	}
}

// The real run is public data of a teaching laboratory; see
// testdata/real/README.md for where it comes from.
func TestRealRunReadsAsItIs(t *testing.T) {
	paths, err := filepath.Glob("../../../testdata/real/*.csv")
	if err != nil || len(paths) != 5 {
		t.Fatalf("found %d real curves, want 5 (%v)", len(paths), err)
	}
	r, guesses, err := ReadFiles(paths, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		nm          float64
		readings    int
		first, last run.Reading
	}{
		{365, 12, run.Reading{Retarding: 0, Current: 360e-12}, run.Reading{Retarding: 1.785, Current: 0}},
		{405, 14, run.Reading{Retarding: 0, Current: 150e-12}, run.Reading{Retarding: 1.515, Current: 0}},
		{436, 11, run.Reading{Retarding: 0.021, Current: 167e-12}, run.Reading{Retarding: 1.252, Current: 0}},
		{546, 11, run.Reading{Retarding: 0.005, Current: 98e-12}, run.Reading{Retarding: 0.686, Current: 0}},
		{577, 11, run.Reading{Retarding: 0.008, Current: 87e-12}, run.Reading{Retarding: 0.501, Current: 3e-12}},
	} {
		c := r.Curves[i]
		if c.Wavelength != want.nm || len(c.Readings) != want.readings {
			t.Errorf("curve %d: %v nm with %d readings, want %v nm with %d", i, c.Wavelength, len(c.Readings), want.nm, want.readings)
			continue
		}
		if c.Readings[0] != want.first || c.Readings[len(c.Readings)-1] != want.last {
			t.Errorf("%v nm runs from %v to %v, want %v to %v", c.Wavelength, c.Readings[0], c.Readings[len(c.Readings)-1], want.first, want.last)
		}
	}
	told := make(map[string]int)
	for _, g := range guesses {
		told[g.Option]++
	}
	if diff := cmp.Diff(map[string]int{"wavelength": 1, "voltage-sign": 1}, told); diff != "" {
		t.Errorf("guesses told (-want +got):\n%s", diff)
	}
}

// Every file below holds the same three readings in another way of writing:
// 0, 0.5 and 1.25 V retarding with 300, 120 and -2 pA at 405 nm.
func TestTheSameReadingsInManyHands(t *testing.T) {
	want := []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 0.5, Current: 120e-12}, {Retarding: 1.25, Current: -2e-12}}
	for _, test := range []struct {
		claim, text string
		name        string // of the file, 405.csv where empty
		options     Options
		guesses     string // the options that were guessed
	}{
		{claim: "brackets and commas", text: "Retarding voltage [V],Current [pA]\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "no final line end", text: "Retarding voltage [V],Current [pA]\n0,300\n0.5,120\n1.25,-2"},
		{claim: "round brackets and millivolts", text: "Retarding voltage (mV),Photocurrent (nA)\n0,0.3\n500,0.12\n1250,-0.002\n"},
		{claim: "units after a stroke", text: "Vr / V,I / pA\n0,300\n0.5,120\n1.25,-2\n", guesses: "voltage-sign"},
		{claim: "units after an underscore", text: "retarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "units after in", text: "stopping potential in V,current in pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "semicolons and decimal commas", text: "Gegenspannung [V];Strom [pA]\r\n0;300\r\n0,5;120\r\n1,25;-2\r\n", guesses: "delimiter decimal"},
		{claim: "tabs and decimal commas", text: "Retarding U [V]\tI [pA]\n0,0\t300\n0,5\t120\n1,25\t-2\n", guesses: "delimiter decimal"},
		{claim: "aligned by blanks", text: "  Retarding voltage [V]   Current [pA]\n   0.00    300\n   0.50    120\n   1.25     -2\n", guesses: "delimiter"},
		{claim: "single blanks", text: "retarding_V current_pA\n0.00 300\n0.50 120\n1.25 -2\n", guesses: "delimiter"},
		{claim: "blanks and bracketed units", text: "Retarding [V] Current [pA]\n0.00 300\n0.50 120\n1.25 -2\n", guesses: "delimiter"},
		{claim: "byte-order mark", text: "\ufeffretarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "comment lines", text: "# bench 4\nretarding_V,current_pA\n0,300\n# lamp flickers\n0.5,120\n1.25,-2\n"},
		{claim: "headings in a comment", text: "# retarding_V current_pA\n0.00 300\n0.50 120\n1.25 -2\n", guesses: "delimiter"},
		{claim: "line ends of old", text: "retarding_V,current_pA\r0,300\r0.5,120\r1.25,-2\r"},
		{claim: "collector's potential by name", text: "collector_V,current_pA\n0,300\n-0.5,120\n-1.25,-2\n"},
		{claim: "negative voltages, unnamed", text: "Voltage [V],Current [pA]\n0,300\n-0.5,120\n-1.25,-2\n", guesses: "voltage-sign"},
		{claim: "positive voltages, unnamed", text: "Voltage [V],Current [pA]\n0,300\n0.5,120\n1.25,-2\n", guesses: "voltage-sign"},
		{claim: "retarding by name, negative in fact", text: "Retarding voltage [V],Current [pA]\n0,300\n-0.5,120\n-1.25,-2\n", guesses: "voltage-sign"},
		{claim: "current of the other sign", text: "retarding_V,Current [pA]\n0,-300\n0.5,-120\n1.25,2\n", guesses: "current-sign"},
		{claim: "both of the other sign", text: "Voltage [V],Current [pA]\n0,-300\n-0.5,-120\n-1.25,2\n", guesses: "voltage-sign current-sign"},
		{claim: "current column first", text: "Current [pA],Retarding voltage [V]\n300,0\n120,0.5\n-2,1.25\n"},
		{claim: "a power of ten before the unit", text: "retarding_V,Current [e-10 A]\n0,3\n0.5,1.2\n1.25,-0.02\n"},
		{claim: "a raised power of ten", text: "retarding_V,Current (×10⁻¹⁰ A)\n0,3\n0.5,1.2\n1.25,-0.02\n"},
		{claim: "a power of ten with a caret", text: "retarding_V,Current (10^-10 A)\n0,3\n0.5,1.2\n1.25,-0.02\n"},
		{claim: "micro as a sign", text: "retarding_V,Current (µA)\n0,3e-4\n0.5,1.2e-4\n1.25,-2e-6\n"},
		{claim: "micro as a Greek letter", text: "retarding_V,Current (μA)\n0,3e-4\n0.5,1.2e-4\n1.25,-2e-6\n"},
		{claim: "micro as u", text: "retarding_V,Current (uA)\n0,3e-4\n0.5,1.2e-4\n1.25,-2e-6\n"},
		{claim: "micro in Latin-1", text: "retarding_V,Current (\xb5A)\n0,3e-4\n0.5,1.2e-4\n1.25,-2e-6\n"},
		{claim: "a typographic minus", text: "retarding_V,current_pA\n0,300\n0.5,120\n1.25,\u22122\n"},
		{claim: "numbers in the long form", text: "retarding_V,current_A\n0,3 x 10^-10\n0.5,1.2×10^-10\n1.25,-2e-12\n"},
		{claim: "units in a row of their own", text: "Retarding voltage,Current\nV,pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "no units", text: "Retarding voltage,Current\n0,300\n0.5,120\n1.25,-2\n", guesses: "voltage-unit current-unit"},
		{claim: "no headings", text: "0,300\n0.5,120\n1.25,-2\n", guesses: "voltage-column voltage-unit current-unit voltage-sign"},
		{claim: "strange headings", text: "x,y\n0,300\n0.5,120\n1.25,-2\n", guesses: "voltage-column voltage-unit current-unit voltage-sign"},
		{claim: "a title above", text: "Practical course\n\nretarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "a row left empty", text: "retarding_V,current_pA\n0,300\n,\n0.5,120\n1.25,-2\n,\n"},
		{claim: "a column between", text: "No.,retarding_V,current_pA,by\n1,0,300,JK\n2,0.5,120,JK\n3,1.25,-2,LM\n"},
		{claim: "units asked for", text: "Retarding voltage,Current\n0,3\n500,1.2\n1250,-0.02\n", options: Options{VoltageUnit: "mV", CurrentUnit: "1e-10 A"}},
		{claim: "columns asked for", text: "a,b,c\n1,0,300\n2,0.5,120\n3,1.25,-2\n",
			options: Options{VoltageColumn: "b", CurrentColumn: "3", VoltageUnit: "V", CurrentUnit: "pA", VoltageSign: 1}},
		{claim: "the delimiter in the first line", text: "sep=;\nretarding_V;current_pA\n0;300\n0.5;120\n1.25;-2\n"},
		{claim: "commas in both places, numbers in quotes", text: "\"retarding_V\",\"current_pA\"\n\"0,0\",\"300,0\"\n\"0,5\",\"120,0\"\n\"1,25\",\"-2,0\"\n", guesses: "decimal"},
		{claim: "a power of ten behind the symbol", text: "retarding_V,I×10⁻¹⁰A\n0,3\n0.5,1.2\n1.25,-0.02\n"},
		{claim: "shouted headings", text: "RETARDING VOLTAGE (MV),CURRENT (NA)\n0,0.3\n500,0.12\n1250,-0.002\n"},
		{claim: "bare units as headings", text: "V;nA\n0;0.3\n0.5;0.12\n1.25;-0.002\n", guesses: "delimiter voltage-unit voltage-sign"},
		{claim: "hours of the day", text: "time,retarding_V,current_pA\n10:15:03,0,300\n10:15:20,0.5,120\n10:15:41,1.25,-2\n", guesses: ""},
		{claim: "readings beyond the range", text: "Retarding [V],Current [pA]\n-1,OVLD\n-0.5,9.9E37\n0,300\n0.5,120\n1.25,-2\n", guesses: ""},
		{claim: "series numbered by letters", text: "run a,retarding_V,current_pA\nx,0,300\nx,0.5,120\nx,1.25,-2\n"},
		{claim: "a mean beside its one current", text: "retarding_V,I [pA],mean [pA]\n0,300,300\n0.5,120,120\n1.25,-2,-2\n", guesses: "current-column"},
		{claim: "a logarithm beside its current", text: "retarding_V,I [pA],ln(I)\n0,300,5.7\n0.5,120,4.8\n1.25,-2,\n", guesses: "current-column"},
		{claim: "one column of numbers left", text: "retarding_V,electrometer,by\n0,300,JK\n0.5,120,JK\n1.25,-2,LM\n", options: Options{CurrentUnit: "pA"}, guesses: "current-column"},
		{claim: "a wavelength with its letter", name: "bench.csv", text: "retarding_V,λ = 405 nm [pA]\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "wavelength above the table", name: "bench.csv", text: "Wavelength,405 nm\nretarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "wavelength in a comment", name: "bench.csv", text: "# wavelength: 405 nm, bench 12\nretarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n"},
		{claim: "wavelength asked for", name: "bench.csv", text: "retarding_V,current_pA\n0,300\n0.5,120\n1.25,-2\n", options: Options{Wavelengths: []float64{405}}},
		{claim: "wavelength above the current", name: "bench.csv", text: "retarding_V,405 nm [pA]\n0,300\n0.5,120\n1.25,-2\n"},
	} {
		t.Run(test.claim, func(t *testing.T) {
			name := test.name
			if name == "" {
				name = "405.csv"
			}
			r, guesses := readOne(t, name, test.text, test.options)
			if len(r.Curves) != 1 || r.Curves[0].Wavelength != 405 {
				t.Fatalf("got %v, want one curve at 405 nm", r.Curves)
			}
			if diff := cmp.Diff(want, r.Curves[0].Readings, nearly); diff != "" {
				t.Errorf("readings (-want +got):\n%s", diff)
			}
			wantGuesses(t, guesses, test.guesses, "wavelength")
		})
	}
}

func TestScaledNumbersHaveNoDigitsThatNobodyWrote(t *testing.T) {
	r, _ := readOne(t, "405.csv", "retarding_V,I [nA]\n0,1.1\n0.1,2.2e-1\n0.2,3.3E+01\n", Options{})
	for i, want := range []float64{1.1e-9, 2.2e-10, 3.3e-8} {
		if got := r.Curves[0].Readings[i].Current; got != want {
			t.Errorf("reading %d is %v A, want %v", i, got, want)
		}
	}
}

// nearly compares numbers that were scaled by different powers of ten.
var nearly = cmp.Comparer(func(a, b float64) bool {
	return a == b || (a-b)*(a-b) < 1e-30*a*a
})

func TestFilesOfUTF16ReadLikeUTF8(t *testing.T) {
	text := "Retarding voltage [V]\tCurrent [µA]\r\n0\t3e-4\r\n0.5\t1.2e-4\r\n"
	want, _ := readOne(t, "405.txt", text, Options{})
	for _, order := range []string{"little", "big"} {
		for _, mark := range []bool{true, false} {
			var b bytes.Buffer
			for _, r := range "\ufeff" + text {
				if r == '\ufeff' && !mark {
					continue
				}
				low, high := byte(r), byte(r>>8)
				if order == "big" {
					low, high = high, low
				}
				b.Write([]byte{low, high})
			}
			got, _ := readOne(t, "405.txt", b.String(), Options{})
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%s-endian, mark %v (-want +got):\n%s", order, mark, diff)
			}
		}
	}
}

func TestSeveralCurvesInOneFile(t *testing.T) {
	for _, test := range []struct {
		claim, text string
		want        []run.Curve
	}{
		{"a column of currents for each wavelength", "retarding_V,I 405 nm [pA],I 546 nm [pA],dark [pA]\n0,300,100,1\n1,20,0,\n", []run.Curve{
			{Setting: "I 405 nm [pA]", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "I 546 nm [pA]", Wavelength: 546, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 1}}},
			{Setting: "dark [pA]", Dark: true, Readings: []run.Reading{{Retarding: 0, Current: 1e-12}}},
		}},
		{"bare wavelengths as headings", "retarding_V;404,656;546,07\n0;0,3;0,1\n1;0,02;0\n", []run.Curve{
			{Setting: "404,656", Wavelength: 404.656, Readings: []run.Reading{{Retarding: 0, Current: 3e-10}, {Retarding: 1, Current: 2e-11}}},
			{Setting: "546,07", Wavelength: 546.07, Readings: []run.Reading{{Retarding: 0, Current: 1e-10}, {Retarding: 1}}},
		}},
		{"pairs of columns under merged cells", "405 nm,,546 nm,\nVr [V],I [pA],Vr [V],I [pA]\n0,300,0,100\n1,20,0.5,0\n2,-1,,\n", []run.Curve{
			{Setting: "405 nm", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}, {Retarding: 2, Current: -1e-12}}},
			{Setting: "546 nm", Wavelength: 546, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 0.5}}},
		}},
		{"a column of settings that name their wavelength", "light,retarding_V,current_pA\nviolet 405,0,300\nviolet 405,1,20\ngreen 546,0,100\ngreen 546,1,0\n", []run.Curve{
			{Setting: "violet 405", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "green 546", Wavelength: 546, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 1}}},
		}},
		{"a column of wavelengths alone, in angstrom", "wavelength [Å],retarding_V,current_pA\n4047,0,300\n4047,1,20\n5461,0,100\n5461,1,0\n", []run.Curve{
			{Setting: "404.7 nm", Wavelength: 404.7, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "546.1 nm", Wavelength: 546.1, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 1}}},
		}},
		{"repeats at one voltage and a dark curve without wavelength", "setting,wavelength_nm,retarding_V,current_pA\nviolet,405,0,300\nviolet,405,0,302\nlid on,,0,1\nviolet,405,1,20\nlid on,,1,1\n", []run.Curve{
			{Setting: "violet", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 0, Current: 302e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "lid on", Dark: true, Readings: []run.Reading{{Retarding: 0, Current: 1e-12}, {Retarding: 1, Current: 1e-12}}},
		}},
		{"wavelengths told once, at the head of their rows", "wavelength (nm),retarding_V,current_pA\n405,0,300\n,1,20\n546,0,100\n,1,0\n", []run.Curve{
			{Setting: "405 nm", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "546 nm", Wavelength: 546, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 1}}},
		}},
		{"unnamed columns are named by the lights above", "light,365,405\nV [V],,\n0,300,100\n1,20,0\n", []run.Curve{
			{Setting: "365", Wavelength: 365, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1, Current: 20e-12}}},
			{Setting: "405", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 100e-12}, {Retarding: 1}}},
		}},
		{"a dark red is a light", "setting,wavelength_nm,retarding_V,current_pA\ndark red,660,0,300\ndark red,660,1,0\n", []run.Curve{
			{Setting: "dark red", Wavelength: 660, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 1}}},
		}},
	} {
		t.Run(test.claim, func(t *testing.T) {
			r, _ := readOne(t, "bench.csv", test.text, Options{})
			if diff := cmp.Diff(test.want, r.Curves, nearly); diff != "" {
				t.Errorf("curves (-want +got):\n%s", diff)
			}
		})
	}
}

func TestColumnsOfOneCurveAreItsRepeats(t *testing.T) {
	const text = "retarding_V,I1 [pA],I2 [pA],I_dark [pA],mean [pA]\n0,300,302,1,301\n1,20,,1,20\n"
	want := []run.Curve{
		{Setting: "405", Wavelength: 405, Readings: []run.Reading{{Retarding: 0, Current: 300e-12}, {Retarding: 0, Current: 302e-12}, {Retarding: 1, Current: 20e-12}}},
		{Setting: "405, I_dark [pA]", Dark: true, Readings: []run.Reading{{Retarding: 0, Current: 1e-12}, {Retarding: 1, Current: 1e-12}}},
	}
	r, guesses := readOne(t, "405.csv", text, Options{})
	if diff := cmp.Diff(want, r.Curves, nearly); diff != "" {
		t.Errorf("curves (-want +got):\n%s", diff)
	}
	if len(guesses) != 3 {
		t.Errorf("guessed %v, want the means, the wavelength and the repeats", guesses)
	}
	r, _ = readOne(t, "bench.csv", text, Options{Wavelengths: []float64{405}})
	want[0].Setting, want[1].Setting = "bench", "bench, I_dark [pA]"
	if diff := cmp.Diff(want, r.Curves, nearly); diff != "" {
		t.Errorf("curves with a wavelength asked for (-want +got):\n%s", diff)
	}
}

func TestADarkCurveFollowsTheSignOfTheOthers(t *testing.T) {
	lit := "Voltage [V],Current [pA]\n1,400\n0,300\n-0.5,120\n-1.25,0\n"
	dark := "Voltage [V],Current [pA]\n1,2\n0,1\n-1,2\n"
	r, guesses, err := Read([]Source{source("dark.csv", dark), source("405.csv", lit)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Curves[0].Dark || r.Curves[0].Readings[0].Retarding != -1 || r.Curves[1].Readings[0].Retarding != -1 {
		t.Errorf("got %v, want both to begin at -1 V", r.Curves)
	}
	if s := guesses[len(guesses)-1].Text; s != "the voltage is the collector's potential, negative where it retards, as in the other curves" {
		t.Errorf("last guess is %q", s)
	}
}

func TestUncertaintiesInPerCent(t *testing.T) {
	r, _ := readOne(t, "405.csv", "retarding_V,current_pA,error [%]\n0,300,2\n1,-20,5\n", Options{})
	want := []run.Reading{{Retarding: 0, Current: 300e-12, Uncertainty: 6e-12}, {Retarding: 1, Current: -20e-12, Uncertainty: 1e-12}}
	if diff := cmp.Diff(want, r.Curves[0].Readings, nearly); diff != "" {
		t.Errorf("readings (-want +got):\n%s", diff)
	}
}

func TestUncertaintiesTimesAndFlagsComeAlong(t *testing.T) {
	r, _ := readOne(t, "405.csv", "time (ms),Retarding voltage [V],Current [nA],u(I) [pA],status\n0,0,0.3,5,\n1500,1,0.02,,overload\n", Options{})
	want := []run.Reading{{Retarding: 0, Current: 0.3e-9, Uncertainty: 5e-12}, {Retarding: 1, Current: 0.02e-9, Time: 1.5, Flags: run.Overload}}
	if diff := cmp.Diff(want, r.Curves[0].Readings, nearly); diff != "" {
		t.Errorf("readings (-want +got):\n%s", diff)
	}
}

func TestFaultsNameTheirPlaceAndTheRemedy(t *testing.T) {
	const head = "retarding_V,current_A\n"
	for _, test := range []struct {
		claim, text string
		options     Options
		want        string
	}{
		{"empty file", "", Options{}, "405.csv: is empty; a table of voltage and current is needed"},
		{"blank file", " \n\n\t\n", Options{}, "405.csv: is empty; a table of voltage and current is needed"},
		{"headings alone", head, Options{}, "405.csv:1:1: no row below has two numbers; a table of voltage and current is needed"},
		{"one reading", head + "0,1e-9\n", Options{}, "405.csv:2: holds one reading only; a curve needs at least two, and a method more"},
		{"text in a current", head + "0,1e-9\n1,abc\n", Options{}, `405.csv:3:3: "abc" is not a number; a current in A is needed`},
		{"text in the first row", head + "0,abc\n1,1e-9\n", Options{}, `405.csv:2:3: "abc" is not a number; a current in A is needed`},
		{"no value in any row", head + "0,NaN\n1,\n-,2\n0.5,1\n", Options{}, "405.csv:5: holds one reading only; a curve needs at least two, and a method more"},
		{"infinity", head + "0,1e-9\n1,-inf\n", Options{}, `405.csv:3:3: "-inf" is not a finite number; a current in A is needed`},
		{"overflow", head + "0,1e-9\n1,1e999\n", Options{}, `405.csv:3:3: "1e999" is not a finite number; a current in A is needed`},
		{"hexadecimal", head + "0,1e-9\n1,0x1p-3\n", Options{}, `405.csv:3:3: "0x1p-3" is not a number; a current in A is needed`},
		{"a date", "retarding_V,current_pA\n0,300\n1,05. Jan\n", Options{}, `405.csv:3:3: "05. Jan" is a date, as spreadsheets make of numbers; a current in pA is needed: format the cells as numbers and type them again`},
		{"a decimal comma among commas", head + "0,0,1\n0,5,2\n1,0,3\n", Options{}, "405.csv:2:5: the row has 3 cells where the headings have 2; a decimal comma needs another delimiter than a comma"},
		{"a negative uncertainty", "retarding_V,current_A,u_current_A\n0,1,1\n1,1,-1\n", Options{}, "405.csv:3:5: an uncertainty of -1 is impossible; one above 0 is needed, or an empty cell"},
		{"an open quotation", head + "0,\"1\n1,2\n", Options{}, "405.csv:2: a quotation mark is not closed or stands inside a cell; quote the whole cell and double the marks within"},
		{"a unit of another quantity", "Voltage [pA],Current [pA]\n0,1\n1,2\n", Options{}, `405.csv:1:1: "Voltage [pA]" is headed as a voltage in pA; a unit of voltage is needed, such as V`},
		{"two voltages", "Retarding [V],Anode [V],Current [pA]\n0,1,1\n1,2,1\n", Options{}, `405.csv:1:15: both "Retarding [V]" and "Anode [V]" could be meant; choose one with --voltage-column`},
		{"no voltage", "a,b,c\n0,1,1\n1,2,1\n", Options{}, "405.csv:1:1: no column is named as the voltage; name the columns in the first row (as retarding_V, current_A), or choose with --voltage-column and --current-column"},
		{"two currents", "retarding_V,Photocurrent [pA],Reference current [pA]\n0,1,1\n1,2,1\n", Options{}, `405.csv:1:31: "Photocurrent [pA]" and "Reference current [pA]" are not repeats of one current by their headings; choose one with --current-column, or name a wavelength in each`},
		{"no such column", head + "0,1\n1,2\n", Options{VoltageColumn: "U"}, `405.csv: has no column "U" as --voltage-column asks; there are "retarding_V", "current_A"`},
		{"two wavelengths of one setting", "setting,wavelength_nm,retarding_V,current_A\nviolet,405,0,1\nviolet,436,1,0\n", Options{}, `405.csv:3:8: setting "violet" is 436 nm here and 405 nm in line 2; a setting has one wavelength`},
		{"angstrom for nanometre", "setting,wavelength_nm,retarding_V,current_A\nviolet,4047,0,1\n", Options{}, "405.csv:2:8: a wavelength of 4047 nm looks like one in angstrom; 404.7 nm is meant, or give --wavelength-unit angstrom"},
		{"a negative wavelength", "setting,wavelength_nm,retarding_V,current_A\nviolet,-405,0,1\n", Options{}, "405.csv:2:8: a wavelength of -405 is impossible; one in nm is needed, or an empty cell for a dark curve"},
		{"too many wavelengths asked for", head + "0,1\n1,0\n", Options{Wavelengths: []float64{405, 436}}, "2 wavelengths were given for 1 curves; one for each is needed"},
		{"a strange unit asked for", head, Options{VoltageUnit: "pA"}, `"pA" is not a unit of voltage; one such as V is needed`},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", Options{}, "405.csv: is not text; a CSV file or an .xlsx workbook is needed"},
		{"a workbook of old", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", Options{}, "405.csv: is a workbook of the old binary kind or under a password; save it as .xlsx without one, or as CSV"},
	} {
		t.Run(test.claim, func(t *testing.T) {
			_, _, err := Read([]Source{source("405.csv", test.text)}, test.options)
			var fault *Error
			if !errors.As(err, &fault) {
				t.Fatalf("error %v of type %T, want *Error", err, err)
			}
			if err.Error() != test.want {
				t.Errorf("got  %s\nwant %s", err, test.want)
			}
			if strings.ContainsAny(err.Error(), "\n") {
				t.Errorf("error %q is more than a line", err)
			}
		})
	}
}

func TestAWavelengthThatNothingTellsIsAFault(t *testing.T) {
	_, _, err := Read([]Source{source("bench.csv", "retarding_V,current_A\n0,1\n1,0\n")}, Options{})
	const want = `bench.csv:2: nothing tells the wavelength of setting "bench"; add a column wavelength_nm, write it in the name of the setting or of the file (as 405nm.csv), or give --wavelength`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestFilesOfOneSetting(t *testing.T) {
	const head = "setting,wavelength_nm,retarding_V,current_A\n"
	a := head + "violet,405,0,1e-9\nviolet,405,1,0\n"
	for _, test := range []struct {
		claim, b, want string
	}{
		{"another sweep", head + "violet,405,0,2e-9\nviolet,405,1,0\n", ""},
		{"another wavelength", head + "violet,436,0,1e-9\nviolet,436,1,0\n", `b.csv:2: setting "violet" is 436 nm here and 405 nm in a.csv; a setting has one wavelength`},
		{"the same again", a, ""},
		{"another setting", head + "blue,436,0,1e-9\nblue,436,1,0\n", ""},
	} {
		r, _, err := Read([]Source{source("a.csv", a), source("b.csv", test.b)}, Options{})
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != test.want {
			t.Errorf("%s: got %q, want %q", test.claim, got, test.want)
		}
		if test.claim == "the same again" && len(r.Curves) != 1 {
			t.Errorf("a file given twice makes %d curves, want 1", len(r.Curves))
		}
		if test.claim == "another sweep" && (len(r.Curves) != 2 || r.Curves[1].Setting != "violet (2)") {
			t.Errorf("another sweep gives %v, want a curve of its own", r.Curves)
		}
	}
}

func TestOneBadCurveAmongGoodOnesStays(t *testing.T) {
	r, _, err := Read([]Source{
		source("405.csv", "retarding_V,current_A\n0,1e-9\n1,0\n"),
		source("436.csv", "retarding_V,current_A\n0,1e-9\n"),
	}, Options{})
	if err != nil || len(r.Curves) != 2 {
		t.Errorf("got %d curves and %v, want both curves", len(r.Curves), err)
	}
}

func TestWavelengthsInNames(t *testing.T) {
	for name, want := range map[string]float64{
		"365": 365, "404.656": 404.656, "577,5": 577.5, "violet_404.7nm": 404.7, "run3_546nm": 546, "546nm_run300": 546,
		"2024-05-01_436": 436, "20240501": 0, "bench 12": 0, "365 and 405": 0, "4047 Å": 404.7, "dark": 0, "": 0, "λ=253.7": 253.7,
	} {
		if got := wavelengthIn(name); got != want {
			t.Errorf("%q names %v nm, want %v", name, got, want)
		}
	}
}

func TestNamesOfDarkCurves(t *testing.T) {
	for name, want := range map[string]bool{
		"dark": true, "Dark current": true, "background_2": true, "lamp off": true, "no light": true, "Dunkelstrom": true,
		"dark red": false, "cut-off filter": false, "background subtracted": false, "I - I_dark": false, "violet": false, "offset": false, "": false,
	} {
		if got := isDark(name); got != want {
			t.Errorf("%q is dark: %v, want %v", name, got, want)
		}
	}
}

func TestBrokenInputIsReportedAndSlowInputIsNot(t *testing.T) {
	const text = "retarding_V,current_A\n0,1e-9\n1,0\n"
	broken := errors.New("the stick was pulled out")
	_, _, err := Read([]Source{{Name: "405.csv", Reader: io.MultiReader(strings.NewReader(text), iotest.ErrReader(broken))}}, Options{})
	if err == nil || err.Error() != "405.csv: cannot be read: the stick was pulled out" {
		t.Errorf("a broken reader gives %v", err)
	}
	want, _ := readOne(t, "405.csv", text, Options{})
	for name, r := range map[string]io.Reader{
		"one byte": iotest.OneByteReader(strings.NewReader(text)), "half": iotest.HalfReader(strings.NewReader(text)),
		"error with data": iotest.DataErrReader(strings.NewReader(text)),
	} {
		got, _, err := Read([]Source{{Name: "405.csv", Reader: r}}, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// endless gives the same text for ever.
type endless string

func (e endless) Read(p []byte) (int, error) { return copy(p, e), nil }

func TestEndlessInputEnds(t *testing.T) {
	for name, r := range map[string]io.Reader{
		"rows": endless("1,2\n"), "one line": endless("x"), "one quotation": io.MultiReader(strings.NewReader("a,b\n\""), endless("1,\n")),
	} {
		if _, _, err := Read([]Source{{Name: "405.csv", Reader: r}}, Options{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestMissingFilesAreNamed(t *testing.T) {
	_, _, err := ReadFiles([]string{filepath.Join(t.TempDir(), "405.csv")}, nil, Options{})
	if err == nil || !strings.Contains(err.Error(), "405.csv: cannot be opened: no such file") {
		t.Errorf("got %v", err)
	}
	dir := t.TempDir()
	if _, _, err = ReadFiles([]string{dir}, nil, Options{}); err == nil {
		t.Error("a folder was read as a file")
	}
}
