package rehearse

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/analysis/rehearsal"
)

// A session outlives a reload and a restart of the server, with the same readings
// to the last bit, and the browser knows nothing of it.
func TestSessionSurvivesReloadAndRestart(t *testing.T) {
	o := options(t)
	o.Folder = t.TempDir()
	first := serve(t, o)
	p := sits(t, first)
	p.measures()
	before := p.gets("/readings.csv", http.StatusOK)
	again := p.gets("/readings.csv", http.StatusOK)
	if before != again || !strings.Contains(before, "365 nm") {
		t.Fatalf("a reload changes the readings, or there are none:\n%s", before)
	}
	book := *first.only(t).rehearsal.Book()
	if err := first.stop(); err != nil {
		t.Fatal(err)
	}
	second := serve(t, o)
	p.moves(second)
	if after := p.gets("/readings.csv", http.StatusOK); after != before {
		t.Errorf("after a restart there are other readings:\n%s", cmp.Diff(before, after))
	}
	if d := cmp.Diff(book, *second.only(t).rehearsal.Book()); d != "" {
		t.Errorf("after a restart the logbook differs:\n%s", d)
	}
	// And it goes on.
	p.does(rehearsal.Dial, "value", "0.3")
	p.does(rehearsal.Write)
	if got, want := len(second.only(t).rehearsal.Book().Readings), len(book.Readings)+1; got != want {
		t.Errorf("%d readings after the next one, not %d", got, want)
	}
	entries, err := os.ReadDir(o.Folder)
	if err != nil || len(entries) != 1 {
		t.Fatalf("%d files for one session (%v)", len(entries), err)
	}
	// Whoever reads the folder cannot take the session over.
	if id := second.only(t).id; strings.Contains(entries[0].Name(), id) {
		t.Error("the file's name tells the session's secret")
	}
}

// moves lets a student's browser talk to another server by the same cookies.
func (p *student) moves(s *served) {
	p.t.Helper()
	from, to := p.address, s.address
	p.address = to
	// Cookies do not know ports.
	if strings.Split(from, ":")[1] != strings.Split(to, ":")[1] {
		p.t.Fatal("the servers are on different hosts")
	}
}

// A damaged file, or one of another scenario, is no session, and no harm.
func TestDamagedSessionIsNone(t *testing.T) {
	o := options(t)
	o.Folder = t.TempDir()
	first := serve(t, o)
	p := sits(t, first)
	if err := first.stop(); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(o.Folder, "*.json"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v (%v)", files, err)
	}
	whole, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		text []byte
		want int
	}{
		"cut":                 {whole[:len(whole)/2], http.StatusUnauthorized},
		"of another scenario": {[]byte(strings.Replace(string(whole), `"identity":"test"`, `"identity":"other"`, 1)), http.StatusUnauthorized},
		"with a made-up log":  {[]byte(strings.Replace(string(whole), `"log":null`, `"log":[{"at_s":1,"do":"climb"}]`, 1)), http.StatusUnauthorized},
		"of another version":  {[]byte(strings.Replace(string(whole), `"schema":1`, `"schema":9`, 1)), http.StatusUnauthorized},
		"as it was":           {whole, http.StatusOK},
	} {
		t.Run(name, func(t *testing.T) {
			if err := os.WriteFile(files[0], c.text, 0o600); err != nil {
				t.Fatal(err)
			}
			o := o
			o.Complain = func(error) {}
			s := serve(t, o)
			p.t = t
			p.moves(s)
			p.gets("/readings.csv", c.want)
			if c.want != http.StatusOK {
				sits(t, s)
			}
			o.Folder = ""
			s.store.folder = ""
		})
	}
}

// Students do not disturb one another: each has a bench and a logbook of their
// own.
func TestStudentsDoNotDisturbOneAnother(t *testing.T) {
	s := serve(t, options(t))
	one, two := sits(t, s), sits(t, s)
	one.measures()
	if got := two.gets("/readings.csv", http.StatusOK); strings.Count(got, "\n") > 1 {
		t.Errorf("another student's logbook holds %q", got)
	}
	two.measures()
	if one.gets("/readings.csv", http.StatusOK) == two.gets("/readings.csv", http.StatusOK) {
		t.Error("two students have the same readings")
	}
}
