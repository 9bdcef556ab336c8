package console

import (
	"fmt"
	"io"
	"os"

	"golang.org/x/term"
)

// Ask asks for a passphrase at a terminal, which does not show it.
func Ask(w io.Writer, terminal *os.File, question string) ([]byte, error) {
	fmt.Fprint(w, question)
	defer fmt.Fprintln(w)
	return term.ReadPassword(int(terminal.Fd()))
}
