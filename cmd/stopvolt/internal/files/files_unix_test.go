//go:build unix

package files

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// Grades and keys are for their owner alone; the rest is as the user's mask says.
func TestPermissionsFollowTheMaskButForWhatIsPrivate(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o027))
	dir := filepath.Join(t.TempDir(), "set")
	err := WriteFolder(dir, func(dir string) error {
		if err := WritePlainPrivate(filepath.Join(dir, "key"), text("")); err != nil {
			return err
		}
		return WritePlain(filepath.Join(dir, "answers.csv"), text(""))
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := WritePrivate(filepath.Join(dir, "grades.csv"), text("")); err != nil {
		t.Fatal(err)
	}
	if err := Write(filepath.Join(dir, "class.png"), text("")); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]os.FileMode{"": 0o750, "key": 0o600, "answers.csv": 0o640, "grades.csv": 0o600, "class.png": 0o640} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if got := info.Mode().Perm(); got != want {
			t.Errorf("%q has the permissions %o, not %o", name, got, want)
		}
	}
}
