package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"stopvolt/cmd/stopvolt/internal/console"
)

// terminals returns the two ends of a new terminal: a person's and a program's
// (Linux, pts(4)).
func terminals(t *testing.T) (person, program *os.File) {
	t.Helper()
	person, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no terminal: %v", err)
	}
	t.Cleanup(func() { person.Close() })
	if err := unix.IoctlSetPointerInt(int(person.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(int(person.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { program.Close() })
	return person, program
}

// echoes reports whether a terminal shows what is typed.
func echoes(t *testing.T, terminal *os.File) bool {
	t.Helper()
	state, err := unix.IoctlGetTermios(int(terminal.Fd()), unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	return state.Lflag&unix.ECHO != 0
}

// At the prompt for a passphrase the terminal does not show what is typed. Ctrl-C
// there ends the program with exit code 130 and Ctrl-D with 2; both give the
// echo back, and nothing is written.
func TestThePromptGivesTheEchoBack(t *testing.T) {
	name := program(t)
	made := filepath.Join(t.TempDir(), "made")
	secret := filepath.Join(t.TempDir(), "passphrase")
	if err := os.WriteFile(secret, []byte("four words of straw\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(name, "practice", "make", "--count", "1", "--passphrase-file", secret, "--out", made).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	const interrupted, ended = "interrupted; nothing was written", "the input ended before there was a passphrase; nothing was written"
	for _, c := range []struct {
		title, key, said string
		words            []string
		code             int
	}{
		{"make and Ctrl-C", "\x03", interrupted, []string{"practice", "make", "--count", "2", "--out", "OUT"}, console.Interrupted},
		{"make and Ctrl-D", "\x04", ended, []string{"practice", "make", "--count", "2", "--out", "OUT"}, console.BadUse},
		{"mark and Ctrl-C", "\x03", interrupted, []string{"practice", "mark", "--key", filepath.Join(made, keyFile), filepath.Join(made, answersFile), "--out", "OUT"}, console.Interrupted},
		{"mark and Ctrl-D", "\x04", ended, []string{"practice", "mark", "--key", filepath.Join(made, keyFile), filepath.Join(made, answersFile), "--out", "OUT"}, console.BadUse},
		{"rehearse and Ctrl-C", "\x03", interrupted, []string{"rehearse", "--forget", "--key", filepath.Join(made, keyFile), "--out", "OUT"}, console.Interrupted},
		{"rehearse and Ctrl-D", "\x04", ended, []string{"rehearse", "--forget", "--key", filepath.Join(made, keyFile), "--out", "OUT"}, console.BadUse},
	} {
		t.Run(c.title, func(t *testing.T) {
			person, program := terminals(t)
			out := filepath.Join(t.TempDir(), "set")
			words := slices.Clone(c.words)
			words[len(words)-1] = out
			command := exec.Command(name, words...)
			command.Env = append(os.Environ(), "STOPVOLT_PASSPHRASE=")
			command.Stdin, command.Stdout, command.Stderr = program, program, program
			command.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
			var mutex sync.Mutex
			var shown bytes.Buffer
			go func() {
				b := make([]byte, 4096)
				for {
					n, err := person.Read(b)
					mutex.Lock()
					shown.Write(b[:n])
					mutex.Unlock()
					if err != nil {
						return
					}
				}
			}()
			screen := func() string {
				mutex.Lock()
				defer mutex.Unlock()
				return shown.String()
			}
			if err := command.Start(); err != nil {
				t.Fatal(err)
			}
			for limit := time.Now().Add(20 * time.Second); !strings.Contains(screen(), "Passphrase") || echoes(t, program); {
				if time.Now().After(limit) {
					t.Fatalf("no prompt without echo: %q", screen())
				}
				time.Sleep(5 * time.Millisecond)
			}
			start := time.Now()
			if _, err := person.WriteString(c.key); err != nil {
				t.Fatal(err)
			}
			err := command.Wait()
			if took := time.Since(start); took > promptly {
				t.Errorf("it ends after %v", took)
			}
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != c.code {
				t.Errorf("it ends with %v, want exit code %d", err, c.code)
			}
			if !echoes(t, program) {
				t.Error("the terminal shows nothing any more")
			}
			time.Sleep(50 * time.Millisecond)
			if !strings.Contains(screen(), c.said) {
				t.Errorf("it says %q", screen())
			}
			if _, err := os.Stat(out); err == nil {
				t.Error("something was written")
			}
		})
	}
}
