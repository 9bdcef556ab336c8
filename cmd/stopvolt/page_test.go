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
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"stopvolt/cmd/stopvolt/internal/console"
)

// needBrowser is the environment variable with which the tests of pages fail
// where there is no browser, instead of being skipped.
const needBrowser = "STOPVOLT_BROWSER"

// browser starts a headless browser of its own for a test.
func browser(t *testing.T) context.Context {
	t.Helper()
	var path string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		if os.Getenv(needBrowser) != "" {
			t.Fatal("no browser is installed, and " + needBrowser + " asks for one; Debian's package is chromium")
		}
		t.Skip("no browser is installed; Debian's package is chromium")
	}
	options := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	options = append(options,
		chromedp.ExecPath(path),
		chromedp.UserDataDir(t.TempDir()),
		chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.WSURLReadTimeout(time.Minute),
	)
	allocator, stopAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stop := chromedp.NewContext(allocator)
	t.Cleanup(func() {
		// Closing the browser in order lets its folder be removed.
		if err := chromedp.Cancel(ctx); err != nil {
			t.Logf("closing the browser: %v", err)
		}
		stop()
		stopAllocator()
	})
	// The first call starts the browser, and must not have a time limit.
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("starting %s: %v", path, err)
	}
	limited, cancel := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(cancel)
	return limited
}

// complaints gathers what a page does that it must not.
type complaints struct {
	mutex sync.Mutex
	list  []string
}

func (c *complaints) add(format string, args ...any) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.list = append(c.list, fmt.Sprintf(format, args...))
}

// take returns what was gathered, and forgets it.
func (c *complaints) take() []string {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	list := c.list
	c.list = nil
	return list
}

// listen makes a tab tell its console's errors, its exceptions, and the requests
// that leave the file.
func (c *complaints) listen(ctx context.Context, file string) error {
	if err := chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			c.add("the console says %s", e.Type)
		case *runtime.EventExceptionThrown:
			c.add("an exception: %s", e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			c.add("the log says %s: %s", e.Entry.Level, e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; u != file && !strings.HasPrefix(u, "data:") {
				c.add("a request for %s", u)
			}
		}
	}); err != nil {
		return err
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		return err
	}
	if _, err := chromedp.Call(ctx, log.Enable, cdp.Empty{}); err != nil {
		return err
	}
	_, err := chromedp.Call(ctx, runtime.Enable, cdp.Empty{})
	return err
}

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
	ctx := browser(t)
	for _, name := range pages(t) {
		base := filepath.Base(name)
		file := (&url.URL{Scheme: "file", Path: name}).String()
		var c complaints
		tab, closeTab := chromedp.NewContext(ctx)
		if err := c.listen(tab, file); err != nil {
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
			for _, complaint := range c.take() {
				t.Errorf("%s at %d: %s", base, width, complaint)
			}
		}
		closeTab()
	}
}

// A page prints on A4, on as many sheets as its pictures need.
func TestPagesPrint(t *testing.T) {
	ctx := browser(t)
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
