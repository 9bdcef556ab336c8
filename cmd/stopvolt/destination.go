package main

import (
	"fmt"
	"path/filepath"
	"slices"
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

// destinations returns those that the flags of a command name. A file is told
// from a folder by the ending of its name.
func destinations(flags *pflag.FlagSet) []destination {
	var all []destination
	for _, name := range []string{"out", "report"} {
		flag := flags.Lookup(name)
		if flag == nil || flag.Value.String() == "" || flag.Value.String() == "-" {
			continue
		}
		ending := strings.ToLower(filepath.Ext(flag.Value.String()))
		isFile := name == "report" || slices.Contains([]string{".csv", ".json"}, ending)
		all = append(all, destination{name, flag.Value.String(), !isFile})
	}
	return all
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
