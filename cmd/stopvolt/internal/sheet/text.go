// Package sheet turns practice sets into pages for people: the sheets of
// students, the feedback on their answers, and the summary of a class. All
// words stand in one file a language. A page is one HTML file that needs no
// other, and prints on A4.
package sheet

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed *.toml
var languageFiles embed.FS

// Texts are all words of one language.
type Texts struct {
	// Tag is that of the language, such as "en".
	Tag   string
	words map[string]string
	lists map[string][]string
}

// Languages returns the tags of the languages there are, English first.
func Languages() []string {
	tags := []string{"en"}
	entries, err := fs.ReadDir(languageFiles, ".")
	if err != nil {
		// An embedded folder can always be read.
		panic(err)
	}
	for _, e := range entries {
		if tag := strings.TrimSuffix(e.Name(), path.Ext(e.Name())); tag != "en" {
			tags = append(tags, tag)
		}
	}
	return tags
}

// Load returns the texts of a language; the error lists those there are.
func Load(tag string) (*Texts, error) {
	if !slices.Contains(Languages(), tag) {
		return nil, fmt.Errorf("there are no texts in %q; the languages are %s", tag, strings.Join(Languages(), ", "))
	}
	file, err := languageFiles.ReadFile(tag + ".toml")
	if err != nil {
		return nil, err
	}
	var tree map[string]any
	if err := toml.Unmarshal(file, &tree); err != nil {
		return nil, fmt.Errorf("%s.toml: %w", tag, err)
	}
	t := &Texts{Tag: tag, words: make(map[string]string), lists: make(map[string][]string)}
	t.add("", tree)
	return t, nil
}

// add adds the words of a table under dotted keys.
func (t *Texts) add(prefix string, tree map[string]any) {
	for name, value := range tree {
		switch v := value.(type) {
		case string:
			t.words[prefix+name] = v
		case []any:
			for _, item := range v {
				t.lists[prefix+name] = append(t.lists[prefix+name], fmt.Sprint(item))
			}
		case map[string]any:
			t.add(prefix+name+".", v)
		}
	}
}

// missing stands where a language lacks a text, so that a test sees it.
const missing = "[no text: %s]"

// Text returns the text of a key, such as "sheet.title".
func (t *Texts) Text(key string) string {
	if text, ok := t.words[key]; ok {
		return text
	}
	return fmt.Sprintf(missing, key)
}

// List returns the texts of a key that has several.
func (t *Texts) List(key string) []string { return t.lists[key] }

// Fill returns the text of a key with its words in braces filled in: names and
// values alternate.
func (t *Texts) Fill(key string, pairs ...string) string {
	filled := make([]string, len(pairs))
	for i, p := range pairs {
		if filled[i] = p; i%2 == 0 {
			filled[i] = "{" + p + "}"
		}
	}
	return strings.NewReplacer(filled...).Replace(t.Text(key))
}
