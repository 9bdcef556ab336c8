package analysis

import (
	"testing"

	"stopvolt/instrument/run"
)

// benchCurve is a curve of 61 readings with noise and reverse current.
func benchCurve() run.Curve { return planePair().noisy(435.833, 1e-12, 0, source(1)) }

func BenchmarkPrepare(b *testing.B) {
	c := benchCurve()
	var p Prepared
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Prepare(c, run.Facts{Resolution: 1e-13}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMethod is one method on a prepared curve, uncertainty included.
func BenchmarkMethod(b *testing.B) {
	p := prepared(b, benchCurve(), run.Facts{Resolution: 1e-13})
	for _, m := range Methods() {
		b.Run(m.Name(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p.scratch.cellDone, p.scratch.bends.width = false, 0
				// A cutoff that is refused in the end takes as long.
				m.Cutoff(p)
			}
		})
	}
}

// BenchmarkAllMethods is one curve through all methods, uncertainties included.
func BenchmarkAllMethods(b *testing.B) {
	c := benchCurve()
	methods := Methods()
	var p Prepared
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Prepare(c, run.Facts{Resolution: 1e-13}); err != nil {
			b.Fatal(err)
		}
		for _, m := range methods {
			m.Cutoff(&p)
		}
	}
}

// TestNoAllocationInSteadyState holds Prepare and every method to using their
// memory again.
func TestNoAllocationInSteadyState(t *testing.T) {
	r := planePair().noisyRun(1e-12, 1e-13, source(1))
	var all []*Prepared
	for range r.Curves {
		all = append(all, new(Prepared))
	}
	found := make([]Cutoff, len(all))
	for _, m := range Methods() {
		work := func() {
			for i, p := range all {
				if err := p.Prepare(r.Curves[i], r.Facts); err != nil {
					t.Fatal(err)
				}
				m.Cutoff(p)
			}
			if joint, ok := m.(Joint); ok {
				if _, err := joint.Together(all, found); err != nil {
					t.Fatal(err)
				}
			}
		}
		if n := testing.AllocsPerRun(20, work); n > 0 {
			t.Errorf("%s: %g allocations a run", m.Name(), n)
		}
	}
}

// BenchmarkExtract is a run of five settings through all methods and lines.
func BenchmarkExtract(b *testing.B) {
	r := planePair().noisyRun(1e-12, 1e-13, source(1))
	x := Extractor{Methods: Methods(), Fits: LineFits()}
	b.ReportAllocs()
	for b.Loop() {
		x.Extract(r)
	}
}
