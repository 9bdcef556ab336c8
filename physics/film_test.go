package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// laws are emissions of films and of electrons with losses, cold and warm, above the
// threshold and below.
var otherLaws = []physics.Emission{
	{Excess: 1.1, Film: physics.Film{Exponent: 0.5}},
	{Excess: 1.1, Film: physics.Film{Exponent: 1}},
	{Excess: 0.3, Film: physics.Film{Exponent: 2.5}},
	{Excess: 0.8, Loss: physics.Loss{Share: 0.4, Energy: 0.2}},
	{Excess: 1.3, Loss: physics.Loss{Share: 1, Energy: 0.005}},
	{Excess: 0.8, Thermal: physics.ThermalEnergy(295), Loss: physics.Loss{Share: 0.4, Energy: 0.2}},
	{Excess: 0.8, Thermal: physics.ThermalEnergy(295), Loss: physics.Loss{Share: 1, Energy: 0.02}},
	{Excess: -0.1, Thermal: physics.ThermalEnergy(295), Loss: physics.Loss{Share: 0.5, Energy: physics.ThermalEnergy(295)}},
	{Excess: 0.02, Thermal: physics.ThermalEnergy(295), Loss: physics.Loss{Share: 0.5, Energy: 0.6}},
	{Excess: 1.1, Film: physics.Film{Exponent: 0.5}, Loss: physics.Loss{Share: 0.6, Energy: 0.15}},
	{Excess: 1.3, Film: physics.Film{Exponent: 1.5}, Loss: physics.Loss{Share: 0.6, Energy: 0.01}},
}

// definition is n(E) of an emission in eV as its doc comment has it, the losses
// integrated by a rule that shares nothing with the series.
func definition(e physics.Emission, energy float64) float64 {
	inside := func(energy float64) float64 {
		rest := e.Excess - energy
		switch {
		case e.Film.Exponent > 0:
			return math.Pow(max(rest, 0), e.Film.Exponent)
		case e.Thermal == 0:
			if rest < 0 {
				return 0
			}
			return 1
		}
		return 1 / (1 + math.Exp(-rest/e.Thermal))
	}
	if e.Loss.Share == 0 {
		return energy * inside(energy)
	}
	// s = end - v^2 keeps the edge of a cold band from being a corner.
	end := min(40*e.Loss.Energy, max(e.Excess-energy, 0)+40*e.Thermal)
	var lost float64
	const panels = 200
	root := math.Sqrt(end)
	for i := range panels {
		low, high := root*float64(i)/panels, root*float64(i+1)/panels
		lost += quad.Fixed(func(v float64) float64 {
			s := end - v*v
			return 2 * v * inside(energy+s) * math.Exp(-s/e.Loss.Energy) / e.Loss.Energy
		}, low, high, 8, quad.Legendre{}, 0)
	}
	return energy * ((1-e.Loss.Share)*inside(energy) + e.Loss.Share*lost)
}

func TestDensityOfFilmsAndLossesIsThatOfItsDefinition(t *testing.T) {
	for _, e := range otherLaws {
		for _, energy := range []float64{1e-3, 0.01, 0.05, 0.1, 0.29, 0.31, 0.7, 0.79, 0.81, 1.0, 1.09, 1.2, 1.4} {
			want := definition(e, energy)
			if got := e.Density(energy); !scalar.EqualWithinAbsOrRel(got, want, 1e-12, 1e-9) {
				t.Errorf("%+v: n(%g eV) = %.12g, by definition %.12g", e, energy, got, want)
			}
		}
	}
}

// G is the second integral of n(E)/E, and its slope the first.
func TestBeyondIsTheIntegralOfTheDensity(t *testing.T) {
	for _, e := range otherLaws {
		top := e.Top()
		integral := func(a float64, order float64) float64 {
			var sum float64
			const panels = 2000
			// a + (top - a) (1 - v^2) crowds the panels at the edge.
			for i := range panels {
				low, high := float64(i)/panels, float64(i+1)/panels
				sum += quad.Fixed(func(v float64) float64 {
					energy := a + (top-a)*(1-v*v)
					return 2 * v * (top - a) * math.Pow(energy-a, order) * e.Density(energy) / energy
				}, low, high, 5, quad.Legendre{}, 0)
			}
			return sum
		}
		for _, a := range []float64{1e-6, 0.05, 0.2, 0.5, 0.7, 1, 1.09} {
			if a >= top {
				continue
			}
			if got, want := e.Beyond(a), integral(a, 1); !scalar.EqualWithinAbsOrRel(got, want, 1e-13, 1e-6) {
				t.Errorf("%+v: G(%g eV) = %.12g, by its density %.12g", e, a, got, want)
			}
			if got, want := e.BeyondSlope(a), -integral(a, 0); !scalar.EqualWithinAbsOrRel(got, want, 1e-13, 1e-5) {
				t.Errorf("%+v: slope at %g eV %.12g, by its density %.12g", e, a, got, want)
			}
		}
		if got, want := e.Total(), e.Beyond(0); got != want {
			t.Errorf("%+v: total %g, G(0) = %g", e, got, want)
		}
	}
}

