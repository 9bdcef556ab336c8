package practice

import (
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// A gauge reads runs with every method, with the dark current taken off and
// without.
type gauge struct {
	extractor analysis.Extractor
}

// newGauge returns a gauge of some methods. Students write down what a construction
// leads to, also where the current still flows.
func newGauge(methods ...analysis.Method) gauge {
	return gauge{extractor: analysis.Extractor{AsDrawn: true, Methods: methods, Fits: []analysis.LineFit{analysis.Ordinary{}, analysis.Weighted{}}}}
}

// lit returns the run without its dark curves; with takeOff, the dark current is
// subtracted from the others.
func lit(r run.Run, takeOff bool) run.Run {
	if takeOff {
		r, _ = analysis.WithoutDark(r)
		return r
	}
	r.Curves = slices.DeleteFunc(slices.Clone(r.Curves), func(c run.Curve) bool { return c.Dark })
	return r
}

// read runs the methods on a run.
func (g *gauge) read(r run.Run, takeOff bool) analysis.Extraction {
	return g.extractor.Extract(lit(r, takeOff))
}

// outlook is how well a run can be read.
type outlook struct {
	// answers is the least number of methods with a cutoff on any setting that
	// should have one.
	answers int
	// u is the relative standard uncertainty of h/e that the cutoffs of the
	// last method leave, and deviation how far it is from the truth.
	u, deviation float64
}

// outlook reads a run for the settings that free electrons, but for one that is
// known to be spoilt. The dark current is taken off.
func (g *gauge) outlook(r run.Run, t Truth) outlook {
	x := g.read(r, true)
	o := outlook{answers: len(g.extractor.Methods)}
	var points []analysis.Point
	for i, s := range x.Settings {
		if !t.Settings[i].Frees || s.Name == t.FaultSetting {
			continue
		}
		answers := 0
		for _, c := range s.Cutoffs {
			if c.Status == analysis.OK {
				answers++
			}
		}
		o.answers = min(o.answers, answers)
		if last := s.Cutoffs[len(s.Cutoffs)-1]; last.Status == analysis.OK {
			points = append(points, analysis.Point{Frequency: s.Frequency, Stopping: last.Stopping, UStopping: last.U})
		}
	}
	line, err := analysis.Weighted{}.Fit(points)
	if err != nil {
		return outlook{u: math.Inf(1), deviation: math.Inf(1)}
	}
	o.u = propagated(points) / t.HOverE
	o.deviation = math.Abs(line.Slope-t.HOverE) / t.HOverE
	return o
}

// propagated returns the standard uncertainty of the weighted slope that the
// uncertainties of the points alone give, in V s.
func propagated(points []analysis.Point) float64 {
	var sw, sx float64
	for _, p := range points {
		w := 1 / (p.UStopping * p.UStopping)
		sw += w
		sx += w * p.Frequency
	}
	var sxx float64
	for _, p := range points {
		d := p.Frequency - sx/sw
		sxx += d * d / (p.UStopping * p.UStopping)
	}
	return 1 / math.Sqrt(sxx)
}
