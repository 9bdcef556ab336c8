package analysis

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument/run"
)

// A Spread is what a quantity did in a bootstrap.
type Spread struct {
	// N is the number of draws that gave a value.
	N int
	// Mean and Deviation are the mean and the standard deviation of the values;
	// NaN for fewer than two.
	Mean, Deviation float64
}

// A Bootstrapped is what a bootstrap made of a run.
type Bootstrapped struct {
	// Cutoffs are the stopping voltages in V, by setting and method.
	Cutoffs [][]Spread
	// Slopes and WorkFunctions are h/e in V s and the collector's work function
	// in eV, in the order of an Extraction's Lines.
	Slopes, WorkFunctions []Spread
}

// Bootstrap repeats the extraction of a run n times with each reading drawn from
// a normal distribution about its value with its uncertainty, stated or
// estimated, and returns how the results scatter: the propagation of
// distributions of JCGM 101:2008, clause 7, which is a parametric bootstrap. It
// sees what the delta method does not: which readings a method chooses. What
// x.Extract returned before is no longer good.
func (x *Extractor) Bootstrap(r run.Run, n int, src rand.Source) Bootstrapped {
	first := x.Extract(r)
	cutoffs := make([][]sums, len(first.Settings))
	centres, draws := make([]run.Curve, len(r.Curves)), make([]run.Curve, len(r.Curves))
	for i, s := range first.Settings {
		cutoffs[i] = make([]sums, len(x.Methods))
		centres[i] = centre(r.Curves[i], s.Prepared)
		draws[i] = centres[i]
		draws[i].Readings = slices.Clone(centres[i].Readings)
	}
	slopes, constants := make([]sums, len(first.Lines)), make([]sums, len(first.Lines))
	noise := distuv.Normal{Sigma: 1, Src: src}
	for range n {
		for i := range draws {
			for k, c := range centres[i].Readings {
				c.Current += c.Uncertainty * noise.Rand()
				draws[i].Readings[k] = c
			}
		}
		e := x.Extract(run.Run{Curves: draws, Facts: r.Facts})
		for i, s := range e.Settings {
			for m, c := range s.Cutoffs {
				if c.Status == OK {
					cutoffs[i][m].add(c.Stopping)
				}
			}
		}
		for i, l := range e.Lines {
			if l.Status == OK {
				slopes[i].add(l.Line.Slope)
				constants[i].add(-l.Line.Intercept)
			}
		}
	}
	out := Bootstrapped{Slopes: spreads(slopes), WorkFunctions: spreads(constants)}
	for _, c := range cutoffs {
		out.Cutoffs = append(out.Cutoffs, spreads(c))
	}
	return out
}

// centre returns a curve with the merged readings of p and their uncertainties,
// or without readings if p is nil.
func centre(c run.Curve, p *Prepared) run.Curve {
	c.Readings = nil
	if p == nil {
		return c
	}
	for k := range p.V {
		c.Readings = append(c.Readings, run.Reading{Retarding: p.V[k], Current: p.I[k], Uncertainty: p.U[k]})
	}
	return c
}

// sums are those of a quantity, from its first value.
type sums struct {
	n             int
	first, s1, s2 float64
}

func (s *sums) add(x float64) {
	if s.n == 0 {
		s.first = x
	}
	s.n++
	s.s1 += x - s.first
	s.s2 += (x - s.first) * (x - s.first)
}

func spreads(all []sums) []Spread {
	out := make([]Spread, len(all))
	for i, s := range all {
		out[i] = Spread{N: s.n, Mean: math.NaN(), Deviation: math.NaN()}
		if s.n < 2 {
			continue
		}
		n := float64(s.n)
		out[i].Mean = s.first + s.s1/n
		out[i].Deviation = math.Sqrt(max(s.s2-s.s1*s.s1/n, 0) / (n - 1))
	}
	return out
}
