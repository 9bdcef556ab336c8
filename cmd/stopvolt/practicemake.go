package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/sheet"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run/reader"
	"stopvolt/scenarios"
)

// practiceMakeFlags are those of the command practice make.
type practiceMakeFlags struct {
	scenario   scenarioFlags
	passphrase passphraseFlags
	class      string
	count      int
	out        string
	again      string
	level      string
	scheme     string
	blind      bool
	faults     bool
	language   string
	decimal    string
	large      bool
	grey       bool
}

// mostStudents keeps a slip in --count from filling the disk.
const mostStudents = 100_000

// practiceMakeCommand makes a practice set.
func practiceMakeCommand() command {
	return command{
		name:      "practice make",
		arguments: "[SCENARIO]",
		summary:   "make practice data with known answers, a bench of its own for each student",
		examples: `  stopvolt practice make --class class.csv --out set      # columns student_id and name
  stopvolt practice make --count 12 --level awkward --blind --out set
  stopvolt practice make --class class.csv --faults --language de --decimal comma --grey --out set
  stopvolt practice make --again set.key --out copy       # the same files from the key
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(practiceMakeFlags)
			flags.StringVar(&f.class, "class", "", "the class, a table `LIST.csv` with the columns student_id and name")
			flags.IntVar(&f.count, "count", 0, "make `N` numbered sheets where there is no list")
			flags.StringVar(&f.out, "out", "", "the new folder `DIR` for the set")
			flags.StringVar(&f.level, "level", "ordinary", "how hard the benches are to read: `clean|ordinary|awkward`")
			flags.StringVar(&f.scheme, "scheme", "", "say what there are points for in `FILE.toml` instead of in the scenario's [practice]; the sheets print it, and the key keeps it")
			flags.BoolVar(&f.blind, "blind", false, "give each student a world with an h/e of its own, up to 20 % from the tabled one")
			flags.BoolVar(&f.faults, "faults", false, "plant one fault, or none, into each bench for the student to find")
			flags.StringVar(&f.again, "again", "", "make the files of the set of a `KEY` once more")
			flags.StringVar(&f.language, "language", "en", "language of the sheets: "+strings.Join(sheet.Languages(), ", "))
			flags.StringVar(&f.decimal, "decimal", "point", "decimal mark of sheets and tables: `point|comma`; tables with commas have semicolons between cells")
			flags.BoolVar(&f.large, "large-print", false, "print the sheets large")
			flags.BoolVar(&f.grey, "grey", false, "leave colour out of the sheets")
			f.passphrase.add(flags)
			f.scenario.add(flags)
			return func(ctx context.Context, c console.Console, words []string) error { return f.run(ctx, c, flags, words) }
		},
	}
}

func (f *practiceMakeFlags) run(ctx context.Context, c console.Console, flags *pflag.FlagSet, words []string) error {
	switch {
	case f.out == "":
		return console.WrongUsef("practice make needs --out, a new folder for the set")
	case f.again != "":
		return f.runAgain(ctx, c, flags, words)
	case f.class == "" && !flags.Changed("count"):
		return console.WrongUsef("practice make needs the class: --class LIST.csv, or --count N")
	case f.class != "" && flags.Changed("count"):
		return console.WrongUsef("--class and --count exclude each other; the list says how many there are")
	case flags.Changed("count") && (f.count < 1 || f.count > mostStudents):
		return console.WrongUsef("--count is %d; it must be from 1 to %d", f.count, mostStudents)
	}
	if err := files.CheckNew(f.out); err != nil {
		return err
	}
	if len(words) == 0 {
		words = []string{scenarios.Practice}
	}
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	recipe, public, err := f.recipe(scenario)
	if err != nil {
		return err
	}
	class := practice.Numbered(f.count)
	if f.class != "" {
		err = readFrom(c, f.class, func(s reader.Source) (err error) {
			class, err = practice.ReadClass(s, reader.Options{})
			return err
		})
		if err != nil {
			return console.WrongUse{Err: err}
		}
	}
	passphrase, err := f.passphrase.read(ctx, c, true)
	if err != nil {
		return err
	}
	secret, err := practice.NewSecret()
	if err != nil {
		return err
	}
	origin := &practice.Origin{Scenario: scenario.Name, Text: string(scenario.Text), Assignments: scenario.Assignments}
	err = files.WriteFolder(f.out, func(dir string) error {
		return makeSet(ctx, dir, public, func(each func(practice.Record) error) error {
			return files.WritePlainPrivate(filepath.Join(dir, keyFile), func(w io.Writer) error {
				key, err := practice.NewKeyWriterFrom(w, practice.Lock{Passphrase: passphrase, Work: practice.Work}, public, secret, origin)
				if err != nil {
					return err
				}
				err = practice.Make(recipe, secret, class, func(r practice.Record) error {
					if err := key.Write(r); err != nil {
						return err
					}
					return each(r)
				})
				if err != nil {
					return err
				}
				return key.Close()
			})
		})
	})
	if err != nil {
		return unsolvable(err)
	}
	f.report(c, len(class))
	return nil
}

// unsolvable tells a scenario that cannot be practised with, which its author
// can change, from work that failed.
func unsolvable(err error) error {
	var u *practice.UnsolvableError
	if errors.As(err, &u) {
		return console.WrongUse{Err: err}
	}
	return err
}

// recipe returns what the flags ask for.
func (f *practiceMakeFlags) recipe(s scenarios.Scenario) (practice.Recipe, practice.Public, error) {
	comma, err := decimalComma(f.decimal)
	if err != nil {
		return practice.Recipe{}, practice.Public{}, err
	}
	if !slices.Contains(sheet.Languages(), f.language) {
		return practice.Recipe{}, practice.Public{}, console.WrongUsef("--language is %q; it must be one of %s", f.language, strings.Join(sheet.Languages(), ", "))
	}
	var levels []string
	for _, v := range s.Practice {
		levels = append(levels, v.Name)
	}
	i := slices.IndexFunc(s.Practice, func(v population.Variation) bool { return v.Name == f.level })
	if i < 0 {
		return practice.Recipe{}, practice.Public{}, console.WrongUsef("--level is %q; it must be one of %s", f.level, strings.Join(levels, ", "))
	}
	r := practice.Recipe{Apparatus: s.Apparatus, Variation: s.Practice[i], Blind: f.blind, Faults: f.faults}
	how := practice.Presentation{Language: f.language, DecimalComma: comma, LargePrint: f.large, Grey: f.grey}
	public := r.Public(s.Title, how)
	if public.Scheme, err = schemeOf(s); err != nil {
		return practice.Recipe{}, practice.Public{}, console.WrongUse{Err: err}
	}
	if f.scheme != "" {
		if public.Scheme, err = readScheme(f.scheme); err != nil {
			return practice.Recipe{}, practice.Public{}, console.WrongUse{Err: err}
		}
	}
	return r, public, nil
}

// schemeOf returns the mark scheme of a scenario.
func schemeOf(s scenarios.Scenario) (practice.Scheme, error) {
	m := s.MarkScheme
	scheme, err := practice.NewScheme(m.Points, m.Tolerances, m.Costs, m.Intercept)
	var wrong *practice.SchemeError
	if errors.As(err, &wrong) {
		return scheme, m.Fault(wrong.Key, "practice."+wrong.Problem)
	}
	return scheme, err
}

// runAgain makes the files of a set once more from its key.
func (f *practiceMakeFlags) runAgain(ctx context.Context, c console.Console, flags *pflag.FlagSet, words []string) error {
	if len(words) > 0 {
		return console.WrongUsef("--again takes everything from the key; %q is too much", words[0])
	}
	var extra string
	flags.Visit(func(flag *pflag.Flag) {
		if !slices.Contains([]string{"again", "out", "passphrase-file"}, flag.Name) {
			extra = flag.Name
		}
	})
	if extra != "" {
		return console.WrongUsef("--again takes everything from the key; --%s is too much", extra)
	}
	passphrase, err := f.passphrase.read(ctx, c, false)
	if err != nil {
		return err
	}
	file, err := os.ReadFile(f.again)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	key, err := practice.OpenKey(bytes.NewReader(file), practice.Lock{Passphrase: passphrase, Work: practice.Work})
	if err != nil {
		return console.WrongUsef("%s: %w", f.again, err)
	}
	count := 0
	err = files.WriteFolder(f.out, func(dir string) error {
		err := makeSet(ctx, dir, key.Public, func(each func(practice.Record) error) error {
			for {
				r, err := key.Next()
				if errors.Is(err, io.EOF) {
					return nil
				}
				if err != nil {
					return console.WrongUsef("%s: %w", f.again, err)
				}
				count++
				if err := each(r); err != nil {
					return err
				}
			}
		})
		if err != nil {
			return err
		}
		return files.WritePlainPrivate(filepath.Join(dir, keyFile), func(w io.Writer) error { _, err := w.Write(file); return err })
	})
	if err != nil {
		return err
	}
	f.report(c, count)
	return nil
}

// report says what was made, and what is for whom.
func (f *practiceMakeFlags) report(c console.Console, count int) {
	fmt.Fprintf(c.Out, "%d sheets with their readings: %s\n", count, filepath.Join(f.out, studentsFolder))
	fmt.Fprintf(c.Out, "to be filled in:               %s\n", filepath.Join(f.out, answersFile))
	fmt.Fprintf(c.Out, "the sealed key, for staff:     %s\n", filepath.Join(f.out, keyFile))
}

// makeSet writes the files of each student that records hands over, and the
// empty table of answers.
func makeSet(ctx context.Context, dir string, public practice.Public, records func(each func(practice.Record) error) error) error {
	printer, err := sheet.NewPrinter(public.Presentation)
	if err != nil {
		return err
	}
	return files.WritePlain(filepath.Join(dir, answersFile), func(w io.Writer) error {
		answers, err := practice.NewAnswerWriter(w, public)
		if err != nil {
			return err
		}
		err = records(func(r practice.Record) error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := writeHandout(dir, printer, r.Handout(public)); err != nil {
				return err
			}
			return answers.Write(r.Student)
		})
		if err != nil {
			return err
		}
		return answers.Flush()
	})
}

// writeHandout writes what one student gets.
func writeHandout(dir string, printer *sheet.Printer, h practice.Handout) error {
	base := filepath.Join(dir, studentsFolder, h.Student.ID)
	err := files.WritePlain(base+".csv", func(w io.Writer) error { return h.Presentation.WriteRun(w, h.Run) })
	if err != nil {
		return err
	}
	return files.WritePlain(base+".html", console.CleanText(func(w io.Writer) error { return printer.Sheet(w, h) }))
}
