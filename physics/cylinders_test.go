package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"stopvolt/physics"
)

// cylindersByDirections is the share that crosses, by summing over azimuths and
// energies what the condition on each electron says; it shares no formula for
// the share with physics.
func cylindersByDirections(e physics.Emission, ratio, barrier float64) float64 {
	const azimuths, panels = 400, 60
	q := ratio * ratio
	top := max(e.Excess, 0) + 40*e.Thermal
	x, w := make([]float64, 8), make([]float64, 8)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	var crossed, all float64
	for i := range azimuths {
		c := math.Cos(math.Pi / 2 * (float64(i) + 0.5) / azimuths)
		// An electron crosses up to this sin^2 of its angle to the normal.
		condition := func(energy float64) float64 {
			return min(max((1-barrier/energy)/(1+(q-1)*c*c), 0), 1)
		}
		// Edges at the two corners of this azimuth.
		corner := barrier / ((1 - q) * c * c)
		edges := []float64{0}
		for _, edge := range []float64{math.Min(barrier, corner), math.Max(barrier, corner), top} {
			if edge > edges[len(edges)-1] && edge <= top {
				edges = append(edges, edge)
			}
		}
		for k := 1; k < len(edges); k++ {
			n := panels / len(edges)
			h := (edges[k] - edges[k-1]) / float64(n)
			for j := range n {
				for m := range x {
					energy := edges[k-1] + h*(float64(j)+x[m])
					weight := w[m] * h * energy / (1 + math.Exp((energy-e.Excess)/e.Thermal))
					crossed += weight * condition(energy)
					all += weight
				}
			}
		}
	}
	return crossed / all
}

func TestCylindersAgreeWithASumOverDirections(t *testing.T) {
	for _, e := range []physics.Emission{
		{Excess: 0.85, Thermal: physics.ThermalEnergy(295)},
		{Excess: 0.05, Thermal: physics.ThermalEnergy(400)},
	} {
		for _, ratio := range []float64{0.1, 0.5, 0.9, 1, 2, 5} {
			c, err := physics.Quadrature{}.Prepare(e, physics.Cylinders{RadiusRatio: ratio})
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range []float64{-1.5, -0.3, 0.01, 0.2, 0.6, 0.8, 0.95} {
				got, _ := c.Share(b)
				want := cylindersByDirections(e, ratio, b)
				if !scalar.EqualWithinAbsOrRel(got, want, 1e-11, 1e-6) {
					t.Errorf("%+v, ratio %g, B = %g eV: share %.10g, by directions %.10g", e, ratio, b, got, want)
				}
			}
		}
	}
}

// For each azimuth the cylinders are spheres with a closed form, whose mean is
// a way to the share without arctangents.
func TestCylindersAreAMeanOfSpheres(t *testing.T) {
	const azimuths = 4000
	for _, e := range []physics.Emission{
		{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}, {Excess: 0.85},
		{Excess: -0.1, Thermal: physics.ThermalEnergy(295)}, {Excess: -60, Thermal: 0.02},
	} {
		for _, ratio := range []float64{0.05, 0.5, 0.99, 1.01, 4} {
			c, err := physics.Quadrature{}.Prepare(e, physics.Cylinders{RadiusRatio: ratio})
			if err != nil {
				t.Fatal(err)
			}
			for b := -2.013; b < 1.2; b += 0.171 {
				var want float64
				for i := range azimuths {
					cosine := math.Cos(math.Pi / 2 * (float64(i) + 0.5) / azimuths)
					q := 1 + (ratio*ratio-1)*cosine*cosine
					want += physics.Spheres{RadiusRatio: math.Sqrt(q)}.Share(e, b) / azimuths
				}
				// The midpoint rule errs by about (pi/2/azimuths)^2/q at the
				// ends, and the table by 1e-9.
				if got, _ := c.Share(b); !scalar.EqualWithinAbs(got, want, 1e-6) {
					t.Errorf("%+v, ratio %g, B = %g eV: %.12g, a mean of %.12g: differ by %.1e", e, ratio, b, got, want, got-want)
				}
			}
		}
	}
}

// plain hides the closed form of a geometry, so that the integral over energies
// has to do.
type plain struct{ physics.Geometry }

