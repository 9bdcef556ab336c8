package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// moments is the number of times that each command below is killed; the script
// of all checks asks for thirty, and STOPVOLT_MOMENTS for any number.
func moments() int {
	if n, err := strconv.Atoi(os.Getenv("STOPVOLT_MOMENTS")); err == nil && n > 0 {
		return n
	}
	if os.Getenv("STOPVOLT_LONG") != "" {
		return 30
	}
	return 3
}

// Killed at any moment, a command leaves of each file the old one or the new one
// and no part of one, and the next run takes away what it left unfinished.
func TestAKilledCommandLeavesOldOrNewFiles(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	random := rand.New(rand.NewPCG(seed, 0))
	name := program(t)
	dir := t.TempDir()
	in := func(file string) string { return filepath.Join(dir, file) }
	run := func(words ...string) {
		t.Helper()
		if out, err := exec.Command(name, words...).CombinedOutput(); err != nil {
			t.Fatalf("stopvolt %s: %v\n%s", strings.Join(words, " "), err, out)
		}
	}
	if err := os.WriteFile(in("passphrase"), []byte("four words of straw\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	run("sweep", "--seed", "1", "--out", in("old.csv"))
	run("sweep", "--seed", "2", "--out", in("new.csv"))
	studied := func(seed, out string) []string {
		return []string{"study", "--quiet", "--replicates", "300", "--methods", "tangent,square-root", "--seed", seed, "--resume", "--out", out}
	}
	for _, c := range []struct {
		title string
		// old and new are the command lines that make the old and the new files.
		old, new func(out string) []string
		// passing are the files that hold a time, or that go again.
		passing []string
		// whole says that the folder appears as one.
		whole bool
	}{
		{
			title: "extract",
			old: func(out string) []string {
				return []string{"extract", "--methods", "tangent", "--out", out, in("old.csv")}
			},
			new: func(out string) []string {
				return []string{"extract", "--methods", "tangent", "--out", out, in("new.csv")}
			},
		},
		{
			title:   "study",
			old:     func(out string) []string { return studied("1", out) },
			new:     func(out string) []string { return studied("2", out) },
			passing: []string{"run.json", "progress.json"},
		},
		{
			title: "practice make",
			new: func(out string) []string {
				return []string{"practice", "make", "--count", "5", "--passphrase-file", in("passphrase"), "--out", out}
			},
			whole: true,
		},
	} {
		t.Run(c.title, func(t *testing.T) {
			work := t.TempDir()
			out := filepath.Join(work, "out")
			var before map[string][]byte
			if c.old != nil {
				run(c.old(out)...)
				before = filesIn(t, out)
			}
			start := time.Now()
			fresh := filepath.Join(t.TempDir(), "fresh")
			run(c.new(fresh)...)
			alone := time.Since(start)
			after := filesIn(t, fresh)
			for i := range moments() {
				kill(t, exec.Command(name, c.new(out)...), time.Duration(random.Int64N(int64(alone)*11/10)))
				if _, err := os.Stat(out); err == nil {
					for file, text := range shown(filesIn(t, out)) {
						known := slices.ContainsFunc(c.passing, func(p string) bool { return filepath.Base(file) == p })
						_, expected := after[file]
						switch {
						case c.whole && !expected, !c.whole && !known && string(text) != string(before[file]) && string(text) != string(after[file]):
							t.Fatalf("seed %d, kill %d: %s is neither the old nor the new file", seed, i, file)
						}
					}
					if c.whole && len(filesIn(t, out)) != len(after) {
						t.Fatalf("seed %d, kill %d: the folder has %d files of %d", seed, i, len(filesIn(t, out)), len(after))
					}
				}
				if c.whole {
					if err := os.RemoveAll(out); err != nil {
						t.Fatal(err)
					}
				}
				if (i+1)%10 != 0 && i+1 != moments() {
					continue
				}
				run(c.new(out)...)
				if left := unfinishedIn(t, work); len(left) > 0 {
					t.Fatalf("seed %d, kill %d: the next run leaves %q", seed, i, left)
				}
				if got := filesIn(t, out); len(got) != len(after) {
					t.Fatalf("seed %d, kill %d: after the next run there are %d files, not %d", seed, i, len(got), len(after))
				}
				if c.whole {
					if err := os.RemoveAll(out); err != nil {
						t.Fatal(err)
					}
				}
				if c.old != nil {
					run(c.old(out)...)
				}
			}
		})
	}
}

// shown returns the files that do not lie hidden while they are written.
func shown(all map[string][]byte) map[string][]byte {
	there := make(map[string][]byte)
	for file, text := range all {
		if !strings.HasSuffix(file, ".unfinished") {
			there[file] = text
		}
	}
	return there
}
