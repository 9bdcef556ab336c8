package rehearse

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"stopvolt/analysis/rehearsal"
)

// A session in which nothing was done gets no tick and no praise.
func TestDebriefDoesNotPraiseWhatWasNotDone(t *testing.T) {
	for _, tag := range Languages() {
		s := serve(t, options(t))
		p := sits(t, s)
		p.posts("/speech", map[string][]string{"language": {tag}}, http.StatusOK)
		p.does(rehearsal.Reveal, "value", "1")
		page := p.gets("/debrief", http.StatusOK)
		w := Voice{load(t, tag), false}
		if strings.Contains(page, "✓") || strings.Contains(page, w.T("debrief.none_work")) || strings.Contains(page, w.T("debrief.none_ideas")) {
			t.Errorf("%s: with nothing done, the debrief praises", tag)
		}
		for _, want := range []string{"debrief.no_work", "debrief.no_answers", "finding.no-uncertainty.undone"} {
			if !strings.Contains(page, w.T(want)) {
				t.Errorf("%s: the debrief lacks %s", tag, want)
			}
		}
	}
}

// Before the cutoffs are handed in, the truth is shown only to a request that
// confirms, whatever the page offers.
func TestServerRefusesAnEarlyDebriefWithoutConfirmation(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	if page := p.does(rehearsal.Reveal); !strings.Contains(page, load(t, "en").Words["refusal.confirm-first"]) {
		t.Error("an early debrief is not refused in words")
	}
	if page := p.gets("/debrief", http.StatusOK); !strings.Contains(page, `id="bench"`) || s.only(t).rehearsal.Revealed() {
		t.Error("the debrief is shown without a confirmation")
	}
}

// On the page the early debrief is two presses apart, with the words between them,
// and the second button is not the page's most prominent.
func TestEarlyDebriefIsAskedForTwice(t *testing.T) {
	s := serve(t, options(t))
	w := newWalker(t, s, "early-debrief", 1024, "light")
	w.do(chromedp.Navigate(s.address + "/"))
	w.click("begin")
	w.do(chromedp.WaitVisible("#write"))
	w.press("step-debrief")
	if eval[bool](w, `document.getElementById("reveal") != null || document.getElementById("reveal-confirm").checkVisibility()`) {
		t.Error("before handing in, the truth is one press away")
	}
	w.click("reveal-early")
	if s.only(t).rehearsal.Revealed() {
		t.Fatal("the first press shows the truth")
	}
	if !eval[bool](w, `document.querySelector("#reveal-tool p").checkVisibility() && !document.getElementById("reveal-confirm").classList.contains("big")`) {
		t.Error("the second press is not explained, or is the most prominent")
	}
	w.fits("the early debrief")
	w.shot("asked")
	w.click("reveal-confirm")
	w.do(chromedp.WaitVisible("#truth"))
}

// On paper nothing sticks to the window: printed from the bottom of the page, each
// table's head stands above its first row.
func TestPrintedTablesHaveTheirHeadsOnTop(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	p.does(rehearsal.Reveal)
	w := newWalker(t, s, "print", 390, "light")
	w.joins(s)
	for _, path := range []string{"/debrief", "/desk"} {
		w.do(chromedp.Navigate(s.address + path))
		media := func(name string) {
			t.Helper()
			if _, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: name}); err != nil {
				t.Fatal(err)
			}
		}
		if path == "/desk" && !eval[bool](w, `[...document.querySelectorAll("*")].some(e => ["sticky", "fixed"].includes(getComputedStyle(e).position))`) {
			t.Error("in the window nothing sticks, and the test has nothing to see")
		}
		eval[bool](w, `scrollTo(0, document.documentElement.scrollHeight); true`)
		media("print")
		eval[bool](w, `scrollTo(0, document.documentElement.scrollHeight); true`)
		if text := eval[string](w, `[...document.querySelectorAll("body *")].filter(e => ["sticky", "fixed"].includes(getComputedStyle(e).position)).map(e => e.outerHTML.slice(0, 80)).join(" | ")`); text != "" {
			t.Errorf("%s: on paper these stick: %s", path, text)
		}
		if n := eval[float64](w, `[...document.querySelectorAll("table")].filter(t => t.tBodies[0].rows.length).length`); n == 0 {
			t.Errorf("%s has no table", path)
		}
		if text := eval[string](w, `[...document.querySelectorAll("table")].filter(t => t.tBodies[0].rows.length && [...t.tHead.querySelectorAll("th")].some(h => h.getBoundingClientRect().bottom > t.tBodies[0].rows[0].getBoundingClientRect().top + 1)).map(t => t.tHead.innerText).join(" | ")`); text != "" {
			t.Errorf("%s: heads below their first row: %s", path, text)
		}
		media("")
	}
}

