package reader

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
)

// readWorkbook reads the sheets of a workbook (.xlsx) that hold numbers, or the
// one that is asked for.
func readWorkbook(content []byte, name string, o Options) (tables []*table, err error) {
	// The library is made for workbooks, not for any bytes in their place.
	defer func() {
		if p := recover(); p != nil {
			tables, err = nil, &Error{File: name, Text: "is a workbook such as no program should write; open it and save it again as .xlsx, or as CSV"}
		}
	}()
	if err := checkParts(content, name); err != nil {
		return nil, err
	}
	book, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{
		UnzipSizeLimit: largestWorkbook, UnzipXMLSizeLimit: largestWorkbook,
	})
	if err != nil {
		return nil, &Error{File: name, Text: "cannot be read as a workbook; save it as .xlsx without a password, or as CSV"}
	}
	defer book.Close()
	sheets, err := chooseSheets(book, name, o.Sheet)
	if err != nil {
		return nil, err
	}
	for _, sheet := range sheets {
		t, err := readSheet(book, sheet, name, o)
		if err != nil {
			return nil, err
		}
		if _, first := t.shape(); first >= 0 || o.Sheet != "" && len(t.rows) > 0 {
			tables = append(tables, t)
		}
	}
	if len(tables) == 0 {
		return nil, &Error{File: name, Text: "has no sheet with a row of two numbers; a table of voltage and current is needed"}
	}
	return tables, nil
}

// chooseSheets returns the sheet that is asked for, or all that are visible.
func chooseSheets(book *excelize.File, name, asked string) ([]string, error) {
	all := book.GetSheetList()
	if asked != "" {
		i := slices.IndexFunc(all, func(s string) bool { return strings.EqualFold(s, asked) })
		if i < 0 {
			return nil, &Error{File: name, Text: fmt.Sprintf("has no sheet %s as --sheet asks; there are %s", shown(asked), shownList(all))}
		}
		return all[i : i+1], nil
	}
	return slices.DeleteFunc(all, func(s string) bool {
		visible, err := book.GetSheetVisible(s)
		return err == nil && !visible
	}), nil
}

// shownList quotes the first names of a list for a message.
func shownList(names []string) string {
	const most = 8
	var list []string
	for _, s := range names[:min(len(names), most)] {
		list = append(list, shown(s))
	}
	if len(names) > most {
		list = append(list, fmt.Sprintf("and %d more", len(names)-most))
	}
	return strings.Join(list, ", ")
}

// readSheet reads the cells of one sheet as they are stored, with all their
// digits. A second pass shows them as the sheet's user sees them, which is the
// only trace of a number that was turned into a date.
func readSheet(book *excelize.File, sheet, name string, o Options) (*table, error) {
	t := &table{file: name, sheet: sheet, format: format{delimiter: 0, decimal: '.'}}
	fault := &Error{File: name, Text: fmt.Sprintf("sheet %s has a row or a cell that no sheet can have; open it and save it again as .xlsx, or as CSV", shown(sheet))}
	stored, err := book.Rows(sheet)
	if err != nil {
		return nil, fault
	}
	defer stored.Close()
	visible, err := book.Rows(sheet)
	if err != nil {
		return nil, fault
	}
	defer visible.Close()
	count, comma := 0, false
	for line := int32(1); stored.Next() && visible.Next(); line++ {
		values, err := stored.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, fault
		}
		looks, err := visible.Columns()
		if err != nil {
			return nil, fault
		}
		row := make([]cell, len(values))
		for i, v := range values {
			if i < len(looks) && looks[i] != v && dates.MatchString(strings.TrimSpace(looks[i])) {
				v = looks[i]
			}
			c := cell{text: plainText(v), line: line, column: int32(i) + 1}
			if o.Decimal != '.' && commaNumber.MatchString(c.text) {
				c.text, comma = strings.Replace(c.text, ",", ".", 1), true
			}
			row[i] = c
		}
		row = row[:filledWidth(row)]
		if count += len(row); count > mostCells || len(row) > mostColumns {
			return nil, &Error{File: name, Text: errTooManyCells.Error()}
		}
		if len(row) > 0 {
			t.rows = append(t.rows, row)
		}
	}
	if err := stored.Error(); err != nil {
		return nil, fault
	}
	if comma && o.Decimal == 0 {
		t.guess("decimal", "decimals in cells of text are marked by a comma")
	}
	return t, nil
}

// commaNumber is a number that was typed with a decimal comma into a cell of
// text.
var commaNumber = regexp.MustCompile(`^[-+]?[0-9]+,[0-9]+(?:[eE][-+]?[0-9]+)?$`)

// pick returns those of a workbook's sheets whose headings have the roles that
// are needed: all of them if each is named by its light and together says that
// this may be, else the first. Where no sheet has the roles it is the first of
// all, whose fault will be told.
func pick(tables []*table, together bool, needed ...[]role) []*table {
	if len(tables) < 2 {
		return tables
	}
	var fit []*table
	named := true
	for _, t := range tables {
		l, err := t.findLayout()
		if err != nil || slices.ContainsFunc(needed, func(any []role) bool {
			return !slices.ContainsFunc(any, func(r role) bool { return hasRole(l.columns, r) })
		}) {
			continue
		}
		fit = append(fit, t)
		named = named && namesLight(t.sheet)
	}
	if len(fit) == 0 {
		fit, named = tables, false
	}
	if len(fit) == 1 || together && named {
		return fit
	}
	fit[0].guess("sheet", "sheet %s is read, of %d with a table", shown(fit[0].sheet), len(fit))
	return fit[:1]
}

// namesLight says whether the name of a sheet tells the light.
func namesLight(sheet string) bool { return wavelengthIn(sheet) != 0 || isDark(sheet) }
