package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
)

// A destination is where a flag sends results.
type destination struct {
	flag, name string
	isFolder   bool
}

// destinations returns those that the flags of a command name.
func destinations(flags *pflag.FlagSet) []destination {
	var all []destination
	for _, name := range []string{"out", "report", "chart", "ledger"} {
		flag := flags.Lookup(name)
		if flag == nil || flag.Value.String() == "" || flag.Value.String() == "-" {
			continue
		}
		if name == "ledger" && (flags.Lookup("bench") == nil || !flags.Changed("bench")) {
			// It is read, if anything.
			continue
		}
		all = append(all, destination{name, flag.Value.String(), isFolder(flags, flag)})
	}
	return all
}

// isFolder reports whether a flag names a folder: as its help says, and where
// that leaves both open, by the ending of the name.
func isFolder(flags *pflag.FlagSet, flag *pflag.Flag) bool {
	name := flag.Value.String()
	switch what, _ := pflag.UnquoteUsage(flag); what {
	case "DIR":
		return !(flags.Changed("part") && strings.HasSuffix(name, ".json"))
	case "FILE.csv":
		return flag.Name == "out" && !strings.HasSuffix(name, ".csv")
	}
	return false
}

// checkDestinations says before the work where results could not be written, and
// takes away what killed runs have left there.
func checkDestinations(flags *pflag.FlagSet) error {
	for _, d := range destinations(flags) {
		if err := files.Check(d.name, d.isFolder); err != nil {
			return console.WrongUsef("--%s: %w", d.flag, err)
		}
		files.RemoveLeavings(d.name)
	}
	return nil
}

// kept says what an interrupted command has finished, and takes away what it has
// not.
func kept(words []string, start time.Time) string {
	k, rest, err := commandNamed(words)
	if err != nil {
		return "nothing was written"
	}
	flags, _ := prepared(k)
	if err := flags.Parse(rest); err != nil {
		return "nothing was written"
	}
	var there []string
	for _, d := range destinations(flags) {
		files.RemoveLeavings(d.name)
		if files.WrittenSince(d.name, start) {
			there = append(there, d.name)
		}
	}
	if there == nil {
		return "nothing was written"
	}
	return fmt.Sprintf("the files that were finished by then are kept in %s", strings.Join(there, " and "))
}
