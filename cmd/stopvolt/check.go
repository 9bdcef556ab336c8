package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// checkFlags are those of the command check.
type checkFlags struct {
	data   dataFlags
	json   bool
	watch  bool
	bench  string
	ledger string
	date   string
	hours  float64
	damp   float64
	repair bool
	note   string
}

// checkCommand looks at a run before its group goes home.
func checkCommand() command {
	return command{
		name:      "check",
		arguments: "DATA...",
		summary:   "say what is wrong with a run while there is still time to mend it",
		examples: `  stopvolt check 365.csv 405.csv 436.csv 546.csv 577.csv dark.csv
  stopvolt check --watch handed-in               # a folder: speaks as files arrive
  stopvolt check run.csv --bench window --ledger benches.csv --lamp-hours 420 --note "new filter"

The exit code is 0 for a run that is good enough, 1 where there are findings, and 2 where the
files cannot be read.
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(checkFlags)
			flags.BoolVar(&f.json, "json", false, "print JSON instead of sentences")
			flags.BoolVar(&f.watch, "watch", false, "look at a folder, and at each folder within it, whenever files arrive there; ends by Ctrl-C")
			flags.StringVar(&f.bench, "bench", "", "add a dated line on the condition of the bench `NAME` to the ledger")
			flags.StringVar(&f.ledger, "ledger", "benches.csv", "the ledger, a `FILE.csv` with a line a run")
			flags.StringVar(&f.date, "date", "", "day of the run, `YYYY-MM-DD`; today by default")
			flags.Float64Var(&f.hours, "lamp-hours", math.NaN(), "hours that the lamp has burnt, for the ledger")
			flags.Float64Var(&f.damp, "humidity", math.NaN(), "relative humidity in per cent, for the ledger")
			flags.BoolVar(&f.repair, "repair", false, "something was repaired or exchanged before this run, for the ledger")
			flags.StringVar(&f.note, "note", "", "a remark on one line, for the ledger")
			f.data.addCurrents(flags)
			return func(ctx context.Context, c console.Console, words []string) error {
				if err := f.ledgerFlags(flags); err != nil {
					return err
				}
				return f.run(ctx, c, words)
			}
		},
	}
}

// ledgerFlags says what is wrong with what is to be entered into the ledger.
func (f *checkFlags) ledgerFlags(flags *pflag.FlagSet) error {
	given := flags.Changed
	f.bench = console.OneLine(f.bench)
	if given("bench") && f.bench == "" {
		return console.WrongUsef("--bench is empty; name the bench as it is to stand in the ledger")
	}
	for _, name := range []string{"ledger", "date", "lamp-hours", "humidity", "repair", "note"} {
		if given(name) && !given("bench") {
			return console.WrongUsef("--%s is for the ledger; name the bench by --bench", name)
		}
	}
	switch {
	case given("lamp-hours") && !(f.hours >= 0 && f.hours <= mostLampHours):
		return console.WrongUsef("--lamp-hours is %g; it must be from 0 to %g", f.hours, float64(mostLampHours))
	case given("humidity") && !(f.damp >= 0 && f.damp <= 100):
		return console.WrongUsef("--humidity is %g; it must be from 0 to 100 %%", f.damp)
	}
	return nil
}

// mostLampHours is more than a century.
const mostLampHours = 1_000_000

func (f *checkFlags) run(ctx context.Context, c console.Console, words []string) error {
	if len(words) == 0 {
		return console.WrongUsef("name the files to look at; - is standard input")
	}
	if f.watch {
		if len(words) != 1 || f.json || f.bench != "" {
			return console.WrongUsef("--watch takes one folder, and neither --json nor --bench")
		}
		return f.watchFolder(ctx, c, words[0])
	}
	day, err := f.day()
	if err != nil {
		return err
	}
	r, err := f.read(c, words)
	if err != nil {
		return err
	}
	findings := check.Run(r)
	if f.bench != "" {
		if err := f.enter(r, day); err != nil {
			return err
		}
	}
	if f.json {
		err = result.WriteJSON(c.Data, result.Object{
			{Key: "schema", Value: result.Schema},
			{Key: "good", Value: len(findings) == 0},
			{Key: "findings", Value: result.FindingObjects(findings)},
		})
	} else {
		tellFindings(c.Out, findings, r)
	}
	if err != nil || len(findings) == 0 {
		return err
	}
	return fmt.Errorf("%s", counted(len(findings), "finding"))
}

// counted writes a number of things.
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// tellFindings says what was found in a run, or that it is good enough and for what.
func tellFindings(w io.Writer, findings []check.Finding, r run.Run) {
	if len(findings) > 0 {
		result.PrintFindings(w, findings)
		return
	}
	said := "Good enough: nothing in these readings stands in the way of a stopping voltage at each setting."
	if width, ok := check.WidthOf(check.FinenessOf(r)); ok {
		said += fmt.Sprintf(" Readings as fine as these (steps up to %g mV, a last digit up to %g of the brightest current), read by %s and corrected, bring two thirds of the simulated benches within %.2g %% of the truth.",
			1e3*width.Step, width.Digit, analysis.Preference()[0], 100*width.HalfWidth)
	}
	fmt.Fprintln(w, console.Fold(said, 96, ""))
}

// day returns the day of the run.
func (f *checkFlags) day() (time.Time, error) {
	if f.date == "" {
		return time.Now(), nil
	}
	day, err := time.Parse(time.DateOnly, f.date)
	if err != nil {
		return day, console.WrongUsef("--date is %q; a day is written 2026-03-31", f.date)
	}
	return day, nil
}

// read reads a run with its dark curves, and tells what was guessed.
func (f *checkFlags) read(c console.Console, words []string) (run.Run, error) {
	options, err := f.data.parsed()
	if err != nil {
		return run.Run{}, err
	}
	r, guesses, err := reader.ReadFiles(words, c.In, options)
	if err != nil {
		return run.Run{}, console.WrongUse{Err: err}
	}
	c.Tell(remarksOn(guesses)...)
	return r, nil
}

// enter adds the run's line to the ledger.
func (f *checkFlags) enter(r run.Run, day time.Time) error {
	lines, err := readLedger(f.ledger)
	if err != nil {
		return err
	}
	condition := check.ConditionOf(r, cutoffsOf(r))
	lines = append(lines, groups.Line{
		Entry: groups.Entry{
			Date: day.UTC().Truncate(24 * time.Hour), Bench: f.bench, Repair: f.repair,
			Sensitivity: condition.Sensitivity, PlateauRatio: condition.PlateauRatio, Leakage: condition.Leakage, Shift: condition.Shift,
		},
		LampHours: f.hours, Humidity: f.damp, Note: console.OneLine(f.note),
	})
	return files.Write(f.ledger, func(w io.Writer) error { return groups.WriteLedger(w, lines) })
}

// readLedger reads the ledger of a name; one that is not there yet has no lines.
func readLedger(name string) ([]groups.Line, error) {
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, console.WrongUse{Err: err}
	}
	lines, err := groups.ReadLedger(bytes.NewReader(text), name)
	if err != nil {
		return nil, console.WrongUse{Err: err}
	}
	return lines, nil
}

// cutoffsOf returns the stopping voltages of a run by the method of the answer.
func cutoffsOf(r run.Run) []analysis.Point {
	lit, _ := analysis.WithoutDark(r)
	x := analysis.Extract(lit, analysis.Methods())
	answer := analysis.Choice{}.Answer(x)
	if answer.Status != analysis.OK {
		return nil
	}
	m := slices.IndexFunc(analysis.Methods(), func(m analysis.Method) bool { return m.Name() == answer.Method })
	var points []analysis.Point
	for _, s := range x.Settings {
		if c := s.Cutoffs[m]; c.Status == analysis.OK && s.Frequency > 0 {
			points = append(points, analysis.Point{Setting: s.Name, Frequency: s.Frequency, Stopping: c.Stopping, UStopping: c.U})
		}
	}
	return points
}

// lookEvery is the time between two looks at a folder.
const lookEvery = 500 * time.Millisecond

// watchFolder looks at a folder, and at each folder in it, whenever its files have
// changed and then kept still for one look.
func (f *checkFlags) watchFolder(ctx context.Context, c console.Console, folder string) error {
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return console.WrongUsef("%s is not a folder; --watch takes the one that files are handed in to", folder)
	}
	told, before := make(map[string]string), make(map[string]string)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		runs, err := runsIn(folder)
		if err != nil {
			return err
		}
		for _, r := range runs {
			if r.state == before[r.folder] && r.state != told[r.folder] {
				told[r.folder] = r.state
				f.speak(c, r)
			}
			before[r.folder] = r.state
		}
		if err := c.Flush(); err != nil {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
		}
	}
}

// speak says what there is to say of the files of one folder.
func (f *checkFlags) speak(c console.Console, r folderRun) {
	fmt.Fprintf(c.Out, "== %s (%s)\n", r.folder, counted(len(r.files), "file"))
	options, err := f.data.parsed()
	if err != nil {
		fmt.Fprintln(c.Out, err)
		return
	}
	read, _, err := reader.ReadFiles(r.files, strings.NewReader(""), options)
	if err != nil {
		fmt.Fprintf(c.Out, "cannot be read: %s\n", console.OneLine(err.Error()))
		return
	}
	tellFindings(c.Out, check.Run(read), read)
}

// A folderRun is the files of one folder, with a text that changes when they do.
type folderRun struct {
	folder string
	files  []string
	state  string
}

// runsIn returns the folder and those in it that have files, in the order of their
// names.
func runsIn(folder string) ([]folderRun, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	runs := []folderRun{{folder: folder}}
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			runs = append(runs, folderRun{folder: filepath.Join(folder, e.Name())})
		}
	}
	for i := range runs {
		r := &runs[i]
		inside, err := os.ReadDir(r.folder)
		if err != nil {
			// It was taken away since.
			continue
		}
		var state strings.Builder
		for _, e := range inside {
			info, err := e.Info()
			if err != nil || !info.Mode().IsRegular() || strings.HasPrefix(e.Name(), ".") || strings.HasSuffix(e.Name(), ".json") {
				continue
			}
			r.files = append(r.files, filepath.Join(r.folder, e.Name()))
			fmt.Fprintln(&state, e.Name(), info.Size(), info.ModTime().UnixNano())
		}
		r.state = state.String()
	}
	return slices.DeleteFunc(runs, func(r folderRun) bool { return len(r.files) == 0 }), nil
}
