package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/scenarios"
)

// A command is what comes after stopvolt.
type command struct {
	// name is one word, or two for the commands of a family.
	name string
	// arguments describes the words after the name, such as "[SCENARIO]".
	arguments string
	// summary is one sentence without a full stop.
	summary string
	// examples are command lines with a comment each.
	examples string
	// prepare adds the command's flags to a set and returns the function that
	// runs it once they are parsed.
	prepare func(*pflag.FlagSet) action
}

// action carries out a command on the words that are not flags. Results go to
// the console's out, everything else to its err.
type action func(ctx context.Context, c console.Console, words []string) error

// commands returns all commands in the order of the help.
func commands() []command {
	return []command{
		studyCommand(),
		budgetCommand(),
		kneeCommand(),
		mergeCommand(),
		sweepCommand(),
		floatingCommand(),
		rehearseCommand(),
		extractCommand(),
		lineCommand(),
		checkCommand(),
		groupsCommand(),
		planCommand(),
		matchCommand(),
		scenariosCommand(),
		methodsCommand(),
		practiceMakeCommand(),
		practiceMarkCommand(),
		completionCommand(),
	}
}

// grace is how long a command may take to stop by itself once it is told to.
const grace = time.Second

// execute carries out a command line and returns the exit code. Told to stop, it
// ends soon even where the command does not listen.
func execute(ctx context.Context, c console.Console, words []string) int {
	start := time.Now()
	ended := make(chan error, 1)
	go func() { ended <- dispatch(ctx, c, words) }()
	var err error
	select {
	case err = <-ended:
	case <-ctx.Done():
		select {
		case err = <-ended:
		case <-time.After(grace):
			// The command goes on writing to the console until the program
			// ends, so that nothing may be flushed.
			return interrupted(c, words, start, context.Canceled)
		}
	}
	if flushed := c.Flush(); err == nil && flushed != nil {
		err = flushed
	}
	var use console.WrongUse
	var stopped console.Interruption
	switch {
	case err == nil:
		return console.Done
	case ctx.Err() != nil || errors.As(err, &stopped):
		return interrupted(c, words, start, err)
	}
	fmt.Fprintf(c.Err, "stopvolt: %s\n", console.OneLine(console.Plain(err.Error())))
	if errors.As(err, &use) {
		return console.BadUse
	}
	return console.Failed
}

// interrupted says what a command that was told to stop has kept.
func interrupted(c console.Console, words []string, start time.Time, err error) int {
	var told console.Interruption
	if !errors.As(err, &told) {
		told.Kept = kept(words, start)
	}
	fmt.Fprintf(c.Err, "stopvolt: %s\n", console.OneLine(told.Error()))
	return console.Interrupted
}

// dispatch finds the command, parses its flags and runs it.
func dispatch(ctx context.Context, c console.Console, words []string) error {
	if len(words) == 0 {
		return console.WrongUsef("a command is needed, such as stopvolt study; stopvolt --help lists them")
	}
	switch words[0] {
	case "-h", "--help", "help":
		overview(c.Out)
		return nil
	case "--version":
		fmt.Fprintln(c.Out, "stopvolt", version())
		return nil
	}
	if members := family(words[0]); len(members) > 0 && len(words) == 1 {
		helpFamily(c.Out, members)
	} else if len(members) > 0 && slices.Contains([]string{"-h", "--help", "help"}, words[1]) {
		helpFamily(c.Out, members)
		return nil
	}
	k, rest, err := commandNamed(words)
	if err != nil {
		return err
	}
	flags, act := prepared(k)
	switch err := flags.Parse(rest); {
	case errors.Is(err, pflag.ErrHelp):
		help(c.Out, k, flags)
		return nil
	case err != nil:
		return console.WrongUsef("%s: %w; stopvolt %s --help lists the flags", k.name, err, k.name)
	}
	if err := checkDestinations(flags); err != nil {
		return err
	}
	return act(ctx, c, flags.Args())
}

// prepared returns the flags of a command and the function that runs it once
// they are parsed.
func prepared(k command) (*pflag.FlagSet, action) {
	flags := pflag.NewFlagSet(k.name, pflag.ContinueOnError)
	flags.SortFlags = false
	flags.Usage = func() {}
	return flags, k.prepare(flags)
}

