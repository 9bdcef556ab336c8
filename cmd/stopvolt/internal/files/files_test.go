package files

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// text writes a text.
func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

// names returns the names in a folder.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

// A writing that fails leaves the old file as it was, and nothing beside it.
func TestAFailedWritingLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	if err := Write(name, text("old")); err != nil {
		t.Fatal(err)
	}
	failed := errors.New("no more")
	err := Write(name, func(w io.Writer) error { fmt.Fprint(w, "half of the n"); return failed })
	if !errors.Is(err, failed) {
		t.Errorf("the error is %v", err)
	}
	if got, err := os.ReadFile(name); err != nil || string(got) != "old" {
		t.Errorf("the file holds %q, %v", got, err)
	}
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("there are %q", got)
	}
	if err := WriteFolder(filepath.Join(dir, "set"), func(string) error { return failed }); !errors.Is(err, failed) {
		t.Errorf("the error of the folder is %v", err)
	}
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("after the folder there are %q", got)
	}
}

// gone returns the number of a process that has ended.
func gone(t *testing.T) int {
	t.Helper()
	c := exec.Command("go", "version")
	if err := c.Run(); err != nil {
		t.Fatal(err)
	}
	return c.Process.Pid
}

// What a process left half-written goes once the process is gone; that of one
// that runs, or of another machine, stays, and so does everything else.
func TestLeavingsGoOnlyOnceTheirProcessIsGone(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	below := filepath.Join(out, "feedback")
	if err := os.MkdirAll(below, 0o777); err != nil {
		t.Fatal(err)
	}
	dead, here := gone(t), machine()
	stays := []string{
		filepath.Join(out, fmt.Sprintf(".a.csv.%s-%d-1.unfinished", here, os.Getppid())),
		filepath.Join(out, fmt.Sprintf(".a.csv.0badcafe-%d-1.unfinished", dead)),
		filepath.Join(out, ".mine.unfinished"),
		filepath.Join(out, "a.csv"),
		filepath.Join(dir, fmt.Sprintf("out.%s-%d-1.unfinished", here, dead)),
	}
	goes := []string{
		filepath.Join(out, fmt.Sprintf(".a.csv.%s-%d-1.unfinished", here, dead)),
		filepath.Join(below, fmt.Sprintf(".b.html.%s-%d-22.unfinished", here, dead)),
		filepath.Join(dir, fmt.Sprintf(".out.%s-%d-3.unfinished", here, dead)),
		filepath.Join(out, fmt.Sprintf(".c.csv.%s-%d-4.unfinished", here, os.Getpid())),
	}
	for _, name := range append(append([]string{}, stays...), goes...) {
		if err := os.WriteFile(name, nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	RemoveLeavings(out)
	for _, name := range stays {
		if _, err := os.Stat(name); err != nil {
			t.Errorf("%s is gone", filepath.Base(name))
		}
	}
	for _, name := range goes {
		if _, err := os.Stat(name); err == nil {
			t.Errorf("%s is still there", filepath.Base(name))
		}
	}
}

// The name under which a file is written is that of a leaving.
func TestAnUnfinishedNameIsKnownAgain(t *testing.T) {
	for _, base := range []string{"a.csv", "set", "Größe 3.html", "x.1234abcd-5-6.unfinished"} {
		name, err := unfinished(filepath.Join(t.TempDir(), base))
		if err != nil || !isLeaving(filepath.Base(name)) {
			t.Errorf("%q is written as %q, %v", base, name, err)
		}
	}
}

// A destination that cannot be is told, and looking at one leaves nothing.
func TestCheckTellsADestinationThatCannotBe(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name     string
		isFolder bool
		fits     bool
	}{
		{filepath.Join(dir, "new"), true, true},
		{filepath.Join(dir, "deep", "er", "new.csv"), false, true},
		{dir, true, true},
		{file, false, true},
		{dir, false, false},
		{file, true, false},
		{filepath.Join(file, "below.csv"), false, false},
		{filepath.Join(file, "below"), true, false},
	} {
		if err := Check(c.name, c.isFolder); (err == nil) != c.fits {
			t.Errorf("%s, a folder: %v: %v", c.name[len(dir):], c.isFolder, err)
		}
	}
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("there are %q", got)
	}
}
