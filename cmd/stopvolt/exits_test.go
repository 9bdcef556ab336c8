package main

import (
	"errors"
	"os/exec"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// exits runs a command line and checks its exit code, and that an error is told
// in a single line: exits CODE PROGRAM ARGUMENT...
func exits(ts *testscript.TestScript, negate bool, words []string) {
	if negate || len(words) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGUMENT...")
	}
	want, err := strconv.Atoi(words[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(words[1], words[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
	if told := ts.ReadFile("stderr"); want == 2 && (strings.Count(told, "\n") != 1 || !strings.HasSuffix(told, "\n")) {
		ts.Fatalf("standard error is not one line:\n%s", told)
	}
}
