// Package files writes files and folders that appear whole or not at all, and
// takes away what a killed program left half-written.
package files

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"stopvolt/cmd/stopvolt/internal/console"
)

// The permissions of what is written, less those that the user's mask takes
// away. Grades, feedback and keys are for their owner alone.
const (
	public  = 0o666
	private = 0o600
	folder  = 0o777
)

// Write writes a file that appears whole or not at all: it is written beside its
// place, synced, and renamed. Folders that lead to it are made.
func Write(name string, write func(io.Writer) error) error { return replace(name, public, write) }

// WritePrivate writes a file as Write does, for its owner alone.
func WritePrivate(name string, write func(io.Writer) error) error {
	return replace(name, private, write)
}

// replace writes a file with permissions.
func replace(name string, mode fs.FileMode, write func(io.Writer) error) (err error) {
	if err := os.MkdirAll(filepath.Dir(name), folder); err != nil {
		return err
	}
	beside, err := unfinished(name)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			// The first error is the one to tell.
			os.Remove(beside)
		}
	}()
	if err := fill(beside, mode, true, write); err != nil {
		return err
	}
	return os.Rename(beside, name)
}

// fill makes a new file, writes it, and brings it to the disk if asked to.
func fill(name string, mode fs.FileMode, sync bool, write func(io.Writer) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriter(f)
	err = write(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err == nil && sync {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

// WriteFolder makes a folder of files that appears whole or not at all: it is
// filled beside its place, synced, and renamed. A folder of the name must not
// exist yet, or be empty.
func WriteFolder(name string, fill func(dir string) error) (err error) {
	name = filepath.Clean(name)
	if err := CheckNew(name); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(name), folder); err != nil {
		return err
	}
	dir, err := unfinished(name)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(dir)
		}
	}()
	if err = os.Mkdir(dir, folder); err != nil {
		return err
	}
	if err = fill(dir); err != nil {
		return err
	}
	if err = syncFiles(dir); err != nil {
		return err
	}
	// An empty folder gives way; one that is not stays, and the rename fails.
	if err = os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(dir, name)
}

// CheckNew says what keeps a folder from being made under a name.
func CheckNew(name string) error {
	switch entries, err := os.ReadDir(name); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return console.WrongUse{Err: err}
	case len(entries) > 0:
		return console.WrongUsef("%s holds files already; name a new folder", name)
	}
	return nil
}

// syncFiles brings the files of a folder to the disk, several at a time, since
// a disk writes many as fast as one.
func syncFiles(dir string) error {
	const atOnce = 16
	var group errgroup.Group
	group.SetLimit(atOnce)
	err := filepath.WalkDir(dir, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		group.Go(func() error {
			f, err := os.OpenFile(name, os.O_WRONLY, 0)
			if err != nil {
				return err
			}
			return errors.Join(f.Sync(), f.Close())
		})
		return nil
	})
	return errors.Join(group.Wait(), err)
}

// WritePlain writes a file of a folder that WriteFolder makes. Folders that lead
// to it are made.
func WritePlain(name string, write func(io.Writer) error) error { return plain(name, public, write) }

// WritePlainPrivate writes a file as WritePlain does, for its owner alone.
func WritePlainPrivate(name string, write func(io.Writer) error) error {
	return plain(name, private, write)
}

func plain(name string, mode fs.FileMode, write func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(name), folder); err != nil {
		return err
	}
	return fill(name, mode, false, write)
}

// RemoveIfThere removes a file that need not exist.
func RemoveIfThere(name string) error {
	if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
