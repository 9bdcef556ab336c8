package words

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Tags returns the tags of the languages of a folder that has a file such as
// prefix + "de.toml" for each, the default first.
func Tags(folder fs.FS, prefix string) []string {
	entries, err := fs.Glob(folder, prefix+"*.toml")
	if err != nil {
		// The pattern is the program's own.
		panic(err)
	}
	tags := []string{Default}
	for _, name := range entries {
		if tag := strings.TrimSuffix(strings.TrimPrefix(name, prefix), ".toml"); tag != Default {
			tags = append(tags, tag)
		}
	}
	return tags
}

// open reads the file of a language; the error lists those there are.
func open(folder fs.FS, prefix, tag string) (tree map[string]any, err error) {
	if tags := Tags(folder, prefix); !slices.Contains(tags, tag) {
		return nil, fmt.Errorf("there are no words in %q; the languages are %s", tag, strings.Join(tags, ", "))
	}
	name := prefix + tag + ".toml"
	file, err := fs.ReadFile(folder, name)
	if err != nil {
		return nil, err
	}
	if err := toml.Unmarshal(file, &tree); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return tree, nil
}

// Texts are the texts of one language under dotted keys, such as "sheet.title".
type Texts struct {
	// Tag is that of the language, such as "en".
	Tag string
	// Words are the texts of keys that have one, and Lists of those that have several.
	Words map[string]string
	Lists map[string][]string
}

// ReadTexts reads the texts of a language from a folder that has a file such as
// "de.toml" for each; the error lists those there are.
func ReadTexts(folder fs.FS, tag string) (*Texts, error) {
	tree, err := open(folder, "", tag)
	if err != nil {
		return nil, err
	}
	t := &Texts{Tag: tag, Words: make(map[string]string), Lists: make(map[string][]string)}
	t.add("", tree)
	return t, nil
}

// add adds the words of a table under dotted keys.
func (t *Texts) add(prefix string, tree map[string]any) {
	for name, value := range tree {
		switch v := value.(type) {
		case string:
			t.Words[prefix+name] = v
		case []any:
			for _, item := range v {
				t.Lists[prefix+name] = append(t.Lists[prefix+name], fmt.Sprint(item))
			}
		case map[string]any:
			t.add(prefix+name+".", v)
		}
	}
}

// Has reports whether there is a text.
func (t *Texts) Has(key string) bool { _, ok := t.Words[key]; return ok }

// Text returns the text of a key.
func (t *Texts) Text(key string) string {
	if text, ok := t.Words[key]; ok {
		return text
	}
	return fmt.Sprintf(missing, key)
}

// List returns the texts of a key that has several.
func (t *Texts) List(key string) []string { return t.Lists[key] }

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
