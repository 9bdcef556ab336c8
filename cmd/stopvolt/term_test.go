package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// terms is the number of terms that the test below invents; the script of all checks
// asks for twenty.
func terms() int {
	if os.Getenv("STOPVOLT_LONG") != "" {
		return 20
	}
	return 2
}

// In invented terms each planted fault is found, by the commands of the README, and
// nothing else. Seeds are 1, 2, ...; by the stated levels one term of a hundred has a
// false outlier, and another a false warning.
func TestPlantedFaultsOfATermAreFoundAndNothingElse(t *testing.T) {
	if _, err := exec.LookPath("bash"); err != nil {
		t.Skip("the script that invents a term needs bash")
	}
	name := program(t)
	script, err := filepath.Abs("../../testdata/term/make.sh")
	if err != nil {
		t.Fatal(err)
	}
	for seed := 1; seed <= terms(); seed++ {
		dir := t.TempDir()
		make := exec.Command("bash", script, fmt.Sprint(seed), dir)
		make.Env = append(os.Environ(), "STOPVOLT="+name)
		if out, err := make.CombinedOutput(); err != nil {
			t.Fatalf("seed %d: %v\n%s", seed, err, out)
		}
		found := readTerm(t, name, dir)
		if want := planted(t, dir); !slices.Equal(found, want) {
			t.Errorf("seed %d: found %q, planted %q", seed, found, want)
		}
	}
}

// readTerm returns what the program finds in a term, a word or two a fault.
func readTerm(t *testing.T, name, dir string) []string {
	t.Helper()
	out, err := exec.Command(name, "groups", filepath.Join(dir, "term.csv"), "--ledger", filepath.Join(dir, "benches.csv"), "--json").Output()
	if err != nil {
		t.Fatal(err)
	}
	var term struct {
		Groups []struct {
			Group  string
			Pooled bool
			Remark string
		}
		Findings []struct{ Group, Check, Setting string }
		Alike    []any
		Warnings []struct{ Bench string }
	}
	if err := json.Unmarshal(out, &term); err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, f := range term.Findings {
		found = append(found, f.Check+" "+f.Group)
	}
	for _, g := range term.Groups {
		if g.Remark == "outlier" {
			found = append(found, "outlier "+g.Group)
		}
		if spoiled := slices.ContainsFunc(found, func(f string) bool { return strings.HasSuffix(f, " "+g.Group) }); spoiled == g.Pooled {
			t.Errorf("%s: pooled is %v", g.Group, g.Pooled)
		}
	}
	for range term.Alike {
		found = append(found, "alike")
	}
	for _, w := range term.Warnings {
		found = append(found, "ageing "+w.Bench)
	}
	slices.Sort(found)
	return slices.Compact(found)
}

// planted returns what was planted in a term, in the same words.
func planted(t *testing.T, dir string) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "planted.txt"))
	if err != nil {
		t.Fatal(err)
	}
	check := map[string]string{"swapped": "order group ", "sign": "sign group ", "short": "plateau group ", "ageing": "ageing "}
	var want []string
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		kind, which, _ := strings.Cut(line, " ")
		want = append(want, check[kind]+which)
	}
	slices.Sort(want)
	return want
}
