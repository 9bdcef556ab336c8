package console

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"unicode/utf8"

	"golang.org/x/term"
)

// The keys that a prompt obeys, as a terminal sends them (ASCII, ANSI X3.4).
const (
	ctrlC     = 0x03
	ctrlD     = 0x04
	backspace = 0x08
	ctrlU     = 0x15
	rubout    = 0x7f
)

// Ask asks for a passphrase at a terminal, which does not show it, and gives the
// terminal back as it was found, whatever ends the question. Ctrl-C is an
// Interruption, and Ctrl-D before the first character the end of the input.
func Ask(ctx context.Context, w io.Writer, terminal *os.File, question string) (answer []byte, err error) {
	fd := int(terminal.Fd())
	fmt.Fprint(w, question)
	defer fmt.Fprintln(w)
	before, err := term.MakeRaw(fd)
	if err != nil {
		return nil, err
	}
	// Deferred last, so that the end of the line is written as it should be.
	defer func() { err = errors.Join(err, term.Restore(fd, before)) }()
	type line struct {
		text []byte
		err  error
	}
	lines := make(chan line, 1)
	go func() {
		text, err := readHidden(terminal)
		lines <- line{text, err}
	}()
	select {
	case l := <-lines:
		return l.text, l.err
	case <-ctx.Done():
		// The reading goes on until the program ends.
		return nil, ctx.Err()
	}
}

// readHidden reads a line from a terminal that hands over each key.
func readHidden(terminal io.Reader) ([]byte, error) {
	var text []byte
	key := make([]byte, 1)
	for {
		if _, err := io.ReadFull(terminal, key); err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		} else if err != nil {
			key[0] = ctrlD
		}
		switch key[0] {
		case '\r', '\n':
			return text, nil
		case ctrlC:
			return nil, Interruption{Kept: "nothing was written"}
		case ctrlD:
			if len(text) == 0 {
				return nil, WrongUsef("the input ended before there was a passphrase; nothing was written")
			}
			return text, nil
		case backspace, rubout:
			_, size := utf8.DecodeLastRune(text)
			text = text[:len(text)-size]
		case ctrlU:
			text = nil
		default:
			text = append(text, key[0])
		}
	}
}
