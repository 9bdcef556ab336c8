package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// writes is how the help of a flag begins that names where something is written.
var writes = regexp.MustCompile(`^(write|draw|the new folder|with --key: keep|the ledger, a)`)

// Every flag that names a file or a folder to be written is looked at before the
// work, so that no hour is lost for a name that cannot be.
func TestEveryDestinationIsCheckedBeforeTheWork(t *testing.T) {
	inTheWay := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(inTheWay, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	seen := make(map[string]bool)
	for _, k := range commands() {
		all, _ := prepared(k)
		all.VisitAll(func(f *pflag.Flag) {
			if !writes.MatchString(f.Usage) {
				return
			}
			seen[f.Name] = true
			flags, _ := prepared(k)
			words := []string{"--" + f.Name, filepath.Join(inTheWay, "below.html")}
			if f.Name == "ledger" {
				words = append(words, "--bench", "window")
			}
			if err := flags.Parse(words); err != nil {
				t.Fatal(err)
			}
			if err := checkDestinations(flags); err == nil || !strings.Contains(err.Error(), "--"+f.Name) {
				t.Errorf("stopvolt %s --%s below a file: %v", k.name, f.Name, err)
			}
		})
	}
	for _, name := range []string{"out", "report", "chart", "ledger"} {
		if !seen[name] {
			t.Errorf("no flag --%s is known to write", name)
		}
	}
}

// A ledger that is only read may lie where nothing can be written.
func TestALedgerThatIsReadIsNoDestination(t *testing.T) {
	for _, k := range commands() {
		flags, _ := prepared(k)
		if flags.Lookup("ledger") == nil {
			continue
		}
		if err := flags.Parse([]string{"--ledger", "/nowhere/below/benches.csv"}); err != nil {
			t.Fatal(err)
		}
		for _, d := range destinations(flags) {
			t.Errorf("stopvolt %s: --%s counts as a destination", k.name, d.flag)
		}
	}
}
