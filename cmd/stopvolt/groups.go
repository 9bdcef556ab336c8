package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
)

// groupsFlags are those of the command groups.
type groupsFlags struct {
	data   dataFlags
	method string
	fits   []string
	study  string
	ledger string
	names  bool
	out    string
	report string
	json   bool
}

// groupsCommand puts the runs of a term together.
func groupsCommand() command {
	return command{
		name:      "groups",
		arguments: "MANIFEST.csv",
		summary:   "put the runs of a term's groups together: each one's h/e, their mean, and what does not belong",
		examples: `  stopvolt groups term.csv                       # columns group, bench, file; also date, setting, method
  stopvolt groups term.csv --study results.json --report term.html
  stopvolt groups term.csv --ledger benches.csv --out term     # a table and the figures in a folder

Groups are numbered in the order of the manifest unless --names is given. The exit code is 1 where
a row of the manifest or a file could not be used; the others are done all the same.
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(groupsFlags)
			flags.StringVar(&f.method, "method", "", "the method by which all runs are read; by default the first that answers are given by")
			flags.StringSliceVar(&f.fits, "fits", []string{"weighted"}, "how the line is put through the cutoffs of every run, one of `a`")
			flags.StringVar(&f.study, "study", "", "take the method's correction from the results of a study, `results.json`")
			flags.StringVar(&f.ledger, "ledger", "", "tell also what the ledger of benches, a `FILE.csv` of check --bench, shows over the years")
			flags.BoolVar(&f.names, "names", false, "show the groups' names instead of numbers")
			flags.StringVar(&f.out, "out", "", "write groups.csv and the figures to the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of tables")
			f.data.addCurrents(flags)
			return f.run
		},
	}
}

func (f *groupsFlags) run(_ context.Context, c console.Console, words []string) error {
	if len(words) != 1 {
		return console.WrongUsef("name one manifest, with the columns group, bench and file; - is standard input")
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	options, err := f.data.parsed()
	if err != nil {
		return err
	}
	method, fit, err := f.reading()
	if err != nil {
		return err
	}
	correction, source, err := f.correction(method.Name(), fit.Name())
	if err != nil {
		return err
	}
	history, err := readHistory(f.ledger)
	if err != nil {
		return err
	}
	m, err := readManifest(words[0], c.In, options)
	if err != nil {
		return err
	}
	handed := m.handIns(c, options)
	if !f.names {
		for i := range handed {
			handed[i].Group = "group " + strconv.Itoa(i+1)
		}
	}
	term := result.Term{
		Report: groups.Reader{Method: method, Fit: fit, Correction: correction}.Read(handed),
		Method: method.Name(), Fit: fit.Name(), Correction: correction, Source: source,
		Warnings: groups.Warnings(history), Changes: groups.Changes(history),
	}
	if err := f.tell(c, term, history); err != nil {
		return err
	}
	c.Tell(m.problems...)
	if len(m.problems) > 0 {
		return fmt.Errorf("%s of the manifest could not be used; the rest is done", counted(len(m.problems), "row"))
	}
	return nil
}

// tell puts the term where the flags say.
func (f *groupsFlags) tell(c console.Console, term result.Term, history []groups.Entry) error {
	if f.out != "" {
		if err := files.Write(filepath.Join(f.out, "groups.csv"), func(w io.Writer) error { return result.WriteGroups(w, term.Rows) }); err != nil {
			return err
		}
		if err := draw.WriteTerm(f.out, term, history); err != nil {
			return err
		}
	}
	if f.report != "" {
		p := page.Groups{Origin: origin(0), Term: term, History: history}
		if err := writePage(f.report, p.Page); err != nil {
			return err
		}
	}
	if f.json {
		return result.WriteJSON(c.Data, term.Object())
	}
	return term.Print(c.Out)
}

// reading returns the method and the fit by which all runs are read.
func (f *groupsFlags) reading() (analysis.Method, analysis.LineFit, error) {
	name := f.method
	if name == "" {
		name = analysis.Preference()[0]
	}
	method, err := analysis.ByName(name)
	if err != nil {
		return nil, nil, console.WrongUse{Err: err}
	}
	if _, joint := method.(analysis.Joint); joint {
		return nil, nil, console.WrongUsef("--method is %s, which has a line of its own; name one that reads curve by curve", name)
	}
	fits, err := fitsNamed(f.fits)
	if err != nil {
		return nil, nil, err
	}
	if len(fits) > 1 {
		return nil, nil, console.WrongUsef("--fits names %d lines; a term is put together by one", len(fits))
	}
	return method, fits[0], nil
}

// readHistory reads the entries of a ledger, none for no name.
func readHistory(name string) ([]groups.Entry, error) {
	if name == "" {
		return nil, nil
	}
	lines, err := readLedger(name)
	if err != nil {
		return nil, err
	}
	if lines == nil {
		return nil, console.WrongUsef("%s: there is no such ledger, or it has no lines; stopvolt check --bench makes one", name)
	}
	var history []groups.Entry
	for _, l := range lines {
		history = append(history, l.Entry)
	}
	return history, nil
}

// correction returns that of a method and where it is from, none for no study.
func (f *groupsFlags) correction(method, fit string) (groups.Correction, string, error) {
	if f.study == "" {
		return groups.Correction{}, "", nil
	}
	text, err := os.ReadFile(f.study)
	if err != nil {
		return groups.Correction{}, "", console.WrongUse{Err: err}
	}
	var results struct {
		Population string `json:"population"`
		Benches    int    `json:"benches"`
		Methods    []struct {
			Method string   `json:"method"`
			Fit    string   `json:"fit"`
			Factor *float64 `json:"factor"`
			Low    *float64 `json:"factor_low"`
			High   *float64 `json:"factor_high"`
		} `json:"methods"`
	}
	if err := json.Unmarshal(text, &results); err != nil {
		return groups.Correction{}, "", console.WrongUsef("%s: these are not the results of a study; make them by stopvolt study --out DIR", f.study)
	}
	for _, m := range results.Methods {
		if m.Method != method || m.Fit != fit {
			continue
		}
		if m.Factor == nil || m.Low == nil || m.High == nil || !(*m.Low > 0 && *m.Low <= *m.Factor && *m.Factor <= *m.High) {
			return groups.Correction{}, "", console.WrongUsef("%s has no correction of %s with the %s line; a study over a population of benches has", f.study, method, fit)
		}
		return groups.Correction{Factor: *m.Factor, Low: *m.Low, High: *m.High},
			fmt.Sprintf("from simulation, population %s, %d benches", results.Population, results.Benches), nil
	}
	return groups.Correction{}, "", console.WrongUsef("%s does not have %s with the %s line; run the study with --all-rows", f.study, method, fit)
}
