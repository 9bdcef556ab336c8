// Package files writes files and folders that appear whole or not at all.
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

// Write writes a file that appears whole or not at all: it is written
// beside its place, synced, and renamed. Folders that lead to it are made.
func Write(name string, write func(io.Writer) error) (err error) {
	dir := filepath.Dir(name)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			// The first error is the one to tell.
			f.Close()
			os.Remove(f.Name())
		}
	}()
	buffered := bufio.NewWriter(f)
	if err = write(buffered); err != nil {
		return err
	}
	if err = buffered.Flush(); err != nil {
		return err
	}
	// A temporary file is for its owner alone; results are for whoever may
	// read the folder.
	if err = f.Chmod(0o644); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}

// WriteFolder makes a folder of files that appears whole or not at all: it is
// filled beside its place, synced, and renamed. A folder of the name must not
// exist yet, or be empty.
func WriteFolder(name string, fill func(dir string) error) (err error) {
	name = filepath.Clean(name)
	switch entries, err := os.ReadDir(name); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return console.WrongUse{Err: err}
	case len(entries) > 0:
		return console.WrongUsef("%s holds files already; name a new folder", name)
	}
	parent := filepath.Dir(name)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(parent, "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(dir)
		}
	}()
	if err = fill(dir); err != nil {
		return err
	}
	if err = syncFiles(dir); err != nil {
		return err
	}
	// A temporary folder is for its owner alone.
	if err = os.Chmod(dir, 0o755); err != nil {
		return err
	}
	// An empty folder gives way; one that is not stays, and the rename fails.
	if err = os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(dir, name)
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

// WritePlain writes a file of a folder that WriteFolder. Folders that lead
// to it are made.
func WritePlain(name string, write func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return err
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriter(f)
	if err := write(buffered); err != nil {
		f.Close()
		return err
	}
	if err := buffered.Flush(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// RemoveIfThere removes a file that need not exist.
func RemoveIfThere(name string) error {
	if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
