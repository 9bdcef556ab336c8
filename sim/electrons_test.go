package sim_test

import (
	"encoding/csv"
	"math"
	"os"
	"runtime"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/physics"
	"stopvolt/sim"
)

// seed is that of every statistical test here; a failure is repeated by it.
const seed = 20261125

// reference reads the table of shares computed by quadrature; see its README.
func reference(t *testing.T) (emissions []physics.Emission, geometries []physics.Spheres, barriers, shares []float64) {
	t.Helper()
	f, err := os.Open("../testdata/reference/collected.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		var x [5]float64
		for i := range x {
			if x[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		emissions = append(emissions, physics.Emission{Excess: x[1], Thermal: physics.ThermalEnergy(x[2])})
		geometries = append(geometries, physics.Spheres{RadiusRatio: math.Sqrt(x[3])})
		barriers, shares = append(barriers, x[0]), append(shares, x[4])
	}
	if len(shares) == 0 {
		t.Fatal("the table is empty")
	}
	return emissions, geometries, barriers, shares
}

// Five standard errors of a normal count are a two-sided false-alarm rate of
// 5.7e-7; each row is tested at that rate by the exact binomial tail, which
// over some 250 rows gives one false alarm in 7000 seeds.
func TestElectronsAgreeWithQuadrature(t *testing.T) {
	const number = 1 << 22
	const falseAlarm = 5.7e-7
	type key struct {
		e physics.Emission
		g physics.Spheres
	}
	prepared := make(map[key]physics.Collection)
	emissions, geometries, barriers, shares := reference(t)
	tested := 0
	for i, want := range shares {
		if want <= 1e-6 {
			continue
		}
		tested++
		k := key{emissions[i], geometries[i]}
		if prepared[k] == nil {
			var err error
			if prepared[k], err = (sim.Electrons{Seed: seed, Number: number}).Prepare(k.e, k.g); err != nil {
				t.Fatal(err)
			}
		}
		got, _ := prepared[k].Share(barriers[i])
		count := distuv.Binomial{N: number, P: min(want, 1)}
		low, high := math.Floor(got*number+1e-6), math.Ceil(got*number-1e-6)
		if want >= 1 {
			if got != 1 {
				t.Errorf("seed %d: %v %v: share %g of a saturated current", seed, k, barriers[i], got)
			}
			continue
		}
		if count.CDF(high) < falseAlarm/2 || 1-count.CDF(low-1) < falseAlarm/2 {
			t.Errorf("seed %d: %v at %g eV: a share of %g of %d electrons, want %g", seed, k, barriers[i], got, number, want)
		}
	}
	t.Logf("%d rows tested", tested)
}

func TestElectronsDoNotDependOnTheNumberOfCores(t *testing.T) {
	e := physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}
	g := physics.Spheres{RadiusRatio: 0.5}
	want, err := (sim.Electrons{Seed: seed, Number: 300000}).Prepare(e, g)
	if err != nil {
		t.Fatal(err)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	got, err := (sim.Electrons{Seed: seed, Number: 300000}).Prepare(e, g)
	if err != nil {
		t.Fatal(err)
	}
	for b := -0.1; b < 1; b += 0.013 {
		w, _ := want.Share(b)
		if s, _ := got.Share(b); s != w {
			t.Errorf("at %g eV a share of %g on one core, %g on all", b, s, w)
		}
	}
}

func TestElectronsOfExtremeEmitters(t *testing.T) {
	for _, e := range []physics.Emission{
		{Excess: 0.8}, {}, {Excess: -0.1}, {Excess: 0.8, Thermal: 1e-300}, {Excess: -0.8, Thermal: 1e-300},
		{Excess: -3, Thermal: 0.001}, {Excess: 1e-12, Thermal: 0.025},
	} {
		for _, ratio := range []float64{0, 0.5, 1, 3, math.Inf(1)} {
			g := physics.Spheres{RadiusRatio: ratio}
			c, err := (sim.Electrons{Seed: seed, Number: 20000}).Prepare(e, g)
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range []float64{-10, -0.5, 0, 0.3, 0.79, 0.9, 5} {
				got, u := c.Share(b)
				want := g.Share(e, b)
				if math.IsNaN(got) || math.IsNaN(u) {
					t.Fatalf("%+v, ratio %g, %g eV: share %g +- %g", e, ratio, b, got, u)
				}
				// An emission with no electrons has no share to compare.
				if e.Total() > 0 && math.Abs(got-want) > 6*math.Sqrt(max(want*(1-want), 1./20000)/20000) {
					t.Errorf("seed %d: %+v, ratio %g, %g eV: share %g, want %g", seed, e, ratio, b, got, want)
				}
			}
		}
	}
}
