package main

import (
	"bytes"
	"context"
	"io"
	"net/url"
	"os"
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

// pages makes one page of each command that has one.
func pages(t *testing.T) []string {
	t.Helper()
	dir := t.TempDir()
	name := func(page string) string { return filepath.Join(dir, page+".html") }
	real, err := filepath.Glob("../../testdata/real/*.csv")
	if err != nil || len(real) == 0 {
		t.Fatalf("no real curves: %v", err)
	}
	typed(t, "knee", "--electrons", "5000", "--report", name("knee"))
	typed(t, "study", "--quiet", "--replicates", "20", "--report", name("study"))
	typed(t, append([]string{"extract", "--report", name("extract")}, real...)...)
	return []string{name("knee"), name("study"), name("extract")}
}

// Each page opens without an error on the console and without a request that
// leaves it, and is as wide as the window on a projector and on a telephone.
func TestPagesOpenInABrowser(t *testing.T) {
	ctx := browser.Start(t, 2*time.Minute)
	for _, name := range pages(t) {
		base := filepath.Base(name)
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
			for script, what := range map[string]string{
				wider: "pixels wider than the window", outside: "elements outside the window", unnamed: "pictures without a description",
			} {
				n, err := chromedp.Run(tab, chromedp.Evaluate[float64](script))
				if err != nil {
					t.Fatalf("%s: %v", base, err)
				}
				if n > 0 {
					t.Errorf("%s at %d: %g %s", base, width, n, what)
				}
			}
			text, err := chromedp.Run(tab, chromedp.Evaluate[string](`document.body.innerText`))
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(text, "local rules") || strings.Contains(text, "NaN") {
				t.Errorf("%s lacks its cautions, or has a number that is none", base)
			}
			for _, complaint := range c.Take() {
				t.Errorf("%s at %d: %s", base, width, complaint)
			}
		}
		closeTab()
	}
}

// A page prints on A4, on as many sheets as its pictures need.
func TestPagesPrint(t *testing.T) {
	ctx := browser.Start(t, 2*time.Minute)
	for _, name := range pages(t) {
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
		if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(sheets, -1)); n < 4 || n > 30 {
			t.Errorf("%s: %d sheets", filepath.Base(name), n)
		}
		if !regexp.MustCompile(`/MediaBox\s*\[\s*0 0 59[45]`).Match(sheets) {
			t.Errorf("%s: the sheets are not A4", filepath.Base(name))
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
