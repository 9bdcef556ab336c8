package scenarios

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

//go:embed *.toml
var files embed.FS

// Default is the name of the embedded scenario that is used where none is
// named.
const Default = "lanternfell"

// DefaultPopulation is the name of the embedded scenario that is used, where none
// is named, by what draws one bench after another: teaching benches as they are.
const DefaultPopulation = "brindlemoor"

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
	// Practice has the populations of the benches of practice sets, from the
	// easiest level to the hardest.
	Practice []population.Variation
	// MarkScheme is that of practice sets.
	MarkScheme MarkScheme
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
	marked := text
	text = withoutMark(text)
	t, err := parse(name, text)
	if err != nil {
		return Scenario{}, err
	}
	found, err := locate(name, text)
	if err != nil {
		return Scenario{}, &Error{File: name, Problem: err.Error()}
	}
	for _, assignment := range assignments {
		if err := assign(t, found, assignment); err != nil {
			return Scenario{}, err
		}
	}
	m, err := newMaker(found, t)
	if err != nil {
		return Scenario{}, err
	}
	base := string(text) + "\n" + strings.Join(assignments, "\n")
	benches, err := m.population(base)
	if err != nil {
		return Scenario{}, err
	}
	c := &checker{places: found}
	practice := c.practice(base, m.document.Practice, benches.Median())
	if c.err != nil {
		return Scenario{}, c.err
	}
	return Scenario{
		Name:        strings.TrimSuffix(path.Base(name), ".toml"),
		Title:       m.document.Title,
		Notes:       m.document.Notes,
		Text:        marked,
		Assignments: assignments,
		Population:  benches,
		Apparatus:   benches.Median(),
		Practice:    practice,
		MarkScheme:  m.document.Practice.scheme(found),
	}, nil
}
