package console

import (
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Clean takes out of a text what a terminal, a picture or a page would obey
// instead of showing: control characters, but for ends of lines and tabs, and
// the marks that turn the direction of writing around. A box stands for each.
// Names keep them, so that the paths of files still open.
func Clean(text string) string {
	if !strings.ContainsFunc(text, obeyed) && utf8.ValidString(text) {
		return text
	}
	return strings.Map(func(r rune) rune {
		if obeyed(r) {
			return utf8.RuneError
		}
		return r
	}, text)
}

// obeyed reports whether a character acts instead of being shown. The marks of
// direction are those of Unicode Standard Annex 9, table 4, that embed, override
// or isolate.
func obeyed(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' ||
		r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' || r == '\u2028' || r == '\u2029'
}

// Cleaned returns a writer of text that cleans it. Each call must hold whole
// characters, as a call of fmt does.
func Cleaned(w io.Writer) io.Writer { return cleaned{w} }

type cleaned struct{ w io.Writer }

// CleanText returns a function that writes what another writes, cleaned as a
// whole, so that no character is cut in two.
func CleanText(write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		var text strings.Builder
		if err := write(&text); err != nil {
			return err
		}
		_, err := io.WriteString(w, Clean(text.String()))
		return err
	}
}

// Write writes clean text.
func (c cleaned) Write(text []byte) (int, error) {
	if _, err := io.WriteString(c.w, Clean(string(text))); err != nil {
		return 0, err
	}
	return len(text), nil
}
