// Package browser starts a headless browser for the tests of pages, and gathers
// what a page does that it must not. Only tests import it.
package browser

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Needed is the environment variable with which the tests of pages fail where
// there is no browser, instead of being skipped.
const Needed = "STOPVOLT_BROWSER"

// Start starts a headless browser of its own for a test, which ends with the
// test or after the limit. Where none is installed the test is skipped, or fails
// with Needed.
func Start(t testing.TB, limit time.Duration) context.Context {
	t.Helper()
	var path string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		if os.Getenv(Needed) != "" {
			t.Fatal("no browser is installed, and " + Needed + " asks for one; Debian's package is chromium")
		}
		t.Skip("no browser is installed; Debian's package is chromium")
	}
	options := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	options = append(options,
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
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
	limited, cancel := context.WithTimeout(ctx, limit)
	t.Cleanup(cancel)
	return limited
}

// Complaints are what a page does that it must not.
type Complaints struct {
	mutex sync.Mutex
	list  []string
}

func (c *Complaints) add(format string, args ...any) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.list = append(c.list, fmt.Sprintf(format, args...))
}

// Take returns what was gathered, and forgets it.
func (c *Complaints) Take() []string {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	list := c.list
	c.list = nil
	return list
}

// Listen gathers what a tab writes to its console, its exceptions, and its
// requests for addresses that are not allowed.
func Listen(tab context.Context, allowed func(address string) bool) (*Complaints, error) {
	c := new(Complaints)
	if err := chromedp.Listen(tab, func(event any) {
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			c.add("the console says %s", e.Type)
		case *runtime.EventExceptionThrown:
			c.add("an exception: %s", e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			c.add("the log says %s: %s", e.Entry.Level, e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if !allowed(e.Request.URL) {
				c.add("a request for %s", e.Request.URL)
			}
		}
	}); err != nil {
		return nil, err
	}
	if _, err := chromedp.Call(tab, network.Enable, network.EnableParams{}); err != nil {
		return nil, err
	}
	if _, err := chromedp.Call(tab, log.Enable, cdp.Empty{}); err != nil {
		return nil, err
	}
	_, err := chromedp.Call(tab, runtime.Enable, cdp.Empty{})
	return c, err
}
