package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
	"stopvolt/sim/knee"
)

// kneeFlags are those of the command knee.
type kneeFlags struct {
	scenario  scenarioFlags
	setting   string
	seed      uint64
	electrons int
	out       string
	report    string
}

// kneeCommand shows why the knee is round.
func kneeCommand() command {
	return command{
		name:      "knee",
		arguments: "[SCENARIO]",
		summary:   "build the knee of one curve up cause by cause, for a lesson",
		examples: `  stopvolt knee                                 # the steps in words
  stopvolt knee --report knee.html              # one page to show and to print
  stopvolt knee --out lesson                   # pictures, and curves for the day the lamp is dead
  stopvolt knee thistlecombe --setting green --report green.html
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(kneeFlags)
			flags.StringVar(&f.setting, "setting", "", "setting of the light to take apart, `NAME`; the one with the largest current by default")
			f.scenario.add(flags)
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers `S`")
			flags.IntVar(&f.electrons, "electrons", 100_000, "electrons drawn for each histogram of energies `N`")
			flags.StringVar(&f.out, "out", "", "write pictures and curves to the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			return f.run
		},
	}
}

// mostElectrons keeps a slip from running for hours.
const mostElectrons = 10_000_000

// kneePoints is the number of voltages of a curve.
const kneePoints = 401

func (f *kneeFlags) run(_ context.Context, c console.Console, names []string) error {
	scenario, err := f.scenario.load(names)
	if err != nil {
		return err
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	if f.electrons < 1 || f.electrons > mostElectrons {
		return console.WrongUsef("--electrons is %d; it must be from 1 to %d", f.electrons, mostElectrons)
	}
	build, err := f.build(scenario)
	if err != nil {
		return err
	}
	steps, err := build.Steps()
	if err != nil {
		return console.WrongUse{Err: err}
	}
	l := lesson{draw.Lesson{Build: build, Scenario: scenario, Steps: steps, Causes: words.English().Causes(steps)}}
	if f.out != "" {
		if err := l.write(f.out); err != nil {
			return err
		}
	}
	if f.report != "" {
		p := page.Knee{Origin: origin(f.seed), Lesson: l.Lesson}
		if err := writePage(f.report, p.Page); err != nil {
			return err
		}
	}
	l.print(c.Out)
	return nil
}

// build returns what the flags ask for.
func (f *kneeFlags) build(scenario scenarios.Scenario) (knee.Build, error) {
	b := knee.Build{Apparatus: scenario.Apparatus, Seed: f.seed, Electrons: f.electrons, Points: kneePoints}
	if f.setting == "" {
		var err error
		if b.Setting, err = knee.Strongest(scenario.Apparatus); err != nil {
			return b, console.WrongUse{Err: err}
		}
		return b, nil
	}
	var names []string
	for i, l := range scenario.Apparatus.Lights {
		if l.Name == f.setting {
			b.Setting = i
			return b, nil
		}
		names = append(names, l.Name)
	}
	return b, console.WrongUsef("--setting is %q; the settings are %s", f.setting, strings.Join(names, ", "))
}

// A lesson is printed and written by this command.
type lesson struct{ draw.Lesson }

// print prints the steps in words.
func (l lesson) print(w io.Writer) {
	fmt.Fprintf(w, "%s\nWhy the knee of the %s curve is round; its true cutoff is %.4f V\n", l.Scenario.Title, l.Steps.Light.Name, l.Steps.Truth)
	for i, c := range l.Causes {
		head := fmt.Sprintf("%d. %s", i+1, c.Name)
		if c.Number != "" {
			head += ": " + c.Number
		}
		fmt.Fprintf(w, "\n%s\n%s\n", head, console.Fold(c.Told, 92, "   "))
	}
	fmt.Fprintf(w, "\n%s\n", console.Fold(words.OrderMatters, 95, ""))
}

// write writes the pictures and the curves into a folder.
func (l lesson) write(dir string) error {
	figures, err := l.Figures()
	if err != nil {
		return err
	}
	for _, f := range figures {
		if err := draw.Write(dir, f.Name, f.Picture); err != nil {
			return err
		}
	}
	curves := l.Steps.Run
	for _, file := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"steps.csv", l.writeSteps},
		{"energies.csv", l.writeEnergies},
		{"run.csv", func(w io.Writer) error { return run.Write(w, curves) }},
		{"datapackage.json", func(w io.Writer) error { return run.WritePackage(w, curves, "run.csv") }},
	} {
		if err := files.Write(filepath.Join(dir, file.name), file.write); err != nil {
			return err
		}
	}
	return nil
}

// writeSteps writes the mean curves of all steps, a row a voltage.
func (l lesson) writeSteps(w io.Writer) error {
	header := []string{"retarding_V"}
	for i := range l.Steps.Steps {
		header = append(header, fmt.Sprintf("step_%d_current_A", i+1))
	}
	rows := [][]string{header}
	for k, v := range l.Steps.Steps[0].V {
		row := []string{strconv.FormatFloat(v, 'g', 10, 64)}
		for _, s := range l.Steps.Steps {
			row = append(row, result.Cell(s.I[k]))
		}
		rows = append(rows, row)
	}
	return writeTable(w, rows)
}

// writeEnergies writes the histograms of the electrons, a row a bin.
func (l lesson) writeEnergies(w io.Writer) error {
	header := []string{"from_eV", "to_eV"}
	var with []knee.Energies
	for i, s := range l.Steps.Steps {
		if s.Energies != nil {
			header, with = append(header, fmt.Sprintf("step_%d_electrons", i+1)), append(with, *s.Energies)
		}
	}
	rows := [][]string{header}
	for k := range with[0].Counts {
		edges := with[0].Edges
		row := []string{strconv.FormatFloat(edges[k], 'g', 10, 64), strconv.FormatFloat(edges[k+1], 'g', 10, 64)}
		for _, e := range with {
			row = append(row, strconv.FormatFloat(e.Counts[k], 'f', 0, 64))
		}
		rows = append(rows, row)
	}
	return writeTable(w, rows)
}

// writeTable writes rows of cells as CSV.
func writeTable(w io.Writer, rows [][]string) error {
	out := run.NewTable(w, ',')
	for _, row := range rows {
		if err := out.Write(row); err != nil {
			return err
		}
	}
	return out.Flush()
}
