package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/pflag"

	"stopvolt/analysis/match"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run/reader"
	"stopvolt/scenarios"
)

// matchFlags are those of the command match.
type matchFlags struct {
	data       dataFlags
	population string
	scenario   scenarioFlags
	benches    int
	// counted says that --benches was given.
	counted bool
	seed    uint64
	out     string
	report  string
	json    bool
}

// matchCommand corrects a measured run.
func matchCommand() command {
	return command{
		name:      "match",
		arguments: "DATA...",
		summary:   "correct the h/e of a measured run for bench and reading, with an interval, or say that it is like no simulated bench",
		examples: `  stopvolt match 365.csv 405.csv 436.csv 546.csv 577.csv
  stopvolt match run.csv --population mine.toml      # what you know of your own bench
  stopvolt match run.csv --out matched               # a page, and the benches like yours
  stopvolt study matched/matched.toml                # which method is best on them

It draws benches from the population in worlds whose h/e is anything from 2.5e-15 to
7e-15 V s; work functions scale with h/e. The book value of h/e is not used.
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(matchFlags)
			flags.StringVar(&f.population, "population", scenarios.DefaultPopulation, "benches to compare with: an embedded scenario or a `FILE.toml`")
			f.scenario.add(flags)
			flags.IntVar(&f.benches, "benches", defaultMatched, "benches to learn from, and half as many to calibrate by")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers")
			flags.StringVar(&f.out, "out", "", "write a page, the result and the benches like the run into the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of sentences")
			f.data.addCurrents(flags)
			return func(ctx context.Context, c console.Console, words []string) error {
				f.counted = flags.Changed("benches")
				return f.run(ctx, c, words)
			}
		},
	}
}

// What --benches may be.
const fewestMatched, defaultMatched, mostMatched = 500, 5000, 100_000

func (f *matchFlags) run(ctx context.Context, c console.Console, words []string) error {
	if len(words) == 0 {
		return console.WrongUsef("name the files of one run; - is standard input")
	}
	if f.benches < fewestMatched || f.benches > mostMatched {
		return console.WrongUsef("--benches is %d; it must be from %d to %d", f.benches, fewestMatched, mostMatched)
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	scenario, err := f.scenario.load([]string{f.population})
	if err != nil {
		return err
	}
	if scenario.Population.Fixed() {
		return console.WrongUsef("%s is one bench; a match needs a population, such as %s", f.population, scenarios.DefaultPopulation)
	}
	options, err := f.data.parsed()
	if err != nil {
		return err
	}
	measured, guesses, err := reader.ReadFiles(words, c.In, options)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	c.Tell(remarksOn(guesses)...)
	m := match.Match{Run: measured, Population: scenario.Population, Seed: f.seed}
	if f.counted {
		m.Train, m.Calibrate, m.Elsewhere = f.benches, f.benches/2, f.benches/8
	}
	done, finish := c.Progress(m.Benches())
	m.Done = done
	r, err := m.Do(ctx)
	finish()
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		return console.WrongUse{Err: err}
	}
	told := result.Match{Result: r, Population: scenario.Name}
	if f.out != "" {
		if err := f.write(told, scenario); err != nil {
			return err
		}
	}
	if f.report != "" {
		if err := writePage(f.report, page.Match{Origin: origin(f.seed), Told: told}.Page); err != nil {
			return err
		}
	}
	if f.json {
		return result.WriteJSON(c.Out, told.Object())
	}
	return told.Print(c.Out)
}

// write fills the folder.
func (f *matchFlags) write(told result.Match, s scenarios.Scenario) error {
	return files.WriteFolder(f.out, func(dir string) error {
		for _, file := range []struct {
			name  string
			write func(io.Writer) error
		}{
			{"matched.toml", func(w io.Writer) error {
				_, err := io.WriteString(w, told.Scenario(s.Text, s.Population.Variables()))
				return err
			}},
			{"match.json", func(w io.Writer) error { return result.WriteJSON(w, told.Object()) }},
			{"match.html", func(w io.Writer) error {
				p, err := page.Match{Origin: origin(f.seed), Told: told}.Page()
				if err != nil {
					return err
				}
				return p.Write(w)
			}},
		} {
			if err := files.WritePlain(filepath.Join(dir, file.name), file.write); err != nil {
				return fmt.Errorf("%s: %w", file.name, err)
			}
		}
		return nil
	})
}
