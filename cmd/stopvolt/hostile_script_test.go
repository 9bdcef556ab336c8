package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// hostile writes curves whose settings have names that a terminal would obey:
// hostile FILE.csv.
func hostile(ts *testscript.TestScript, negate bool, words []string) {
	if negate || len(words) != 1 {
		ts.Fatalf("usage: hostile FILE.csv")
	}
	var b strings.Builder
	b.WriteString("setting,wavelength_nm,retarding_V,current_A\n")
	for _, light := range []struct {
		name         string
		nm, stopping float64
	}{{"blue\x1b[2J\a", 436, 1.2}, {"green\u009b31m", 546, 0.9}, {"red\u202eder", 650, 0.6}} {
		for i := range 41 {
			v := float64(i) * 0.05
			current := 1e-10 * max(light.stopping-v, 0) * max(light.stopping-v, 0)
			fmt.Fprintf(&b, "\"%s\",%g,%.2f,%.4g\n", light.name, light.nm, v, current-1e-13)
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(words[0]), []byte(b.String()), 0o666))
}
