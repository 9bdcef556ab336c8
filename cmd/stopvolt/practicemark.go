package main

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"github.com/spf13/pflag"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/sheet"
	"stopvolt/instrument/run/reader"
)

// practiceMarkFlags are those of the command practice mark.
type practiceMarkFlags struct {
	passphrase passphraseFlags
	key        string
	overrides  string
	out        string
	json       bool
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
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(practiceMarkFlags)
			flags.StringVar(&f.key, "key", "", "the sealed `KEY` of the set")
			flags.StringVar(&f.overrides, "overrides", "", "your decisions, a table `FILE.csv` with the columns student_id, points and reason")
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
	told := result.Practice{Public: key.Public, Marks: marks}
	if f.json {
		return result.WriteJSON(c.Data, told.Object())
	}
	return told.Print(c.Out)
}

// marks reads answers and decisions, and marks them.
func (f *practiceMarkFlags) marks(c console.Console, key *practice.KeyReader, name string) ([]practice.Mark, error) {
	var answers []practice.Answer
	err := readFrom(c, name, func(s reader.Source) (err error) {
		answers, err = practice.ReadAnswers(s, reader.Options{}, key.Public.Settings)
		return err
	})
	if err != nil {
		return nil, console.WrongUse{Err: err}
	}
	var overrides map[string]practice.Override
	if f.overrides != "" {
		err := readFrom(c, f.overrides, func(s reader.Source) (err error) {
			overrides, err = practice.ReadOverrides(s, reader.Options{})
			return err
		})
		if err != nil {
			return nil, console.WrongUse{Err: err}
		}
	}
	marks, err := practice.MarkClass(key, answers, overrides)
	var stranger *practice.StrangerError
	var tooMany *practice.OverrideError
	switch {
	case errors.As(err, &tooMany):
		return nil, console.WrongUse{Err: &reader.Error{File: f.overrides, Line: tooMany.Line, Text: err.Error()}}
	case errors.As(err, &stranger) && stranger.Override:
		return nil, console.WrongUse{Err: &reader.Error{File: f.overrides, Line: stranger.Line, Text: err.Error()}}
	case errors.As(err, &stranger):
		return nil, console.WrongUse{Err: &reader.Error{File: name, Line: stranger.Line, Text: err.Error()}}
	case err != nil:
		return nil, console.WrongUsef("%s: %w", f.key, err)
	}
	return marks, nil
}

// The files of a marked set.
const (
	gradesFile     = "grades.csv"
	summaryFile    = "summary.html"
	classPicture   = "class"
	feedbackFolder = "feedback"
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
		return printer.Summary(w, public, marks, classPicture+"."+figure.SVG)
	}))
	if err != nil {
		return err
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
