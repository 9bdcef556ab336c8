package practice_test

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
)

// everyMethod are the names of all methods.
func everyMethod() []string {
	var names []string
	for _, m := range analysis.Methods() {
		names = append(names, m.Name())
	}
	return names
}

// Whoever reads by any method, by hand or by computer, and states the uncertainty
// that the own work gives reason for, gets all points for it, however far the method
// is from the truth. Stating more never gains.
func TestHonestUncertaintiesGetAllPointsWhateverTheMethod(t *testing.T) {
	tried, far := 0, 0
	sheets := make(map[string]int)
	for _, level := range []string{"clean", "ordinary", "awkward"} {
		for _, blind := range []bool{false, true} {
			r := recipe(t, level)
			r.Blind = blind
			c := newClassroom(t, r, 4)
			for _, method := range everyMethod() {
				for i := range c.records {
					a := c.reads(i, method)
					if !a.Slope.Given() {
						continue
					}
					sheets[method]++
					for _, stated := range a.Statements() {
						name, u := stated.By, stated.U
						before := math.Inf(1)
						for _, factor := range []float64{1, 1.3, 2, 3, 5, 10, 100} {
							a.U = practicetest.To(factor*u, 2)
							m := c.mark(i, a.Answer)
							got := points(m, practice.Uncertainty)
							if factor == 1 && got != 2 {
								low, high, _ := m.Bounds()
								t.Errorf("%s, blind %v, %s, student %d: %g points for the uncertainty by the %s, %.2g V s between %.2g and %.2g", level, blind, method, i, got, name, u, low, high)
							}
							if got > before {
								t.Errorf("%s, blind %v, %s, student %d: the uncertainty by the %s earns %g, and %g times that earns %g", level, blind, method, i, name, before, factor, got)
							}
							before = got
							if _, inU := m.Deviation(); factor == 1 {
								if tried++; math.Abs(inU) > 2 {
									far++
								}
							}
						}
					}
				}
			}
		}
	}
	t.Logf("of %d honest uncertainties %d do not hold the truth within two of them", tried, far)
	everyMethodWasTried(t, sheets)
	if tried < 500 || far < 50 {
		t.Errorf("only %d honest uncertainties were tried, and %d of them miss the truth", tried, far)
	}
}

// The bounds are half the least and three times the greatest of the scatter about the
// line and of what the points' uncertainties give, whichever fit the slope is from;
// beyond them there is half up to a further factor of two, and then nothing.
func TestBoundsOfAnUncertainty(t *testing.T) {
	const inside, outside = 0.94, 1.06 // what is written to two digits may be 5 % off
	tried := 0
	for _, level := range []string{"clean", "awkward"} {
		c := newClassroom(t, recipe(t, level), 4)
		for _, method := range everyMethod() {
			for i := range c.records {
				honest := c.reads(i, method)
				for _, fit := range analysis.LineFits() {
					a := honest
					l, err := fit.Fit(a.Points())
					if err != nil || !a.Slope.Given() {
						continue
					}
					a.Slope, a.Intercept = practicetest.To(l.Slope, 3), practicetest.Volt(l.Intercept)
					a.HOverE = a.Slope
					low, high := math.Inf(1), 0.0
					for _, said := range a.Statements() {
						if said.By != "answer" {
							low, high = min(low, said.U/2), max(high, 3*said.U)
						}
					}
					earned := func(u float64) float64 {
						a.U = practicetest.To(u, 4)
						return points(c.mark(i, a.Answer), practice.Uncertainty)
					}
					if p, q := earned(low/inside), earned(high*inside); p != 2 || q != 2 {
						t.Errorf("%s, student %d, %s, %s: %g points at the lower bound of %.2g V s and %g at the upper of %.2g V s", level, i, method, fit.Name(), p, low, q, high)
					}
					tried++
					// The program may have a wider one, by its bias or by what it states itself.
					least, most, _ := c.mark(i, a.Answer).Bounds()
					for factor, want := range map[float64]float64{outside: 1, 2 * inside: 1, 2 * outside: 0, 10: 0} {
						if p, q := earned(least/factor), earned(most*factor); p != want || q != want {
							t.Errorf("%s, student %d, %s, %s: %g points %g times below the bounds, and %g above; want %g", level, i, method, fit.Name(), p, factor, q, want)
						}
					}
				}
			}
		}
	}
	if tried < 150 {
		t.Errorf("only %d lines were tried", tried)
	}
}

