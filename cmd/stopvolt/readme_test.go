package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

// wordsOf returns the words of a picture's texts. Its numbers are left out: they
// follow the physics, and this test is about the picture being that of the
// command.
func wordsOf(t *testing.T, name string) []string {
	t.Helper()
	picture, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if len(picture) > 200_000 {
		t.Errorf("%s has %d bytes", name, len(picture))
	}
	var words []string
	for _, text := range regexp.MustCompile(`(?s)<text[^>]*>(.*?)</text>`).FindAllSubmatch(picture, -1) {
		words = append(words, regexp.MustCompile(`\p{L}{3,}`).FindAllString(string(text[1]), -1)...)
	}
	return words
}

// The pictures of the README are those of the command that it names.
func TestPicturesOfTheReadmeAreTheCommands(t *testing.T) {
	const command = "stopvolt knee --out lesson"
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !regexp.MustCompile(regexp.QuoteMeta(command)).Match(readme) {
		t.Errorf("the README does not name %s", command)
	}
	dir := t.TempDir()
	typed(t, "knee", "--out", dir)
	shown := regexp.MustCompile(`\((testdata/pictures/([^)]*))\)`).FindAllSubmatch(readme, -1)
	if len(shown) != 3 {
		t.Errorf("the README shows %d pictures, not three", len(shown))
	}
	for _, p := range shown {
		stored, made := wordsOf(t, filepath.Join("../..", string(p[1]))), wordsOf(t, filepath.Join(dir, string(p[2])))
		if len(made) == 0 || !slices.Equal(stored, made) {
			t.Errorf("%s says %q, and %s makes %q", p[1], stored, command, made)
		}
	}
}
