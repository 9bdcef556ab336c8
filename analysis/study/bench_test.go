package study_test

import (
	"context"
	"runtime"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/scenarios"
)

// BenchmarkReplicate is one experiment at the default bench, from the draws of
// its noise to the tally: five curves of 61 readings, the methods, and the lines
// ordinary and weighted through their cutoffs. The set-up of the study is spread
// over all replicates.
func BenchmarkReplicate(b *testing.B) {
	for _, c := range []struct {
		name    string
		methods []analysis.Method
	}{
		{"all methods", analysis.Methods()},
		{"five methods", []analysis.Method{
			analysis.ZeroCrossing{}, analysis.Tangent{}, analysis.SquareRoot{},
			analysis.SecondDerivative{}, analysis.FowlerFit{},
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			s := study.Study{
				Population: only(apparatus(b)), Methods: c.methods,
				Fits:       []analysis.LineFit{analysis.Ordinary{}, analysis.Weighted{}},
				Replicates: max(b.N, 2), Seed: seed,
			}
			b.ReportAllocs()
			b.ResetTimer()
			if _, err := s.Run(context.Background()); err != nil {
				b.Fatal(err)
			}
			rate := float64(b.N) / b.Elapsed().Seconds()
			b.ReportMetric(rate, "replicates/s")
			b.ReportMetric(rate/float64(runtime.GOMAXPROCS(0)), "replicates/s/core")
		})
	}
}

// BenchmarkNewBench is one experiment of two at a bench of the default
// population: the draw of the bench, its mean currents, the noise, the methods
// and the tally.
func BenchmarkNewBench(b *testing.B) {
	scenario, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		methods []analysis.Method
	}{
		{"all methods", analysis.Methods()},
		{"five methods", []analysis.Method{
			analysis.ZeroCrossing{}, analysis.Tangent{}, analysis.SquareRoot{},
			analysis.SecondDerivative{}, analysis.FowlerFit{},
		}},
		{"tangent", []analysis.Method{analysis.Tangent{}}},
	} {
		b.Run(c.name, func(b *testing.B) {
			s := study.Study{
				Population: scenario.Population, Methods: c.methods,
				Fits:       []analysis.LineFit{analysis.Ordinary{}, analysis.Weighted{}},
				Replicates: max(b.N, 2), Seed: seed,
			}
			b.ReportAllocs()
			b.ResetTimer()
			if _, err := s.Run(context.Background()); err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "replicates/s")
		})
	}
}
