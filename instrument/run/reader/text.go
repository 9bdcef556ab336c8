package reader

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	utf "golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"stopvolt/instrument/run"
)

// Bounds on what is read, so that no file can exhaust the memory.
const (
	largestFile  = 64 << 20 // bytes
	longestLine  = 1 << 20  // bytes
	mostCells    = 4 << 20
	mostRows     = 1 << 20
	mostColumns  = 4096
	mostCurves   = 256  // of a run
	mostReadings = 1e6  // of a run
	mostStopping = 5000 // rows of a table of stopping voltages
)

// A cell is a piece of text with its place in the file.
type cell struct {
	text         string
	line, column int32
}

// plainText returns the text of a cell in one line, without the blanks around
// it, control characters, and what made it harmless in a spreadsheet.
func plainText(s string) string {
	s = run.Original(s)
	if strings.ContainsFunc(s, unicode.IsControl) {
		s = strings.Map(func(r rune) rune {
			if unicode.IsControl(r) {
				return ' '
			}
			return r
		}, s)
	}
	return strings.TrimSpace(s)
}

// A table is a file cut into cells.
type table struct {
	file    string
	sheet   string // of a workbook, else empty
	rows    [][]cell
	remarks []cell // comment lines, without their mark
	format
	guesses []Guess
}

// at returns an error at a cell.
func (t *table) at(c cell, format string, args ...any) error {
	text := fmt.Sprintf(format, args...)
	if t.sheet != "" {
		text = fmt.Sprintf("sheet %s%s: %s", shown(t.sheet), cellName(c), text)
	}
	return &Error{File: t.file, Line: int(c.line), Column: int(c.column), Text: text}
}

// cellName is the name by which a workbook's user knows a cell.
func cellName(c cell) string {
	if c.column < 1 {
		return ""
	}
	letters := ""
	for n := c.column; n > 0; n = (n - 1) / 26 {
		letters = string(rune('A'+(n-1)%26)) + letters
	}
	return fmt.Sprintf(", cell %s%d", letters, c.line)
}

// guess notes a guess about the table.
func (t *table) guess(option, format string, args ...any) {
	t.guesses = append(t.guesses, Guess{File: t.file, Text: fmt.Sprintf(format, args...), Option: option})
}

// readBounded reads all of r, or returns an error when that is more than most
// bytes.
func readBounded(r io.Reader, name string, most int64) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, &Error{File: name, Text: fmt.Sprintf("cannot be read: %v", reason(err))}
	}
	if int64(len(text)) > most {
		return nil, &Error{File: name, Text: fmt.Sprintf("holds more than %d MiB; split it into smaller files", most>>20)}
	}
	return text, nil
}

// readTables reads a source of any kind into cells: the sheets of a workbook,
// or the one table of a text.
func readTables(s Source, o Options) ([]*table, error) {
	text, err := readBounded(s.Reader, s.Name, largestFile)
	if err != nil {
		return nil, err
	}
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return nil, &Error{File: s.Name, Text: "is empty; a table of voltage and current is needed"}
	case bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")):
		return nil, &Error{File: s.Name, Line: 1, Text: "is JSON; the table that it describes is needed, as CSV or .xlsx"}
	case bytes.HasPrefix(text, []byte("PK\x03\x04")):
		return readWorkbook(text, s.Name, o)
	case bytes.HasPrefix(text, []byte("\xd0\xcf\x11\xe0")):
		return nil, &Error{File: s.Name, Text: "is a workbook of the old binary kind or under a password; save it as .xlsx without one, or as CSV"}
	}
	t, err := cutText(text, s.Name, o)
	if err != nil {
		return nil, err
	}
	return []*table{t}, nil
}

// decode returns the text as UTF-8 with plain line ends, whatever encoding a
// spreadsheet or an instrument chose: the one that a byte-order mark names,
// UTF-16 by its zero bytes, or else Windows-1252, which holds ISO 8859-1.
func decode(text []byte, name string) ([]byte, error) {
	var other encoding.Encoding = utf.UTF8
	switch {
	case len(text) >= 4 && text[1] == 0 && text[3] == 0:
		other = utf.UTF16(utf.LittleEndian, utf.IgnoreBOM)
	case len(text) >= 4 && text[0] == 0 && text[2] == 0:
		other = utf.UTF16(utf.BigEndian, utf.IgnoreBOM)
	case !utf8.Valid(text):
		other = charmap.Windows1252
	}
	text, _, err := transform.Bytes(utf.BOMOverride(other.NewDecoder()), text)
	if err != nil || bytes.IndexByte(text, 0) >= 0 {
		return nil, &Error{File: name, Text: "is not text; a CSV file or an .xlsx workbook is needed"}
	}
	text = bytes.ToValidUTF8(text, []byte("\ufffd"))
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte{'\n'})
	return bytes.ReplaceAll(text, []byte{'\r'}, []byte{'\n'}), nil
}

