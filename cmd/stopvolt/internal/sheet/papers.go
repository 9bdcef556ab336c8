package sheet

import (
	"html/template"
	"math"
	"slices"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// The widths and heights of graph papers in points: over the page, and two beside
// one another.
const (
	broad, high         = 516., 232.
	halfBroad, halfHigh = 252., 152.
)

// paper draws a paper in the readers' conventions.
func (p *Printer) paper(f figure.Paper) (template.HTML, error) {
	f.Number, f.Grey, f.Large = p.fixed, p.how.Grey, p.how.LargePrint
	picture, err := f.Picture()
	if err != nil {
		return "", err
	}
	return inBothLayouts(picture)
}

// inBothLayouts returns a picture for paper and screens, and for small screens.
func inBothLayouts(picture figure.Picture) (template.HTML, error) {
	broad, err := picture.Element()
	if err != nil {
		return "", err
	}
	small, ok := picture.Narrow()
	if !ok {
		return broad, nil
	}
	narrow, err := small.Element()
	return `<div class="broadly">` + broad + `</div><div class="narrowly">` + narrow + `</div>`, err
}

// papers returns a curve on graph paper, and blank papers for the methods that plot
// something else. The scales fit the readings, and show no more of an answer than the
// readings do: the papers of the knee have the readings about it, to round numbers.
func (p *Printer) papers(h practice.Handout, c run.Curve) (paperPage, error) {
	readings := slices.Clone(c.Readings)
	slices.SortStableFunc(readings, func(a, b run.Reading) int { return int(math.Copysign(1, a.Retarding-b.Retarding)) })
	resolution := h.Resolution / pico
	whole := figure.Paper{Width: broad, Height: high, XLabel: p.texts.Text("sheet.voltage"), YLabel: p.texts.Text("sheet.current")}
	whole.Alt = p.texts.Fill("sheet.paper_caption", "setting", p.light(c.Setting), "wavelength", p.number(c.Wavelength, -1))
	if c.Dark {
		whole.Alt = p.texts.Fill("sheet.dark_caption", "setting", p.light(c.Setting))
	}
	low, top := -resolution, resolution
	for _, r := range readings {
		whole.Points = append(whole.Points, [2]float64{r.Retarding, r.Current / pico})
		low, top = min(low, r.Current/pico), max(top, r.Current/pico)
	}
	from, to := readings[0].Retarding, readings[len(readings)-1].Retarding
	whole.X, whole.Y = figure.NewPaperAxis(from, to), figure.NewPaperAxis(low, top)
	drawn, err := p.paper(whole)
	page := paperPage{paperRow: paperRow{whole.Alt, drawn}}
	if err != nil || c.Dark {
		return page, err
	}
	steepest := 0.0
	for i := 1; i < len(readings); i++ {
		if d := readings[i].Retarding - readings[i-1].Retarding; d > 0 {
			steepest = max(steepest, (readings[i-1].Current-readings[i].Current)/pico/d)
		}
	}
	least := resolution
	if !(least > 0) {
		least = top / 1e3
	}
	sweep := figure.NewPaperAxis(from, to)
	stretch := findKnee(readings, h.Resolution)
	knee := figure.NewPaperAxis(stretch.from, stretch.to)
	bottom, steep := extremes(readings, knee.Low, knee.High)
	bottom, steep = min(bottom/pico, -resolution), max(steep/pico, resolution)
	for _, blank := range []struct {
		key, label string
		x, y       figure.PaperAxis
	}{
		{"knee_paper", "current", knee, figure.NewPaperAxis(bottom, steep)},
		{"root_paper", "root", knee, figure.NewPaperAxis(0, math.Sqrt(steep-bottom))},
		{"log_paper", "current", knee, figure.NewLogarithmicAxis(least, max(steep-bottom, 10*least))},
		{"slope_paper", "slope_axis", sweep, figure.NewPaperAxis(0, steepest)},
	} {
		f := figure.Paper{
			Width: halfBroad, Height: halfHigh, X: blank.x, Y: blank.y, Alt: p.texts.Text("sheet." + blank.key),
			XLabel: p.texts.Text("sheet.voltage"), YLabel: p.texts.Text("sheet." + blank.label),
		}
		svg, err := p.paper(f)
		if err != nil {
			return page, err
		}
		page.Blank = append(page.Blank, paperRow{p.texts.Fill("sheet.blank_caption", "what", f.Alt), svg})
	}
	return page, nil
}

// linePaper returns empty graph paper for stopping voltages against frequency.
// Its range is the same on all sheets of a set and shows nothing of an answer.
func (p *Printer) linePaper(h practice.Handout) (template.HTML, error) {
	low, top := math.Inf(1), math.Inf(-1)
	for _, c := range h.Run.Curves {
		if !c.Dark {
			f := physics.Frequency(c.Wavelength) / 1e12
			low, top = min(low, f), max(top, f)
		}
	}
	stop := 0.0
	for _, r := range h.Run.Curves[0].Readings {
		stop = max(stop, r.Retarding)
	}
	return p.paper(figure.Paper{
		Width: broad, Height: high, Alt: p.texts.Text("sheet.line_caption"),
		XLabel: p.texts.Text("sheet.frequency"), YLabel: p.texts.Text("sheet.stopping"),
		X: figure.NewPaperAxis(low-20, top+20), Y: figure.NewPaperAxis(-0.5, stop),
	})
}
