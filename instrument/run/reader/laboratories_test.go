package reader

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stopvolt/instrument/run"
)

// invented is a curve that nobody measured: retarding voltage in V and current
// in pA.
var invented = [...][2]float64{{0, 300}, {0.2, 221}, {0.4, 151}, {0.6, 92}, {0.8, 47}, {1, 17}, {1.2, 2}, {1.4, -1}}

// weaker is a second one, at the same voltages.
var weaker = [...]float64{120, 75, 38, 12, 2, -0.5, -0.5, -0.5}

// written makes a file of headings and a line for each reading.
func written(headings string, line func(i int, v, pA float64) string) string {
	var b strings.Builder
	b.WriteString(headings)
	for i, r := range invented {
		b.WriteString(line(i, r[0], r[1]) + "\n")
	}
	return b.String()
}

// reading is one as it should be read; u is in pA.
func wanted(u float64) []run.Reading {
	out := make([]run.Reading, len(invented))
	for i, r := range invented {
		out[i] = run.Reading{Retarding: r[0], Current: r[1] * 1e-12, Uncertainty: u * 1e-12}
	}
	return out
}

// comma writes a number with a decimal comma.
func comma(format string, a ...any) string {
	return strings.ReplaceAll(fmt.Sprintf(format, a...), ".", ",")
}

var close12 = cmpopts.EquateApprox(1e-12, 1e-24)

