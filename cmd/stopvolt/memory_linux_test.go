package main

import (
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

// mostMemory is the most in bytes that a command that is accepted may take.
const mostMemory = 1 << 30

// patience is how long a command below may go on before it is told to stop; the
// script of all checks lets it go on longer.
func patience() time.Duration {
	if os.Getenv("STOPVOLT_LONG") != "" {
		return time.Minute
	}
	return time.Second
}

// The largest commands that are accepted stay below a gibibyte, killed or not.
// What is measured is the largest resident size that the system saw (getrusage(2)).
func TestTheLargestCommandsStayBelowAGibibyteUntilKilled(t *testing.T) {
	name := program(t)
	dir := t.TempDir()
	in := func(file string) string { return filepath.Join(dir, file) }
	if err := os.WriteFile(in("passphrase"), []byte("four words of straw\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(name, "sweep", "--set", "plan.step_V=0.0001", "--out", in("long.csv")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	// As many readings as a term may have, and more.
	manifest := "group,bench,file\n"
	for i := range 20 {
		name := fmt.Sprintf("long%d.csv", i)
		if err := os.Link(in("long.csv"), in(name)); err != nil {
			t.Fatal(err)
		}
		manifest += fmt.Sprintf("g%d,b,%s\n", i, name)
	}
	if err := os.WriteFile(in("term.csv"), []byte(manifest), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("lines.toml"), []byte(manyLines(t, name)), 0o600); err != nil {
		t.Fatal(err)
	}
	intensities := strings.TrimSuffix(strings.Repeat("1,0.9,", mostIntensities/2), ",")
	for _, words := range [][]string{
		{"sweep", "--set", "plan.step_V=0.0001", "--out", in("made.csv")},
		{"sweep", "--transport", "electrons", "--electrons", "2147483647", "--no-noise"},
		{"study", "--max-replicates", "100000000", "--set", "plan.step_V=0.0001", "--until", "0.001"},
		{"study", "--replicates", "100000000", "--out", in("study")},
		{"study", "--replicates", "100000", "--vary", "plan.step_V=0.02:0.1:0.0001"},
		{"budget", "--set", "plan.step_V=0.001"},
		{"knee", "--electrons", "10000000", "--set", "plan.step_V=0.0001"},
		{"floating", "--resistance", "1e15", "--intensities", intensities},
		{"extract", in("long.csv")},
		{"extract", "--bootstrap", "1000000", in("long.csv")},
		{"check", in("long.csv")},
		{"match", in("long.csv"), "--benches", "100000"},
		{"groups", in("term.csv")},
		{"plan", "--benches", "20000"},
		{"sweep", in("lines.toml"), "--set", "plan.step_V=0.0005"},
		{"study", in("lines.toml"), "--replicates", "100000"},
		{"rehearse", "--forget", "--students", "500"},
		{"practice", "make", "--count", "100000", "--passphrase-file", in("passphrase"), "--out", in("set")},
	} {
		command := exec.Command(name, words...)
		var told strings.Builder
		command.Stdout, command.Stderr = io.Discard, &told
		if err := command.Start(); err != nil {
			t.Fatal(err)
		}
		stop := time.AfterFunc(patience(), func() {
			// The process may have ended by itself.
			_ = command.Process.Signal(syscall.SIGINT)
		})
		err := command.Wait()
		stop.Stop()
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			t.Fatal(err)
		}
		usage, ok := command.ProcessState.SysUsage().(*syscall.Rusage)
		if !ok {
			t.Fatal("the system does not tell the resident size")
		}
		short := strings.Join(words, " ")
		short = short[:min(len(short), 80)]
		// Linux counts in units of 1024 bytes.
		if size := usage.Maxrss * 1024; size > mostMemory {
			t.Errorf("stopvolt %s takes %d MiB", short, size>>20)
		} else {
			t.Logf("%d MiB, exit code %d: stopvolt %s", size>>20, command.ProcessState.ExitCode(), short)
		}
		if code := command.ProcessState.ExitCode(); code == console.BadUse || code < 0 {
			t.Errorf("it is not accepted: %.200s", told.String())
		}
	}
}

// manyLines returns a scenario with nearly as many spectral lines as there may
// be, between cylinders, which keep most of each line.
func manyLines(t *testing.T, name string) string {
	t.Helper()
	text, err := exec.Command(name, "scenarios", "lanternfell").Output()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.Write(text)
	for light := range 5 {
		lines := make([]string, 990)
		for i := range lines {
			lines[i] = fmt.Sprintf("%.2f", 300+0.05*float64(5*i+light))
		}
		fmt.Fprintf(&b, "\n[[light]]\nname = \"many%d\"\nnominal_nm = 436.0\nsource = { lines_nm = [%s], weights = [%s] }\nflux_W = 1e-7\n",
			light, strings.Join(lines, ", "), strings.TrimSuffix(strings.Repeat("1.0, ", len(lines)), ", "))
	}
	return strings.NewReplacer(`kind = "spheres"`, `kind = "cylinders"`).Replace(b.String())
}
