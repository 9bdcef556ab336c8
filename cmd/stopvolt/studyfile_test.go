package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis/study"
	"stopvolt/scenarios"
)

// testBuild is the build that the files of these tests were written by.
const testBuild = "devel of a test"

// partOf returns the file of a part of a small study.
func partOf(t testing.TB, replicates int, part study.Part) studyFile {
	t.Helper()
	scenario, err := scenarios.Load("lanternfell", nil)
	if err != nil {
		t.Fatal(err)
	}
	methods, err := methodsNamed([]string{"tangent"})
	if err != nil {
		t.Fatal(err)
	}
	fits, err := fitsNamed([]string{"ordinary"})
	if err != nil {
		t.Fatal(err)
	}
	s := study.Study{Population: scenario.Population, Methods: methods, Fits: fits, Replicates: replicates, Seed: 1, Part: part}
	f := newStudyFile(scenario, s)
	if f.Tally, err = s.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	return f
}

// written returns the text of a file.
func written(t testing.TB, f studyFile) []byte {
	t.Helper()
	text, err := f.text(testBuild)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestAPartIsReadAsItWasWritten(t *testing.T) {
	text := written(t, partOf(t, 300, study.Part{Index: 2, Count: 2}))
	back, err := parseStudyFile(text, testBuild)
	if err != nil {
		t.Fatal(err)
	}
	if again := written(t, back); !bytes.Equal(again, text) {
		t.Error("a part that was read and written again differs")
	}
}

// Each byte is changed in turn, by one bit of it drawn at random.
func TestAChangedByteOfAPartIsAlwaysSeen(t *testing.T) {
	text := written(t, partOf(t, 4, study.Part{}))
	src := rand.New(rand.NewPCG(1, 2))
	for i, before := range text {
		text[i] ^= 1 << src.IntN(8)
		if _, err := parseStudyFile(text, testBuild); err == nil {
			t.Errorf("byte %d of %d was changed, and nobody saw it", i, len(text))
		}
		text[i] = before
	}
}

func TestACutOrLongerPartIsSeen(t *testing.T) {
	text := written(t, partOf(t, 4, study.Part{}))
	for n := range text {
		if _, err := parseStudyFile(text[:n], testBuild); err == nil {
			t.Errorf("%d bytes of %d make a part", n, len(text))
		}
	}
	if _, err := parseStudyFile(append(text, ' '), testBuild); err == nil {
		t.Error("a byte more was not seen")
	}
}

func TestAPartOfAnotherBuildOrFormatIsRefusedAndNamed(t *testing.T) {
	text := written(t, partOf(t, 4, study.Part{}))
	for _, test := range []struct {
		name, text, build, want string
	}{
		{"another build", string(text), "v9", `it was written by stopvolt "devel of a test" with schema 2, and this is stopvolt "v9"`},
		{"another schema", strings.Replace(string(text), `"schema":2`, `"schema":3`, 1), testBuild, "with schema 3"},
		{"the format before", `{"schema":1,"kind":"stopvolt tally","scenario":"lanternfell","tally":{}}` + "\n", testBuild, "an earlier stopvolt wrote this"},
		{"other JSON", `{"schema":2}` + "\n", testBuild, "this is not the file of a part"},
		{"a table", "wavelength_nm,stopping_V\n", testBuild, "this is not the file of a part"},
		{"nothing", "", testBuild, "this is not the file of a part"},
		{"the same head written otherwise", strings.Replace(string(text), `","schema"`, `", "schema"`, 1), testBuild, "it is damaged"},
	} {
		if _, err := parseStudyFile([]byte(test.text), test.build); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want %q", test.name, err, test.want)
		}
	}
}

// sealed returns a body with a head that fits it.
func sealed(body []byte) []byte {
	head, err := json.Marshal(partHead{partKind, 2, testBuild, sumOf(body)})
	if err != nil {
		panic(err)
	}
	return slices.Concat(head, []byte{'\n'}, body)
}

