// Package page writes a report: a page to show to a class or to print: one file of HTML
// that needs no network, no script and no other file.
//
// A page is a struct of plain data, which the commands fill; equal data give
// equal bytes. A Block is text, a list, terms, a table or a figure; to add a
// kind, give it a field and its lines in page.html.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Page is one self-contained page.
type Page struct {
	// Title is the page's heading, and Lead one sentence under it.
	Title, Lead string
	// Findings are the sentences that a reader in a hurry needs; they may be
	// none.
	Findings []string
	// Sections follow in this order.
	Sections []Section
	// Safety are the cautions, at least one.
	Safety []string
	// Made says how the page was made: terms such as version, seed and
	// command.
	Made []Term
}

// A Section is a part of a page under a heading of its own.
type Section struct {
	// ID names the section in links; it has no blanks.
	ID      string
	Heading string
	Blocks  []Block
}

// A Block is one thing on a page: exactly one field is set.
type Block struct {
	// Text is a paragraph.
	Text string
	// List has an entry for each point.
	List []string
	// Terms are words with what they stand for.
	Terms []Term
	// Table is a table in sight, and Folded one that opens on a click and is
	// always open on paper.
	Table, Folded *Table
	Figure        *Figure
}

// A Term is a word with what it stands for.
type Term = words.Term

// A Table has the same number of cells in each row as there are Columns.
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]string
}

// A Column has numbers, or else text.
type Column struct {
	Name    string
	Numbers bool
}

// Numbered returns columns of numbers.
func Numbered(names ...string) []Column {
	var columns []Column
	for _, name := range names {
		columns = append(columns, Column{name, true})
	}
	return columns
}

// A Figure is a picture with what it shows, and perhaps its numbers.
type Figure struct {
	// Picture is shown in its layout for small screens, too.
	Picture figure.Picture
	Caption string
	Data    *Table
}

//go:embed page.html
var source string

//go:embed style.css
var style string

// layout is the template; it is checked when the program starts.
var layout = template.Must(template.New("page").Funcs(template.FuncMap{
	"style": func() template.CSS { return template.CSS(style) },
	"svg":   figure.Picture.Element,
	"narrow": func(p figure.Picture) *figure.Picture {
		if n, ok := p.Narrow(); ok {
			return &n
		}
		return nil
	},
}).Parse(source))

// Write writes the page. The error says which table does not fit, or is the
// writer's.
func (p Page) Write(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	// A page that fails on the way must not be seen.
	return console.CleanText(func(w io.Writer) error { return layout.Execute(w, p) })(w)
}

// check says what does not fit.
func (p Page) check() error {
	if p.Title == "" || len(p.Safety) == 0 || len(p.Made) == 0 {
		return fmt.Errorf("page %q: a title, the cautions, and how it was made are needed", p.Title)
	}
	for _, s := range p.Sections {
		for _, block := range s.Blocks {
			tables := []*Table{block.Table, block.Folded}
			if block.Figure != nil {
				tables = append(tables, block.Figure.Data)
			}
			for _, t := range tables {
				if err := t.check(); err != nil {
					return fmt.Errorf("section %q: %w", s.Heading, err)
				}
			}
		}
	}
	return nil
}

// check says which row has too few or too many cells.
func (t *Table) check() error {
	if t == nil {
		return nil
	}
	for i, row := range t.Rows {
		if len(row) != len(t.Columns) {
			return fmt.Errorf("table %q, row %d: %d cells for %d columns", t.Caption, i+1, len(row), len(t.Columns))
		}
	}
	return nil
}
