package scenarios

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// An Error says what is wrong with a scenario and where.
type Error struct {
	// File is the scenario's file or embedded name, or the assignment that
	// changed it.
	File string
	// Line and Column count from one; both are 0 where there is no place to
	// point at.
	Line, Column int
	// Problem says what is wrong and what would be right.
	Problem string
}

// Error returns the error in one line.
func (e *Error) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Problem
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Problem)
}

// place is where a key got its value.
type place struct {
	file         string
	line, column int
	// valueLine and valueColumn are the place of the value itself; both are 0
	// where the parser does not tell.
	valueLine, valueColumn int
}

// ofValue returns the place of the value, if it is known.
func (p place) ofValue() place {
	if p.valueLine > 0 {
		p.line, p.column = p.valueLine, p.valueColumn
	}
	return p
}

// errorf returns an error at the place.
func (p place) errorf(format string, args ...any) error {
	return &Error{File: p.file, Line: p.line, Column: p.column, Problem: fmt.Sprintf(format, args...)}
}

// places maps each key that a scenario gives, such as "light.2.filter.peak", to
// where it was given. Entries of arrays of tables are named by their index.
type places map[string]place

// find returns the place of a key, or of the table that should hold it.
func (p places) find(key string) place {
	for {
		if at, ok := p[key]; ok {
			return at
		}
		dot := strings.LastIndexByte(key, '.')
		if dot < 0 {
			return p[""]
		}
		key = key[:dot]
	}
}

// locate returns the places of all keys of a document. The decoder reports
// places only for what it cannot decode, so they are read from the syntax tree.
func locate(file string, document []byte) (places, error) {
	found := places{"": {file: file}}
	arrays := make(map[string]int)
	var parser unstable.Parser
	parser.Reset(document)
	table := ""
	for parser.NextExpression() {
		e := parser.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			name, at := key(&parser, e, file)
			if e.Kind == unstable.ArrayTable {
				index := arrays[name]
				arrays[name]++
				found.add(name, at)
				name = join(name, strconv.Itoa(index))
			} else if first, rest, ok := strings.Cut(name, "."); ok && arrays[first] > 0 {
				// [light.filter] belongs to the light before it.
				name = join(first, strconv.Itoa(arrays[first]-1), rest)
			}
			table = name
			found.add(table, at)
		case unstable.KeyValue:
			found.addValue(&parser, e, table, file)
		}
	}
	return found, parser.Error()
}

// assigned reports whether a key was given by an assignment and not by the
// scenario's own file.
func (p places) assigned(key string) bool {
	at, ok := p[key]
	return ok && at.file != p[""].file
}

// add records a place unless the key has one.
func (p places) add(key string, at place) {
	if _, ok := p[key]; !ok {
		p[key] = at
	}
}

// addValue records the place of a key, and those within an inline table.
func (p places) addValue(parser *unstable.Parser, e *unstable.Node, table, file string) {
	name, at := key(parser, e, file)
	name = join(table, name)
	switch e.Value().Kind {
	case unstable.String, unstable.Integer, unstable.Float, unstable.InlineTable:
		start := parser.Shape(e.Value().Raw).Start
		at.valueLine, at.valueColumn = start.Line, start.Column
	}
	p.add(name, at)
	p.addWithin(parser, e.Value(), name, at)
}

// addWithin records the places of the keys within an inline table, and within
// those of a list, which are named by their index.
func (p places) addWithin(parser *unstable.Parser, value *unstable.Node, name string, at place) {
	switch value.Kind {
	case unstable.InlineTable:
		for it := value.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				p.addValue(parser, it.Node(), name, at.file)
			}
		}
	case unstable.Array:
		index := 0
		for it := value.Children(); it.Next(); {
			if it.Node().Kind == unstable.Comment {
				continue
			}
			entry, where := join(name, strconv.Itoa(index)), at
			where.valueLine, where.valueColumn = 0, 0
			switch it.Node().Kind {
			case unstable.InlineTable:
				start := parser.Shape(it.Node().Raw).Start
				where.line, where.column = start.Line, start.Column
				fallthrough
			case unstable.Array:
				p.add(entry, where)
				p.addWithin(parser, it.Node(), entry, where)
			}
			index++
		}
	}
}

// key returns the dotted key of an expression and its place.
func key(parser *unstable.Parser, e *unstable.Node, file string) (string, place) {
	var parts []string
	at := place{file: file}
	for it := e.Key(); it.Next(); {
		if len(parts) == 0 {
			start := parser.Shape(it.Node().Raw).Start
			at.line, at.column = start.Line, start.Column
		}
		parts = append(parts, string(it.Node().Data))
	}
	return strings.Join(parts, "."), at
}

// join joins the parts of a dotted key, leaving out empty ones.
func join(parts ...string) string {
	var kept []string
	for _, part := range parts {
		if part != "" {
			kept = append(kept, part)
		}
	}
	return strings.Join(kept, ".")
}
