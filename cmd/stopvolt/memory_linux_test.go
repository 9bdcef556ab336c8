package main

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// mostMemory is the most in bytes that a command that is accepted may take.
const mostMemory = 1 << 30

// patience is how long a command below may go on before it is told to stop; the
// script of all checks lets it go on longer.
func patience() time.Duration {
	if os.Getenv("STOPVOLT_LONG") != "" {
		return time.Minute
	}
	return 2 * time.Second
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
		if code := command.ProcessState.ExitCode(); code != 0 && code != 130 {
			t.Errorf("it is not accepted: %.200s", told.String())
		}
	}
}
