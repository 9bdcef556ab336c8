package main

import (
	"bytes"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"stopvolt/cmd/stopvolt/internal/console"
)

// kills is the number of times that the test below kills a study; the script of
// all checks asks for fifty.
func kills() int {
	if os.Getenv("STOPVOLT_LONG") != "" {
		return 50
	}
	return 4
}

// long are the words of a study that takes a second or two.
var long = []string{"study", "--replicates", "800", "--methods", "tangent,square-root,fowler-fit", "--json"}

// program builds the program once a test.
func program(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "stopvolt.exe")
	if out, err := exec.Command("go", "build", "-o", name, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return name
}

// Killed at random moments, a study that is resumed each time ends with the
// bytes of one that was left alone.
func TestAKilledStudyResumesToTheSameBytes(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	random := rand.New(rand.NewPCG(seed, 0))
	name := program(t)
	start := time.Now()
	want, err := exec.Command(name, long...).Output()
	if err != nil {
		t.Fatal(err)
	}
	alone := time.Since(start)
	for done := 0; done < kills(); {
		words := append(append([]string{}, long...), "--out", filepath.Join(t.TempDir(), "out"), "--resume")
		for range 1 + random.IntN(4) {
			kill(t, exec.Command(name, words...), time.Duration(random.Int64N(int64(alone))))
			done++
		}
		got, err := exec.Command(name, words...).Output()
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Fatalf("seed %d: after %d kills the resumed study differs", seed, done)
		}
	}
}

// kill starts a command and kills it after a while, unless it has ended.
func kill(t *testing.T, c *exec.Cmd, after time.Duration) {
	t.Helper()
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(after, func() {
		// The process may have ended by itself.
		_ = c.Process.Kill()
	})
	defer timer.Stop()
	var exit *exec.ExitError
	if err := c.Wait(); err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
}

func TestAnInterruptedStudyExits130AndResumes(t *testing.T) {
	name := program(t)
	dir := filepath.Join(t.TempDir(), "out")
	words := []string{"study", "--replicates", "20000", "--methods", "tangent", "--out", dir, "--resume"}
	c := exec.Command(name, words...)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond)
	if err := c.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := c.Wait(); !errors.As(err, &exit) || exit.ExitCode() != console.Interrupted {
		t.Fatalf("an interrupted study ends with %v, want exit code %d", err, console.Interrupted)
	}
	progress := filepath.Join(dir, "progress.json")
	if _, err := os.Stat(progress); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(name, words...).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if _, err := os.Stat(progress); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the progress of a finished study is still there: %v", err)
	}
}
