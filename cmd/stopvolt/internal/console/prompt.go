package console

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"golang.org/x/term"
)

// Ask asks for a passphrase at a terminal, which does not show it. An interrupt
// gives the terminal back as it was found.
func Ask(ctx context.Context, w io.Writer, terminal *os.File, question string) ([]byte, error) {
	fd := int(terminal.Fd())
	before, err := term.GetState(fd)
	if err != nil {
		return nil, err
	}
	fmt.Fprint(w, question)
	defer fmt.Fprintln(w)
	type answer struct {
		text []byte
		err  error
	}
	answers := make(chan answer, 1)
	go func() {
		text, err := term.ReadPassword(fd)
		answers <- answer{text, err}
	}()
	select {
	case a := <-answers:
		if errors.Is(a.err, io.EOF) {
			return nil, WrongUsef("the input ended before there was a passphrase; nothing was written")
		}
		return a.text, a.err
	case <-ctx.Done():
		// The reading goes on and cannot be stopped; it is the terminal's echo
		// that must not stay off.
		return nil, errors.Join(ctx.Err(), term.Restore(fd, before))
	}
}
