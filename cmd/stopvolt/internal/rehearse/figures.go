package rehearse

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"regexp"
	"strings"

	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/instrument/run"
)

// A drawing is a picture as it is sent, and of which revision it is.
type drawing struct {
	revision int
	svg      []byte
	// panels say where the data are, as JSON.
	panels string
}

// figure serves the pictures of a visitor.
func (s *Server) figure(w http.ResponseWriter, r *http.Request, v *visitor) {
	name, ok := strings.CutSuffix(r.PathValue("name"), ".svg")
	if !ok {
		http.NotFound(w, r)
		return
	}
	v.mutex.Lock()
	d, err := v.draw(name)
	v.mutex.Unlock()
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(d.svg)
}

// draw returns a picture, drawn once a revision. The mutex is held.
func (v *visitor) draw(name string) (drawing, error) {
	if d, ok := v.drawn[name]; ok && d.revision == v.written {
		return d, nil
	}
	var p figure.Picture
	var panels []figure.Panel
	var err error
	switch name {
	case "page", "page-narrow":
		p, panels, err = v.notebook(name == "page-narrow")
	case "line":
		p, err = v.line()
	default:
		err = fmt.Errorf("no figure %q", name)
	}
	if err != nil {
		return drawing{}, err
	}
	d := drawing{revision: v.written}
	if d.svg, err = v.voice.svg(p); err != nil {
		return drawing{}, err
	}
	if panels != nil {
		text, err := json.Marshal(panels)
		if err != nil {
			return drawing{}, err
		}
		d.panels = string(text)
	}
	v.drawn[name] = d
	return d, nil
}

// notebook draws the open page. The mutex is held.
func (v *visitor) notebook(narrow bool) (figure.Picture, []figure.Panel, error) {
	book := v.rehearsal.Book()
	if book.Open < 0 {
		return figure.Picture{}, nil, fmt.Errorf("no page is open")
	}
	w := v.voice
	page := book.Pages[book.Open]
	f := figure.Notebook{
		Narrow: narrow,
		Words: figure.NotebookWords{
			Alt:     w.F("figure.alt", "page", v.pageLabel(book.Open), "readings", fmt.Sprint(len(page.Readings))),
			Voltage: w.T("figure.voltage"), Current: w.T("figure.current"), Reading: w.T("figure.reading"),
			Struck: w.T("figure.struck"), Beside: w.T("figure.beside"), Sketch: w.T("figure.sketch"), Ruler: w.T("figure.ruler"),
			Cutoff: w.T("figure.cutoff"), Overload: w.T("figure.overload"), Whole: w.T("figure.whole"), Knee: w.T("figure.knee"), Share: w.T("figure.share"),
		},
	}
	if !page.Dark() && book.Sketch != nil {
		f.SketchV, f.SketchI = rehearsal.SketchVoltages(), book.Sketch
	}
	f.Readings, f.Struck = pageReadings(book, page)
	if page.Transmission != 1 {
		for _, other := range book.Pages {
			if other.Wavelength == page.Wavelength && other.Transmission == 1 && other.Bench == page.Bench && !other.Floating && other.Counts() {
				f.Beside, _ = pageReadings(book, other)
				f.Scale = page.Transmission
			}
		}
	}
	if r := book.Ruler; r != nil {
		f.Ruler = &[2]struct{ V, I float64 }{{r.V[0], r.I[0]}, {r.V[1], r.I[1]}}
	}
	if c, ok := page.Cutoff(); ok {
		f.Cutoff = &struct{ V, U float64 }{c.Stopping, c.U}
	}
	return f.Picture()
}

// notebookSize returns the size of the open page's picture, without drawing it. The
// mutex is held.
func (v *visitor) notebookSize(narrow bool) sizeView {
	p, _, err := v.notebook(narrow)
	if err != nil {
		return sizeView{}
	}
	width, height := p.Size()
	return sizeView{int(math.Round(width)), int(math.Round(height))}
}

// pageReadings returns the readings of a page that count, and those struck out.
func pageReadings(book *rehearsal.Logbook, page rehearsal.Page) (counted, struck []run.Reading) {
	if page.Floating {
		return nil, nil
	}
	for _, k := range page.Readings {
		x := book.Readings[k]
		if x.Counts() {
			counted = append(counted, x.Reading)
		} else {
			struck = append(struck, x.Reading)
		}
	}
	return counted, struck
}

// line draws the line through the cutoffs, once they are handed in; the true
// line only when the truth has been shown. The mutex is held.
func (v *visitor) line() (figure.Picture, error) {
	r := v.rehearsal
	if r.Book().Committed == 0 {
		return figure.Picture{}, fmt.Errorf("the cutoffs are not handed in")
	}
	series := figure.LineSeries{Method: v.voice.T("line.yours"), Points: r.Points()}
	if line, err := r.Line(); err == nil {
		series.Line = &line
	}
	f := figure.StoppingLine{Series: []figure.LineSeries{series}}
	if told := v.told; r.Revealed() && told != nil {
		f.Truth = &figure.TrueLine{Slope: told.truth.HOverE, Intercept: -told.truth.WorkFunction}
	}
	return f.Picture()
}

// decimalPoint finds those of numbers between the tags of a picture.
var decimalPoint = regexp.MustCompile(`(>[^<>]*\d)\.(\d[^<>]*<)`)

// styled finds styles within a picture, which the policy forbids where somebody
// opens the picture by itself.
var styled = regexp.MustCompile(` ?style="[^"]*"`)

// unstyled returns a style as attributes of the same names, as SVG has for each of
// those in use (Scalable Vector Graphics 2, 6.6 presentation attributes).
func unstyled(style string) string {
	text := strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(style), `style="`), `"`)
	var b strings.Builder
	for _, property := range strings.Split(text, ";") {
		if name, value, ok := strings.Cut(property, ":"); ok {
			fmt.Fprintf(&b, ` %s="%s"`, strings.TrimSpace(name), strings.TrimSpace(value))
		}
	}
	return b.String()
}

// svg returns a picture in the reader's language.
func (w Voice) svg(p figure.Picture) ([]byte, error) {
	var b bytes.Buffer
	if err := p.Save(&b, figure.SVG); err != nil {
		return nil, err
	}
	text := styled.ReplaceAllStringFunc(b.String(), unstyled)
	var pairs []string
	for _, entry := range w.List("picture.words") {
		from, to, ok := strings.Cut(entry, " => ")
		if ok {
			pairs = append(pairs, from, to)
		}
	}
	text = strings.NewReplacer(pairs...).Replace(text)
	if w.Comma {
		for {
			next := decimalPoint.ReplaceAllString(text, "$1,$2")
			if next == text {
				break
			}
			text = next
		}
	}
	return []byte(text), nil
}
