package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/scenarios"
)

// filesIn returns what lies in a folder, by name.
func filesIn(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	all := make(map[string][]byte)
	err := filepath.WalkDir(dir, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		all[name[len(dir):]], err = os.ReadFile(name)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Two sets with equal readings and different truths and secrets are equal bytes
// but for the key, in every file that is not the key.
func TestASetShowsNothingOfItsKey(t *testing.T) {
	s, err := scenarios.Load(scenarios.Practice, nil)
	if err != nil {
		t.Fatal(err)
	}
	recipe := practice.Recipe{Apparatus: s.Apparatus, Variation: s.Practice[1], Blind: true, Faults: true}
	public := recipe.Public(s.Title, practice.Presentation{Language: "en"})
	var dirs []string
	for _, other := range []bool{false, true} {
		dir := filepath.Join(t.TempDir(), "set")
		dirs = append(dirs, dir)
		err := files.WriteFolder(dir, func(dir string) error {
			return makeSet(context.Background(), dir, public, func(each func(practice.Record) error) error {
				return practice.Make(recipe, practice.Secret{3}, practice.Numbered(3), func(r practice.Record) error {
					if other {
						r.Truth = practice.Truth{HOverE: 1, ContactPotential: r.Truth.ContactPotential}
					}
					return each(r)
				})
			})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	a, b := filesIn(t, dirs[0]), filesIn(t, dirs[1])
	if len(a) != 7 || len(b) != 7 {
		t.Fatalf("the sets have %d and %d files", len(a), len(b))
	}
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

// BenchmarkHandouts is the writing of one student's files.
func BenchmarkHandouts(b *testing.B) {
	s, err := scenarios.Load(scenarios.Practice, nil)
	if err != nil {
		b.Fatal(err)
	}
	recipe := practice.Recipe{Apparatus: s.Apparatus, Variation: s.Practice[1]}
	public := recipe.Public(s.Title, practice.Presentation{Language: "en"})
	dir := b.TempDir()
	b.ResetTimer()
	err = makeSet(context.Background(), dir, public, func(each func(practice.Record) error) error {
		return practice.Make(recipe, practice.Secret{3}, practice.Numbered(b.N), each)
	})
	if err != nil {
		b.Fatal(err)
	}
}
