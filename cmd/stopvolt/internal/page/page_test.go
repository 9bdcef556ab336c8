package page

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"stopvolt/cmd/stopvolt/internal/figure"
)

// nasty is text that must not become markup.
const nasty = `<script>alert("1")</script>&amp;`

// sample is a page with every kind of block, all texts of which are nasty.
func sample(t *testing.T) Page {
	t.Helper()
	picture, err := figure.Bias{Title: nasty, Rows: []figure.BiasRow{
		{Method: nasty, Bias: 0.01, BiasError: 0.001, Spread: math.NaN(), Replicates: 5},
	}}.Picture()
	if err != nil {
		t.Fatal(err)
	}
	picture.Alt = nasty
	table := &Table{Caption: nasty, Columns: []Column{{nasty, false}, {"number", true}}, Rows: [][]string{{nasty, "1"}}}
	return Page{
		Title: nasty, Lead: nasty, Findings: []string{nasty}, Safety: []string{nasty}, Made: []Term{{Name: nasty, Text: nasty}},
		Sections: []Section{{ID: "one", Heading: nasty, Blocks: []Block{
			{Text: nasty}, {List: []string{nasty}}, {Terms: []Term{{Name: nasty, Text: nasty}}}, {Table: table}, {Folded: table},
			{Figure: &Figure{Picture: picture, Caption: nasty, Data: table}},
		}}},
	}
}

// written returns the bytes of a page.
func written(t *testing.T, p Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Names of settings and files come from users: none of them becomes an element.
func TestTextIsNeverMarkup(t *testing.T) {
	page := written(t, sample(t))
	if strings.Contains(page, "<script") {
		t.Error("a text became a script")
	}
	if n := strings.Count(page, "&lt;script&gt;"); n < 15 {
		t.Errorf("the text is shown %d times", n)
	}
}

// A page names no other file and no address but those of the XML name spaces.
func TestPageStandsAlone(t *testing.T) {
	page := written(t, sample(t))
	for _, space := range []string{"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"} {
		page = strings.ReplaceAll(page, space, "")
	}
	for _, link := range []string{"http:", "https:", "src=", "url(", "@import", "<script", "javascript:"} {
		if strings.Contains(page, link) {
			t.Errorf("the page has %q", link)
		}
	}
	if !strings.Contains(page, `default-src 'none'`) {
		t.Error("the page does not forbid the network")
	}
}

func TestEqualPagesHaveEqualBytes(t *testing.T) {
	first := written(t, sample(t))
	if second := written(t, sample(t)); first != second {
		t.Error("the same page differs from one time to the next")
	}
}

func TestPageRefusesWhatDoesNotFit(t *testing.T) {
	for name, change := range map[string]func(*Page){
		"no title":        func(p *Page) { p.Title = "" },
		"no cautions":     func(p *Page) { p.Safety = nil },
		"no origin":       func(p *Page) { p.Made = nil },
		"a cell too few":  func(p *Page) { p.Sections[0].Blocks[3].Table.Rows = [][]string{{"1"}} },
		"a cell too many": func(p *Page) { p.Sections[0].Blocks[5].Figure.Data.Rows = [][]string{{"1", "2", "3"}} },
	} {
		p := sample(t)
		change(&p)
		var b bytes.Buffer
		if err := p.Write(&b); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v, and %d bytes written", name, err, b.Len())
		}
	}
}