// remarkMarks begin a line of comment.
var remarkMarks = []string{"#", "%", "//", "!"}

// ownHeading begins a file that this program wrote.
const ownHeading = run.ColumnSetting + "," + run.ColumnWavelength + "," + run.ColumnRetarding + "," + run.ColumnCurrent

// cutText cuts a text file into cells.
func cutText(text []byte, name string, o Options) (*table, error) {
	text, err := decode(text, name)
	if err != nil {
		return nil, err
	}
	t := &table{file: name}
	if err := t.takeRemarks(text); err != nil {
		return nil, err
	}
	form := format{o.Delimiter, o.Decimal}
	if mark := takeDelimiter(text); form.delimiter == 0 {
		form.delimiter = mark
	}
	if form.delimiter == 0 && bytes.HasPrefix(text, []byte(ownHeading)) {
		form.delimiter = ','
	}
	if form.delimiter == 0 || form.decimal == 0 {
		form = t.guessFormat(text, form)
	}
	t.format = form
	t.rows, err = form.cut(text, mostCells, -1)
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad) && errors.Is(err, csv.ErrBareQuote):
		return nil, &Error{File: name, Line: bad.Line, Column: bad.Column, Text: misquoted}
	case errors.As(err, &bad):
		return nil, &Error{File: name, Line: bad.StartLine, Text: misquoted}
	case err != nil:
		return nil, &Error{File: name, Text: err.Error()}
	}
	return t, nil
}

// takeDelimiter returns the delimiter that a spreadsheet wrote into the first
// line, as sep=; and blanks the line; 0 where there is none.
func takeDelimiter(text []byte) rune {
	line, _, _ := bytes.Cut(text, []byte{'\n'})
	mark, ok := strings.CutPrefix(strings.ToLower(strings.Trim(string(line[:min(len(line), 16)]), "\" ")), "sep=")
	r, size := utf8.DecodeRuneInString(mark)
	if !ok || size != len(mark) || !validDelimiter(r) {
		return 0
	}
	for i := range line {
		line[i] = ' '
	}
	return r
}

// misquoted is what is wrong with a cell in quotes.
const misquoted = "a quotation mark is not closed or stands inside a cell; quote the whole cell and double the marks within"

// takeRemarks moves the lines of comment from text, where blanks take their
// place, into the table.
func (t *table) takeRemarks(text []byte) error {
	const enough = 1000
	for start, line := 0, 1; start < len(text); line++ {
		end := bytes.IndexByte(text[start:], '\n')
		if end < 0 {
			end = len(text) - start
		}
		if end > longestLine {
			return &Error{File: t.file, Line: line, Text: fmt.Sprintf("the line is longer than %d MiB; a table of numbers is needed", longestLine>>20)}
		}
		whole := text[start : start+end]
		if body, ok := remark(whole); ok {
			if len(t.remarks) < enough {
				t.remarks = append(t.remarks, cell{text: body, line: int32(line), column: 1})
			}
			for i := range whole {
				whole[i] = ' '
			}
		}
		start += end + 1
	}
	return nil
}

// remark returns the body of a line of comment.
func remark(line []byte) (string, bool) {
	s := strings.TrimSpace(string(line[:min(len(line), 4096)]))
	if cell := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(",;\t \"", r) }); len(cell) > 0 && missing(cell[0]) {
		return "", false // a spreadsheet's word for a fault
	}
	for _, mark := range remarkMarks {
		if strings.HasPrefix(s, mark) {
			return strings.TrimSpace(strings.TrimLeft(s, "#%/!")), true
		}
	}
	return "", false
}

// A format says how cells and decimals are marked; a blank as delimiter stands
// for any run of blanks. Commas can do both where numbers stand in quotes.
type format struct {
	delimiter, decimal rune
}

// errTooManyCells is returned for tables beyond the bounds.
var errTooManyCells = errors.New("holds too many cells for a table of readings; split it into smaller files")

