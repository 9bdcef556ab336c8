package analysis

import (
	"cmp"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"stopvolt/instrument/run"
)

// table reads a table of testdata without its heading; the README beside it says
// how it was made.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// scipyCurves are the curves of the table, prepared, by name.
func scipyCurves(t *testing.T) map[string]*Prepared {
	t.Helper()
	curves := map[string]run.Curve{}
	for _, row := range table(t, "scipy/curves.csv") {
		c := curves[row[0]]
		c.Setting = row[0]
		c.Readings = append(c.Readings, run.Reading{
			Retarding: number(t, row[1]), Current: number(t, row[2]), Uncertainty: number(t, row[3]),
		})
		curves[row[0]] = c
	}
	out := map[string]*Prepared{}
	for name, c := range curves {
		out[name] = prepared(t, c, run.Facts{})
	}
	return out
}

func TestFowlerFitAgreesWithScipy(t *testing.T) {
	curves := scipyCurves(t)
	compared := 0
	for _, row := range table(t, "scipy/fowler_fits.csv") {
		p := curves[row[0]]
		if first, _ := p.bent(fowlerFrom); strconv.Itoa(first) != row[1] {
			continue
		}
		compared++
		// The table's fits go on to the end of the curve.
		first, _ := p.bent(fowlerFrom)
		v, variance, failure := p.fowlerFit(first, len(p.V))
		if failure.Status != OK {
			t.Fatalf("%s: %+v", row[0], failure)
		}
		near(t, row[0]+" cutoff", v, number(t, row[2]), 1e-7)
		near(t, row[0]+" uncertainty", math.Sqrt(variance), number(t, row[3]), 1e-4)
	}
	if compared != 3 {
		t.Errorf("%d of 3 curves compared; the knee lies outside the table", compared)
	}
}

func TestCellFitAgreesWithScipy(t *testing.T) {
	curves := scipyCurves(t)
	for _, row := range table(t, "scipy/sphere_fits.csv") {
		p := curves[row[0]]
		got := CellFit{}.Cutoff(p)
		if got.Status != OK {
			t.Fatalf("%s: %+v", row[0], got)
		}
		a := parametersOf(p.cell().best.x)
		near(t, row[0]+" cutoff", got.Stopping, number(t, row[1]), 1e-5)
		near(t, row[0]+" uncertainty", math.Sqrt(p.cell().variance), number(t, row[2]), 1e-2)
		near(t, row[0]+" contact", a.contact, number(t, row[3]), 1e-3)
		near(t, row[0]+" q", a.q, number(t, row[4]), 1e-3)
	}
}

// TestLinesAgreeWithScipy: the line with errors in both coordinates is the
// minimum that orthogonal distance regression finds, and so are its
// uncertainties from the residuals.
func TestLinesAgreeWithScipy(t *testing.T) {
	points := map[string][]Point{}
	for _, row := range table(t, "scipy/points.csv") {
		points[row[0]] = append(points[row[0]], Point{
			Frequency: number(t, row[1]), UFrequency: number(t, row[2]),
			Stopping: number(t, row[3]), UStopping: number(t, row[4]),
		})
	}
	for _, row := range table(t, "scipy/lines.csv") {
		for _, fit := range LineFits() {
			if fit.Name() != row[1] {
				continue
			}
			l, err := fit.Fit(points[row[0]])
			if err != nil {
				t.Fatal(err)
			}
			name := row[1] + " " + row[0]
			near(t, name+" slope", l.Slope, number(t, row[2]), 1e-8)
			near(t, name+" intercept", l.Intercept, number(t, row[3]), 1e-8)
			if row[4] != "" {
				near(t, name+" uncertainty of slope", l.USlope, number(t, row[4]), 1e-5)
				near(t, name+" uncertainty of intercept", l.UIntercept, number(t, row[5]), 1e-5)
			}
		}
	}
}

// TestFowlerFitIsFiftyTimesFasterThanScipy times both on the same curve in the
// same run. It needs a Python with scipy, by the name in the environment variable
// PYTHON or python3, and is skipped without.
func TestFowlerFitIsFiftyTimesFasterThanScipy(t *testing.T) {
	if testing.Short() {
		t.Skip("times a fit")
	}
	python := cmp.Or(os.Getenv("PYTHON"), "python3")
	p := scipyCurves(t)["plane0"]
	first, _ := p.bent(fowlerFrom)
	command := exec.Command(python, "time_fits.py", strconv.Itoa(first))
	command.Dir = "../testdata/scipy"
	out, err := command.Output()
	if err != nil {
		t.Skipf("no Python with scipy: %v", err)
	}
	scipy := number(t, strings.TrimSpace(string(out))) * 1e3
	ours := math.Inf(1)
	for range 5 {
		const fits = 200
		began := time.Now()
		for range fits {
			FowlerFit{}.Cutoff(p)
		}
		ours = min(ours, float64(time.Since(began).Nanoseconds())/fits)
	}
	t.Logf("scipy %.0f us, fowler-fit %.1f us", scipy/1e3, ours/1e3)
	if scipy < 50*ours {
		t.Errorf("scipy takes %.0f us, fowler-fit %.1f us: less than fifty times as long", scipy/1e3, ours/1e3)
	}
}
