package analysis

import (
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// An Extraction is all that the methods make of a run.
type Extraction struct {
	// Settings are the curves of the run in their order.
	Settings []Setting
	// Lines has one entry for each method and line fit, method by method; a
	// Joint method has one line, whose fit is called JointLine.
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

// JointLine is what stands for the name of a line fit where the line is a Joint
// method's own.
const JointLine = "joint"

// An Extractor takes runs to lines, and uses its memory again from one run to
// the next. It is not safe for several goroutines.
type Extractor struct {
	// Methods and Fits are those to use.
	Methods []Method
	Fits    []LineFit
	// UWavelength is the standard uncertainty of all nominal wavelengths in nm,
	// 0 for none.
	UWavelength float64
	// AsDrawn lets a voltage outside the knee be an answer too, as somebody writes it
	// down who follows a construction to its end.
	AsDrawn bool

	result   Extraction
	prepared []*Prepared
	points   []Point
	curves   []*Prepared
	cutoffs  []Cutoff
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
		x.prepare(&x.result.Settings[i], x.prepared[i], c, r.Facts)
	}
	x.share()
	for i := range x.result.Settings {
		x.read(&x.result.Settings[i])
	}
	x.result.Lines = x.result.Lines[:0]
	for m, method := range x.Methods {
		if joint, ok := method.(Joint); ok {
			x.joint(joint, m)
			continue
		}
		x.lines(m)
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

// prepare fills s from a curve, without cutoffs unless the curve is of no use.
func (x *Extractor) prepare(s *Setting, p *Prepared, c run.Curve, f run.Facts) {
	s.Name, s.Wavelength = c.Setting, c.Wavelength
	s.Frequency = physics.Frequency(c.Wavelength)
	s.Prepared = p
	p.asDrawn = x.AsDrawn
	s.Cutoffs = s.Cutoffs[:0]
	if err := p.Prepare(c, f); err != nil {
		s.Prepared = nil
		for range x.Methods {
			s.Cutoffs = append(s.Cutoffs, fail(TooFewReadings, err.Error()))
		}
	}
}

// share tells every setting the smallest current that can be told from zero at
// all of them.
func (x *Extractor) share() {
	var least float64
	for _, s := range x.result.Settings {
		if s.Prepared != nil {
			least = max(least, s.Prepared.least)
		}
	}
	for _, s := range x.result.Settings {
		if s.Prepared != nil {
			s.Prepared.least = least
		}
	}
}

// read fills the cutoffs of a setting that could be prepared.
func (x *Extractor) read(s *Setting) {
	if s.Prepared == nil {
		return
	}
	for _, m := range x.Methods {
		if _, ok := m.(Joint); ok {
			// Filled when all settings are ready.
			s.Cutoffs = append(s.Cutoffs, Cutoff{})
			continue
		}
		s.Cutoffs = append(s.Cutoffs, m.Cutoff(s.Prepared))
	}
}

// joint adds the line of method m, which reads all settings together.
func (x *Extractor) joint(method Joint, m int) {
	x.curves, x.cutoffs = x.curves[:0], x.cutoffs[:0]
	for _, s := range x.result.Settings {
		x.curves = append(x.curves, s.Prepared)
		x.cutoffs = append(x.cutoffs, s.Cutoffs[m])
	}
	out := MethodLine{Method: method.Name(), Fit: JointLine}
	line, err := method.Together(x.curves, x.cutoffs)
	if err != nil {
		out.Status, out.Reason = NotConverged, err.Error()
	} else {
		out.Line = line
	}
	for i, s := range x.result.Settings {
		if s.Prepared != nil {
			s.Cutoffs[m] = x.cutoffs[i]
		}
		if s.Cutoffs[m].Status != OK {
			out.LeftOut = append(out.LeftOut, s.Name)
		}
	}
	x.result.Lines = append(x.result.Lines, out)
}

// lines adds the lines of method m, one a fit.
func (x *Extractor) lines(m int) {
	x.points = x.points[:0]
	var left []string
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
	for _, fit := range x.Fits {
		out := MethodLine{Method: x.Methods[m].Name(), Fit: fit.Name(), LeftOut: left}
		line, err := fit.Fit(x.points)
		if err != nil {
			out.Status, out.Reason = TooFewReadings, err.Error()
		} else {
			out.Line = line
		}
		x.result.Lines = append(x.result.Lines, out)
	}
}