// What a tally says of itself has to go together, whoever worked out the sum.
func TestATallyThatDoesNotGoTogetherIsAnErrorAndNoPanic(t *testing.T) {
	text := written(t, partOf(t, 300, study.Part{}))
	_, body, _ := bytes.Cut(text, []byte{'\n'})
	if _, err := parseStudyFile(sealed(body), testBuild); err != nil {
		t.Fatal(err)
	}
	for _, change := range [][2]string{
		{`"blocks":[[0,1]]`, `"blocks":[[0,390]]`},
		{`"blocks":[[0,1]]`, `"blocks":[[0,0]]`},
		{`"blocks":[[0,1]]`, `"blocks":[[0,1],[0,1]]`},
		{`"blocks":[[0,1]]`, `"blocks":[[-1,1]]`},
		{`"blocks":[[0,1]]`, `"blocks":null`},
		{`"replicates":300`, `"replicates":100000`},
		{`"replicates":300`, `"replicates":-1`},
		{`"replicates":300`, `"replicates":1e99`},
		{`"part":[0,0]`, `"part":[3,2]`},
		{`"part":[0,0]`, `"part":[1,2]`},
		{`"part":[0,0]`, `"part":[]`},
		{`"methods":["tangent"]`, `"methods":[]`},
		{`"methods":["tangent"]`, `"methods":["tangent","fowler-fit"]`},
		{`"methods":["tangent"]`, `"methods":["tangent","tangent"]`},
		{`"methods":["tangent"]`, `"methods":["nothing"]`},
		{`"fits":["ordinary"]`, `"fits":null`},
		{`"scenario_toml":"`, `"scenario_toml":"[`},
	} {
		changed := strings.Replace(string(body), change[0], change[1], 1)
		if changed == string(body) {
			t.Fatalf("there is no %s", change[0])
		}
		if _, err := parseStudyFile(sealed([]byte(changed)), testBuild); err == nil {
			t.Errorf("%s instead of %s was taken", change[1], change[0])
		}
	}
	// Every key of the tally and below is taken away, made null, empty or short.
	for _, path := range paths(t, body) {
		for name, change := range map[string]func(any) (any, bool){
			"null":  func(any) (any, bool) { return nil, true },
			"empty": func(v any) (any, bool) { return empty(v) },
			"short": func(v any) (any, bool) { return short(v) },
			"other": func(v any) (any, bool) { return other(v) },
		} {
			changed, ok := altered(t, body, path, change)
			if !ok || bytes.Equal(changed, body) {
				continue
			}
			f, err := parseStudyFile(sealed(changed), testBuild)
			if err != nil {
				continue
			}
			// A sum may be any number; all else has to be seen.
			if last := path[len(path)-1]; !slices.Contains([]string{"all", "both", "squares", "differences"}, fmt.Sprint(last)) {
				t.Errorf("%v made %s was taken", path, name)
			}
			use(t, f)
		}
	}
}

// use does with a part what merge does.
func use(t *testing.T, f studyFile) {
	t.Helper()
	_, s, err := f.study()
	if err != nil {
		t.Fatal(err)
	}
	s.Result(f.Tally)
}

// A step is a key of an object or an index of a list.
type step = any

// paths returns those of all values of the tally in a body.
func paths(t *testing.T, body []byte) [][]step {
	t.Helper()
	var tree map[string]any
	if err := json.Unmarshal(body, &tree); err != nil {
		t.Fatal(err)
	}
	var all [][]step
	var walk func(v any, path []step)
	walk = func(v any, path []step) {
		all = append(all, slices.Clone(path))
		switch v := v.(type) {
		case map[string]any:
			keys := slices.Sorted(maps.Keys(v))
			for _, key := range keys[:min(len(keys), 20)] {
				walk(v[key], append(path, key))
			}
		case []any:
			for i := range v[:min(len(v), 2)] {
				walk(v[i], append(path, i))
			}
		}
	}
	walk(tree["tally"], []step{"tally"})
	return all
}

// altered returns a body in which the value at a path is changed.
func altered(t *testing.T, body []byte, path []step, change func(any) (any, bool)) ([]byte, bool) {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.UseNumber()
	var tree map[string]any
	if err := decoder.Decode(&tree); err != nil {
		t.Fatal(err)
	}
	var at any = tree
	for _, s := range path[:len(path)-1] {
		at = below(at, s)
	}
	last := path[len(path)-1]
	value, ok := change(below(at, last))
	if !ok {
		return nil, false
	}
	switch at := at.(type) {
	case map[string]any:
		at[last.(string)] = value
	case []any:
		at[last.(int)] = value
	}
	out, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	return out, true
}

func below(v any, s step) any {
	switch v := v.(type) {
	case map[string]any:
		return v[s.(string)]
	case []any:
		return v[s.(int)]
	}
	return nil
}

func empty(v any) (any, bool) {
	switch v.(type) {
	case map[string]any:
		return map[string]any{}, true
	case []any:
		return []any{}, true
	case string:
		return "", true
	}
	return nil, false
}

func short(v any) (any, bool) {
	if list, ok := v.([]any); ok && len(list) > 0 {
		return list[:len(list)-1], true
	}
	if text, ok := v.(string); ok && len(text) > 8 {
		return text[:len(text)-4], true
	}
	return nil, false
}

func other(v any) (any, bool) {
	if n, ok := v.(json.Number); ok {
		i, err := n.Int64()
		return i + 7, err == nil
	}
	return nil, false
}

// seeds are what the fuzzing of parts starts from.
func seeds(f *testing.F) []byte {
	text := written(f, partOf(f, 4, study.Part{}))
	_, body, _ := bytes.Cut(text, []byte{'\n'})
	return body
}

// FuzzPart reads any bytes as a part: an error or a part of a study, no panic.
func FuzzPart(f *testing.F) {
	body := seeds(f)
	f.Add(sealed(body))
	f.Add(body)
	f.Add([]byte(`{"kind":"stopvolt part of a study","schema":2}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		if part, err := parseStudyFile(text, testBuild); err == nil {
			use(t, part)
		}
	})
}

// FuzzProgress puts any bytes behind a head that fits them, as a progress file
// whose sum was worked out again.
func FuzzProgress(f *testing.F) {
	body := seeds(f)
	f.Add(body)
	f.Add([]byte(`{"tally":{}}`))
	f.Add([]byte(`{"scenario":"lanternfell","replicates":4,"methods":["tangent"],"fits":["ordinary"],"part":[0,0],"tally":{"blocks":[[0,390]]}}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		if part, err := parseStudyFile(sealed(body), testBuild); err == nil {
			use(t, part)
		}
	})
}
