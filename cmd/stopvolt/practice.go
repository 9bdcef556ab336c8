package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/instrument/run/reader"
)

// The files and folders of a practice set. What is handed out lies apart from
// what is not.
const (
	studentsFolder = "students"
	answersFile    = "answers.csv"
	keyFile        = "set.key"
)

// passphraseVariable is the variable of the environment that may hold the
// passphrase.
const passphraseVariable = "STOPVOLT_PASSPHRASE"

// shortestPassphrase is in bytes. A key can be guessed at by anybody who has the
// file, a tenth of a second a guess.
const shortestPassphrase = 8

// passphraseFlags tell where the passphrase comes from. It is never a flag's
// value, which other users of the machine could see.
type passphraseFlags struct {
	file string
}

// add adds the flag to a set.
func (p *passphraseFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&p.file, "passphrase-file", "", "read the passphrase from the first line of `FILE`; by default it is asked for, or taken from "+passphraseVariable)
}

// read returns the passphrase, which is asked for twice where it is new.
func (p *passphraseFlags) read(ctx context.Context, c console.Console, isNew bool) ([]byte, error) {
	passphrase, err := p.source(ctx, c, isNew)
	switch {
	case err != nil:
		return nil, err
	case len(passphrase) == 0:
		return nil, console.WrongUsef("the passphrase is empty; a few words are needed")
	case isNew && len(passphrase) < shortestPassphrase:
		return nil, console.WrongUsef("the passphrase has %d bytes; %d or more are needed, such as four words", len(passphrase), shortestPassphrase)
	}
	return passphrase, nil
}

// source reads the passphrase from where it is.
func (p *passphraseFlags) source(ctx context.Context, c console.Console, isNew bool) ([]byte, error) {
	if p.file != "" {
		f, err := os.Open(p.file)
		if err != nil {
			return nil, console.WrongUsef("--passphrase-file: %w", err)
		}
		defer f.Close()
		line, err := bufio.NewReader(io.LimitReader(f, 4096)).ReadBytes('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, console.WrongUsef("--passphrase-file: %w", err)
		}
		return bytes.TrimRight(line, "\r\n"), nil
	}
	if text := os.Getenv(passphraseVariable); text != "" {
		return []byte(text), nil
	}
	in := c.Terminal()
	if in == nil {
		return nil, console.WrongUsef("there is no terminal to ask for the passphrase at; give --passphrase-file, or set %s", passphraseVariable)
	}
	first, err := console.Ask(ctx, c.Err, in, "Passphrase of the key: ")
	if err != nil || !isNew {
		return first, err
	}
	second, err := console.Ask(ctx, c.Err, in, "Once more: ")
	if err == nil && !bytes.Equal(first, second) {
		return nil, console.WrongUsef("the two passphrases differ; nothing was written")
	}
	return first, err
}

// readFrom hands an input file to a function, under the name that its errors
// use; "-" is standard input.
func readFrom(c console.Console, name string, read func(reader.Source) error) error {
	if name == "-" {
		return read(reader.Source{Name: "standard input", Reader: c.In})
	}
	f, err := os.Open(name)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	defer f.Close()
	return read(reader.Source{Name: name, Reader: f})
}

// openKey opens a key file; the caller closes it.
func openKey(name string, passphrase []byte) (*practice.KeyReader, io.Closer, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, console.WrongUse{Err: err}
	}
	k, err := practice.OpenKey(f, practice.Lock{Passphrase: passphrase, Work: practice.Work})
	if err != nil {
		f.Close()
		return nil, nil, console.WrongUsef("%s: %w", name, err)
	}
	return k, f, nil
}

// decimalComma reads the name of a decimal mark.
func decimalComma(name string) (bool, error) {
	switch strings.ToLower(name) {
	case "point":
		return false, nil
	case "comma":
		return true, nil
	}
	return false, console.WrongUsef("--decimal is %q; it must be point or comma", name)
}