// Pages are told apart by their names: a second one of a line has a number, and one
// of the second bench says so, in the logbook and among the cutoffs; its cutoff
// needs no reason for a change.
func TestPagesHaveNamesOfTheirOwn(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	if s.only(t).rehearsal.Book().Committed == 0 {
		t.Fatal("nothing is handed in")
	}
	p.does(rehearsal.OpenPage, "value", "404.7", "second", "1")
	if v := s.only(t); v.pageLabel(v.rehearsal.Book().Open) != "404.7 nm (2)" {
		t.Errorf("the second page of a line is called %q", v.pageLabel(v.rehearsal.Book().Open))
	}
	p.does(rehearsal.Bench, "value", "1")
	p.does(rehearsal.OpenPage, "value", "404.7", "second", "1")
	p.does(rehearsal.Write)
	book := s.only(t).rehearsal.Book()
	page := p.does(rehearsal.Read, "value", strconv.Itoa(book.Open), "second", "0.9", "third", "0.05", "text", "by-eye")
	if !strings.Contains(page, "<td>404.7 nm · bench 2</td>") || strings.Contains(page, "cutoff-why") || strings.Contains(page, "changed because") {
		t.Error("a cutoff of the second bench is not called that, or needs a reason")
	}
	for _, f := range s.only(t).rehearsal.Findings() {
		if f.Name == "changed-after" {
			t.Error("a first cutoff at the second bench is said to be a change")
		}
	}
}

// A page is set aside at the page itself, with a reason, and stays in sight as
// struck out; it takes no more readings and no cutoff.
func TestPageIsSetAsideInSight(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	w := newWalker(t, s, "aside", 390, "light")
	w.joins(s)
	w.do(chromedp.Navigate(s.address+"/desk"), chromedp.WaitVisible("#write"))
	w.unfold("aside-tool")
	w.fill("aside-why", "another filter was in")
	w.press("aside-do")
	w.fits("a page set aside")
	w.shot("aside")
	for what, script := range map[string]string{
		"its tab is not struck out":       `document.querySelector("#logbook .tab[aria-current=page] s") != null`,
		"its readings are not struck out": `document.querySelectorAll("#rows tr.struck").length == 5`,
		"its reason is not in sight":      `document.querySelector("#logbook .leaf").innerText.includes("another filter was in")`,
		"its cutoff is not struck out":    `document.querySelectorAll("#cutoffs tr.struck").length == 1`,
		"it can have another cutoff":      `document.getElementById("cutoff-form") == null`,
		"it takes readings":               `document.getElementById("write").getAttribute("aria-disabled") == "true"`,
		"it can be set aside again":       `document.getElementById("aside-tool") == null`,
	} {
		if !eval[bool](w, script) {
			t.Error(what)
		}
	}
	if f, _ := pageReadings(s.only(t).rehearsal.Book(), s.only(t).rehearsal.Book().Pages[3]); len(f) != 5 {
		t.Errorf("its curve has %d readings in the picture", len(f))
	}
	if n := len(s.only(t).rehearsal.Points()); n != 3 {
		t.Errorf("the line has %d points", n)
	}
}

// An idea about the dimmed light is answered by what the two cutoffs can tell.
func TestDimmedCutoffsAreSaidToAgreeWhereTheyDo(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.does(rehearsal.Answer, "text", "dim", "value", "0")
	p.does(rehearsal.Reveal, "value", "1")
	english := load(t, "en").Words
	if page := p.gets("/debrief", http.StatusOK); !strings.Contains(page, english["debrief.not_dimmed"]) || strings.Contains(page, "differ by") {
		t.Error("without a dimmed cutoff, two are said to differ")
	}
	for i, dim := range []string{"1", "0.1"} {
		p.does(rehearsal.OpenPage, "value", "365", "second", dim)
		p.does(rehearsal.Write)
		p.does(rehearsal.Read, "value", strconv.Itoa(i), "second", []string{"1.3", "1.06"}[i], "third", "0.1", "text", "by-eye")
	}
	if page := p.gets("/debrief", http.StatusOK); !strings.Contains(page, "differ by 240 mV and agree within twice") || strings.Contains(page, "it is the rule that moves") {
		t.Error("cutoffs that agree are said to differ by the rule")
	}
}
