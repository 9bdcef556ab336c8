package scenarios

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// What a scenario may have of everything that is counted. The limits are far
// beyond any laboratory, and keep a slip from filling the memory.
const (
	mostLights = 100
	mostName   = 64
	mostTitle  = 200
	mostNotes  = 100_000
)

// names checks the texts of a document and how many lights it has.
func (c *checker) names(d document) {
	c.text("title", d.Title, mostTitle, "")
	c.text("notes", d.Notes, mostNotes, "\n\t\r")
	if len(d.Light) > mostLights {
		c.fail("light", "there are %d lights; at most %d are allowed", len(d.Light), mostLights)
	}
	seen := make(map[string]string)
	for i, l := range d.Light {
		key := fmt.Sprintf("light.%d", i)
		if l.Name == "" {
			c.fail(key, "a [[light]] has no name; give each its own, such as name = \"violet\"")
			return
		}
		c.text(key+".name", l.Name, mostName, "")
		// Files are named by lights, and some disks take these for one.
		folded := strings.ToLower(norm.NFC.String(l.Name))
		switch other, ok := seen[folded]; {
		case ok && other == l.Name:
			c.fail(key+".name", "two lights are named %q; give each its own name", l.Name)
		case ok:
			c.fail(key+".name", "the lights %q and %q are one name to a disk that folds letters; give each its own name", other, l.Name)
		}
		seen[folded] = l.Name
	}
	for name := range d.Shared {
		c.text(join(shared, name), name, mostName, "")
	}
}

// turns reports whether a character turns the direction of the text after it, so
// that it reads as another.
func turns(r rune) bool { return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 }

// text checks a text of at most some characters. Control characters other than
// the allowed ones would reach terminals and pictures.
func (c *checker) text(key, text string, most int, allowed string) {
	if n := utf8.RuneCountInString(text); n > most {
		c.fail(key, "%s has %d characters; at most %d are allowed", key, n, most)
	}
	for _, r := range text {
		if r == utf8.RuneError || unicode.IsControl(r) && !strings.ContainsRune(allowed, r) || turns(r) {
			c.fail(key, "%s holds the character %U, which cannot be shown; leave it out", key, r)
			return
		}
	}
}
