package analysis

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/physics"
)

// norris reads the data of testdata/nist, whose README says where it is from.
func norris(t *testing.T) []Point {
	t.Helper()
	f, err := os.Open("../testdata/nist/Norris.dat")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var points []Point
	scanner := bufio.NewScanner(f)
	for line := 1; scanner.Scan(); line++ {
		fields := strings.Fields(scanner.Text())
		if line < 61 || len(fields) != 2 {
			continue
		}
		y, err1 := strconv.ParseFloat(fields[0], 64)
		x, err2 := strconv.ParseFloat(fields[1], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("line %d: %q", line, fields)
		}
		points = append(points, Point{Frequency: x, Stopping: y, UStopping: 3})
	}
	if len(points) != 36 {
		t.Fatalf("%d observations, want 36", len(points))
	}
	return points
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, relative)
	}
}

// TestLinesReproduceNorris holds the fits to the certified values of the
// Statistical Reference Dataset Norris of the National Institute of Standards
// and Technology. With equal weights the weighted fit is the same line.
func TestLinesReproduceNorris(t *testing.T) {
	points := norris(t)
	for _, fit := range []LineFit{Ordinary{}, Weighted{}} {
		l, err := fit.Fit(points)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fit.Name()+" slope", l.Slope, 1.00211681802045, 1e-10)
		near(t, fit.Name()+" intercept", l.Intercept, -0.262323073774029, 1e-10)
		near(t, fit.Name()+" standard deviation of slope", l.USlope, 0.429796848199937e-3, 1e-10)
		near(t, fit.Name()+" standard deviation of intercept", l.UIntercept, 0.232818234301152, 1e-10)
		if l.DegreesOfFreedom != 34 {
			t.Errorf("degrees of freedom %d", l.DegreesOfFreedom)
		}
	}
	l, _ := Weighted{}.Fit(points)
	near(t, "chi-square", l.ChiSquare, 26.6173985294224/9, 1e-10)
}

// lithium is the worked example after Millikan in D. Halliday, R. Resnick and
// J. Walker, Fundamentals of Physics, 10th ed., chapter 38, problem 85. Its
// contact potential was corrected for, so the constant is not a collector's.
func lithium() []Point {
	return PublishedLines()[0].Points()
}

// The numbers that are drawn beside a class's own are those of the source.
func TestPublishedLinesAreThoseOfTheirSources(t *testing.T) {
	want := [][2]float64{{433.9, 0.55}, {404.7, 0.73}, {365.0, 1.09}, {312.5, 1.67}, {253.5, 2.57}}
	p := PublishedLines()[0]
	for i, r := range want {
		if p.Wavelengths[i] != r[0] || p.Stopping[i] != r[1] {
			t.Errorf("%s: point %d is %g nm, %g V, not %v", p.Name, i+1, p.Wavelengths[i], p.Stopping[i], r)
		}
	}
	for _, p := range PublishedLines() {
		if len(p.Wavelengths) != len(p.Stopping) || p.Source == "" || p.Note == "" {
			t.Errorf("%s is not whole", p.Name)
		}
	}
}

func TestLithiumAfterMillikan(t *testing.T) {
	l, err := Ordinary{}.Fit(lithium())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "h/e", l.Slope, 4.1e-15, 0.01)
	near(t, "constant", -l.Intercept, 2.3, 0.02)
	// Millikan's own h, 6.57e-27 erg s (Phys. Rev. 7, 355 (1916)), is h/e times
	// his own e, 4.774e-10 electrostatic units (Phys. Rev. 2, 109 (1913); both
	// from memory), which was 0.6 % below today's.
	const millikansCharge = 4.774e-10 / 2.99792458e9
	near(t, "h with Millikan's e", l.Slope*millikansCharge, 6.57e-34, 0.005)
	near(t, "h with today's e", l.Slope*physics.ElementaryCharge, 6.57e-34, 0.01)
	// The intercept's variance follows from the covariance of slope and height
	// at the mean frequency being zero.
	var mean float64
	for _, p := range lithium() {
		mean += p.Frequency / 5
	}
	near(t, "covariance", l.Covariance, -mean*l.USlope*l.USlope, 1e-9)
	low, high := l.Interval(0.95)
	// Student's t for three degrees of freedom, 97.5 %: 3.182 (JCGM 100:2008,
	// table G.2, gives 3.18).
	near(t, "half width", (high-low)/2/l.USlope, 3.182, 0.0005)
}

