package main

import (
	"io"
	"os"
	"strings"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
)

// checkReport says what is wrong with the name of a page; empty is none.
func checkReport(name string) error {
	if name != "" && !strings.HasSuffix(name, ".html") && !strings.HasSuffix(name, ".htm") {
		return console.WrongUsef("--report is %q; name a file that ends in .html", name)
	}
	return nil
}

// writePage writes a page to a file.
func writePage(name string, make func() (page.Page, error)) error {
	p, err := make()
	if err != nil {
		return err
	}
	return files.Write(name, func(w io.Writer) error { return p.Write(w) })
}

// origin tells how a page is made.
func origin(seed uint64) page.Origin {
	return page.Origin{Build: version(), Words: os.Args[1:], Seed: seed}
}
