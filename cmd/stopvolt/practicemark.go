package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/sheet"
	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// practiceMarkFlags are those of the command practice mark.
type practiceMarkFlags struct {
	passphrase passphraseFlags
	key        string
	overrides  string
	scheme     string
	intercept  string
	second     string
	due        string
	extraTime  string
	sample     int
	out        string
	json       bool
	logbooks   string
}

// practiceMarkCommand marks the answers to a practice set.
func practiceMarkCommand() command {
	return command{
		name:      "practice mark",
		arguments: "ANSWERS.csv",
		summary:   "mark the answers to a practice set, and say what each student can try",
		examples: `  stopvolt practice mark --key set/set.key set/answers.csv
  stopvolt practice mark --key set/set.key set/answers.csv --out marked
  stopvolt practice mark --key set/set.key set/answers.csv --overrides decisions.csv --out marked
  stopvolt practice mark --key set/set.key set/answers.csv --second again.csv --sample 6 --out marked
  stopvolt practice mark --key set/set.key set/answers.csv --due "2026-11-25 12:00" --extra-time extra.csv
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(practiceMarkFlags)
			flags.StringVar(&f.key, "key", "", "the sealed `KEY` of the set")
			flags.StringVar(&f.overrides, "overrides", "", "your decisions, a table `FILE.csv` with the columns student_id, points and reason")
			flags.StringVar(&f.scheme, "scheme", "", "mark by the scheme in `FILE.toml` instead of that of the set")
			flags.StringVar(&f.intercept, "intercept", "", "what the intercept may be called: `collector|either`; either accepts the emitter's (photocathode's) work function, too")
			flags.StringVar(&f.second, "second", "", "a second submission, a table `FILE.csv` like that of the answers; the better one counts")
			flags.StringVar(&f.due, "due", "", "end of the time, `TIME` such as \"2026-11-25 12:00\"; later answers, by their column handed_in, are named")
			flags.StringVar(&f.extraTime, "extra-time", "", "who has more time, a table `FILE.csv` with the columns student_id and minutes")
			flags.StringVar(&f.logbooks, "logbooks", "", "take the readings from the students' own logbooks, student_id.csv in the folder `DIR`, as stopvolt rehearse --key hands them in")
			flags.IntVar(&f.sample, "sample", 0, "name `N` sheets for a second marker, from the lowest to the highest; --out writes moderation.csv")
			flags.StringVar(&f.out, "out", "", "write grades, feedback and the class summary to the folder `DIR`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			f.passphrase.add(flags)
			return f.run
		},
	}
}

func (f *practiceMarkFlags) run(ctx context.Context, c console.Console, words []string) error {
	switch {
	case f.key == "":
		return console.WrongUsef("practice mark needs --key, the sealed key of the set")
	case len(words) != 1:
		return console.WrongUsef("name one table of answers; - is standard input")
	case f.sample < 0:
		return console.WrongUsef("--sample is %d; it must be 0 or more", f.sample)
	case f.extraTime != "" && f.due == "":
		return console.WrongUsef("--extra-time needs --due, the end of the others' time")
	}
	passphrase, err := f.passphrase.read(ctx, c, false)
	if err != nil {
		return err
	}
	key, file, err := openKey(f.key, passphrase)
	if err != nil {
		return err
	}
	defer file.Close()
	marks, err := f.marks(c, key, words[0])
	if err != nil {
		return err
	}
	if f.out != "" {
		if err := f.write(ctx, key.Public, marks); err != nil {
			return err
		}
	}
	for _, m := range marks {
		for _, u := range m.Answer.Unreadable {
			fmt.Fprintln(c.Err, u.Message)
		}
	}
	told := result.Practice{Public: key.Public, Marks: marks, Sample: practice.Sample(marks, f.sample)}
	if f.json {
		return result.WriteJSON(c.Data, told.Object())
	}
	return told.Print(c.Out)
}

// marks reads answers, decisions and what else there is, and marks them.
func (f *practiceMarkFlags) marks(c console.Console, key *practice.KeyReader, name string) ([]practice.Mark, error) {
	what, err := f.marking(c, key, name)
	if err != nil {
		return nil, console.WrongUse{Err: err}
	}
	marks, err := practice.MarkClass(key, what)
	if err == nil {
		for _, id := range slices.Sorted(maps.Keys(what.Deadline.Extra)) {
			if !slices.ContainsFunc(marks, func(m practice.Mark) bool { return m.Student.ID == id }) {
				return nil, console.WrongUsef("%s: student_id %q has extra time and is not in the key; look to the letters", f.extraTime, id)
			}
		}
	}
	var stranger *practice.StrangerError
	var tooMany *practice.OverrideError
	at := func(file string, line int) error {
		return console.WrongUse{Err: &reader.Error{File: file, Line: line, Text: err.Error()}}
	}
	switch {
	case errors.As(err, &tooMany):
		return nil, at(f.overrides, tooMany.Line)
	case errors.As(err, &stranger) && stranger.Override:
		return nil, at(f.overrides, stranger.Line)
	case errors.As(err, &stranger) && stranger.Second:
		return nil, at(f.second, stranger.Line)
	case errors.As(err, &stranger):
		return nil, at(name, stranger.Line)
	case err != nil:
		return nil, console.WrongUsef("%s: %w", f.key, err)
	}
	return marks, nil
}

// marking reads what the flags name.
func (f *practiceMarkFlags) marking(c console.Console, key *practice.KeyReader, name string) (practice.Marking, error) {
	var what practice.Marking
	for _, table := range []struct {
		name string
		read func(reader.Source) error
	}{
		{name, func(s reader.Source) (err error) {
			what.Answers, err = practice.ReadAnswers(s, reader.Options{}, key.Public.Settings)
			return err
		}},
		{f.second, func(s reader.Source) (err error) {
			what.Second, err = practice.ReadAnswers(s, reader.Options{}, key.Public.Settings)
			return err
		}},
		{f.overrides, func(s reader.Source) (err error) {
			what.Overrides, err = practice.ReadOverrides(s, reader.Options{})
			return err
		}},
		{f.extraTime, func(s reader.Source) (err error) {
			what.Deadline.Extra, err = practice.ReadExtraTime(s, reader.Options{})
			return err
		}},
	} {
		if table.name == "" {
			continue
		}
		if err := readFrom(c, table.name, table.read); err != nil {
			return what, err
		}
	}
	var err error
	if f.due != "" {
		if what.Deadline.Due, err = practice.ParseTime(f.due); err != nil {
			return what, fmt.Errorf("--due: %w", err)
		}
	}
	if f.logbooks != "" {
		if info, err := os.Stat(f.logbooks); err != nil || !info.IsDir() {
			return what, fmt.Errorf("--logbooks: %s is not a folder; name the one with the students' logbooks, such as logbooks in what rehearse --out made", f.logbooks)
		}
		what.Logbook = func(student string) (run.Run, bool, error) { return readLogbook(c, f.logbooks, student) }
	}
	what.Scheme, err = f.markScheme(key.Public.Scheme)
	return what, err
}

// readLogbook reads a student's logbook from a folder; ok is false where there is
// none.
func readLogbook(c console.Console, dir, student string) (logbook run.Run, ok bool, err error) {
	name := filepath.Join(dir, student+".csv")
	if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
		return run.Run{}, false, nil
	}
	logbook, _, err = reader.ReadFiles([]string{name}, c.In, reader.Options{})
	return logbook, err == nil, err
}

// markScheme returns the scheme that the flags ask for instead of that of the set,
// nil where they ask for none.
func (f *practiceMarkFlags) markScheme(own practice.Scheme) (*practice.Scheme, error) {
	if f.scheme == "" && f.intercept == "" {
		return nil, nil
	}
	scheme := own
	if f.scheme != "" {
		var err error
		if scheme, err = readScheme(f.scheme); err != nil {
			return nil, err
		}
	}
	switch f.intercept {
	case "":
	case practice.Collectors, practice.Either:
		scheme.Intercept = f.intercept
	default:
		return nil, fmt.Errorf("--intercept is %q; it must be %s or %s", f.intercept, practice.Collectors, practice.Either)
	}
	return &scheme, nil
}

// readScheme reads a mark scheme from a file.
func readScheme(name string) (practice.Scheme, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return practice.Scheme{}, fmt.Errorf("--scheme: %w", err)
	}
	return practice.ReadScheme(name, text)
}

// The files of a marked set.
const (
	gradesFile     = "grades.csv"
	summaryFile    = "summary.html"
	classPicture   = "class"
	feedbackFolder = "feedback"
	moderationFile = "moderation.csv"
)

// write writes the files of a marked set.
func (f *practiceMarkFlags) write(ctx context.Context, public practice.Public, marks []practice.Mark) error {
	printer, err := sheet.NewPrinter(public.Presentation)
	if err != nil {
		return err
	}
	picture, err := printer.Figure(marks)
	if err != nil {
		return err
	}
	for _, format := range []string{figure.SVG, figure.PNG} {
		err := files.Write(filepath.Join(f.out, classPicture+"."+format), func(w io.Writer) error { return picture.Save(w, format) })
		if err != nil {
			return err
		}
	}
	err = files.WritePrivate(filepath.Join(f.out, gradesFile), func(w io.Writer) error {
		return practice.WriteGrades(w, public.Presentation, marks)
	})
	if err != nil {
		return err
	}
	err = files.WritePrivate(filepath.Join(f.out, summaryFile), console.CleanText(func(w io.Writer) error {
		return printer.Summary(w, public, marks, picture)
	}))
	if err != nil {
		return err
	}
	if f.sample > 0 {
		err := files.Write(filepath.Join(f.out, moderationFile), func(w io.Writer) error {
			return practice.WriteSample(w, public.Presentation, marks, practice.Sample(marks, f.sample))
		})
		if err != nil {
			return err
		}
	}
	for _, m := range marks {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := files.WritePrivate(filepath.Join(f.out, feedbackFolder, m.Student.ID+".html"), console.CleanText(func(w io.Writer) error {
			return printer.Feedback(w, m)
		}))
		if err != nil {
			return err
		}
	}
	return nil
}
