// Package draw says which figures show a result: those that go into a folder,
// and those that pages show.
package draw

import (
	"fmt"
	"io"
	"path/filepath"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/files"
)

// A Picture is a figure that can be laid out.
type Picture interface {
	Picture() (figure.Picture, error)
}

// Write writes a figure as PNG and as SVG.
func Write(dir, name string, p Picture) error {
	laid, err := p.Picture()
	if err != nil {
		return fmt.Errorf("figure %s: %w", name, err)
	}
	for _, format := range []string{figure.PNG, figure.SVG} {
		save := func(w io.Writer) error { return laid.Save(w, format) }
		if format == figure.SVG {
			save = console.CleanText(save)
		}
		err := files.Write(filepath.Join(dir, name+"."+format), save)
		if err != nil {
			return err
		}
	}
	return nil
}
