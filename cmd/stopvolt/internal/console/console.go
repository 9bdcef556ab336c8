// Package console is where a command reads and writes: its streams, its exit
// codes, prompts, progress, and text laid out and cleaned for a terminal.
package console

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
)

// The exit codes.
const (
	Done        = 0
	Failed      = 1
	BadUse      = 2
	Interrupted = 130
)

// A Console is where a command reads and writes.
type Console struct {
	In io.Reader
	// Out takes results as text for people, and Data those for programs, such
	// as JSON and CSV, on the same stream. Err takes everything else. What goes
	// to people is clean.
	Out, Data, Err io.Writer
	// terminal is where progress is shown, nil for nowhere.
	terminal *os.File
	buffer   *bufio.Writer
}

// New returns a console on three streams. What is written to Out and Data is
// held back until Flush.
func New(in io.Reader, out, err io.Writer) Console {
	c := Console{In: in, Err: Cleaned(err), buffer: bufio.NewWriter(out)}
	c.Out, c.Data = Cleaned(c.buffer), c.buffer
	if isTerminal(out) {
		c.Data = c.Out
	}
	if isTerminal(err) {
		c.terminal = err.(*os.File)
	}
	return c
}

// Flush writes what was held back.
func (c Console) Flush() error { return c.buffer.Flush() }

// isTerminal reports whether a stream is a terminal.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// Terminal returns the terminal that a person can be asked at, nil for none.
func (c Console) Terminal() *os.File {
	if !isTerminal(c.In) {
		return nil
	}
	return c.In.(*os.File)
}

// An Interruption is the end of a command that was told to stop. It says in plain
// words what was kept.
type Interruption struct{ Kept string }

// Error says what was kept.
func (i Interruption) Error() string { return "interrupted; " + i.Kept }

// A WrongUse is an error in what the user typed or supplied.
type WrongUse struct{ Err error }

// Error returns the error's text.
func (w WrongUse) Error() string { return w.Err.Error() }

// Unwrap returns the error itself.
func (w WrongUse) Unwrap() error { return w.Err }

// WrongUsef returns an error for wrong use or bad input.
func WrongUsef(format string, args ...any) error { return WrongUse{fmt.Errorf(format, args...)} }

// Tell prints remarks, a line each.
func (c Console) Tell(remarks ...string) {
	for _, r := range remarks {
		fmt.Fprintf(c.Err, "stopvolt: %s\n", OneLine(Plain(r)))
	}
}

// OneLine folds the lines of a text into one.
func OneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Clip cuts a text to a number of characters.
func Clip(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// Fold breaks a text into lines of at most a width in characters, each after an
// indent.
func Fold(text string, width int, indent string) string {
	var lines []string
	line := indent
	for _, word := range strings.Fields(text) {
		if line != indent && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	return strings.Join(append(lines, line), "\n")
}
