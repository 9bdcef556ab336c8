package sheet

import (
	"bytes"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/scenarios"
)

// placeholders are the words in braces of a text.
var placeholders = regexp.MustCompile(`\{[a-zA-Z_]+\}`)

func load(t *testing.T, tag string) *Texts {
	t.Helper()
	texts, err := Load(tag)
	if err != nil {
		t.Fatal(err)
	}
	return texts
}

func TestEveryLanguageHasEveryText(t *testing.T) {
	english := load(t, "en")
	for _, tag := range Languages()[1:] {
		texts := load(t, tag)
		for key, text := range english.Words {
			other, ok := texts.Words[key]
			if !ok || strings.TrimSpace(other) == "" {
				t.Errorf("%s has no text %s", tag, key)
				continue
			}
			want, got := placeholders.FindAllString(text, -1), placeholders.FindAllString(other, -1)
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(slices.Compact(want), slices.Compact(got)) {
				t.Errorf("%s, %s: the words in braces are %v, want %v", tag, key, got, want)
			}
			if other == text && len(text) > 30 {
				t.Errorf("%s, %s is not translated", tag, key)
			}
		}
		for key := range texts.Words {
			if _, ok := english.Words[key]; !ok {
				t.Errorf("%s has the text %s, which English has not", tag, key)
			}
		}
		for key, list := range english.Lists {
			if len(texts.Lists[key]) != len(list) {
				t.Errorf("%s, %s has %d items, want %d", tag, key, len(texts.Lists[key]), len(list))
			}
		}
	}
}

func TestEverythingThatIsSaidHasItsWords(t *testing.T) {
	for _, tag := range Languages() {
		texts := load(t, tag)
		var keys []string
		for _, c := range practice.Checks() {
			keys = append(keys, "checks."+c.Name, "legend."+c.Name, "steps."+string(c.Group))
		}
		for _, f := range practice.Faults() {
			keys = append(keys, "faults."+f.Name)
		}
		for _, v := range []practice.Verdict{practice.NotStated, practice.NotJudged, practice.TooSmall, practice.Fits, practice.TooLarge} {
			keys = append(keys, "verdicts."+string(v), "verdict_words."+string(v))
		}
		for _, m := range analysis.Methods() {
			if m.Page().ByHand != "" {
				keys = append(keys, "methods."+m.Name())
			}
		}
		for _, g := range []practice.Group{practice.Voltages, practice.LineGroup, practice.Results, practice.FaultFound} {
			keys = append(keys, "try."+string(g))
		}
		for _, key := range append(keys, "faults."+practice.NoFault) {
			if _, ok := texts.Words[key]; !ok {
				t.Errorf("%s has no text %s", tag, key)
			}
		}
	}
}

