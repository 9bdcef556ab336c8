package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"stopvolt/analysis"
	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/instrument/run/reader"
)

// A manifest says which files each group handed in.
type manifest struct {
	name   string
	groups []listedGroup
	// problems are rows that could not be used, each with its line.
	problems []string
}

// A listedGroup is what the manifest says of one group.
type listedGroup struct {
	name, bench, method string
	files               []string
	// line is that of the group's first row.
	line int
}

// manifestColumns are those that a manifest must have, and optionalColumns those that
// it may have.
var (
	manifestColumns = []string{"group", "bench", "file"}
	optionalColumns = []string{"date", "setting", "method", "remark"}
)

// mostGroups keeps a wrong file from being taken for a manifest.
const mostGroups = 2000

// mostOfTerm bounds the readings of all groups, which are held at a time.
const mostOfTerm = 3_000_000

// readManifest reads a manifest. Rows that cannot be used are problems; a table that
// is none at all is an error.
func readManifest(name string, in io.Reader, options reader.Options) (manifest, error) {
	m := manifest{name: name}
	source := reader.Source{Name: name, Reader: in}
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return m, console.WrongUse{Err: err}
		}
		defer f.Close()
		source.Reader = f
	}
	rows, err := reader.ReadRecords(source, reader.Options{Delimiter: options.Delimiter})
	if err != nil {
		return m, console.WrongUse{Err: err}
	}
	at := make(map[string]int)
	for _, c := range manifestColumns {
		if at[c], err = rows.Column(c); err != nil {
			return m, console.WrongUse{Err: err}
		}
	}
	for _, c := range optionalColumns {
		at[c] = -1
		if !slices.ContainsFunc(rows.Columns(), func(name string) bool { return strings.EqualFold(strings.TrimSpace(name), c) }) {
			continue
		}
		if at[c], err = rows.Column(c); err != nil {
			return m, console.WrongUse{Err: err}
		}
	}
	m.take(rows, at)
	if len(m.groups) == 0 && len(m.problems) > 0 {
		return m, console.WrongUsef("%s; no other row can be used either", m.problems[0])
	}
	if len(m.groups) == 0 {
		return m, console.WrongUsef("%s: no group has a file; a row a file is needed, with %s", name, strings.Join(manifestColumns, ", "))
	}
	return m, nil
}

// take goes through the rows.
func (m *manifest) take(rows *reader.Records, at map[string]int) {
	index := make(map[string]int)
	taken := make(map[string]int)
	settings := make(map[[2]string]int)
	for i := range rows.Len() {
		line := rows.Line(i)
		cell := func(column string) string {
			if at[column] < 0 {
				return ""
			}
			return rows.Text(i, at[column])
		}
		wrong := func(format string, args ...any) {
			m.problems = append(m.problems, fmt.Sprintf("%s:%d: ", m.name, line)+fmt.Sprintf(format, args...))
		}
		group, bench, file := cell("group"), cell("bench"), cell("file")
		if group == "" && bench == "" && file == "" {
			continue
		}
		k, known := index[group]
		switch {
		case group == "" || bench == "" || file == "":
			wrong("group, bench and file are all needed")
			continue
		case known && m.groups[k].bench != bench:
			wrong("group %s is at bench %s here and at %s in line %d", group, bench, m.groups[k].bench, m.groups[k].line)
			continue
		case taken[file] != 0:
			wrong("the file %s is that of line %d too", file, taken[file])
			continue
		case len(m.groups) == mostGroups && !known:
			wrong("there are more than %d groups", mostGroups)
			return
		}
		if date := cell("date"); date != "" {
			if _, err := time.Parse(time.DateOnly, date); err != nil {
				wrong("the date is %q; a day is written 2026-03-31", date)
				continue
			}
		}
		if s := cell("setting"); s != "" {
			if other := settings[[2]string{group, s}]; other != 0 {
				wrong("group %s has the setting %s in line %d too", group, s, other)
				continue
			}
			settings[[2]string{group, s}] = line
		}
		method := cell("method")
		if _, err := analysis.ByName(method); method != "" && err != nil {
			wrong("%v", err)
			method = ""
		}
		taken[file] = line
		if !known {
			k = len(m.groups)
			index[group] = k
			m.groups = append(m.groups, listedGroup{name: group, bench: bench, line: line})
		}
		if method != "" {
			m.groups[k].method = method
		}
		path := file
		if !filepath.IsAbs(path) && m.name != "-" {
			path = filepath.Join(filepath.Dir(m.name), path)
		}
		m.groups[k].files = append(m.groups[k].files, path)
	}
}

// handIns reads the runs. A group whose files cannot be read is a problem, and the
// others are still there.
func (m *manifest) handIns(c console.Console, options reader.Options) []groups.HandIn {
	var all []groups.HandIn
	readings := 0
	for _, g := range m.groups {
		if readings > mostOfTerm {
			m.problems = append(m.problems, fmt.Sprintf("%s:%d: group %s: the runs before have more than %d readings together; make a manifest of the rest", m.name, g.line, g.name, mostOfTerm))
			continue
		}
		r, guesses, err := reader.ReadFiles(g.files, strings.NewReader(""), options)
		if err != nil {
			m.problems = append(m.problems, fmt.Sprintf("%s:%d: group %s: %v", m.name, g.line, g.name, err))
			continue
		}
		for _, c := range r.Curves {
			readings += len(c.Readings)
		}
		for _, guess := range guesses {
			if guess.Option != "" {
				c.Tell(fmt.Sprintf("group %s: %s", g.name, guess))
			}
		}
		all = append(all, groups.HandIn{Group: g.name, Bench: g.bench, Run: r, Method: g.method})
	}
	return all
}
