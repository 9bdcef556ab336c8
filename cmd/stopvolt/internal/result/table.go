package result

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"stopvolt/cmd/stopvolt/internal/console"
)

// A Table is what people read: cells under headings.
type Table struct {
	Headings []string
	// Numbers tells the columns that end at their right edge.
	Numbers []bool
	Rows    [][]string
}

// table returns rows as a table for the terminal or a page.
func (cs Columns[R]) table(f Form, rows []R) Table {
	var t Table
	columns := cs.in(f)
	for _, c := range columns {
		t.Headings = append(t.Headings, console.OneLine(c.title()))
		t.Numbers = append(t.Numbers, !c.isText(rows))
	}
	for _, row := range rows {
		var cells []string
		for _, c := range columns {
			// A name may have ends of lines in it.
			cells = append(cells, console.OneLine(c.shown(row)))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

// Print prints a table in columns, each line after an indent.
func (t Table) Print(w io.Writer, indent string) error {
	lines := append([][]string{t.Headings}, t.Rows...)
	widths := make([]int, len(t.Headings))
	for _, cells := range lines {
		for i, c := range cells {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	// A line that ends in an empty cell must not end in blanks.
	var b strings.Builder
	out := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, cells := range lines {
		for i, c := range cells {
			if i > 0 {
				fmt.Fprint(out, "\t")
			}
			// The writer of columns knows one alignment for all; numbers are
			// filled up to their column's width first.
			if t.Numbers[i] {
				c = strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c)) + c
			}
			fmt.Fprint(out, c)
		}
		fmt.Fprintln(out)
	}
	if err := out.Flush(); err != nil {
		return err
	}
	for _, line := range strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n") {
		if _, err := fmt.Fprintln(w, strings.TrimRight(indent+line, " ")); err != nil {
			return err
		}
	}
	return nil
}
