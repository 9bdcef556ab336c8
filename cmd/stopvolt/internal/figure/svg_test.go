package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
)

func ExamplePicture_Save() {
	p, err := Bias{Rows: []BiasRow{{Method: "tangent", Bias: -0.121, BiasError: 0.002, Spread: 0.028, Replicates: 200}}}.Picture()
	if err != nil {
		fmt.Println(err)
		return
	}
	var b bytes.Buffer
	if err := p.Save(&b, SVG); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.Count(b.String(), "<svg"), "picture")
	// Output: 1 picture
}

// An SVG file is sound XML whatever the names, says in words what it shows,
// and asks for nothing from elsewhere.
func TestSVGIsSoundAndStandsAlone(t *testing.T) {
	const name = `<tangent> & "two" 'tangents'`
	p, err := Bias{Title: name, Rows: []BiasRow{{Method: name, Bias: -0.1, Replicates: 1}}}.Picture()
	if err != nil {
		t.Fatal(err)
	}
	p.Alt += name
	var b bytes.Buffer
	if err := p.Save(&b, SVG); err != nil {
		t.Fatal(err)
	}
	var title, text string
	for d := xml.NewDecoder(&b); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		element, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range element.Attr {
			if a.Name.Local == "href" || strings.Contains(a.Value, "url(") {
				t.Errorf("<%s> asks for %q", element.Name.Local, a.Value)
			}
		}
		switch element.Name.Local {
		case "title":
			err = d.DecodeElement(&title, &element)
		case "text":
			var s string
			err = d.DecodeElement(&s, &element)
			text += s + "\n"
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if title != p.Alt {
		t.Errorf("the title is %q, want %q", title, p.Alt)
	}
	if strings.Count(text, name) != 2 {
		t.Errorf("the texts are %q; title and row were to be %q", text, name)
	}
}
