package main

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
)

// writeFile writes a file that appears whole or not at all: it is written
// beside its place, synced, and renamed. Folders that lead to it are made.
func writeFile(name string, write func(io.Writer) error) (err error) {
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