func TestOneCurveAsLaboratoriesKeepIt(t *testing.T) {
	for _, test := range []struct {
		claim   string
		name    string // of the file, 405.csv where empty
		text    string
		options Options
		want    []run.Reading // with no uncertainty where nil
		told    string        // a part of what has to be told
	}{
		{claim: "the least, the most, the mean and the standard deviation, after a byte-order mark",
			text: written("\ufeffVoltage (V),Current Min (e-7 A),Current Max (e-7 A),Average Current (e-7 A),Standard Deviation (e-7 A)\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("%v,%v,%v,%v,0.00003", -v, (pA-5)*1e-5, (pA+5)*1e-5, pA*1e-5)
			}), want: wanted(3), told: `"Current Min (e-7 A)" holds the least or the most of several currents and is left out`},
		{claim: "an unnamed column first that counts the rows",
			text: written(",Voltage (V),Current (pA)\n", func(i int, v, pA float64) string { return fmt.Sprintf("%d,%v,%v", i, v, pA) })},
		{claim: "the same without any heading",
			text:    written("", func(i int, v, pA float64) string { return fmt.Sprintf("%d,%v,%v", i+1, v, pA) }),
			options: Options{CurrentUnit: "pA"}, told: "column 1 counts the rows"},
		{claim: "voltage, current and error without any heading",
			text:    written("", func(i int, v, pA float64) string { return fmt.Sprintf("%v\t%v\t3", -v, pA) }),
			options: Options{CurrentUnit: "pA"}, want: wanted(3), told: "column 1 holds the voltage and column 2 the current and column 3 its uncertainty, by the shape of their numbers"},
		{claim: "current first, without any heading",
			text:    written("", func(i int, v, pA float64) string { return fmt.Sprintf("%v;%v", pA, v) }),
			options: Options{CurrentUnit: "pA"}, told: "column 2 holds the voltage and column 1 the current"},
		{claim: "faults of formulas in a column that is not used",
			text: written("retarding_V,current_pA,ratio\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v,#DIV/0!", v, pA) })},
		{claim: "a fault of a formula at the head of each row",
			text: written("ratio,retarding_V,current_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("#DIV/0!,%v,%v", v, pA) })},
		{claim: "rows that lack a value",
			text: written("retarding_V,current_pA\n,5\n0.1,#DIV/0!\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v\n%v,", v, pA, v+0.1) }),
			told: "10 of the rows lack a voltage or a current and are left out (lines 2, 3, 5, 7, 9 and others)"},
		{claim: "uncertainties that lack a value are not known",
			text: written("retarding_V,current_pA,std (pA)\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v,#DIV/0!", v, pA) })},
		{claim: "an uncertainty named by its symbol and unit",
			text: written("retarding_V,current_pA,u_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v,3", v, pA) }), want: wanted(3)},
		{claim: "an unnamed column that is no repeat",
			text: written("retarding_V,current_pA,,\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v,%d,", v, pA, 7*i) }),
			told: `column 3 has no heading, is no repeat of "current_pA", and is not used`},
		{claim: "two columns that could number sweeps, and do not",
			text: written("run,series,retarding_V,current_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("1,%d,%v,%v", i, v, pA) })},
		{claim: "voltages that fall",
			text: written("retarding_V,current_pA\n", func(i int, v, pA float64) string { return "" }) + descending()},
		{claim: "scientific notation with capitals",
			text: written("Voltage (V)\tCurrent (A)\n", func(i int, v, pA float64) string { return fmt.Sprintf("%.2E\t%.3E", v, pA*1e-12) })},
		{claim: "a decimal comma and a power of ten",
			text: written("U / V;I / A\n", func(i int, v, pA float64) string { return comma("%.1f;%.2e", v, pA*1e-12) })},
		{claim: "a row of units in brackets and an empty row",
			text: written("Retarding voltage;Photocurrent\n[V];[nA]\n\n", func(i int, v, pA float64) string { return comma("%.1f;%.3f", v, pA/1000) })},
		{claim: "a header of an instrument above",
			text: written("Model;8-digit\nDate;3.5.2026\nOperator;JK\n\nVoltage (V);Current (pA)\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v;%v", v, pA) })},
		{claim: "remarks at the end of the table",
			text: written("retarding_V,current_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, pA) }) + "# lamp off at noon\n"},
		{claim: "a wavelength in angstrom above", name: "bench.txt",
			text: written("# wavelength: 4050 Å\nretarding_V current_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v %v", v, pA) })},
		{claim: "a wavelength in the heading of the current in angstrom", name: "bench.txt",
			text: written("retarding_V;4050 Å [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v;%v", v, pA) })},
		{claim: "a wavelength that is given for a file whose headings tell nothing", name: "green.csv",
			text:    written("", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, pA) }),
			options: Options{Wavelengths: []float64{405}, CurrentUnit: "pA"}},
		{claim: "a column of text between",
			text: written("retarding_V,seen by,current_pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,JK,%v", v, pA) })},
		{claim: "a column of the bare names of the quantities",
			text: written("U;I\nV;pA\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v;%v", v, pA) })},
		{claim: "a trailing delimiter in each row",
			text: written("retarding_V,current_pA,\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v,", v, pA) })},
		{claim: "thin spaces and a typographic minus",
			text: written("retarding_V;current_pA\n", func(i int, v, pA float64) string {
				return strings.ReplaceAll(fmt.Sprintf("%v\u202f;%v", v, pA), "-", "\u2212")
			})},
	} {
		t.Run(test.claim, func(t *testing.T) {
			name := test.name
			if name == "" {
				name = "405.csv"
			}
			r, guesses := readOne(t, name, test.text, test.options)
			if len(r.Curves) != 1 || r.Curves[0].Wavelength != 405 {
				t.Fatalf("got %v, want one curve at 405 nm; told %v", r.Curves, guesses)
			}
			want := test.want
			if want == nil {
				want = wanted(0)
			}
			got := r.Curves[0].Readings
			if test.claim == "voltages that fall" {
				for i, j := 0, len(got)-1; i < j; i, j = i+1, j-1 {
					got[i], got[j] = got[j], got[i]
				}
			}
			if diff := cmp.Diff(want, got, close12); diff != "" {
				t.Errorf("readings (-want +got):\n%s\ntold %v", diff, guesses)
			}
			wantTold(t, guesses, test.told)
		})
	}
}

// descending is the invented curve from its last reading to its first.
func descending() string {
	var b strings.Builder
	for i := len(invented) - 1; i >= 0; i-- {
		fmt.Fprintf(&b, "%v,%v\n", invented[i][0], invented[i][1])
	}
	return b.String()
}

// wantTold looks for a text in what was told.
func wantTold(t *testing.T, guesses []Guess, text string) {
	t.Helper()
	for _, g := range guesses {
		if strings.Contains(g.Text, text) {
			return
		}
	}
	if text != "" {
		t.Errorf("not told: %s\ntold %v", text, guesses)
	}
}

// curve is one with the invented readings and those that scale gives.
func curve(setting string, nm float64, current func(i int) float64) run.Curve {
	c := run.Curve{Setting: setting, Wavelength: nm, Dark: nm == 0}
	for i, r := range invented {
		c.Readings = append(c.Readings, run.Reading{Retarding: r[0], Current: current(i) * 1e-12})
	}
	return c
}

func strong(i int) float64 { return invented[i][1] }
func weak(i int) float64   { return weaker[i] }