// The quadrature over energies is the same code for every geometry, so that it
// can be held to the closed form of the spheres.
func TestQuadratureAgreesWithTheClosedFormOfSpheres(t *testing.T) {
	type key struct {
		e physics.Emission
		s physics.Spheres
	}
	prepared := make(map[key]physics.Collection)
	for _, row := range table(t, "../testdata/reference/collected.csv") {
		e := physics.Emission{Excess: row["Em_eV"], Thermal: physics.ThermalEnergy(row["temperature_K"])}
		s := physics.Spheres{RadiusRatio: math.Sqrt(row["q"])}
		if prepared[key{e, s}] == nil {
			c, err := physics.Quadrature{}.Prepare(e, plain{s})
			if err != nil {
				t.Fatal(err)
			}
			prepared[key{e, s}] = c
		}
		got, _ := prepared[key{e, s}].Share(row["barrier_eV"])
		if want := row["collected_fraction"]; !scalar.EqualWithinAbs(got, want, 1e-10) {
			t.Errorf("%v: share %.14g, want %.14g", row, got, want)
		}
	}
}

// cylindersShare returns the share that crosses between cylinders.
func cylindersShare(t *testing.T, e physics.Emission, ratio, barrier float64) float64 {
	t.Helper()
	c, err := physics.Quadrature{}.Prepare(e, physics.Cylinders{RadiusRatio: ratio})
	if err != nil {
		t.Fatal(err)
	}
	share, _ := c.Share(barrier)
	return share
}

func TestCylindersOfEqualRadiiAreThePlanePair(t *testing.T) {
	e := physics.Emission{Excess: 0.6, Thermal: physics.ThermalEnergy(295)}
	for _, ratio := range []float64{1 - 1e-9, 1, 1 + 1e-9} {
		for _, b := range []float64{-0.1, 0.05, 0.3, 0.59, 0.7} {
			got, want := cylindersShare(t, e, ratio, b), physics.Spheres{RadiusRatio: 1}.Share(e, b)
			if !scalar.EqualWithinAbs(got, want, 1e-8) {
				t.Errorf("ratio 1%+.0e, B = %g eV: %.10g, plane pair %.10g", ratio-1, b, got, want)
			}
		}
	}
}

// Without a field, a wire inside a cylinder is met by its share of the circle:
// the chance of reciprocity is (collector area)/(emitter area).
func TestThinWireIsMetInProportionToItsRadius(t *testing.T) {
	e := physics.Emission{Excess: 0.6, Thermal: physics.ThermalEnergy(295)}
	if got := cylindersShare(t, e, 8, 0); !scalar.EqualWithinRel(got, 1./8, 1e-9) {
		t.Errorf("a share of %g arrives without a field, want 1/8", got)
	}
}

// The share is a mean of the condition that Stop states for each electron.
func TestCollectedIsTheShareOfElectronsThatAreNotStopped(t *testing.T) {
	const n = 500
	for _, g := range []physics.Geometry{
		physics.Spheres{RadiusRatio: 0.6}, physics.Spheres{RadiusRatio: 2},
		physics.Cylinders{RadiusRatio: 0.3}, physics.Cylinders{RadiusRatio: 0.8}, physics.Cylinders{RadiusRatio: 3},
	} {
		for _, b := range []float64{-1.2, -0.4, -0.05, 0, 0.1, 0.3, 0.45} {
			const energy = 0.5
			crossed := 0
			for i := range n {
				for j := range n {
					if g.Stop(energy, (float64(i)+0.5)/n, (float64(j)+0.5)/n) >= b {
						crossed++
					}
				}
			}
			got, want := g.Collected(energy, b), float64(crossed)/n/n
			// The edge of the region passes through about n squares of n^2.
			if math.Abs(got-want) > 1./n {
				t.Errorf("%+v, %g eV: a share of %.5f, %.5f by counting", g, b, got, want)
			}
		}
	}
}

func TestCylindersLieBetweenPlaneAndSpheres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ratio := rapid.Float64Range(0.01, 1).Draw(t, "ratio")
		x := rapid.Float64Range(-1, 1).Draw(t, "x")
		spheres := physics.Spheres{RadiusRatio: ratio}.Collected(1, x)
		cylinders := physics.Cylinders{RadiusRatio: ratio}.Collected(1, x)
		plane := physics.Spheres{RadiusRatio: 1}.Collected(1, x)
		if cylinders < plane-1e-12 || cylinders > spheres+1e-12 {
			t.Fatalf("plane %g, cylinders %g, spheres %g", plane, cylinders, spheres)
		}
	})
}

func BenchmarkCylindersPrepare(b *testing.B) {
	e := physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}
	for range b.N {
		if _, err := (physics.Quadrature{}).Prepare(e, physics.Cylinders{RadiusRatio: 0.5}); err != nil {
			b.Fatal(err)
		}
	}
}
