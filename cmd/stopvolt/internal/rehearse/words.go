package rehearse

import (
	"embed"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed *.toml
var languageFiles embed.FS

// A Language has all words of the pages.
type Language struct {
	// Tag is such as "en".
	Tag   string
	words map[string]string
	lists map[string][]string
}

// Languages returns the tags of the languages there are, English first.
func Languages() []string {
	entries, err := fs.ReadDir(languageFiles, ".")
	if err != nil {
		// An embedded folder can always be read.
		panic(err)
	}
	tags := []string{"en"}
	for _, e := range entries {
		if tag := strings.TrimSuffix(e.Name(), ".toml"); tag != "en" {
			tags = append(tags, tag)
		}
	}
	return tags
}

// LoadLanguage returns the words of a language; the error lists those there are.
func LoadLanguage(tag string) (*Language, error) {
	if !slices.Contains(Languages(), tag) {
		return nil, fmt.Errorf("there are no words in %q; the languages are %s", tag, strings.Join(Languages(), ", "))
	}
	file, err := languageFiles.ReadFile(tag + ".toml")
	if err != nil {
		return nil, err
	}
	var tree map[string]any
	if err := toml.Unmarshal(file, &tree); err != nil {
		return nil, fmt.Errorf("%s.toml: %w", tag, err)
	}
	l := &Language{Tag: tag, words: make(map[string]string), lists: make(map[string][]string)}
	l.add("", tree)
	return l, nil
}

func (l *Language) add(prefix string, tree map[string]any) {
	for name, value := range tree {
		switch v := value.(type) {
		case string:
			l.words[prefix+name] = v
		case []any:
			for _, item := range v {
				l.lists[prefix+name] = append(l.lists[prefix+name], fmt.Sprint(item))
			}
		case map[string]any:
			l.add(prefix+name+".", v)
		}
	}
}

// missing stands where a language lacks a text, so that a test sees it.
const missing = "[no text: %s]"

// A Voice speaks a language with a decimal sign.
type Voice struct {
	*Language
	Comma bool
}

// T returns the text of a key.
func (v Voice) T(key string) string {
	if text, ok := v.words[key]; ok {
		return text
	}
	return fmt.Sprintf(missing, key)
}

// Has reports whether there is a text.
func (v Voice) Has(key string) bool { _, ok := v.words[key]; return ok }

// List returns the texts of a key that has several.
func (v Voice) List(key string) []string { return v.lists[key] }

// F returns a text with its words in braces filled in: names and values
// alternate.
func (v Voice) F(key string, pairs ...string) string {
	filled := make([]string, len(pairs))
	for i, p := range pairs {
		if filled[i] = p; i%2 == 0 {
			filled[i] = "{" + p + "}"
		}
	}
	return strings.NewReplacer(filled...).Replace(v.T(key))
}

// Local writes the decimal sign of the reader into a number.
func (v Voice) Local(number string) string {
	if v.Comma {
		number = strings.ReplaceAll(number, ".", ",")
	}
	return strings.ReplaceAll(number, "-", "−")
}

// Number returns a number with decimals, a dash for none.
func (v Voice) Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return v.Local(text)
}

// Plain returns a number with as many digits as it has.
func (v Voice) Plain(x float64) string { return v.Local(strconv.FormatFloat(x, 'f', -1, 64)) }

// Field returns a number as it stands in a field to be typed into: with a
// hyphen, which keyboards have.
func (v Voice) Field(x float64, decimals int) string {
	return strings.ReplaceAll(v.Number(x, decimals), "−", "-")
}

// parseNumber reads a number with a point or a comma.
func parseNumber(text string) (float64, error) {
	text = strings.NewReplacer("−", "-", ",", ".", " ", "", "\u00a0", "").Replace(strings.TrimSpace(text))
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, errNoNumber
	}
	return x, nil
}

// A currentUnit is one in which currents are written.
type currentUnit struct {
	Name string
	Size float64
}

// unitFor returns the unit for a full scale in A.
func unitFor(full float64) currentUnit {
	for _, u := range []currentUnit{{"µA", 1e-6}, {"nA", 1e-9}} {
		if full >= 0.99*u.Size && !math.IsInf(full, 0) {
			return u
		}
	}
	return currentUnit{"pA", 1e-12}
}

// decimals returns how many a display of a step in A has in a unit.
func (u currentUnit) decimals(step float64) int {
	if !(step > 0) {
		return 4
	}
	return min(max(int(math.Ceil(-math.Log10(step/u.Size)-1e-9)), 0), 6)
}

// Current returns a current in A as a meter of a full scale and a step shows
// it, and its unit.
func (v Voice) Current(current, full, step float64) (number, unit string) {
	u := unitFor(full)
	return v.Number(current/u.Size, u.decimals(step)), u.Name
}
