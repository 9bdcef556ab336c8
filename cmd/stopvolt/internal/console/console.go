// Package console is where a command reads and writes: its streams, its exit
// codes, prompts, progress, and text laid out and cleaned for a terminal.
package console

import (
	"fmt"
	"io"
	"strings"
)

// The exit codes.
const (
	Done        = 0
	Failed      = 1
	BadUse      = 2
	Interrupted = 130
)

// A Console is where a command reads and writes. Results go to Out, everything
// else to Err.
type Console struct {
	In       io.Reader
	Out, Err io.Writer
}

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
		fmt.Fprintf(c.Err, "stopvolt: %s\n", OneLine(r))
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
