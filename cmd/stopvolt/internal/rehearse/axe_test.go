package rehearse

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/browser"
)

// axeSource returns the accessibility checker, which .ci/run installs by its
// lockfile.
func axeSource(t *testing.T) string {
	t.Helper()
	source, err := os.ReadFile("testdata/axe/node_modules/axe-core/axe.min.js")
	if err != nil {
		if os.Getenv(browser.Needed) != "" {
			t.Fatalf("axe-core is not installed, and %s asks for it; npm ci in testdata/axe installs it", browser.Needed)
		}
		t.Skip("axe-core is not installed; npm ci in testdata/axe installs it")
	}
	return string(source)
}

// A breach is what axe-core finds.
type breach struct {
	ID, Help string
	Nodes    []struct{ HTML, FailureSummary string }
}

// breaches returns what the checker finds on the page, of the rules of WCAG 2.2 up
// to level AA and of good practice.
func breaches(w *walker, source string) []breach {
	w.t.Helper()
	eval[bool](w, source+"; true")
	text, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r =>
		JSON.stringify(r.violations.map(v => ({ID: v.id, Help: v.help, Nodes: v.nodes.slice(0, 3).map(n => ({HTML: n.html, FailureSummary: n.failureSummary}))}))))`, chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatal(err)
	}
	var found []breach
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		w.t.Fatal(err)
	}
	return found
}

// The pages keep the rules of WCAG 2.2, level AA, that a machine can check, in
// light and dark, on a telephone and on a projector.
func TestPagesKeepTheRulesOfAccessibility(t *testing.T) {
	source := axeSource(t)
	ctx := browser.Start(t, browserTime)
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	p.does(rehearsal.Ruler, "value", "0", "second", "0.2", "third", "100")
	p.does(rehearsal.Ruler, "value", "1", "second", "0.8", "third", "1")
	w := &walker{t: t, ctx: ctx}
	w.joins(s)
	steps := len(rehearsal.Steps())
	var places []string
	for i := range steps {
		places = append(places, fmt.Sprint("/desk ", i))
	}
	places = append(places, "/", "/debrief", "/instructor?token=instructor-of-tests", "/instructor?token=instructor-of-tests&steps=1")
	for _, look := range []struct {
		name   string
		scheme string
		width  int64
	}{{"light at 1280", "light", 1280}, {"dark at 390", "dark", 390}} {
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: look.scheme}},
		}); err != nil {
			t.Fatal(err)
		}
		for _, place := range places {
			path, step, _ := strings.Cut(place, " ")
			switch {
			case step != "":
				p.does(rehearsal.Move, "value", step)
			case path == "/debrief":
				p.does(rehearsal.Reveal)
			}
			w.do(chromedp.EmulateViewport(look.width, 900), chromedp.Navigate(s.address+path))
			w.fits(look.name + ": " + place)
			for _, b := range breaches(w, source) {
				for _, n := range b.Nodes {
					t.Errorf("%s, %s: %s (%s)\n%.300s\n%s", look.name, place, b.Help, b.ID, n.HTML, n.FailureSummary)
				}
			}
		}
	}
}
