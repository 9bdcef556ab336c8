package scenarios

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"regexp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

//go:embed *.toml
var files embed.FS

// Default is the name of the embedded scenario that is used where none is
// named.
const Default = "lanternfell"

// A Scenario is an apparatus with its description.
type Scenario struct {
	// Name is that of the embedded scenario, or of the file.
	Name string
	// Title is one line, and Notes are paragraphs for the reader.
	Title, Notes string
	// Text is the scenario's file, and Assignments changed keys of it; together
	// they build the scenario again.
	Text        []byte
	Assignments []string
	// Population is what the scenario builds: benches whose numbers follow the
	// laws that it gives, or one bench where it gives none.
	Population population.Population
	// Apparatus is the bench of the population's medians.
	Apparatus instrument.Apparatus
	// Practice has the limits within which the benches of practice sets
	// differ, from the easiest level to the hardest.
	Practice []instrument.Variation
}

// Names returns the names of the embedded scenarios, the default first and the
// others in alphabetical order.
func Names() []string {
	names := []string{Default}
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		// An embedded folder can always be read.
		panic(err)
	}
	for _, e := range entries {
		if name := strings.TrimSuffix(e.Name(), ".toml"); name != Default {
			names = append(names, name)
		}
	}
	return names
}

// Text returns the file of an embedded scenario.
func Text(name string) ([]byte, error) {
	text, err := files.ReadFile(path.Clean(name) + ".toml")
	if err != nil {
		return nil, &Error{File: name, Problem: "there is no such scenario; name one of " + strings.Join(Names(), ", ") + ", or a file that ends in .toml"}
	}
	return text, nil
}

// Load returns a scenario by its embedded name or the path of a .toml file.
// Each assignment, KEY=VALUE, changes a key of it; the keys of a light are
// named by the light, as in light.violet.neutral=0.5.
func Load(name string, assignments []string) (Scenario, error) {
	text, err := read(name)
	if err != nil {
		return Scenario{}, err
	}
	return Parse(name, text, assignments)
}

// read returns the text of a scenario.
func read(name string) ([]byte, error) {
	if !strings.HasSuffix(name, ".toml") {
		return Text(name)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		var problem *fs.PathError
		if errors.As(err, &problem) {
			err = problem.Err
		}
		return nil, &Error{File: name, Problem: fmt.Sprintf("%v; a scenario file is needed", err)}
	}
	return text, nil
}

// Parse builds a scenario from the text of its file, which errors name, and
// assignments as Load takes them.
func Parse(name string, text []byte, assignments []string) (Scenario, error) {
	var d document
	if err := decode(name, text, &d); err != nil {
		return Scenario{}, err
	}
	found, err := locate(name, text)
	if err != nil {
		return Scenario{}, &Error{File: name, Problem: err.Error()}
	}
	c := &checker{places: found}
	for _, assignment := range assignments {
		if err := assign(&d, c.places, assignment); err != nil {
			return Scenario{}, err
		}
	}
	a := c.build(d)
	practice := c.practice(d.Practice, a)
	if c.err != nil {
		return Scenario{}, c.err
	}
	return Scenario{
		Name:        strings.TrimSuffix(path.Base(name), ".toml"),
		Title:       d.Title,
		Notes:       d.Notes,
		Text:        text,
		Assignments: assignments,
		Apparatus:   a,
		Population:  population.Of(string(text)+"\n"+strings.Join(assignments, "\n"), a),
		Practice:    practice,
	}, nil
}

// decode reads TOML into a table and turns the decoder's errors into ours.
func decode(file string, text []byte, into any) error {
	decoder := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	err := decoder.Decode(into)
	var unknown *toml.StrictMissingError
	var syntax *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &unknown):
		first := unknown.Errors[0]
		line, column := first.Position()
		key := strings.Join(first.Key(), ".")
		return &Error{file, line, column, fmt.Sprintf("%s is not a key of a scenario; stopvolt scenarios --keys lists them", key)}
	case errors.As(err, &syntax):
		line, column := syntax.Position()
		return &Error{file, line, column, plain(strings.Join(syntax.Key(), "."), syntax.Error())}
	}
	return &Error{File: file, Problem: strings.TrimPrefix(err.Error(), "toml: ")}
}

// mismatch is how the decoder speaks of a value of the wrong kind.
var mismatch = regexp.MustCompile(`cannot decode TOML (\w+) into .* of type (\S+)`)

// plain says what the decoder found in words that do not come from Go.
func plain(key, problem string) string {
	problem = strings.TrimPrefix(problem, "toml: ")
	m := mismatch.FindStringSubmatch(problem)
	if m == nil {
		return strings.ReplaceAll(problem, "U+000A", "the end of the line")
	}
	needed := map[string]string{"float64": "a number", "int": "a whole number", "string": "a text in quotes", "bool": "true or false"}[m[2]]
	if needed == "" {
		needed = "a value of another kind"
	}
	if key != "" {
		key += ": "
	}
	return fmt.Sprintf("%sthere is a TOML %s where %s is needed", key, m[1], needed)
}

// assign carries out an assignment on a document.
func assign(d *document, found places, assignment string) error {
	at := place{file: "--set " + strings.Join(strings.Fields(assignment), " ")}
	key, value, ok := strings.Cut(assignment, "=")
	if key = strings.TrimSpace(key); !ok || key == "" || strings.ContainsAny(assignment, "\r\n") {
		return at.errorf("an assignment is KEY=VALUE, such as collector.stray_light=0.02")
	}
	var target any = d
	prefix := ""
	if rest, ok := strings.CutPrefix(key, "light."); ok {
		i, inner := lightOf(d.Light, rest)
		if i < 0 {
			return at.errorf("there is no light of that name; write light.NAME.KEY with NAME one of %s", strings.Join(lightNames(d.Light), ", "))
		}
		target, key, prefix = &d.Light[i], inner, "light."+strconv.Itoa(i)
	}
	text := []byte(key + " = " + value)
	if toml.Unmarshal(text, new(map[string]any)) != nil {
		// A word needs no quotes on the command line.
		text = []byte(key + " = " + strconv.Quote(strings.TrimSpace(value)))
	}
	if err := decode(at.file, text, target); err != nil {
		var e *Error
		if errors.As(err, &e) {
			// The place within the assignment is no help.
			e.Line, e.Column = 0, 0
		}
		return err
	}
	inner, err := locate(at.file, text)
	if err != nil {
		return at.errorf("%v", err)
	}
	for name := range inner {
		// The table that holds the key is given with it.
		for name != "" {
			found[join(prefix, name)] = at
			dot := strings.LastIndexByte(name, '.')
			name = name[:max(dot, 0)]
		}
	}
	return nil
}

// lightOf returns the index of the light that a key begins with, or -1, and the
// rest of the key.
func lightOf(lights []lightTable, key string) (int, string) {
	for i, l := range lights {
		if rest, ok := strings.CutPrefix(key, l.Name+"."); ok {
			return i, rest
		}
	}
	return -1, ""
}

func lightNames(lights []lightTable) []string {
	var names []string
	for _, l := range lights {
		names = append(names, l.Name)
	}
	return names
}
