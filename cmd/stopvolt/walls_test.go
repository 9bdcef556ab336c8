package main

import (
	"os/exec"
	"strings"
	"testing"
)

// walls names, for each package or family of packages that ends in "/...", what
// it must not depend on. The program draws and prints in cmd only, and the
// analysis cannot see the simulation.
var walls = []struct {
	packages string
	keepsOut []string
}{
	{"stopvolt/physics/...", []string{"stopvolt/instrument", "stopvolt/sim", "stopvolt/analysis", "stopvolt/scenarios", "stopvolt/cmd"}},
	{"stopvolt/instrument/...", []string{"stopvolt/sim", "stopvolt/analysis", "stopvolt/scenarios", "stopvolt/cmd"}},
	{"stopvolt/sim/...", []string{"stopvolt/analysis", "stopvolt/scenarios", "stopvolt/cmd"}},
	{"stopvolt/analysis", []string{"stopvolt/sim", "stopvolt/scenarios", "stopvolt/cmd"}},
	{"stopvolt/analysis/...", []string{"stopvolt/scenarios", "stopvolt/cmd"}},
	{"stopvolt/scenarios/...", []string{"stopvolt/sim", "stopvolt/analysis", "stopvolt/cmd"}},
	{"stopvolt/physics", importing},
	{"stopvolt/instrument", importing},
	{"stopvolt/instrument/run", importing},
	{"stopvolt/sim/...", importing},
	{"stopvolt/analysis", importing},
	{"stopvolt/analysis/study", importing},
	{"stopvolt/analysis/rehearsal", importing},
	{"stopvolt/scenarios/...", importing},
}

// importing is what reads the files of laboratories, and what that brings
// along. It hangs on commands and on practice sets alone.
var importing = []string{"stopvolt/instrument/run/reader", "github.com/xuri/excelize", "archive/zip", "net/http"}

// outsideCommands are libraries that only commands may depend on.
var outsideCommands = []string{"gonum.org/v1/plot", "github.com/spf13/pflag", "github.com/schollz/progressbar"}

// dependencies returns the packages that packages depend on, themselves
// included.
func dependencies(t *testing.T, packages string) []string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", packages).Output()
	if err != nil {
		t.Fatalf("go list %s: %v", packages, err)
	}
	return strings.Fields(string(out))
}

func TestImportsPointDownwards(t *testing.T) {
	for _, wall := range walls {
		for _, dependency := range dependencies(t, wall.packages) {
			for _, out := range append(wall.keepsOut, outsideCommands...) {
				if dependency == out || strings.HasPrefix(dependency, out+"/") {
					t.Errorf("%s depends on %s", wall.packages, dependency)
				}
			}
		}
	}
}

// The program that people run holds nothing that is for tests alone.
func TestTheProgramHoldsNoTestSupport(t *testing.T) {
	for _, dependency := range dependencies(t, "stopvolt/cmd/stopvolt") {
		if dependency == "testing" || dependency == "stopvolt/cmd/stopvolt/internal/browser" || strings.HasPrefix(dependency, "github.com/chromedp") {
			t.Errorf("the program depends on %s", dependency)
		}
	}
}

// The deprecated generator is the user's choice; one file knows it. Only
// commands serve, and only they and the practice sets read files of any
// laboratory.
func TestDirectImportsStayWhereTheyBelong(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}}: {{.Imports}}", "stopvolt/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(out), "\n") {
		name, imports, _ := strings.Cut(line, ":")
		if strings.Contains(imports, "golang.org/x/exp/rand") && name != "stopvolt/sim" {
			t.Errorf("the generator is imported by %s", name)
		}
		if strings.Contains(imports, "instrument/run/reader") && name != "stopvolt/analysis/practice" && !strings.HasPrefix(name, "stopvolt/cmd/") {
			t.Errorf("the readers of files are imported by %s", name)
		}
		if strings.Contains(imports, "net/http") && !strings.HasPrefix(name, "stopvolt/cmd/") {
			t.Errorf("net/http is imported by %s", name)
		}
	}
}