// class makes a marked class of a level.
func class(t *testing.T, level string, how practice.Presentation) (practice.Public, []practice.Record, []practice.Mark) {
	t.Helper()
	s, err := scenarios.Load(scenarios.Practice, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range s.Practice {
		if v.Name != level {
			continue
		}
		r := practice.Recipe{Apparatus: s.Apparatus, Variation: v, Blind: true, Faults: true}
		public := r.Public(s.Title, how)
		var file bytes.Buffer
		lock := practice.Lock{Passphrase: []byte("five grey herons"), Work: 4}
		k, err := practice.NewKeyWriter(&file, lock, public, practice.Secret{7})
		if err != nil {
			t.Fatal(err)
		}
		if err := practice.Make(r, practice.Secret{7}, []practice.Student{{ID: "a", Name: "<b>Bo & \"Åse\""}, {ID: "b"}}, k.Write); err != nil {
			t.Fatal(err)
		}
		if err := k.Close(); err != nil {
			t.Fatal(err)
		}
		sealed := file.Bytes()
		open := func() *practice.KeyReader {
			o, err := practice.OpenKey(bytes.NewReader(sealed), lock)
			if err != nil {
				t.Fatal(err)
			}
			return o
		}
		var records []practice.Record
		for o := open(); len(records) < 2; {
			x, err := o.Next()
			if err != nil {
				t.Fatal(err)
			}
			records = append(records, x)
		}
		blank, err := practice.MarkClass(open(), practice.Marking{})
		if err != nil {
			t.Fatal(err)
		}
		marks, err := practice.MarkClass(open(), practice.Marking{Answers: []practice.Answer{answerTo(blank[0])}, Overrides: map[string]practice.Override{"a": {Points: 3, Reason: "so <it> is"}}})
		if err != nil {
			t.Fatal(err)
		}
		return public, records, marks
	}
	t.Fatalf("no level %q", level)
	return practice.Public{}, nil, nil
}

// answerTo is an answer with several slips in it.
func answerTo(m practice.Mark) practice.Answer {
	a := m.Answer
	a.Method = "tangent"
	for i, s := range m.Truth.Settings {
		a.Stopping[i] = practice.Quantity{Value: -s.Stopping, Half: 0.005}
	}
	a.Slope = practice.Quantity{Value: m.Truth.HOverE * 1e14, Half: 1e-3}
	a.HOverE, a.U = practice.Quantity{Value: 6.63e-34, Half: 5e-37}, practice.Quantity{Value: 1e-16, Half: 5e-18}
	return a
}

// All pages, in all languages and presentations, have all their texts, with all
// words in braces filled in, and no name gets out of its place.
func TestPagesAreWholeInEveryLanguage(t *testing.T) {
	for _, tag := range Languages() {
		for _, how := range []practice.Presentation{{Language: tag}, {Language: tag, DecimalComma: true, LargePrint: true, Grey: true}} {
			public, records, marks := class(t, "awkward", how)
			p, err := NewPrinter(how)
			if err != nil {
				t.Fatal(err)
			}
			picture, err := p.Figure(marks)
			if err != nil {
				t.Fatal(err)
			}
			pages := make(map[string]*bytes.Buffer)
			for _, name := range []string{"sheet", "feedback", "feedback without an answer", "summary"} {
				pages[name] = new(bytes.Buffer)
			}
			for name, err := range map[string]error{
				"sheet":                      p.Sheet(pages["sheet"], records[0].Handout(public)),
				"feedback":                   p.Feedback(pages["feedback"], marks[0]),
				"feedback without an answer": p.Feedback(pages["feedback without an answer"], marks[1]),
				"summary":                    p.Summary(pages["summary"], public, marks, picture),
			} {
				if err != nil {
					t.Errorf("%s, %s: %v", tag, name, err)
				}
			}
			for name, page := range pages {
				text := page.String()
				if i := strings.Index(text, "[no text"); i >= 0 {
					t.Errorf("%s, %s: %.60s", tag, name, text[i:])
				}
				body := text[strings.Index(text, "<body>"):]
				if found := placeholders.FindString(body); found != "" {
					t.Errorf("%s, %s: %s is not filled in", tag, name, found)
				}
				if strings.Contains(text, "<b>Bo") || strings.Contains(text, "<it>") || strings.Contains(text, "NaN") {
					t.Errorf("%s, %s: a text of the user's is markup, or a number is none", tag, name)
				}
				if !strings.HasSuffix(strings.TrimSpace(text), "</html>") || !strings.Contains(text, `lang="`+tag+`"`) {
					t.Errorf("%s, %s is not whole", tag, name)
				}
			}
			for _, f := range marks[0].Findings {
				if !strings.Contains(pages["summary"].String(), p.texts.Text("legend."+f.Check.Name)) {
					t.Errorf("%s: the summary does not say what %s means", tag, f.Check.Name)
				}
			}
			for _, item := range p.texts.List("sheet.safety_items") {
				if !strings.Contains(pages["sheet"].String(), strings.ReplaceAll(item, "'", "&#39;")) {
					t.Errorf("%s: the sheet lacks the safety note %q", tag, item)
				}
			}
			if err := picture.Save(new(bytes.Buffer), figure.SVG); err != nil {
				t.Error(err)
			}
		}
	}
}

func TestLargeClassesHaveAFigureOfMethods(t *testing.T) {
	_, _, marks := class(t, "clean", practice.Presentation{Language: "en"})
	var many []practice.Mark
	for range mostRows {
		many = append(many, marks...)
	}
	p, err := NewPrinter(practice.Presentation{Language: "en"})
	if err != nil {
		t.Fatal(err)
	}
	small, err := p.Figure(marks)
	if err != nil {
		t.Fatal(err)
	}
	large, err := p.Figure(many)
	if err != nil {
		t.Fatal(err)
	}
	_, h := large.Size()
	if _, k := small.Size(); h > 2*k {
		t.Errorf("the figure of %d students is %g points high", len(many), h)
	}
}

// What is in the key of a student and not in the handout cannot show in the
// sheet, whatever it is.
func TestSheetsShowNothingOfTheTruth(t *testing.T) {
	public, records, _ := class(t, "awkward", practice.Presentation{Language: "en"})
	p, err := NewPrinter(public.Presentation)
	if err != nil {
		t.Fatal(err)
	}
	other := records[0]
	other.Truth = practice.Truth{HOverE: 1, CollectorWorkFunction: 2, EmitterWorkFunction: 3, ContactPotential: other.Truth.ContactPotential, Fault: "another"}
	var a, b bytes.Buffer
	if err := p.Sheet(&a, records[0].Handout(public)); err != nil {
		t.Fatal(err)
	}
	if err := p.Sheet(&b, other.Handout(public)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("equal readings and another truth give another sheet")
	}
}

func TestLanguagesAreNamedInTheError(t *testing.T) {
	if _, err := Load("tlh"); err == nil || !strings.Contains(err.Error(), "en, de") {
		t.Error(err)
	}
	if _, err := NewPrinter(practice.Presentation{}); err == nil {
		t.Error("no language is a language")
	}
	if len(slices.Collect(maps.Keys(load(t, "en").Words))) < 100 {
		t.Error("English has lost its words")
	}
}

// The table of settings says how many there are; the title must not say another
// number, as the levels leave some out.
func TestTheTitleCountsNoSettings(t *testing.T) {
	public, _, _ := class(t, "ordinary", practice.Presentation{Language: "en"})
	for _, word := range strings.Fields("two three four five six seven eight 2 3 4 5 6 7 8") {
		if slices.Contains(strings.Fields(public.Title), word) {
			t.Errorf("the title is %q", public.Title)
		}
	}
}