// The end of a curve is what methods extrapolate: near the edge the current of a
// plane pair goes as the power m + 2, and with losses it still does.
func TestFilmEndsAsItsPower(t *testing.T) {
	for _, m := range []float64{0.5, 1, 1.5, 2, 2.5} {
		for _, loss := range []physics.Loss{{}, {Share: 0.7, Energy: 0.3}} {
			e := physics.Emission{Excess: 1, Film: physics.Film{Exponent: m}, Loss: loss}
			share := func(below float64) float64 { return physics.Spheres{RadiusRatio: 1}.Share(e, 1-below) }
			const near = 1e-5
			got := math.Log(share(2*near)/share(near)) / math.Ln2
			if math.Abs(got-(m+2)) > 1e-4 {
				t.Errorf("m = %g, losses %v: the current ends as the power %.6f", m, loss, got)
			}
		}
	}
}

// Kane (Phys. Rev. 127, 131 (1962), abstract) has a yield of power 5/2 for indirect
// excitation from a band of free holes, whose states go as the root of the depth;
// Ballantyne (Phys. Rev. B 6, 1436 (1972), abstract) a cube law.
func TestYieldOfAFilmHasThePublishedPowers(t *testing.T) {
	for _, test := range []struct{ m, power float64 }{{0.5, 2.5}, {1, 3}} {
		yield := func(excess float64) float64 {
			return physics.Emission{Excess: excess, Film: physics.Film{Exponent: test.m}}.Total()
		}
		if got := math.Log2(yield(0.4) / yield(0.2)); !scalar.EqualWithinAbs(got, test.power, 1e-12) {
			t.Errorf("m = %g: the yield goes as the power %.12f, want %g", test.m, got, test.power)
		}
		if got := yield(-0.01); got != 0 {
			t.Errorf("m = %g: a yield of %g below the threshold", test.m, got)
		}
	}
}

// The spectra of a cathode of potassium, caesium and antimony have one peak between
// photon energies of 2.1 and 3.1 eV, whose energy rises with the photon's (abstract
// of "The energy distribution of photoelectrons from the K2CsSb photocathode", Phys.
// Status Solidi). By the law it stands at Em/(1 + m).
func TestFilmHasOnePeakThatMovesWithThePhoton(t *testing.T) {
	for _, m := range []float64{0.5, 1, 2} {
		for _, excess := range []float64{0.2, 0.5, 1.1} {
			e := physics.Emission{Excess: excess, Film: physics.Film{Exponent: m}}
			peak := excess / (1 + m)
			for _, off := range []float64{-0.01, 0.01} {
				if !(e.Density(peak*(1+off)) < e.Density(peak)) {
					t.Errorf("m = %g, Em = %g eV: no peak at %g eV", m, excess, peak)
				}
			}
		}
	}
}

// As m goes to zero the film becomes the cold metal.
func TestFilmOfSmallPowerIsTheColdMetal(t *testing.T) {
	metal := physics.Emission{Excess: 0.9}
	film := physics.Emission{Excess: 0.9, Film: physics.Film{Exponent: 1e-9}}
	for _, b := range []float64{-0.2, 0.1, 0.5, 0.85} {
		for _, ratio := range []float64{0, 0.3, 1, 2} {
			s := physics.Spheres{RadiusRatio: ratio}
			if got, want := s.Share(film, b), s.Share(metal, b); !scalar.EqualWithinAbs(got, want, 1e-8) {
				t.Errorf("ratio %g, B = %g eV: %.10g of a film, %.10g of a metal", ratio, b, got, want)
			}
		}
	}
}

