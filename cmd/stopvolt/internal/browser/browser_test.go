package browser

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// What a page must not do is told: an error, a word on the console, a request
// for another place. A quiet page has no complaints.
func TestEveryFaultOfAPageIsAComplaint(t *testing.T) {
	pages := map[string]struct {
		body string
		want []string
	}{
		"/quiet":     {`<p>quiet</p>`, nil},
		"/console":   {`<script>console.warn("hot")</script>`, []string{"the console says warning"}},
		"/exception": {`<script>throw new Error("broken")</script>`, []string{"an exception"}},
		"/request":   {`<img alt="" src="/elsewhere/picture.png">`, []string{"a request for", "the log says error"}},
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		page, ok := pages[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(`<!doctype html><html lang="en"><link rel="icon" href="data:,"><title>a page</title>` + page.body))
	}))
	defer server.Close()
	ctx := Start(t, time.Minute)
	c, err := Listen(ctx, func(address string) bool {
		return strings.HasPrefix(address, "data:") || strings.HasPrefix(address, server.URL) && !strings.Contains(address, "elsewhere")
	})
	if err != nil {
		t.Fatal(err)
	}
	for path, page := range pages {
		if err := chromedp.Do(ctx, chromedp.Navigate(server.URL+path)); err != nil {
			t.Fatal(err)
		}
		var got []string
		for range 100 {
			// The browser may tell of a fault after the page has loaded.
			got = append(got, c.Take()...)
			if len(got) >= len(page.want) {
				break
			}
			time.Sleep(20 * time.Millisecond)
		}
		if len(got) != len(page.want) {
			t.Errorf("%s: %q, want %q", path, got, page.want)
			continue
		}
		for _, want := range page.want {
			if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, want) }) {
				t.Errorf("%s: no %q in %q", path, want, got)
			}
		}
	}
}
