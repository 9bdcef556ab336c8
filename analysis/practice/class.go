package practice

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"stopvolt/instrument/run/reader"
)

// A Student is one who gets a sheet.
type Student struct {
	// ID keys answers and grades, and names the student's files.
	ID string `json:"student_id"`
	// Name may hold any letters; it is empty where sheets have only numbers.
	Name string `json:"name"`
}

// The columns of a list of a class.
const (
	idColumn   = "student_id"
	nameColumn = "name"
)

// ReadClass reads the list of a class, a table with the columns student_id and
// name. Both must tell the students apart, and the first must do as the name of
// a file anywhere. Faults are of type *reader.Error.
func ReadClass(s reader.Source, o reader.Options) ([]Student, error) {
	table, places, err := readColumns(s, o, idColumn, nameColumn)
	if err != nil {
		return nil, err
	}
	id, name := places[0], places[1]
	if table.Len() == 0 {
		return nil, &reader.Error{File: s.Name, Text: "has no students; a row with student_id and name is needed for each"}
	}
	lines := make(map[string]int)
	var class []Student
	for row := range table.Len() {
		student := Student{ID: identifier(table.Text(row, id)), Name: identifier(table.Text(row, name))}
		if err := checkFileName(student.ID); err != nil {
			return nil, table.Errorf(row, id, "student_id %q %w", student.ID, err)
		}
		if err := checkName(student.Name); err != nil {
			return nil, table.Errorf(row, name, "name %q %w", student.Name, err)
		}
		for _, x := range []struct {
			column int
			text   string
		}{{id, student.ID}, {name, student.Name}} {
			// The columns are kept apart, and so are letters that some file
			// systems take for the same.
			key := fmt.Sprint(x.column, " ", strings.ToLower(x.text))
			if line, ok := lines[key]; ok {
				return nil, table.Errorf(row, x.column, "%q stands in line %d already; each student needs a student_id and a name of their own", x.text, line)
			}
			lines[key] = table.Line(row)
		}
		class = append(class, student)
	}
	return class, nil
}

// Numbered returns a class of n students without names, numbered from one with
// as many digits as the last one has.
func Numbered(n int) []Student {
	width := len(fmt.Sprint(n))
	class := make([]Student, n)
	for i := range class {
		class[i].ID = fmt.Sprintf("%0*d", width, i+1)
	}
	return class
}

// checkName says what is wrong with a student's name.
func checkName(name string) error {
	switch {
	case name == "":
		return fmt.Errorf("is empty; each student needs one")
	case strings.ContainsFunc(name, unicode.IsControl):
		return fmt.Errorf("holds a control character; a name is one line of text")
	case strings.Contains(name, "..") && !filepath.IsLocal(name), filepath.IsAbs(name):
		return fmt.Errorf("leads out of a folder; a person's name is needed")
	}
	return nil
}

// longestFileName is in bytes; what is added to it must fit into the 255 that
// file systems have.
const longestFileName = 120

// checkFileName says why a text cannot be the name of a file on all systems.
func checkFileName(text string) error {
	const reserved = " con prn aux nul com1 com2 com3 com4 com5 com6 com7 com8 com9 lpt1 lpt2 lpt3 lpt4 lpt5 lpt6 lpt7 lpt8 lpt9 "
	base, _, _ := strings.Cut(strings.ToLower(text), ".")
	switch {
	case text == "":
		return fmt.Errorf("is empty; each student needs one")
	case !utf8.ValidString(text), strings.ContainsFunc(text, unicode.IsControl):
		return fmt.Errorf("holds a control character; letters, digits and dashes do")
	case strings.ContainsAny(text, `/\`), strings.Trim(text, ".") == "":
		return fmt.Errorf("would leave its folder, since files are named by it; letters, digits and dashes do")
	case strings.ContainsAny(text, `<>:"|?*`), strings.Trim(text, ". ") != text, strings.Contains(reserved, " "+base+" "):
		return fmt.Errorf("cannot name a file on every system; letters, digits and dashes do")
	case len(text) > longestFileName:
		return fmt.Errorf("is longer than %d bytes; files are named by it", longestFileName)
	}
	return nil
}
