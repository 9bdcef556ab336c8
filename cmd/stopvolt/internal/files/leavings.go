package files

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
	"time"
)

// What is being written lies beside its place under a name that tells whose it
// is: .NAME.MACHINE-PROCESS-RANDOM.unfinished. What a kill leaves there is taken
// away by the next run that writes to the same place, once the process is gone.
// The machine is part of the name because a folder may be shared, and a process
// that is unknown here may be at work there.
var unfinishedName = regexp.MustCompile(`^\..+\.([0-9a-f]{8})-([0-9]+)-[0-9]+\.unfinished$`)

// longestName is the number of bytes of a name that its unfinished name keeps;
// file systems take 255 in all.
const longestName = 180

// unfinished returns the name under which something is written until it is
// whole.
func unfinished(name string) (string, error) {
	for range 100 {
		base := filepath.Base(name)
		base = base[:min(len(base), longestName)]
		beside := filepath.Join(filepath.Dir(name), fmt.Sprintf(".%s.%s-%d-%d.unfinished", base, machine(), os.Getpid(), rand.Uint32()))
		if _, err := os.Lstat(beside); os.IsNotExist(err) {
			return beside, nil
		} else if err != nil {
			return "", err
		}
	}
	return "", fmt.Errorf("%s: no name is free beside it", name)
}

// machine tells this machine from others.
func machine() string {
	name, err := os.Hostname()
	if err != nil {
		name = "unknown"
	}
	h := fnv.New32a()
	h.Write([]byte(name))
	return fmt.Sprintf("%08x", h.Sum32())
}

// deepest is how far below a destination leavings can lie.
const deepest = 2

// RemoveLeavings takes away what killed runs left half-written at a destination,
// a file or a folder, and in the folders below it. It is called before anything
// is written, so what bears this process's number is of a namesake that is gone.
// What cannot be taken away stays; it harms nobody.
func RemoveLeavings(destination string) {
	destination = filepath.Clean(destination)
	removeIn(filepath.Dir(destination), 0)
	removeIn(destination, deepest)
}

// removeIn takes the leavings in a folder away, and those some levels below.
func removeIn(dir string, levels int) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, entry := range entries {
		name := filepath.Join(dir, entry.Name())
		switch {
		case isLeaving(entry.Name()):
			_ = os.RemoveAll(name)
		case entry.IsDir() && levels > 0:
			removeIn(name, levels-1)
		}
	}
}

// isLeaving reports whether a name is that of something unfinished whose process
// is gone.
func isLeaving(name string) bool {
	parts := unfinishedName.FindStringSubmatch(name)
	if parts == nil || parts[1] != machine() {
		return false
	}
	process, err := strconv.Atoi(parts[2])
	return err == nil && (process == os.Getpid() || !running(process))
}

// Check says what keeps results from being written to a destination, a file or
// else a folder, before the work is done. Nothing is left behind.
func Check(destination string, isFolder bool) error {
	info, err := os.Stat(destination)
	switch {
	case err == nil && info.IsDir() && !isFolder:
		return fmt.Errorf("%s is a folder; name a file", destination)
	case err == nil && !info.IsDir() && isFolder:
		return fmt.Errorf("%s is a file; name a folder", destination)
	case err != nil && !missing(err):
		return err
	}
	dir := filepath.Clean(destination)
	if !isFolder {
		dir = filepath.Dir(dir)
	}
	for {
		info, err := os.Stat(dir)
		if err == nil && !info.IsDir() {
			return fmt.Errorf("%s is a file, so that nothing can lie in it", dir)
		}
		if err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if !missing(err) || parent == dir {
			return err
		}
		dir = parent
	}
	probe, err := unfinished(filepath.Join(dir, "probe"))
	if err != nil {
		return err
	}
	f, err := os.OpenFile(probe, os.O_WRONLY|os.O_CREATE|os.O_EXCL, private)
	if err != nil {
		return fmt.Errorf("nothing can be written into %s: %w", dir, cause(err))
	}
	f.Close()
	return os.Remove(probe)
}

// missing reports whether an error says that a file is not there, or that what
// leads to it is no folder.
func missing(err error) bool { return os.IsNotExist(err) || errors.Is(err, syscall.ENOTDIR) }

// cause returns what an error of a file system says without the name of the
// file, which may be a passing one.
func cause(err error) error {
	if e, ok := err.(*fs.PathError); ok {
		return e.Err
	}
	return err
}

// WrittenSince reports whether a file at a destination, or in a folder there, was
// finished after a time.
func WrittenSince(destination string, start time.Time) bool {
	found := false
	_ = filepath.WalkDir(destination, func(_ string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || unfinishedName.MatchString(entry.Name()) {
			return nil
		}
		info, err := entry.Info()
		// Clocks of file systems may be coarse.
		if err == nil && !info.ModTime().Before(start.Add(-10*time.Millisecond)) {
			found = true
			return filepath.SkipAll
		}
		return nil
	})
	return found
}