// cut cuts text into rows of cells, of at most mostCells in all, and stops
// after rows rows unless that is negative. Rows without any text are left out.
func (f format) cut(text []byte, mostCells, rows int) ([][]cell, error) {
	if f.delimiter == ' ' {
		return cutBlanks(text, mostCells, rows)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma = f.delimiter
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = f.delimiter != '\t'
	r.ReuseRecord = true
	var out [][]cell
	count := 0
	for rows < 0 || len(out) < rows {
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return out, err
		}
		if len(record) > mostColumns {
			return out, errTooManyCells
		}
		row := make([]cell, len(record))
		filled := false
		for i, s := range record {
			line, column := r.FieldPos(i)
			s = plainText(s)
			row[i] = cell{s, int32(line), int32(column)}
			filled = filled || s != ""
		}
		if !filled {
			continue
		}
		if count += len(row); count > mostCells || len(out) == mostRows {
			return out, errTooManyCells
		}
		out = append(out, row)
	}
	return out, nil
}

// cutBlanks cuts text at runs of blanks and tabs.
func cutBlanks(text []byte, mostCells, rows int) ([][]cell, error) {
	var out [][]cell
	count, number := 0, int32(0)
	for line := range bytes.Lines(text) {
		number++
		var row []cell
		for i := 0; i < len(line); {
			if line[i] == ' ' || line[i] == '\t' || line[i] == '\n' {
				i++
				continue
			}
			start := i
			for i < len(line) && line[i] != ' ' && line[i] != '\t' && line[i] != '\n' {
				i++
			}
			// A cell of control characters alone is none.
			if text := plainText(string(line[start:i])); text != "" {
				row = append(row, cell{text, number, int32(start) + 1})
			}
		}
		if row == nil {
			continue
		}
		if count += len(row); count > mostCells || len(out) == mostRows || len(row) > mostColumns {
			return out, errTooManyCells
		}
		out = append(out, row)
		if rows >= 0 && len(out) >= rows {
			break
		}
	}
	return out, nil
}

// guessFormat fills the missing marks of f with those that turn most of the
// beginning of the text into numbers.
func (t *table) guessFormat(text []byte, f format) format {
	const enoughBytes, enoughRows = 64 << 10, 300
	head := text
	if len(head) > enoughBytes {
		head = head[:enoughBytes]
		if i := bytes.LastIndexByte(head, '\n'); i > 0 {
			head = head[:i+1]
		}
	}
	delimiters, decimals := []rune{',', ';', '\t', ' '}, []rune{'.', ','}
	if f.delimiter != 0 {
		delimiters = []rune{f.delimiter}
	}
	if f.decimal != 0 {
		decimals = []rune{f.decimal}
	}
	best, most := format{delimiters[0], decimals[0]}, -1<<31
	for _, delimiter := range delimiters {
		rows, _ := format{delimiter: delimiter}.cut(head, mostCells, enoughRows)
		for _, decimal := range decimals {
			if score := numberScore(rows, decimal); score > most {
				best, most = format{delimiter, decimal}, score
			}
		}
	}
	if f.delimiter == 0 && best.delimiter != ',' {
		t.guess("delimiter", "cells are set apart by %s", delimiterName(best.delimiter))
	}
	if f.decimal == 0 && best.decimal == ',' {
		t.guess("decimal", "decimals are marked by a comma")
	}
	return best
}

// numberScore counts the cells that are numbers against those that are not, in
// rows with at least two numbers, and less for each row of text.
func numberScore(rows [][]cell, decimal rune) int {
	score := 0
	for _, row := range rows {
		numbers, others := 0, 0
		for _, c := range row {
			switch _, err := parseNumber(c.text, decimal); {
			case c.text == "":
			case err == nil:
				numbers++
			default:
				others++
			}
		}
		switch {
		case numbers >= 2:
			score += 2*numbers - others
		case others > 0:
			score-- // a title or headings, in however many words
		}
	}
	return score
}

// delimiterName names a delimiter in a message.
func delimiterName(r rune) string {
	names := map[rune]string{',': "commas", ';': "semicolons", '\t': "tabs", ' ': "blanks"}
	if n, ok := names[r]; ok {
		return n
	}
	return fmt.Sprintf("%q", r)
}

// validDelimiter says whether cells can be set apart by r.
func validDelimiter(r rune) bool {
	return !slices.Contains([]rune{0, '"', '\r', '\n', utf8.RuneError}, r) && utf8.ValidRune(r)
}
