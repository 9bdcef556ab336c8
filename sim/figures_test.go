package sim_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"stopvolt/instrument"
)

var update = flag.Bool("update", false, "write the tables in testdata/bench anew")

// sameAsFile tests columns of numbers against a file of testdata/bench, to a
// millionth of the largest in each column: rounding differs between processors.
func sameAsFile(t *testing.T, name string, head []string, columns ...[]float64) {
	t.Helper()
	path := "../testdata/bench/" + name
	if *update {
		var text bytes.Buffer
		w := csv.NewWriter(&text)
		rows := [][]string{head}
		for i := range columns[0] {
			var row []string
			for _, c := range columns {
				row = append(row, strconv.FormatFloat(c[i], 'g', 9, 64))
			}
			rows = append(rows, row)
		}
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, text.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(columns[0])+1 || fmt.Sprint(rows[0]) != fmt.Sprint(head) {
		t.Fatalf("%s has %d rows under %q", name, len(rows)-1, rows[0])
	}
	for j, c := range columns {
		var largest float64
		for _, x := range c {
			largest = max(largest, math.Abs(x))
		}
		for i, x := range c {
			want, err := strconv.ParseFloat(rows[i+1][j], 64)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(x-want) > 1e-6*largest {
				t.Errorf("%s: row %d, %s: %.9g, in the file %.9g", name, i+1, head[j], x, want)
			}
		}
	}
}

// loop takes a curve there and back with a settling time in s, and returns the
// voltages with the currents of both ways.
func loop(t *testing.T, settle float64) (retarding, there, back []float64) {
	t.Helper()
	a := withCurrent(t, plain(), -1, 1e-9)
	a.Meter = instrument.Meter{Response: 0.5}
	a.Leads = instrument.Leads{Capacitance: 1e-10, Absorption: 0.02, AbsorptionTime: 1}
	a.Plan.Turn, a.Plan.Settle, a.Plan.Dwell = 0.2, settle, 0.2
	a.Plan.Order = instrument.ThereAndBack
	readings := acquire(t, a, 0).Curves[0].Readings
	n := len(readings) / 2
	for i := range n {
		retarding = append(retarding, readings[i].Retarding)
		there = append(there, readings[i].Current)
		back = append(back, readings[2*n-1-i].Current)
	}
	return retarding, there, back
}

// A meter that lags reads too high while the current falls and too low while it
// rises; the displacement current is below zero while the retarding voltage
// rises and above while it falls. So the loop is open one way on the flank and
// the other way where there is no photocurrent, and it closes with waiting.
func TestHysteresisOfAHurriedSweep(t *testing.T) {
	retarding, there, back := loop(t, 0.1)
	_, slowThere, slowBack := loop(t, 20)
	var flank, foot, slow float64
	for i, v := range retarding {
		gap := there[i] - back[i]
		switch {
		case v > 0.2 && v < 0.6:
			flank = max(flank, gap)
			if gap <= 0 {
				t.Errorf("on the flank at %g V %g A going up, %g going down", v, there[i], back[i])
			}
		case v > 1.2 && v < 1.9:
			foot = min(foot, gap)
			if gap >= 0 {
				t.Errorf("beyond the cutoff at %g V %g A going up, %g going down", v, there[i], back[i])
			}
		}
		slow = max(slow, math.Abs(slowThere[i]-slowBack[i]))
	}
	if slow > flank/20 || slow > -foot/20 {
		t.Errorf("the loop is %g A wide on the flank and %g beyond; after a wait of 20 s still %g", flank, foot, slow)
	}
	sameAsFile(t, "hysteresis.csv", []string{"retarding_V", "up_A", "down_A", "up_settled_A", "down_settled_A"},
		retarding, there, back, slowThere, slowBack)
}

// A burden moves each point of the curve by its own current times the
// resistance, so that the curve leans over and keeps its zero.
func TestBurdenLeansTheCurve(t *testing.T) {
	free := withCurrent(t, plain(), -1, 1e-6)
	free.Collector.StrayLight, free.Collector.Yield, free.Collector.YieldWavelength = 0.05, 0.02, 365
	loaded := free
	loaded.Meter.Burden = 2e5
	a, b := acquire(t, free, 0).Curves[0].Readings, acquire(t, loaded, 0).Curves[0].Readings
	var retarding, without, with []float64
	for i := range a {
		retarding = append(retarding, a[i].Retarding)
		without, with = append(without, a[i].Current), append(with, b[i].Current)
		// The cell passes less than at the dial's voltage when the current is
		// forward, and more of a reverse one; 1e-12 A is the shot noise.
		if a[i].Current > 0 && b[i].Current > a[i].Current+4e-12 || a[i].Current < 0 && b[i].Current < a[i].Current-4e-12 {
			t.Errorf("at %g V %g A with the burden, %g without", a[i].Retarding, b[i].Current, a[i].Current)
		}
	}
	sameAsFile(t, "burden.csv", []string{"retarding_V", "without_A", "with_200_kilohm_A"}, retarding, without, with)
}

// Random phases give hum a root mean square of its amplitude over sqrt(2), and
// the dwell leaves |sin(pi f T)/(pi f T)| of that: nothing at whole cycles.
func TestHumAgainstTheDwell(t *testing.T) {
	a := plain()
	a.Mains = instrument.Mains{Frequency: 50, Hum: 1e-12}
	var dwells, found, expected []float64
	const n = 4000
	for ms := 1; ms <= 100; ms++ {
		dwell := float64(ms) / 1000
		var square float64
		for _, x := range readings(sitting(t, a, 0, 2), n, dwell) {
			square += x * x / n
		}
		want := 1e-12 / math.Sqrt2 * math.Abs(math.Sin(math.Pi*50*dwell)/(math.Pi*50*dwell))
		// The square of a cosine of a random phase has a relative standard
		// deviation of 1/sqrt(2); five standard errors of the root.
		if got := math.Sqrt(square); math.Abs(got-want) > 5*want/math.Sqrt(8*n)+1e-18 {
			t.Errorf("seed %d: over %g s a root mean square of %g A, want %g", seed, dwell, got, want)
		}
		dwells, found, expected = append(dwells, dwell), append(found, math.Sqrt(square)), append(expected, want)
	}
	sameAsFile(t, "hum.csv", []string{"dwell_s", "rms_A", "expected_rms_A"}, dwells, found, expected)
}
