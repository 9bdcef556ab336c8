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
				p.scratch.cellDone = false
				if c := m.Cutoff(p); c.Status != OK {
					b.Fatal(c)
				}
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
