package analysis

import (
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// An Extraction is all that the methods make of a run.
type Extraction struct {
	// Settings are the curves of the run in their order.
	Settings []Setting
	// Lines has one entry for each method and line fit, method by method.
	Lines []MethodLine
}

// A Setting is one curve with the cutoffs that the methods read from it.
type Setting struct {
	// Name and Wavelength (nm, standard air) are those of the curve, and
	// Frequency in Hz is that of the wavelength.
	Name                  string
	Wavelength, Frequency float64
	// Prepared is the curve as the methods saw it, and nil if it could not be
	// used; then every cutoff says why.
	Prepared *Prepared
	// Cutoffs are in the order of the methods.
	Cutoffs []Cutoff
}

// A MethodLine is the straight line of one fit through the stopping voltages of
// one method.
type MethodLine struct {
	// Method and Fit are names.
	Method, Fit string
	// Status is OK if Line holds.
	Status Status
	// Reason says in one sentence why there is no line.
	Reason string
	// Line is the line, if Status is OK.
	Line Line
	// LeftOut are the settings without a cutoff by the method or without a
	// wavelength. They are not part of the line.
	LeftOut []string
}

// An Extractor takes runs to lines, and uses its memory again from one run to
// the next. It is not safe for several goroutines.
type Extractor struct {
	// Methods and Fits are those to use.
	Methods []Method
	Fits    []LineFit
	// UWavelength is the standard uncertainty of all nominal wavelengths in nm,
	// 0 for none.
	UWavelength float64

	result   Extraction
	prepared []*Prepared
	points   []Point
}

// Extract reads the cutoffs of each setting by the methods and puts a line of
// each of LineFits through those of each method.
func Extract(r run.Run, methods []Method) Extraction {
	x := Extractor{Methods: methods, Fits: LineFits()}
	return x.Extract(r)
}

// Extract reads the cutoffs of each setting and puts the lines through them.
// What could not be done is in the statuses. The result is good until the next
// call.
func (x *Extractor) Extract(r run.Run) Extraction {
	for len(x.prepared) < len(r.Curves) {
		x.prepared = append(x.prepared, new(Prepared))
	}
	x.result.Settings = resize(x.result.Settings, len(r.Curves))
	for i, c := range r.Curves {
		x.setting(&x.result.Settings[i], x.prepared[i], c, r.Facts)
	}
	x.result.Lines = resize(x.result.Lines, len(x.Methods)*len(x.Fits))
	for m := range x.Methods {
		lines := x.result.Lines[m*len(x.Fits) : (m+1)*len(x.Fits)]
		x.lines(lines, m)
	}
	return x.result
}

// resize returns a slice of n elements that keeps what x has in its memory.
func resize[T any](x []T, n int) []T {
	x = x[:cap(x)]
	for len(x) < n {
		var zero T
		x = append(x, zero)
	}
	return x[:n]
}

// setting fills s from a curve.
func (x *Extractor) setting(s *Setting, p *Prepared, c run.Curve, f run.Facts) {
	s.Name, s.Wavelength = c.Setting, c.Wavelength
	s.Frequency = physics.Frequency(c.Wavelength)
	s.Prepared = p
	s.Cutoffs = s.Cutoffs[:0]
	if err := p.Prepare(c, f); err != nil {
		s.Prepared = nil
		for range x.Methods {
			s.Cutoffs = append(s.Cutoffs, fail(TooFewReadings, err.Error()))
		}
		return
	}
	for _, m := range x.Methods {
		s.Cutoffs = append(s.Cutoffs, m.Cutoff(p))
	}
}

// lines fills the lines of method m, one a fit.
func (x *Extractor) lines(lines []MethodLine, m int) {
	if len(lines) == 0 {
		return
	}
	x.points = x.points[:0]
	left := lines[0].LeftOut[:0]
	for _, s := range x.result.Settings {
		c := s.Cutoffs[m]
		if c.Status != OK || !(s.Wavelength > 0) {
			left = append(left, s.Name)
			continue
		}
		x.points = append(x.points, Point{
			Setting:    s.Name,
			Frequency:  s.Frequency,
			UFrequency: s.Frequency * x.UWavelength / s.Wavelength,
			Stopping:   c.Stopping,
			UStopping:  c.U,
		})
	}
	for i, fit := range x.Fits {
		lines[i] = MethodLine{Method: x.Methods[m].Name(), Fit: fit.Name(), LeftOut: left}
		line, err := fit.Fit(x.points)
		if err != nil {
			lines[i].Status, lines[i].Reason = TooFewReadings, err.Error()
			continue
		}
		lines[i].Line = line
	}
}
