package main

import (
	"context"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// sweepFlags are those of the command sweep.
type sweepFlags struct {
	scenario  scenarioFlags
	out       string
	noNoise   bool
	transport string
	electrons int
	seed      uint64
	bench     int
	// drawn says that --bench was given.
	drawn bool
}

// sweepCommand makes synthetic curves.
func sweepCommand() command {
	return command{
		name:      "sweep",
		arguments: "[SCENARIO]",
		summary:   "make synthetic curves of current against retarding voltage",
		examples: `  stopvolt sweep                                # the default bench, to standard output
  stopvolt sweep brindlemoor --bench 3          # one bench of a population
  stopvolt sweep --seed 7 --out run7            # a folder with run.csv and datapackage.json
  stopvolt sweep --no-noise --set collector.stray_light=0 --out ideal.csv
  stopvolt sweep --transport electrons --electrons 1000000 --out counted.csv
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(sweepFlags)
			f.scenario.add(flags)
			flags.StringVar(&f.out, "out", "", "write to `FILE.csv`, or to a folder with a data package; standard output by default")
			flags.BoolVar(&f.noNoise, "no-noise", false, "the mean current, without counting noise and meter")
			flags.StringVar(&f.transport, "transport", "auto", "how electrons cross the gap: `closed|electrons|auto`")
			flags.IntVar(&f.electrons, "electrons", 1_000_000, "electrons drawn for each line, for --transport electrons")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers")
			flags.IntVar(&f.bench, "bench", 0, "take the bench `K` of the scenario's population, counted from 0 as a study with that seed draws it, instead of the one of all medians")
			return func(ctx context.Context, c console.Console, words []string) error {
				f.drawn = flags.Changed("bench")
				return f.run(ctx, c, words)
			}
		},
	}
}

func (f *sweepFlags) run(_ context.Context, c console.Console, words []string) error {
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	transport, err := f.carrier()
	if err != nil {
		return err
	}
	if f.drawn {
		return f.runDrawn(c, scenario, transport)
	}
	bench, err := sim.NewBench(scenario.Apparatus, transport)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	return f.write(c, bench)
}

// runDrawn takes the run at one bench of a population.
func (f *sweepFlags) runDrawn(c console.Console, s scenarios.Scenario, t physics.Transport) error {
	if f.bench < 0 {
		return console.WrongUsef("--bench is %d; benches are counted from 0", f.bench)
	}
	if s.Population.Fixed() {
		return console.WrongUsef("--bench: %s is one bench; name a scenario with laws, such as %s, or leave --bench out", s.Name, scenarios.DefaultPopulation)
	}
	a, _, err := sim.DrawBench(s.Population, f.seed, f.bench)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	bench, err := sim.NewBenchForFewRuns(a)
	if f.transport != "auto" {
		bench, err = sim.NewBench(a, t)
	}
	if err != nil {
		return console.WrongUse{Err: err}
	}
	return f.write(c, bench)
}

// carrier returns the transport that the flags ask for.
func (f *sweepFlags) carrier() (physics.Transport, error) {
	switch f.transport {
	case "auto":
		return physics.Quadrature{}, nil
	case "closed":
		return physics.Closed{}, nil
	case "electrons":
		if f.electrons < 1 || f.electrons > math.MaxInt32 {
			return nil, console.WrongUsef("--electrons is %d; it must be from 1 to %d", f.electrons, math.MaxInt32)
		}
		return sim.Electrons{Seed: f.seed, Number: f.electrons}, nil
	}
	return nil, console.WrongUsef("--transport is %q; it must be closed, electrons or auto", f.transport)
}

// write puts the run where the flags say.
func (f *sweepFlags) write(c console.Console, bench *sim.Bench) error {
	table := func(w io.Writer) error { return f.table(w, bench) }
	switch {
	case f.out == "" || f.out == "-":
		return table(c.Data)
	case strings.HasSuffix(f.out, ".csv"):
		return files.Write(f.out, table)
	}
	const name = "run.csv"
	if err := files.Write(filepath.Join(f.out, name), table); err != nil {
		return err
	}
	return files.Write(filepath.Join(f.out, "datapackage.json"), func(w io.Writer) error {
		r := bench.Mean()
		if !f.noNoise {
			r.Facts = bench.Facts()
		}
		return run.WritePackage(w, r, name)
	})
}

// table writes the run as CSV, reading by reading, so that its length does not
// matter.
func (f *sweepFlags) table(w io.Writer, bench *sim.Bench) error {
	if f.noNoise {
		return run.Write(w, bench.Mean())
	}
	var session sim.Session
	session.Open(bench, f.seed, 0)
	out := run.NewWriter(w)
	for curve, reading := range session.Readings() {
		if err := out.Write(*curve, reading); err != nil {
			return err
		}
	}
	return out.Flush()
}