func TestSeveralCurvesAsLaboratoriesKeepThem(t *testing.T) {
	// 740 THz and 549 THz are 405.01053 and 545.91833 nm in air (c over the frequency,
	// over the index of Ciddor 1996, worked out apart from this program).
	const violet, green = 405.01053, 545.91833
	for _, test := range []struct {
		claim string
		files map[string]string
		order []string
		want  []run.Curve
		told  string
	}{
		{claim: "lines side by side with an empty column between",
			files: map[string]string{"a.csv": written("405 nm,,,546 nm,\nU (V),I (pA),,U (V),I (pA)\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("%v,%v,,%v,%v", v, pA, v, weaker[i])
			})}, want: []run.Curve{curve("405 nm", 405, strong), curve("546 nm", 546, weak)}},
		{claim: "one voltage and a current for each frequency in THz",
			files: map[string]string{"a.csv": written("U (V);740 THz (pA);549 THz (pA)\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("%v;%v;%v", v, pA, weaker[i])
			})}, want: []run.Curve{curve("740 THz (pA)", violet, strong), curve("549 THz (pA)", green, weak)}},
		{claim: "a column of frequencies in 1e14 Hz",
			files: map[string]string{"a.csv": written("frequency (1e14 Hz);U (V);I (pA)\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("7.40;%v;%v", v, pA)
			}) + strings.TrimPrefix(written("-", func(i int, v, pA float64) string {
				return fmt.Sprintf("5.49;%v;%v", v, weaker[i])
			}), "-")}, want: []run.Curve{curve("7.40 1e14 Hz", violet, strong), curve("5.49 1e14 Hz", green, weak)}},
		{claim: "files named by their frequency", order: []string{"740THz.csv", "5.49e14 Hz.csv"},
			files: map[string]string{
				"740THz.csv":     written("retarding_V,I [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, pA) }),
				"5.49e14 Hz.csv": written("retarding_V,I [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, weaker[i]) }),
			}, want: []run.Curve{curve("740THz", violet, strong), curve("5.49e14 Hz", green, weak)}},
		{claim: "sweeps of one line in a file, told apart by a column",
			files: map[string]string{"405.csv": written("Sweep,retarding_V,I [pA]\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("1,%v,%v\n2,%v,%v", v, pA, v, weaker[i])
			})}, want: []run.Curve{curve("405, Sweep 1", 405, strong), curve("405, Sweep 2", 405, weak)},
			told: `the sweeps that "Sweep" tells apart are curves of their own`},
		{claim: "sweeps of one line in columns",
			files: map[string]string{"a.csv": written("retarding_V,405 nm up [pA],405 nm down [pA],dark [pA]\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("%v,%v,%v,0.1", v, pA, weaker[i])
			})}, want: []run.Curve{curve("405 nm up [pA]", 405, strong), curve("405 nm down [pA]", 405, weak), curve("dark [pA]", 0, func(int) float64 { return 0.1 })}},
		{claim: "files of one name in two folders, and a dark one", order: []string{"monday/405.csv", "friday/405.csv", "friday/405 dark.csv"},
			files: map[string]string{
				"monday/405.csv":      written("retarding_V,I [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, pA) }),
				"friday/405.csv":      written("retarding_V,I [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,%v", v, weaker[i]) }),
				"friday/405 dark.csv": written("retarding_V,I [pA]\n", func(i int, v, pA float64) string { return fmt.Sprintf("%v,0.1", v) }),
			}, want: []run.Curve{curve("405", 405, strong), curve("405 (2)", 405, weak), curve("405 dark", 0, func(int) float64 { return 0.1 })},
			told: `holds other readings of setting "405" than monday/405.csv, and is kept apart as "405 (2)"`},
		{claim: "unnamed currents below the names of their lines",
			files: map[string]string{"a.csv": written(",405 nm,546 nm\nU (V),I (pA),\n", func(i int, v, pA float64) string {
				return fmt.Sprintf("%v,%v,%v", v, pA, weaker[i])
			})}, want: []run.Curve{curve("405 nm", 405, strong), curve("546 nm", 546, weak)}},
	} {
		t.Run(test.claim, func(t *testing.T) {
			var sources []Source
			for _, name := range test.order {
				sources = append(sources, source(name, test.files[name]))
			}
			if test.order == nil {
				for name, text := range test.files {
					sources = append(sources, source(name, text))
				}
			}
			r, guesses, err := Read(sources, Options{})
			if err != nil {
				t.Fatal(err)
			}
			near := cmp.Comparer(func(a, b float64) bool {
				return math.Abs(a-b) <= max(1e-12*math.Abs(a), 1e-24) || a > 100 && math.Abs(a-b) < 1e-5
			})
			if diff := cmp.Diff(test.want, r.Curves, near); diff != "" {
				t.Errorf("curves (-want +got):\n%s\ntold %v", diff, guesses)
			}
			wantTold(t, guesses, test.told)
		})
	}
}

