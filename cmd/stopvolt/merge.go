package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
)

// mergeFlags are those of the command merge.
type mergeFlags struct {
	out     string
	report  string
	full    bool
	json    bool
	within  float64
	allRows bool
}

// mergeCommand joins the parts of a study.
func mergeCommand() command {
	return command{
		name:      "merge",
		arguments: "PART...",
		summary:   "join the parts of a study to the very results of the study in one piece",
		examples: `  stopvolt study --replicates 100000 --part 1/2 --out part1.json
  stopvolt study --replicates 100000 --part 2/2 --out part2.json    # on another machine
  stopvolt merge part1.json part2.json --out results --report study.html
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(mergeFlags)
			flags.StringVar(&f.out, "out", "", "write results and figures to the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.full, "full-report", false, "with --report, show every method's construction and the apparatus too")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			addWithin(flags, &f.within)
			flags.BoolVar(&f.allRows, "all-rows", false, "show each way of putting the line, not only the best of each method")
			return f.run
		},
	}
}

func (f *mergeFlags) run(ctx context.Context, c console.Console, words []string) error {
	if err := checkReport(f.report); err != nil {
		return err
	}
	if f.full && f.report == "" {
		return console.WrongUsef("--full-report goes with --report, the file of the page")
	}
	if len(words) == 0 {
		return console.WrongUsef("name the files of all parts")
	}
	if err := checkWithin(f.within); err != nil {
		return err
	}
	var whole studyFile
	for i, name := range words {
		part, err := readStudyFile(name)
		if err != nil {
			return err
		}
		if i == 0 {
			whole = part
			continue
		}
		if !part.sameStudy(whole) {
			return console.WrongUsef("%s: this is a part of another study than %s", name, words[0])
		}
		if err := whole.Tally.Merge(part.Tally); err != nil {
			return console.WrongUsef("%s: %w in the files before; name each part once", name, err)
		}
	}
	scenario, s, err := whole.study()
	if err != nil {
		return console.WrongUsef("%s: %w", words[0], err)
	}
	if err := s.Complete(whole.Tally); err != nil {
		return console.WrongUsef("the parts do not make the whole: %w", err)
	}
	fmt.Fprintf(c.Err, "stopvolt: %d parts of %s\n", len(words), scenario.Name)
	return finishStudy(ctx, c, newStudyFile(scenario, s), s, whole.Tally, outcome{out: f.out, report: f.report, fullReport: f.full, json: f.json, within: f.within / 100, allRows: f.allRows})
}