// Inside, before the escape, the mean energy falls by Share times Energy. G at a far
// below zero is the mean of E - a over the electrons inside, also those that do not
// get out.
func TestMeanLossIsTheStatedOne(t *testing.T) {
	for _, thermal := range []float64{0, physics.ThermalEnergy(295)} {
		for _, film := range []physics.Film{{}, {Exponent: 0.5}, {Exponent: 1}} {
			if film != (physics.Film{}) && thermal > 0 {
				continue
			}
			e := physics.Emission{Excess: 0.8, Thermal: thermal, Film: film}
			lossy := e
			lossy.Loss = physics.Loss{Share: 0.3, Energy: 0.15}
			// Far above the edge to lose is to come that much closer to it; of G's
			// bend half of the mean square is left, which is twice Energy^2.
			const far = -60
			shift := (e.Beyond(far) - lossy.Beyond(far)) / -e.BeyondSlope(far)
			bend := (film.Exponent + 1) / (0.8 - far)
			if want := 0.3 * (0.15 - 0.15*0.15*bend); !scalar.EqualWithinRel(shift, want, 1e-4) {
				t.Errorf("kT = %g, %v: electrons lose %.8g eV on the average, want %.8g", thermal, film, shift, want)
			}
		}
	}
}

func TestWithoutLossesNothingChanges(t *testing.T) {
	for _, e := range []physics.Emission{{Excess: 0.8}, {Excess: 0.8, Thermal: 0.0254}, {Excess: 0.8, Film: physics.Film{Exponent: 1}}} {
		none, least := e, e
		none.Loss = physics.Loss{Energy: 0.2}
		least.Loss = physics.Loss{Share: 1, Energy: 1e-9}
		for _, a := range []float64{0, 0.3, 0.79, 0.9} {
			if got, want := none.Beyond(a), e.Beyond(a); got != want {
				t.Errorf("%+v: a share of zero changes G(%g) from %g to %g", e, a, want, got)
			}
			if got, want := least.Beyond(a), e.Beyond(a); !scalar.EqualWithinAbsOrRel(got, want, 1e-9, 1e-6) {
				t.Errorf("%+v: losses of a billionth of an eV change G(%g) from %g to %g", e, a, want, got)
			}
		}
	}
}

// The closed form of the spheres and the integral over the energies share only the
// density.
func TestSharesOfFilmsAndLossesAreIntegralsOverTheEnergies(t *testing.T) {
	for _, e := range otherLaws {
		for _, ratio := range []float64{0.3, 1, 2.5} {
			s := physics.Spheres{RadiusRatio: ratio}
			// A wire is no wire without its ends: the same orbits by quadrature.
			exact, err := physics.Quadrature{}.Prepare(e, onlyCollected{s})
			if err != nil {
				t.Fatal(err)
			}
			for b := -1.5; b < 1.5; b += 0.083 {
				want, _ := exact.Share(b)
				if got := s.Share(e, b); !scalar.EqualWithinAbs(got, want, 3e-9) {
					t.Errorf("%+v, ratio %g, B = %.3f eV: %.11g, by energies %.11g", e, ratio, b, got, want)
				}
			}
		}
	}
}

// onlyCollected hides the closed form of a geometry.
type onlyCollected struct{ physics.Geometry }

func TestOtherLawsStayFinite(t *testing.T) {
	for _, e := range []physics.Emission{
		{Excess: -3, Film: physics.Film{Exponent: 1}},
		{Excess: -3, Film: physics.Film{Exponent: 1}, Loss: physics.Loss{Share: 1, Energy: 0.1}},
		{Excess: -30, Thermal: 0.0254, Loss: physics.Loss{Share: 1, Energy: 0.1}},
		{Excess: -12, Thermal: 0.0254, Loss: physics.Loss{Share: 0.5, Energy: 0.1}},
		{Excess: 0, Thermal: 1e-300, Loss: physics.Loss{Share: 0.5, Energy: 0.1}},
		{Excess: 1, Thermal: 1e-300, Loss: physics.Loss{Share: 1, Energy: 1e-300}},
		{Excess: 1, Thermal: 100, Loss: physics.Loss{Share: 1, Energy: 1e-3}},
		{Excess: 1, Thermal: 1e-3, Loss: physics.Loss{Share: 1, Energy: 100}},
	} {
		for _, g := range []physics.Geometry{physics.Spheres{}, physics.Spheres{RadiusRatio: 1}, physics.Spheres{RadiusRatio: 3}, physics.Cylinders{RadiusRatio: 0.4}} {
			c, err := physics.Quadrature{}.Prepare(e, g)
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range []float64{-2, 0, 0.3, 1, 4} {
				if got, _ := c.Share(b); !(got >= 0 && got <= 1) {
					t.Errorf("%+v, %v: share %g at %g eV", e, g, got, b)
				}
			}
		}
	}
}