// repeated are three readings of each current that scatter by 1 % of the
// largest, in turns.
func repeated(i int, pA float64) (a, b, c float64) {
	return pA - 3, pA, pA + 3
}

func TestRepeatsUnderOneHeading(t *testing.T) {
	for claim, headings := range map[string]string{
		"two empty headings, a mean and an error further right": "retarding_V,I (pA),,,mean (pA),error (pA)\n",
		"numbered headings": "retarding_V,I 1 (pA),I 2 (pA),I 3 (pA),mean (pA),error (pA)\n",
		"none at all":       "",
	} {
		t.Run(claim, func(t *testing.T) {
			text := written(headings, func(i int, v, pA float64) string {
				a, b, c := repeated(i, pA)
				return fmt.Sprintf("%v,%v,%v,%v,%v,1.732", v, a, b, c, pA)
			})
			r, guesses := readOne(t, "405.csv", text, Options{CurrentUnit: "pA"})
			var want []run.Reading
			for i, x := range invented {
				a, b, c := repeated(i, x[1])
				for _, pA := range []float64{a, b, c} {
					want = append(want, run.Reading{Retarding: x[0], Current: pA * 1e-12})
				}
			}
			if len(r.Curves) != 1 {
				t.Fatalf("got %d curves, want one: told %v", len(r.Curves), guesses)
			}
			if diff := cmp.Diff(want, r.Curves[0].Readings, close12); diff != "" {
				t.Errorf("readings (-want +got):\n%s\ntold %v", diff, guesses)
			}
		})
	}
}

// Ten readings at each of two thousand voltages are kept, as rows or as
// columns; the analysis takes their mean, and their scatter for the noise.
func TestTenReadingsAtEachOfTwoThousandVoltages(t *testing.T) {
	var rows, columns strings.Builder
	rows.WriteString("retarding_V,current_pA\n")
	columns.WriteString("retarding_V,I 1 (pA),I 2 (pA),I 3 (pA),I 4 (pA),I 5 (pA),I 6 (pA),I 7 (pA),I 8 (pA),I 9 (pA),I 10 (pA)\n")
	for i := range 2000 {
		v := float64(i) / 1000
		fmt.Fprintf(&columns, "%v", v)
		for k := range 10 {
			pA := 300*(2-v)*(2-v) + float64(k)
			fmt.Fprintf(&rows, "%v,%v\n", v, pA)
			fmt.Fprintf(&columns, ",%v", pA)
		}
		columns.WriteByte('\n')
	}
	a, _ := readOne(t, "405.csv", rows.String(), Options{})
	b, _ := readOne(t, "405.csv", columns.String(), Options{})
	if n := len(a.Curves[0].Readings); n != 20000 {
		t.Errorf("%d readings, want 20000", n)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("rows and columns differ (-rows +columns):\n%s", diff)
	}
}

// The real runs as their laboratories may have kept them: without a heading, so
// that neither unit nor sign nor the columns' meaning is told. See the README
// beside each for where they come from.
func TestRealRunsWithoutHeadingsAreReadByTheirShape(t *testing.T) {
	for folder, options := range map[string]Options{"real": {CurrentUnit: "pA"}, "real2": {CurrentUnit: "nA"}} {
		paths, err := filepath.Glob("../../../testdata/" + folder + "/*.csv")
		if err != nil || len(paths) < 5 {
			t.Fatalf("found %d curves of %s (%v)", len(paths), folder, err)
		}
		want, _, err := ReadFiles(paths, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var sources []Source
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			_, rows, _ := strings.Cut(string(text), "\n")
			sources = append(sources, source(path, rows))
		}
		got, guesses, err := Read(sources, options)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, nearly); diff != "" {
			t.Errorf("%s (-with headings +without):\n%s", folder, diff)
		}
		wantTold(t, guesses, "by the shape of their numbers")
	}
}
