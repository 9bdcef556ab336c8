// Package sheet turns practice sets into pages for people: the sheets of
// students, the feedback on their answers, and the summary of a class. All
// words stand in one file a language. A page is one HTML file that needs no
// other, and prints on A4.
package sheet

import (
	"embed"

	"stopvolt/cmd/stopvolt/internal/words"
)

//go:embed *.toml
var languageFiles embed.FS

// Texts are all words of one language.
type Texts = words.Texts

// Languages returns the tags of the languages there are, English first.
func Languages() []string { return words.Tags(languageFiles, "") }

// Load returns the texts of a language; the error lists those there are.
func Load(tag string) (*Texts, error) { return words.ReadTexts(languageFiles, tag) }
