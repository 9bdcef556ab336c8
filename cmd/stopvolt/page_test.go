package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"stopvolt/cmd/stopvolt/internal/browser"
	"stopvolt/cmd/stopvolt/internal/console"
)

// What a page is asked in the browser.
const (
	// wider is by how much the page is wider than its window.
	wider = `document.documentElement.scrollWidth - document.documentElement.clientWidth`
	// outside counts the elements that stick out of the window, but for those
	// that scroll within a frame of their own.
	outside = `[...document.querySelectorAll("body *")].filter(e =>
		!(e.parentElement.closest(".wide")) && !e.closest("details:not([open])") &&
		e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).length`
	// unnamed counts the pictures without a description.
	unnamed = `[...document.querySelectorAll("svg")].filter(s =>
		!s.querySelector("title")?.textContent || s.getAttribute("role") != "img").length`
)

// typed carries out a command line in this process.
func typed(t *testing.T, words ...string) {
	t.Helper()
	var errors bytes.Buffer
	if code := execute(context.Background(), console.New(strings.NewReader(""), io.Discard, &errors), words); code != console.Done {
		t.Fatalf("stopvolt %s: exit code %d: %s", strings.Join(words, " "), code, errors.String())
	}
}

// pages makes one page of each command that has one, and those of a practice set, in
// the languages and prints that there are. The chart is left out, which takes thousands of
// benches; its figure has a test of its own.
func pages(t *testing.T) []string {
	t.Helper()
	t.Setenv(passphraseVariable, "five grey herons")
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	var made []string
	name := func(page string) string {
		made = append(made, path(page+".html"))
		return made[len(made)-1]
	}
	real, err := filepath.Glob("../../testdata/real/*.csv")
	if err != nil || len(real) == 0 {
		t.Fatalf("no real curves: %v", err)
	}
	write := func(name, text string) string {
		if err := os.WriteFile(path(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path(name)
	}
	typed(t, "knee", "--electrons", "5000", "--report", name("knee"))
	typed(t, "study", "--quiet", "--replicates", "20", "--full-report", "--report", name("study"))
	typed(t, append([]string{"extract", "--report", name("extract")}, real...)...)
	table := write("table.csv", "wavelength_nm,stopping_V\n433.9,0.55\n404.7,0.73\n365.0,1.09\n312.5,1.67\n253.5,2.57\n")
	typed(t, "line", table, "--report", name("line"))
	typed(t, "budget", "lanternfell", "--replicates", "5", "--methods", "tangent,square-root", "--report", name("budget"))
	typed(t, "study", "lanternfell", "--quiet", "--replicates", "10", "--methods", "tangent,square-root", "--vary", "collector.stray_light=0,0.01,0.02", "--report", name("grid"))
	for i, bench := range []string{"window", "door"} {
		typed(t, "sweep", "--seed", fmt.Sprint(i+1), "--out", path(bench+".csv"))
		// What it finds in the readings makes an exit code of its own.
		execute(context.Background(), console.New(strings.NewReader(""), io.Discard, io.Discard), []string{"check", path(bench + ".csv"), "--bench", bench, "--ledger", path("benches.csv")})
	}
	typed(t, "groups", write("term.csv", "group,bench,file\nA,window,window.csv\nB,door,door.csv\n"), "--ledger", path("benches.csv"), "--report", name("groups"))
	typed(t, append([]string{"match", "--benches", "500", "--out", path("matched")}, real...)...)
	made = append(made, filepath.Join(path("matched"), "match.html"))
	for set, flags := range map[string][]string{"plain": nil, "large": {"--large-print", "--grey", "--language", "de", "--decimal", "comma"}} {
		typed(t, append([]string{"practice", "make", "--count", "1", "--out", path(set)}, flags...)...)
		made = append(made, filepath.Join(path(set), studentsFolder, "1.html"))
	}
	answers := write("answers.csv", "student_id,method,slope_Vs,intercept_V,h_over_e_Vs,u_h_over_e_Vs\n1,tangent,4.0e-15,-2.0,4.0e-15,1e-16\n")
	typed(t, "practice", "mark", "--key", filepath.Join(path("plain"), keyFile), answers, "--out", path("marked"))
	return append(made, filepath.Join(path("marked"), feedbackFolder, "1.html"), filepath.Join(path("marked"), summaryFile))
}

// What the figures of a page are asked in the browser. A figure that is not shown at a
// width is passed over, and so are exponents, which are smaller than their text.
const (
	// smallest is the height of the letters of the smallest text in pixels, 99 for none.
	smallest = `Math.min(99, ...[...document.querySelectorAll("svg text")].filter(t => t.getClientRects().length).map(t =>
		[parseFloat(getComputedStyle(t).fontSize), Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b)]).filter(([size]) => size > 8).map(([size, scale]) => size * scale))`
	// cutOff counts the texts that end in dots, or stick out of their figure.
	cutOff = `[...document.querySelectorAll("svg")].filter(s => s.getClientRects().length).flatMap(s => [...s.querySelectorAll("text")].filter(t => {
		const a = s.getBoundingClientRect(), b = t.getBoundingClientRect();
		return t.textContent.includes("…") || b.left < a.left - 1 || b.right > a.right + 1 || b.top < a.top - 1 || b.bottom > a.bottom + 1; })).length`
	// sideways counts the figures that scroll, or are wider than the window.
	sideways = `[...document.querySelectorAll("svg, figure img")].filter(s => s.getClientRects().length).filter(s =>
		s.getBoundingClientRect().right > document.documentElement.clientWidth + 1 || s.parentElement.scrollWidth > s.parentElement.clientWidth + 1).length`
	// figures counts those that are seen.
	figures = `[...document.querySelectorAll("svg, figure img")].filter(s => s.getClientRects().length).length`
)

// Each page opens without an error on the console and without a request that
// leaves it, and is as wide as the window on a projector and on a telephone. There every
// figure has a layout of its own: letters of 11 pixels or more, no text cut off, and
// nothing that scrolls sideways.
func TestPagesOpenInABrowser(t *testing.T) {
	ctx := browser.Start(t, 2*time.Minute)
	for _, name := range pages(t) {
		base := filepath.Join(filepath.Base(filepath.Dir(filepath.Dir(name))), filepath.Base(name))
		seen := make(map[int64]float64)
		file := (&url.URL{Scheme: "file", Path: name}).String()
		tab, closeTab := chromedp.NewContext(ctx)
		c, err := browser.Listen(tab, func(asked string) bool { return asked == file || strings.HasPrefix(asked, "data:") })
		if err != nil {
			t.Fatal(err)
		}
		for _, width := range []int64{1280, 390} {
			if err := chromedp.Do(tab, chromedp.EmulateViewport(width, 900), chromedp.Navigate(file)); err != nil {
				t.Fatalf("%s: %v", base, err)
			}
			ask := func(script string) float64 {
				n, err := chromedp.Run(tab, chromedp.Evaluate[float64](script))
				if err != nil {
					t.Fatalf("%s: %v", base, err)
				}
				return n
			}
			for script, what := range map[string]string{
				wider: "pixels wider than the window", outside: "elements outside the window", unnamed: "pictures without a description",
				cutOff: "texts cut off in figures", sideways: "figures that scroll sideways",
			} {
				if n := ask(script); n > 0 {
					t.Errorf("%s at %d: %g %s", base, width, n, what)
				}
			}
			if n := ask(smallest); n < 11 {
				t.Errorf("%s at %d: letters of %.1f pixels in a figure", base, width, n)
			}
			seen[width] = ask(figures)
			text, err := chromedp.Run(tab, chromedp.Evaluate[string](`document.body.innerText`))
			if err != nil {
				t.Fatal(err)
			}
			// What students get back has nothing of the bench in it.
			marked := filepath.Base(name) == summaryFile || filepath.Base(filepath.Dir(name)) == feedbackFolder
			if !marked && !strings.Contains(text, "local rules") && !strings.Contains(text, "Regeln am Ort") {
				t.Errorf("%s lacks its cautions", base)
			}
			if n := strings.Count(text, "depends on the order in which"); n > 1 || n == 0 && filepath.Base(name) == "knee.html" {
				t.Errorf("%s says %d times that the order matters", base, n)
			}
			for trade, other := range map[string]string{"collector": "anode", "emitter": "photocathode"} {
				if strings.Contains(text, trade) && !strings.Contains(text, other) {
					t.Errorf("%s speaks of the %s and nowhere of the %s", base, trade, other)
				}
			}
			if strings.Contains(text, "NaN") || strings.Contains(text, "[no text") {
				t.Errorf("%s has a number or a text that is none", base)
			}
			for _, complaint := range c.Take() {
				t.Errorf("%s at %d: %s", base, width, complaint)
			}
		}
		closeTab()
		if seen[390] != seen[1280] {
			t.Errorf("%s shows %g figures on a screen and %g on a telephone", base, seen[1280], seen[390])
		}
	}
}

// A page prints on A4, on as many sheets as its pictures need, the page of the default
// study on eight at most. No sheet has a few rows of a table and nothing else.
func TestPagesPrint(t *testing.T) {
	ctx := browser.Start(t, 2*time.Minute)
	dir := t.TempDir()
	study, real := filepath.Join(dir, "study.html"), filepath.Join(dir, "extract.html")
	typed(t, "study", "--quiet", "--replicates", "60", "--report", study)
	curves, err := filepath.Glob("../../testdata/real/*.csv")
	if err != nil || len(curves) == 0 {
		t.Fatalf("no real curves: %v", err)
	}
	typed(t, append([]string{"extract", "--report", real}, curves...)...)
	t.Setenv(passphraseVariable, "five grey herons")
	typed(t, "practice", "make", "--count", "1", "--large-print", "--out", filepath.Join(dir, "set"))
	for name, most := range map[string]int{study: 8, real: 14, filepath.Join(dir, "set", studentsFolder, "1.html"): 16} {
		base := filepath.Base(name)
		file := (&url.URL{Scheme: "file", Path: name}).String()
		if err := chromedp.Do(ctx, chromedp.Navigate(file)); err != nil {
			t.Fatal(err)
		}
		sheets, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
		if err != nil {
			t.Fatal(err)
		}
		// Each sheet of a PDF is an object of the type Page (ISO 32000-1,
		// 7.7.3.3), and A4 is 595 by 842 points (ISO 216).
		if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(sheets, -1)); n < 4 || n > most {
			t.Errorf("%s: %d sheets; %d are allowed", base, n, most)
		}
		if !regexp.MustCompile(`/MediaBox\s*\[\s*0 0 59[45]`).Match(sheets) {
			t.Errorf("%s: the sheets are not A4", base)
		}
		checkSheets(t, base, sheets)
	}
}

// checkSheets looks for sheets with little on them, where a program is installed that
// tells the text of a PDF.
func checkSheets(t *testing.T, base string, sheets []byte) {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("pdftotext is not installed, so that nobody reads the sheets; Debian's package is poppler-utils")
		return
	}
	read := exec.Command(tool, "-layout", "-", "-")
	read.Stdin = bytes.NewReader(sheets)
	text, err := read.Output()
	if err != nil {
		t.Fatal(err)
	}
	const fewest = 8
	for i, sheet := range strings.Split(strings.TrimRight(string(text), "\f"), "\f") {
		lines := 0
		for _, line := range strings.Split(sheet, "\n") {
			if strings.TrimSpace(line) != "" {
				lines++
			}
		}
		if lines < fewest {
			t.Errorf("%s, sheet %d has %d lines: %s", base, i+1, lines, sheet)
		}
	}
}

// A page of the default study is small enough to be sent by mail.
func TestPageOfTheDefaultStudyIsBelowTwoMebibytes(t *testing.T) {
	name := filepath.Join(t.TempDir(), "study.html")
	typed(t, "study", "--quiet", "--replicates", "20", "--report", name)
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() > 2<<20 {
		t.Errorf("%d bytes", info.Size())
	}
}
