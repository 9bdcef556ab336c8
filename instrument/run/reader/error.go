package reader

import (
	"fmt"
	"strings"
)

// An Error is a fault in an input file: what is wrong, where, and what would
// be right.
type Error struct {
	// File is the name of the file as the caller gave it.
	File string
	// Line and Column are counted from 1; 0 says that the fault has no such
	// place. In a text file Column is the byte in the line, in a spreadsheet
	// they are the row and the column of the cell.
	Line, Column int
	// Text says what is wrong and what would be right.
	Text string
}

// Error returns file:line:column: text in one line.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(e.Text)
	return b.String()
}

// shown quotes a piece of input for a message, cut to a readable length.
func shown(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "..."
	}
	return fmt.Sprintf("%q", s)
}
