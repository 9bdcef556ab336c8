package rehearse

import (
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis/rehearsal"
)

func load(t *testing.T, tag string) *Language {
	t.Helper()
	l, err := LoadLanguage(tag)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var brace = regexp.MustCompile(`\{[a-z]+\}`)

// Every language has every text, with the same words to be filled in.
func TestLanguagesHaveTheSameTexts(t *testing.T) {
	english := load(t, "en")
	for _, tag := range Languages() {
		other := load(t, tag)
		for _, pair := range [][2]*Language{{english, other}, {other, english}} {
			for _, key := range slices.Sorted(maps.Keys(pair[0].Words)) {
				text, ok := pair[1].Words[key]
				if !ok {
					t.Errorf("%s has no text %s, which %s has", pair[1].Tag, key, pair[0].Tag)
				}
				for _, b := range brace.FindAllString(pair[0].Words[key], -1) {
					if ok && !strings.Contains(text, b) {
						t.Errorf("%s: %s lacks %s", pair[1].Tag, key, b)
					}
				}
			}
		}
		if len(other.Lists["safety.items"]) != len(english.Lists["safety.items"]) {
			t.Errorf("%s has %d cautions, en %d", tag, len(other.Lists["safety.items"]), len(english.Lists["safety.items"]))
		}
	}
}

// Everything that the rehearsal names by a word has its texts.
func TestEveryWordOfTheRehearsalHasTexts(t *testing.T) {
	for _, tag := range Languages() {
		l := load(t, tag)
		need := func(key string) {
			t.Helper()
			if _, ok := l.Words[key]; !ok {
				t.Errorf("%s has no text %s", tag, key)
			}
		}
		for _, s := range rehearsal.Steps() {
			need("step." + s.Name)
			need("do." + s.Name)
		}
		for _, q := range rehearsal.Questions() {
			need("ask." + q.Name)
			for _, c := range q.Choices {
				need("choice." + c)
			}
			if q.Idea != "" {
				need("finding." + q.Idea + ".title")
				need("finding." + q.Idea + ".text")
				need("finding." + q.Idea + ".advice")
			}
		}
		for _, f := range append(faultNames(), rehearsal.NoFault) {
			need("fault." + f)
		}
		for _, name := range rehearsal.Checks() {
			for _, part := range []string{"title", "text", "advice", "good", "undone"} {
				need("finding." + name + "." + part)
			}
		}
		for _, k := range knobs() {
			need("instructor." + k.name)
		}
	}
}

// Each refusal in the source has words.
func TestEveryRefusalHasWords(t *testing.T) {
	found := 0
	for _, file := range []string{"deeds.go", "action.go", "rehearsal.go"} {
		source, err := os.ReadFile("../../../../analysis/rehearsal/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`refuse\("([a-z-]+)"\)`).FindAllStringSubmatch(string(source), -1) {
			found++
			for _, tag := range Languages() {
				if _, ok := load(t, tag).Words["refusal."+m[1]]; !ok {
					t.Errorf("%s has no words for the refusal %s", tag, m[1])
				}
			}
		}
	}
	if found < 20 {
		t.Errorf("only %d refusals were found in the source", found)
	}
}

// Before the lamp goes on, all of the dangers are named.
func TestCautionsNameEachDanger(t *testing.T) {
	for tag, dangers := range map[string][]string{
		"en": {"ultraviolet", "eyes", "skin", "eyewear", "outer envelope", "off at once", "heat", "does not restrike", "mercury", "leave", "ventilate", "call staff",
			"evacuated glass", "alkali metal", "mains", "never opened", "darkness", "cables", "sensitive to light", "told beforehand"},
		"de": {"ultraviolett", "augen", "haut", "schutzbrille", "außenkolben", "sofort ausschalten", "hitze", "zündet nicht wieder", "quecksilber", "verlassen", "lüften", "fachleute rufen",
			"evakuiertes glas", "alkalimetall", "netzspannung", "nie geöffnet", "dunkelheit", "kabel", "lichtempfindlich", "vorher unterrichtet"},
	} {
		text := strings.ToLower(strings.Join(load(t, tag).Lists["safety.items"], " "))
		for _, d := range dangers {
			if !strings.Contains(text, d) {
				t.Errorf("%s: the cautions do not say %q", tag, d)
			}
		}
		if !strings.Contains(load(t, tag).Words["safety.intro"], map[string]string{"en": "local rules and trained staff decide", "de": "Regeln am Ort und die Fachleute"}[tag]) {
			t.Errorf("%s: who decides is not said", tag)
		}
	}
}

func TestNumbersAreReadWithPointOrComma(t *testing.T) {
	for text, want := range map[string]float64{"0.85": 0.85, "0,85": 0.85, " -1,5 ": -1.5, "−0.3": -0.3, "4": 4, "1e-3": 1e-3} {
		if got, err := parseNumber(text); err != nil || got != want {
			t.Errorf("%q is read as %g (%v)", text, got, err)
		}
	}
	for _, text := range []string{"", "x", "1.2.3", "nan", "inf", "1,234.5"} {
		if got, err := parseNumber(text); err == nil {
			t.Errorf("%q is read as %g", text, got)
		}
	}
}

func TestNumbersAreWrittenWithTheReadersSign(t *testing.T) {
	german := Voice{load(t, "de"), true}
	if got := german.Number(-0.8504, 3); got != "−0,850" {
		t.Errorf("it is written %q", got)
	}
	if number, unit := german.Current(-1.25e-11, 1e-10, 5e-14); number != "−12,50" || unit != "pA" {
		t.Errorf("the current is %q %s", number, unit)
	}
	if number, unit := (Voice{load(t, "en"), false}).Current(2.345e-9, 1e-8, 5e-12); number != "2.345" || unit != "nA" {
		t.Errorf("the current is %q %s", number, unit)
	}
}