// commandNamed finds the command that words begin with, and returns the rest of
// them.
func commandNamed(words []string) (command, []string, error) {
	for _, k := range commands() {
		name := strings.Fields(k.name)
		if len(words) >= len(name) && slices.Equal(name, words[:len(name)]) {
			return k, words[len(name):], nil
		}
	}
	var names []string
	for _, k := range family(words[0]) {
		names = append(names, "stopvolt "+k.name)
	}
	switch {
	case len(names) > 0 && len(words) > 1 && !strings.HasPrefix(words[1], "-"):
		return command{}, nil, console.WrongUsef("%s %s is not a command; there are %s", words[0], words[1], strings.Join(names, ", "))
	case len(names) > 0:
		return command{}, nil, console.WrongUsef("%s needs one more word: %s", words[0], strings.Join(names, ", "))
	}
	return command{}, nil, console.WrongUsef("%q is not a command; stopvolt --help lists them", words[0])
}

// family returns the commands of two words that begin with one.
func family(first string) []command {
	var members []command
	for _, k := range commands() {
		if strings.HasPrefix(k.name, first+" ") {
			members = append(members, k)
		}
	}
	return members
}

// helpFamily prints the pages of the commands of a family.
func helpFamily(w io.Writer, members []command) {
	for i, k := range members {
		if i > 0 {
			fmt.Fprintln(w)
		}
		flags, _ := prepared(k)
		help(w, k, flags)
	}
}

// overview prints the commands.
func overview(w io.Writer) {
	fmt.Fprint(w, "stopvolt measures how each way of reading a stopping voltage biases h/e.\n\nCommands:\n")
	for _, k := range commands() {
		fmt.Fprintf(w, "  %-14s %s\n", k.name, k.summary)
	}
	fmt.Fprint(w, "\nstopvolt COMMAND --help tells more; stopvolt --version says which build this is.\n")
}

// help prints the page of one command.
func help(w io.Writer, k command, flags *pflag.FlagSet) {
	fmt.Fprintf(w, "usage: stopvolt %s\n\n%s.\n", strings.TrimSpace(k.name+" "+k.arguments+" [flags]"), k.summary)
	if flags.HasFlags() {
		fmt.Fprintf(w, "\nFlags:\n%s", flags.FlagUsages())
	}
	fmt.Fprintf(w, "\nExamples:\n%s", k.examples)
}

// scenarioFlags are the flags of every command that takes a scenario.
type scenarioFlags struct {
	set []string
	// other is the scenario of a command that has another default.
	other string
}

// add adds the flags to a set.
func (s *scenarioFlags) add(flags *pflag.FlagSet) {
	flags.StringArrayVar(&s.set, "set", nil, "change a key of the scenario, `KEY=VALUE` (may be repeated)")
}

// load returns the scenario that the words name, the default one for none.
func (s *scenarioFlags) load(words []string) (scenarios.Scenario, error) {
	if len(words) > 1 {
		return scenarios.Scenario{}, console.WrongUsef("one scenario at a time; %q is one too many", words[1])
	}
	name := cmp.Or(s.other, scenarios.Default)
	if len(words) == 1 {
		name = words[0]
	}
	scenario, err := scenarios.Load(name, s.set)
	if err != nil {
		return scenarios.Scenario{}, console.WrongUse{Err: err}
	}
	return scenario, nil
}

// titled returns the title of a scenario with what was assigned to it.
func titled(s scenarios.Scenario) string {
	if len(s.Assignments) == 0 {
		return s.Title
	}
	return s.Title + ", with " + strings.Join(s.Assignments, ", ")
}

// methodsNamed returns the methods of a comma-separated list, all for none.
func methodsNamed(names []string) ([]analysis.Method, error) {
	if len(names) == 0 {
		return analysis.Methods(), nil
	}
	var methods []analysis.Method
	for _, name := range names {
		m, err := analysis.ByName(strings.TrimSpace(name))
		if err != nil {
			return nil, console.WrongUse{Err: err}
		}
		if slices.ContainsFunc(methods, func(other analysis.Method) bool { return other.Name() == m.Name() }) {
			return nil, console.WrongUsef("--methods names %s twice", m.Name())
		}
		methods = append(methods, m)
	}
	return methods, nil
}

// fitsNamed returns the line fits of a comma-separated list.
func fitsNamed(names []string) ([]analysis.LineFit, error) {
	var fits []analysis.LineFit
	for _, name := range names {
		name = strings.TrimSpace(name)
		all := analysis.LineFits()
		i := slices.IndexFunc(all, func(f analysis.LineFit) bool { return f.Name() == name })
		if i < 0 {
			var known []string
			for _, f := range all {
				known = append(known, f.Name())
			}
			return nil, console.WrongUsef("--fits has no %q; the lines are %s", name, strings.Join(known, ", "))
		}
		if slices.ContainsFunc(fits, func(f analysis.LineFit) bool { return f.Name() == name }) {
			return nil, console.WrongUsef("--fits names %s twice", name)
		}
		fits = append(fits, all[i])
	}
	if len(fits) == 0 {
		return nil, console.WrongUsef("--fits names no line")
	}
	return fits, nil
}
