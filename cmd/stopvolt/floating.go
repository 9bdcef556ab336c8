package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// floatingFlags are those of the command floating.
type floatingFlags struct {
	scenario    scenarioFlags
	capacitance float64
	resistance  float64
	bias        float64
	intensities []float64
	out         string
}

// mostIntensities keeps a slip from making a table that nobody can read.
const mostIntensities = 100

// floatingCommand lets the collector charge instead of sweeping.
func floatingCommand() command {
	return command{
		name:      "floating",
		arguments: "[SCENARIO]",
		summary:   "leave the collector to charge itself, and say where its potential comes to rest",
		examples: `  stopvolt floating
  stopvolt floating --resistance 1e12 --intensities 1,0.1,0.01
  stopvolt floating --set collector.stray_light=0 --out charging.csv
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(floatingFlags)
			f.scenario.add(flags)
			flags.Float64Var(&f.capacitance, "capacitance", 5e-11, "capacitance of collector, leads and amplifier in farad")
			flags.Float64Var(&f.resistance, "resistance", 1e13, "resistance of the amplifier's input in ohm")
			flags.Float64Var(&f.bias, "bias", 0, "current of the amplifier's input in ampere, above zero where it drives the collector negative")
			flags.Float64SliceVar(&f.intensities, "intensities", []float64{1, 0.5, 0.1}, "intensities of the light relative to the scenario's, `a,b`")
			flags.StringVar(&f.out, "out", "", "write the potentials against time to `FILE.csv`")
			return f.run
		},
	}
}

func (f *floatingFlags) run(_ context.Context, c console.Console, words []string) error {
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	bench, err := sim.NewBench(scenario.Apparatus, physics.Quadrature{})
	if err != nil {
		return console.WrongUse{Err: err}
	}
	if f.out != "" {
		if err := files.Write(f.out, func(w io.Writer) error { return f.writeCharging(w, scenario, bench) }); err != nil {
			return err
		}
	}
	f.print(c.Out, scenario, bench)
	return nil
}

// check says which flag cannot be.
func (f *floatingFlags) check() error {
	switch {
	case !(f.capacitance > 0) || math.IsInf(f.capacitance, 0):
		return console.WrongUsef("--capacitance is %g; it must be above zero, in farad", f.capacitance)
	case !(f.resistance > 0):
		return console.WrongUsef("--resistance is %g; it must be above zero, in ohm", f.resistance)
	case math.IsNaN(f.bias) || math.IsInf(f.bias, 0):
		return console.WrongUsef("--bias is %g; it must be a number of ampere", f.bias)
	case f.out != "" && !strings.HasSuffix(f.out, ".csv"):
		return console.WrongUsef("--out is %q; name a file that ends in .csv", f.out)
	}
	if n := len(f.intensities); n > mostIntensities {
		return console.WrongUsef("--intensities holds %d values; %d are the most", n, mostIntensities)
	}
	for _, i := range f.intensities {
		if !(i > 0) || math.IsInf(i, 0) {
			return console.WrongUsef("--intensities holds %g; each must be above zero", i)
		}
	}
	return nil
}

// at returns the collector at an intensity.
func (f *floatingFlags) at(intensity float64) sim.Floating {
	return sim.Floating{Capacitance: f.capacitance, Resistance: f.resistance, Bias: f.bias, Intensity: intensity}
}

// print prints where the potential of each setting comes to rest.
func (f *floatingFlags) print(w io.Writer, s scenarios.Scenario, bench *sim.Bench) {
	fmt.Fprintf(w, "%s\nThe collector, left to itself, comes to rest at (V; in brackets the time in s to within 1 mV)\n\n%-16s %10s", s.Title, "setting", "true")
	for _, i := range f.intensities {
		fmt.Fprintf(w, " %20s", fmt.Sprintf("at %g of the light", i))
	}
	fmt.Fprintln(w)
	truth := sim.TruthOf(s.Apparatus)
	for k, l := range s.Apparatus.Lights {
		fmt.Fprintf(w, "%-16s %10.3f", console.Clip(l.Name, 16), truth.Stopping[k])
		for _, i := range f.intensities {
			text := "no rest"
			if points, limit, err := f.at(i).Charge(bench, k); err == nil {
				text = fmt.Sprintf("%.3f (%.3g)", limit, restTime(points, limit))
			}
			fmt.Fprintf(w, " %20s", text)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprint(w, "\n", console.Fold("At rest the electrons that still arrive balance leakage, reverse emission and the amplifier's input. "+
		"Less light leaves less to balance them with, so that the potential falls: it is a stopping voltage only "+
		"as far as it does not depend on the intensity.", 96, ""), "\n")
}

// restTime returns the time in s from which on the potential is within a
// millivolt of its limit.
func restTime(points []sim.FloatingPoint, limit float64) float64 {
	for _, p := range points {
		if math.Abs(p.Retarding-limit) < 1e-3 {
			return p.Time
		}
	}
	return points[len(points)-1].Time
}

// writeCharging writes the potentials against time as CSV.
func (f *floatingFlags) writeCharging(w io.Writer, s scenarios.Scenario, bench *sim.Bench) error {
	out := run.NewTable(w, ',')
	if err := out.Write([]string{"setting", "intensity", "time_s", "retarding_V"}); err != nil {
		return err
	}
	for k, l := range s.Apparatus.Lights {
		for _, i := range f.intensities {
			points, _, err := f.at(i).Charge(bench, k)
			if err != nil {
				return fmt.Errorf("setting %q: %w", l.Name, err)
			}
			for _, p := range points {
				if err := out.Write([]string{l.Name, result.Cell(i), result.Cell(p.Time), result.Cell(p.Retarding)}); err != nil {
					return err
				}
			}
		}
	}
	return out.Flush()
}
