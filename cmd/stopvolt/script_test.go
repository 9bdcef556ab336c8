package main

import (
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"stopvolt": main})
}

// The scripts run the command as a user does, exit codes included.
func TestCommandLine(t *testing.T) {
	real, err := filepath.Abs("../../testdata/real")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("REAL", real)
			e.Setenv("REAL2", real+"2")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "answer": answer, "hostile": hostile},
	})
}