// Half of the value is no uncertainty that anybody's work gives reason for.
func TestHalfOfTheValueEarnsNothing(t *testing.T) {
	tried := 0
	c := newClassroom(t, recipe(t, "ordinary"), 4)
	for _, method := range []string{"tangent", "square-root", "null-reading", "fowler-fit"} {
		for i := range c.records {
			a := c.reads(i, method)
			a.U = practicetest.To(a.HOverE.Value/2, 2)
			m := c.mark(i, a.Answer)
			if _, high, _ := m.Bounds(); 2*high > a.U.Value {
				// One bad point scatters as much.
				continue
			}
			tried++
			if points(m, practice.Uncertainty) != 0 || m.Uncertainty() != practice.TooLarge {
				t.Errorf("%s, student %d: %g points, %s", method, i, points(m, practice.Uncertainty), m.Uncertainty())
			}
		}
	}
	if tried < 12 {
		t.Errorf("only %d sheets could be tried", tried)
	}
}

// With the truth elsewhere the same work earns the same for its uncertainty.
func TestTheTruthDoesNotMarkTheUncertainty(t *testing.T) {
	r := recipe(t, "ordinary")
	c := newClassroom(t, r, 3)
	for i := range c.records {
		for _, factor := range []float64{0.1, 0.3, 1, 2, 20} {
			a := c.reads(i, "zero-crossing")
			a.U = practicetest.To(factor*practicetest.ByStep(a.Points()), 2)
			before := c.mark(i, a.Answer)
			low, high, _ := before.Bounds()
			elsewhere := *c
			elsewhere.records = slices.Clone(c.records)
			x := before.References[before.Named]
			// To where the method is right.
			elsewhere.records[i].Truth.HOverE = x.HOverE
			after := elsewhere.mark(i, a.Answer)
			if bias := math.Abs(x.HOverE - before.Truth.HOverE); bias > high/1.1 {
				continue
			}
			if p, q := points(before, practice.Uncertainty), points(after, practice.Uncertainty); p != q {
				t.Errorf("student %d, u = %.2g V s (%.2g to %.2g): %g points, and %g with another truth", i, a.U.Value, low, high, p, q)
			}
		}
	}
}

// Of two points nobody knows a scatter.
func TestTwoPointsHaveTheUncertaintyOfTheirReadings(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 3)
	for i := range c.records {
		a := c.reads(i, "tangent")
		for k := range a.Stopping {
			if k != 0 && k != 3 {
				a.Stopping[k] = practicetest.Nothing
			}
		}
		p := a.Points()
		slope := (p[1].Stopping - p[0].Stopping) / (p[1].Frequency - p[0].Frequency)
		a.Slope, a.Intercept = practicetest.To(slope, 3), practicetest.Volt(p[0].Stopping-slope*p[0].Frequency)
		a.Result()
		for factor, want := range map[float64]float64{1: 2, 1. / 300: 0, 100: 0} {
			a.U = practicetest.To(factor*practicetest.ByStep(p), 2)
			m := c.mark(i, a.Answer)
			if got := points(m, practice.Uncertainty); got != want {
				low, high, _ := m.Bounds()
				t.Errorf("student %d: %g times the uncertainty of two readings earns %g, want %g (%.2g, %.2g to %.2g)", i, factor, got, want, a.U.Value, low, high)
			}
			if got := points(m, practice.LineGroup); got != 2 {
				t.Errorf("student %d: %g points for the line through two points", i, got)
			}
		}
	}
}

