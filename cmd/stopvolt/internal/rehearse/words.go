package rehearse

import (
	"embed"
	"math"
	"strconv"
	"strings"

	"stopvolt/cmd/stopvolt/internal/words"
)

//go:embed *.toml
var languageFiles embed.FS

// A Language has all words of the pages.
type Language = words.Texts

// Languages returns the tags of the languages there are, English first.
func Languages() []string { return words.Tags(languageFiles, "") }

// LoadLanguage returns the words of a language; the error lists those there are.
func LoadLanguage(tag string) (*Language, error) { return words.ReadTexts(languageFiles, tag) }

// A Voice speaks a language with a decimal sign.
type Voice struct {
	*Language
	Comma bool
}

// T returns the text of a key.
func (v Voice) T(key string) string { return v.Text(key) }

// F returns a text with its words in braces filled in: names and values
// alternate.
func (v Voice) F(key string, pairs ...string) string { return v.Fill(key, pairs...) }

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
