package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"stopvolt/cmd/stopvolt/internal/console"
)

// promptly is how soon a command ends after Ctrl-C. A machine that is busy with
// other tests is given three times as long.
const promptly = 3 * 2 * time.Second

// One Ctrl-C ends every command that can take long, with exit code 130 and a
// line that says what was kept, and leaves nothing unfinished behind.
func TestCtrlCEndsEveryCommand(t *testing.T) {
	name := program(t)
	real, err := filepath.Glob("../../testdata/real/*.csv")
	if err != nil || len(real) == 0 {
		t.Fatalf("no real curves: %v", err)
	}
	passphrase := filepath.Join(t.TempDir(), "passphrase")
	if err := os.WriteFile(passphrase, []byte("four words of straw\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	run, table, term, set, state := filepath.Join(dir, "run.csv"), filepath.Join(dir, "table.csv"), filepath.Join(dir, "term.csv"), filepath.Join(dir, "set"), filepath.Join(dir, "state")
	key := filepath.Join(set, keyFile)
	for _, words := range [][]string{
		{"sweep", "--out", run},
		{"practice", "make", "--count", "2", "--passphrase-file", passphrase, "--out", set},
	} {
		if out, err := exec.Command(name, words...).CombinedOutput(); err != nil {
			t.Fatalf("stopvolt %s: %v\n%s", strings.Join(words, " "), err, out)
		}
	}
	if err := os.WriteFile(table, []byte("wavelength_nm,stopping_V\n365,1.27\n405,0.93\n436,0.7\n546,0.14\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	var manifest strings.Builder
	manifest.WriteString("group,bench,file\n")
	text, err := os.ReadFile(run)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 400 {
		fmt.Fprintf(&manifest, "g%d,b%d,%d.csv\n", i, i%5, i)
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.csv", i)), text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(term, []byte(manifest.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	intensities := strings.TrimSuffix(strings.Repeat("1,0.9,0.8,0.7,0.6,0.5,", 16), ",")
	for _, c := range []struct {
		title string
		words []string
		kept  string
	}{
		{"study", []string{"study", "--replicates", "1000000"}, "nothing was written"},
		{"study to a folder", []string{"study", "--replicates", "1000000", "--methods", "tangent", "--out", "OUT"}, "progress.json; the same command with --resume goes on"},
		{"study for a page", []string{"study", "--replicates", "1000000", "--report", "OUT.html"}, "nothing was written"},
		{"a part", []string{"study", "--replicates", "1000000", "--methods", "tangent", "--part", "1/2", "--out", "OUT.json"}, "--resume goes on"},
		{"a grid", []string{"study", "--replicates", "1000000", "--vary", "plan.step_V=0.05,0.1", "--out", "OUT"}, "nothing was written"},
		{"budget", []string{"budget", "--replicates", "1000000"}, "nothing was written"},
		{"sweep by electrons", []string{"sweep", "--transport", "electrons", "--electrons", "2000000000", "--out", "OUT.csv"}, "nothing was written"},
		{"floating", []string{"floating", "corrie-dale", "--resistance", "1e15", "--intensities", intensities, "--out", "OUT.csv"}, "nothing was written"},
		{"knee", []string{"knee", "corrie-dale", "--electrons", "10000000", "--out", "OUT"}, "nothing was written"},
		{"extract by the bootstrap", append([]string{"extract", "--bootstrap", "1000000", "--json"}, real...), "nothing was written"},
		{"extract from standard input", []string{"extract", "-"}, "nothing was written"},
		{"line from standard input", []string{"line", "-"}, "nothing was written"},
		{"match", []string{"match", run, "--out", "OUT"}, "nothing was written"},
		{"match from standard input", []string{"match", "-"}, "nothing was written"},
		{"plan", []string{"plan", "--out", "OUT.toml"}, "nothing was written"},
		{"a requirement", []string{"plan", "--require", "5"}, "nothing was written"},
		{"an explanation", []string{"line", table, "--explain"}, "nothing was written"},
		{"groups", []string{"groups", term, "--out", "OUT"}, "nothing was written"},
		{"groups from standard input", []string{"groups", "-"}, "nothing was written"},
		{"check from standard input", []string{"check", "-"}, "nothing was written"},
		{"a watch", []string{"check", "--watch", t.TempDir()}, "nothing was written"},
		{"rehearse", []string{"rehearse", "--state", state}, "the sessions are kept in " + state},
		{"rehearse for nothing", []string{"rehearse", "--forget"}, "no session is kept"},
		{"practice mark from standard input", []string{"practice", "mark", "--key", key, "--passphrase-file", passphrase, "-"}, "nothing was written"},
		{"practice make", []string{"practice", "make", "--count", "100000", "--passphrase-file", passphrase, "--out", "OUT"}, "nothing was written"},
	} {
		t.Run(c.title, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			words := make([]string, len(c.words))
			for i, w := range c.words {
				words[i] = strings.ReplaceAll(w, "OUT", filepath.Join(dir, "made"))
			}
			command := exec.Command(name, words...)
			// Standard input stays open and empty, as at a keyboard.
			in, err := command.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			defer in.Close()
			var told bytes.Buffer
			command.Stdout, command.Stderr = io.Discard, &told
			if err := command.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(700 * time.Millisecond)
			start := time.Now()
			if err := command.Process.Signal(syscall.SIGINT); err != nil {
				t.Fatal(err)
			}
			err = command.Wait()
			took := time.Since(start)
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != console.Interrupted {
				t.Fatalf("it ends with %v, want exit code %d\n%s", err, console.Interrupted, told.String())
			}
			t.Logf("after %v: %s", took.Round(time.Millisecond), told.String())
			if took > promptly {
				t.Errorf("it ends only after %v", took)
			}
			lines := strings.Split(strings.TrimSpace(told.String()), "\n")
			last := lines[len(lines)-1]
			if !strings.HasPrefix(last, "stopvolt: interrupted; ") || !strings.Contains(last, c.kept) || strings.Contains(told.String(), "context") {
				t.Errorf("it says %q", told.String())
			}
			if left := unfinishedIn(t, dir); len(left) > 0 {
				t.Errorf("it leaves %q", left)
			}
		})
	}
}

// unfinishedIn returns the names of what was left half-written in a folder.
func unfinishedIn(t *testing.T, dir string) []string {
	t.Helper()
	var left []string
	err := filepath.WalkDir(dir, func(name string, entry os.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, ".unfinished") {
			left = append(left, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return left
}