// An expanded uncertainty that says so is as good as a standard one.
func TestAnExpandedUncertaintyIsTakenAsWhatItSays(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 3)
	for i := range c.records {
		a := c.reads(i, "tangent")
		_, high, _ := c.mark(i, a.Answer).Bounds()
		a.U = practicetest.To(2.5*high, 2)
		plain := points(c.mark(i, a.Answer), practice.Uncertainty)
		a.CoverageFactor = practice.Quantity{Value: 3, Half: 0.5}
		labelled := points(c.mark(i, a.Answer), practice.Uncertainty)
		if plain != 0 || labelled != 2 {
			t.Errorf("student %d: %g points, and %g with a coverage factor of 3", i, plain, labelled)
		}
	}
}

// What no method has a cutoff for is compared with the curve itself.
func TestVoltagesWithoutAReferenceAreComparedWithTheCurve(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 2)
	// Curves that end before they come down leave no method a cutoff.
	for i := range c.records {
		r := &c.records[i]
		r.Run.Curves = slices.Clone(r.Run.Curves)
		for k := range r.Run.Curves {
			curve := &r.Run.Curves[k]
			if !curve.Dark {
				curve.Readings = curve.Readings[:2]
			}
		}
	}
	c.seal(t)
	for i := range c.records {
		a := c.reads(i, "tangent")
		for k := range a.Stopping {
			a.Stopping[k] = practicetest.Volt(c.records[i].Run.Curves[1].Readings[0].Retarding)
			a.LeftOut[k] = false
		}
		m := c.mark(i, a.Answer)
		if got := points(m, practice.Voltages); got != 0 {
			t.Errorf("student %d: %g points for voltages at the top of the curve", i, got)
		}
	}
}

// A flicker of the lamp long after the current has ended is nobody's cutoff: no method's
// reference lies there, and whoever reads the knee gets the point for it.
func TestNoReferenceIsALateFlicker(t *testing.T) {
	const last, flicker = 4, 2e-11
	c := newClassroom(t, recipe(t, "ordinary"), 4)
	before := slices.Clone(c.desks)
	for i := range c.records {
		r := &c.records[i]
		r.Run.Curves = slices.Clone(r.Run.Curves)
		curve := &r.Run.Curves[1+last]
		curve.Readings = slices.Clone(curve.Readings)
		for k := range curve.Readings {
			if math.Abs(curve.Readings[k].Retarding-1.3) < 0.03 {
				curve.Readings[k].Current += flicker
			}
		}
	}
	c.seal(t)
	for i, blank := range c.blank {
		truth := blank.Truth.Settings[last].Stopping
		for _, x := range blank.References {
			if x.Stopping[last] > truth+0.5 {
				t.Errorf("student %d, %s: the reference is %.3f V for a truth of %.3f V", i, x.Method, x.Stopping[last], truth)
			}
		}
		for _, method := range []string{"null-reading", "zero-crossing", "fixed-current", "square-root"} {
			a := before[i].Reads(method, false)
			if got := points(c.mark(i, a.Answer), practice.Voltages); a.Slope.Given() && got != 4 {
				t.Errorf("student %d, %s: %g points for the voltages of the knees", i, method, got)
			}
		}
	}
}

// mark marks one answer to the sheet of index i.
func (c *classroom) mark(i int, a practice.Answer) practice.Mark {
	return practice.MarkOne(c.public, c.records[i], a, c.blank[i].References)
}

// seal writes the records into a new key.
func (c *classroom) seal(t testing.TB) {
	t.Helper()
	var file bytes.Buffer
	k, err := practice.NewKeyWriter(&file, cheap, c.public, secret)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range c.records {
		if err := k.Write(x); err != nil {
			t.Fatal(err)
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	c.key = file.Bytes()
	c.blank = c.marks(t, nil)
	c.desks = nil
	for _, r := range c.records {
		c.desks = append(c.desks, practicetest.Sit(r.Handout(c.public)))
	}
}