func TestLineSaysWhatIsMissing(t *testing.T) {
	good := lithium()
	same := []Point{good[0], good[0], good[0]}
	broken := lithium()
	broken[1].Stopping = math.NaN()
	for _, c := range []struct {
		name   string
		fit    LineFit
		points []Point
		says   string
	}{
		{"two points", Ordinary{}, good[:2], "needs 3 or more"},
		{"one frequency", Ordinary{}, same, "one frequency"},
		{"not finite", Ordinary{}, broken, "must be finite"},
		{"no uncertainty", Weighted{}, good, "no uncertainty"},
	} {
		_, err := c.fit.Fit(c.points)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// TestYorkReproducesPearsonsData: the data of K. Pearson, Phil. Mag. 2, 559
// (1901), with the weights of D. York, Can. J. Phys. 44, 1079 (1966); the line
// and its sums from D. York et al., Am. J. Phys. 72, 367 (2004), table II.
func TestYorkReproducesPearsonsData(t *testing.T) {
	x := []float64{0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4}
	y := []float64{5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5}
	wx := []float64{1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1}
	wy := []float64{1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500}
	var points []Point
	for i := range x {
		points = append(points, Point{
			Frequency: x[i], UFrequency: 1 / math.Sqrt(wx[i]),
			Stopping: y[i], UStopping: 1 / math.Sqrt(wy[i]),
		})
	}
	l, err := York{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", l.Slope, -0.480533407, 1e-8)
	near(t, "intercept", l.Intercept, 5.47991022, 1e-8)
	// The article states the uncertainties without the spread of the residuals;
	// these and the sum are from memory.
	spread := math.Sqrt(l.ChiSquare / 8)
	near(t, "sum of squares", l.ChiSquare, 11.8663531941, 1e-8)
	near(t, "uncertainty of slope", l.USlope/spread, 0.0579850090, 1e-4)
	near(t, "uncertainty of intercept", l.UIntercept/spread, 0.2949707, 1e-4)
}

func TestYorkWithoutErrorsOfFrequencyIsTheWeightedLine(t *testing.T) {
	points := lithium()
	for i := range points {
		points[i].UStopping = 0.01 * float64(i+1)
	}
	a, err := York{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Weighted{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", a.Slope, b.Slope, 1e-12)
	near(t, "intercept", a.Intercept, b.Intercept, 1e-12)
	near(t, "uncertainty of slope", a.USlope, b.USlope, 1e-12)
	near(t, "uncertainty of intercept", a.UIntercept, b.UIntercept, 1e-12)
	near(t, "covariance", a.Covariance, b.Covariance, 1e-12)
}

func TestTheilSenBearsOneBadSetting(t *testing.T) {
	points := lithium()
	good, _ := Ordinary{}.Fit(points)
	points[4].Stopping -= 0.6
	bad, _ := Ordinary{}.Fit(points)
	robust, err := TheilSen{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	if off, ordinary := math.Abs(robust.Slope-good.Slope), math.Abs(bad.Slope-good.Slope); off > ordinary/3 {
		t.Errorf("the robust slope is off by %g V s, the ordinary one by %g V s", off, ordinary)
	}
}

// TestTheilSenStatesItsScatter: over many samples of normal errors the mean
// stated uncertainty is near the scatter of the slope. With five points there
// are only ten slopes to read it from, so near means a quarter.
func TestTheilSenStatesItsScatter(t *testing.T) {
	const samples, seed = 2000, 4
	noise := distuv.Normal{Sigma: 0.02, Src: source(seed)}
	var sum, square, stated float64
	for range samples {
		var points []Point
		for _, nm := range mercury {
			f := physics.Frequency(nm)
			points = append(points, Point{Frequency: f, Stopping: 4.1e-15*f - 2 + noise.Rand()})
		}
		l, err := TheilSen{}.Fit(points)
		if err != nil {
			t.Fatal(err)
		}
		sum += l.Slope
		square += l.Slope * l.Slope
		stated += l.USlope
	}
	mean := sum / samples
	scatter := math.Sqrt(square/samples - mean*mean)
	near(t, "mean slope", mean, 4.1e-15, 4*scatter/mean/math.Sqrt(samples))
	near(t, "mean stated uncertainty", stated/samples, scatter, 0.25)
}

// Three points whose weighted line is known by hand: x = 0, 1, 2 PHz, u = 0.1 V,
// so that sum of w (x - mean)^2 = 2/0.01 and the slope's u = 0.1/sqrt(2) V/PHz.
func TestStatedUncertaintyKnowsNoScatter(t *testing.T) {
	for _, bend := range []float64{1e-6, 1} {
		points := []Point{
			{Frequency: 0, Stopping: 0, UStopping: 0.1},
			{Frequency: 1e15, Stopping: 4 + bend, UStopping: 0.1},
			{Frequency: 2e15, Stopping: 8, UStopping: 0.1},
		}
		l, err := Weighted{}.Fit(points)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := l.StatedU(), 0.1/math.Sqrt2*1e-15; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("bent by %g V, the slope has a stated uncertainty of %g V s, want %g", bend, got, want)
		}
	}
}
