// Package words holds what people read about effects, geometries and the steps of
// the knee. The words of a language stand in one file, under the identity that the
// simulation gives each thing, so that neither knows the other.
package words

import (
	"embed"
	"fmt"
	"math"
	"strings"
	"text/template"

	"stopvolt/instrument"
	"stopvolt/physics"
)

//go:embed effects.*.toml
var files embed.FS

// Default is the language that texts are in where none is asked for.
const Default = "en"

// Languages returns the tags of the languages there are, the default first.
func Languages() []string { return Tags(files, effectFiles) }

// effectFiles is what the names of the files begin with.
const effectFiles = "effects."

// A Language has the words of one language.
type Language struct {
	// Tag is that of the language, such as "en".
	Tag   string
	texts *template.Template
}

// Load returns a language; the error lists those there are.
func Load(tag string) (*Language, error) {
	tree, err := open(files, effectFiles, tag)
	if err != nil {
		return nil, err
	}
	decimal, _ := tree["decimal"].(string)
	l := &Language{Tag: tag, texts: template.New("").Option("missingkey=error").Funcs(functions(decimal))}
	return l, l.add("", tree)
}

// English returns the default language. Its file is embedded, and a test loads it.
func English() *Language {
	l, err := Load(Default)
	if err != nil {
		panic(err)
	}
	return l
}

// add parses the texts of a table under keys joined by slashes.
func (l *Language) add(prefix string, tree map[string]any) error {
	for name, value := range tree {
		switch v := value.(type) {
		case map[string]any:
			if err := l.add(prefix+name+"/", v); err != nil {
				return err
			}
		case string:
			if _, err := l.texts.New(prefix + name).Parse(v); err != nil {
				return fmt.Errorf("effects.%s.toml: %w", l.Tag, err)
			}
		}
	}
	return nil
}

// functions are what a text can call. Numbers are written with a decimal sign,
// the point where it is empty.
func functions(decimal string) template.FuncMap {
	local := func(text string) string {
		if decimal == "" {
			return text
		}
		return strings.ReplaceAll(text, ".", decimal)
	}
	return template.FuncMap{
		"quantity": func(x float64, unit string) string { return local(Quantity(x, unit)) },
		"share":    func(x float64) string { return local(Share(x)) },
		"plain":    func(x float64) string { return local(fmt.Sprintf("%g", x)) },
		"figures":  func(x float64) string { return local(fmt.Sprintf("%.3g", x)) },
		"fixed":    func(decimals int, x float64) string { return local(fmt.Sprintf("%.*f", decimals, x)) },
		"hypot":    math.Hypot,
		"over":     func(a, b any) float64 { return number(a) / number(b) },
	}
}

// number takes the whole numbers that a text writes out, too.
func number(x any) float64 {
	if n, ok := x.(int); ok {
		return float64(n)
	}
	f, _ := x.(float64)
	return f
}

// missing stands where a language lacks a text or a number for it, so that a test
// sees it.
const missing = "[no text: %s]"

// fill returns the text of a key with the facts filled in.
func (l *Language) fill(key string, facts map[string]any) string {
	var b strings.Builder
	if text := l.texts.Lookup(key); text == nil || text.Execute(&b, facts) != nil {
		return fmt.Sprintf(missing, key)
	}
	return b.String()
}

// Effect returns what an effect is called.
func (l *Language) Effect(id instrument.EffectID) string { return l.fill(effectKey(id, "name"), nil) }

// Remedy returns a sentence about what to change at the bench against an effect.
func (l *Language) Remedy(id instrument.EffectID) string {
	return l.fill(effectKey(id, "remedy"), nil)
}

func effectKey(id instrument.EffectID, part string) string {
	return "effects/" + string(id) + "/" + part
}

// Geometry tells a geometry in a sentence.
func (l *Language) Geometry(g physics.Geometry) string { return l.geometry(g, "words") }

// geometry returns one of the texts of a geometry.
func (l *Language) geometry(g physics.Geometry, part string) string {
	d := g.Describe()
	return l.fill("geometries/"+d.Kind+"/"+part, facts(d.Numbers))
}

// facts makes numbers ready to be filled in.
func facts(numbers map[string]float64) map[string]any {
	all := make(map[string]any, len(numbers))
	for name, x := range numbers {
		all[name] = x
	}
	return all
}

// Lines names the spectral lines in nm that carry a thousandth of a light's power
// or more.
func (l *Language) Lines(light instrument.Light) string {
	spectrum := light.Spectrum()
	var power float64
	for _, line := range spectrum {
		power += line.Weight
	}
	var names []string
	for _, line := range spectrum {
		if line.Weight >= 1e-3*power {
			names = append(names, l.fill("step/line", map[string]any{"nm": line.Wavelength}))
		}
	}
	const most = 6
	if n := len(names); n > most {
		return l.fill("step/lines", map[string]any{"n": n, "first": names[0], "last": names[n-1]})
	}
	return strings.Join(names, ", ")
}
