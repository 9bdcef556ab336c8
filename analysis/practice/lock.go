package practice

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"

	"filippo.io/age"
)

// Work is how hard it is to guess the passphrase of a key: scrypt (RFC 7914) with
// r = 8 does 2^Work rounds over 128 r 2^Work bytes, 128 MiB.
const Work = 17

// A Lock is what keeps a key from those who should not read it. A locked file is
// one of the age format, version 1 (age-encryption.org/v1), with a passphrase as
// its only recipient, so that other programs of that format open it too.
type Lock struct {
	Passphrase []byte
	// Work is the base-2 logarithm of the rounds of scrypt, from 1 to 30: those of
	// a file that is written, and the most that one to be opened may ask for.
	Work int
}

// What can be wrong with a locked file. A change of the part that holds the wrapped
// key looks like a wrong passphrase, and a file cut off within one of its pieces of
// 64 KiB looks changed.
var (
	ErrPassphrase = errors.New("the passphrase is wrong")
	ErrChanged    = errors.New("the file was changed after it was made")
	ErrCutOff     = errors.New("the file is cut off")
)

// writer locks what is written to it, and must be closed to be complete.
func (l Lock) writer(w io.Writer) (io.WriteCloser, error) {
	recipient, err := age.NewScryptRecipient(string(l.Passphrase))
	if err != nil {
		return nil, err
	}
	recipient.SetWorkFactor(l.Work)
	return age.Encrypt(w, recipient)
}

// reader opens what was locked. Each byte that it hands out has been authenticated.
func (l Lock) reader(r io.Reader) (io.Reader, error) {
	file := bufio.NewReader(r)
	if err := l.checkHead(file); err != nil {
		return nil, err
	}
	identity, err := age.NewScryptIdentity(string(l.Passphrase))
	if err != nil {
		return nil, err
	}
	identity.SetMaxWorkFactor(l.Work)
	opened, err := age.Decrypt(file, identity)
	var wrong *age.NoIdentityMatchError
	switch {
	case errors.As(err, &wrong):
		return nil, fmt.Errorf("cannot be opened: %w", ErrPassphrase)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, fmt.Errorf("cannot be opened: %w", ErrCutOff)
	case err != nil:
		return nil, fmt.Errorf("cannot be opened: %w", ErrChanged)
	}
	return told{opened}, nil
}

// The first line of a locked file, and that of the keys before it.
const (
	head    = "age-encryption.org/v1\n"
	oldHead = "stopvolt sealed file 1\n"
)

// checkHead looks at the first two lines of a file, before any work is done for
// them.
func (l Lock) checkHead(file *bufio.Reader) error {
	// A passphrase's line has some forty letters.
	first, err := file.Peek(len(head) + 80)
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	switch {
	case bytes.HasPrefix(first, []byte(oldHead)):
		return errors.New("is a key of an earlier version, which this stopvolt does not open; mark its set with the version that made it, or make a new set")
	case !bytes.HasPrefix(first, []byte(head)):
		if len(first) > 0 && bytes.HasPrefix([]byte(head), first) {
			return fmt.Errorf("cannot be opened: %w", ErrCutOff)
		}
		return errors.New("is not a key; a file that practice make wrote is needed")
	}
	line, _, whole := bytes.Cut(first[len(head):], []byte("\n"))
	if !whole {
		return nil
	}
	if words := bytes.Fields(line); len(words) == 4 && string(words[1]) == "scrypt" {
		if work, err := strconv.Atoi(string(words[3])); err == nil && work > l.Work {
			return fmt.Errorf("asks for 2^%d rounds to derive its key, and 2^%d are the most that a key of a practice set has: %w", work, l.Work, ErrChanged)
		}
	}
	return nil
}

// told says of an opened file what is wrong with it in our own errors.
type told struct{ io.Reader }

func (t told) Read(p []byte) (int, error) {
	n, err := t.Reader.Read(p)
	switch {
	case err == nil, errors.Is(err, io.EOF):
		return n, err
	case errors.Is(err, io.ErrUnexpectedEOF):
		return n, fmt.Errorf("cannot be opened: %w", ErrCutOff)
	}
	return n, fmt.Errorf("cannot be opened: %w", ErrChanged)
}
