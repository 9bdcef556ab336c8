package rehearse

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"stopvolt/analysis/rehearsal"
)

// english are words that no German sentence has, nor the names of methods that are
// international.
var english = regexp.MustCompile(`(?i)(^|[^\p{L}-])(the|of|and|with|without|is|are|your|you|this|that|from|current|voltage|reading|readings|frequency|residual|light|curve|knee|cutoff|cutoffs|line|point|emitter|work function|true|less|by|to|for|cleaned?|cell)($|[^\p{L}-])`)

// tags are what is not read, and whole elements that are no text.
var (
	scripts = regexp.MustCompile(`(?s)<(script|style|head)[ >].*?</(script|style|head)>`)
	tags    = regexp.MustCompile(`(?s)<[^>]*>`)
	spoken  = regexp.MustCompile(`(?:alt|aria-label|aria-valuetext|title)="([^"]*)"`)
	// own are the words that a page has in another language on purpose: the name of
	// the language itself, and what stands in files.
	own = strings.NewReplacer("English", "", "student_id", "", "A bench for tests", "")
)

// germanText returns what a German reads or hears on a page, a line each.
func germanText(page string) []string {
	page = scripts.ReplaceAllString(page, "")
	var lines []string
	for _, m := range spoken.FindAllStringSubmatch(page, -1) {
		lines = append(lines, m[1])
	}
	lines = append(lines, strings.Split(tags.ReplaceAllString(page, "\n"), "\n")...)
	var out []string
	for _, line := range lines {
		if line = strings.TrimSpace(own.Replace(html.UnescapeString(line))); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// On German pages nothing is English: at each step, in the debrief, in the pictures
// and in the instructor's view.
func TestGermanPagesAreGerman(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.posts("/speech", url.Values{"language": {"de"}, "decimal": {"comma"}}, http.StatusOK)
	p.measures()
	pages := map[string]string{"the first page": p.gets("/?language=de", http.StatusOK)}
	for i, step := range rehearsal.Steps() {
		pages["step "+step.Name] = p.does(rehearsal.Move, "value", strconv.Itoa(i))
	}
	p.does(rehearsal.Sketch, "at0", "100", "at1", "100", "at2", "90", "at3", "50", "at4", "10", "at5", "0", "at6", "0")
	p.does(rehearsal.Ruler, "value", "0", "second", "0.2", "third", "100")
	p.does(rehearsal.Ruler, "value", "1", "second", "0.8", "third", "1")
	pages["with a ruler"] = p.gets("/desk", http.StatusOK)
	for _, name := range []string{"page", "page-narrow", "line"} {
		pages["figure "+name] = p.gets("/figure/"+name+".svg", http.StatusOK)
	}
	for _, q := range []string{"zero", "range", "negative", "dim", "off", "straight", "intercept"} {
		for choice := range 3 {
			p.does(rehearsal.Answer, "text", q, "value", strconv.Itoa(choice))
		}
	}
	p.does(rehearsal.Name, "text", "room-light")
	p.does(rehearsal.Reveal)
	pages["the debrief"] = p.gets("/debrief", http.StatusOK)
	pages["the line of the debrief"] = p.gets("/figure/line.svg?v=d1", http.StatusOK)
	instructor := "/instructor?language=de&token=instructor-of-tests"
	pages["the instructor's view"] = p.gets(instructor+"&steps=1", http.StatusOK)
	pages["the instructor's curve"] = p.gets("/instructor/figure/curve.svg?language=de", http.StatusOK)
	for i := range len(regexp.MustCompile(`step-[0-9]+\.svg`).FindAllString(pages["the instructor's view"], -1)) {
		pages["the instructor's step "+strconv.Itoa(i)] = p.gets("/instructor/figure/step-"+strconv.Itoa(i)+".svg?language=de", http.StatusOK)
	}
	for where, page := range pages {
		seen := map[string]bool{}
		for _, line := range germanText(page) {
			if english.MatchString(line) && !seen[line] {
				seen[line] = true
				t.Errorf("%s: %q", where, line)
			}
		}
	}
}
