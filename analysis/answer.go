package analysis

import (
	"fmt"
	"math"
	"strings"
)

// A Choice is what was settled before a run was looked at: which method the
// answer is by, and how well the wavelengths are known. It is never chosen by
// the run itself.
type Choice struct {
	// Methods are names in the order of preference: the first one that is usable
	// gives the answer. None stands for Preference().
	Methods []string
	// Fit is the name of the line fit, "weighted" if empty. A joint method has
	// its own.
	Fit string
	// UWavelength is the standard uncertainty of the nominal wavelengths in nm,
	// taken as independent of one another; 0 where none is stated.
	UWavelength float64
}

// Preference returns the methods in the order in which an answer takes them
// where nothing else was settled: first the one that the study of the default
// population of benches recommends by computer, then other fits of a model with one
// parameter at the knee, then constructions on graph paper that take the reverse
// current off, then what is read off the meter (common practice, no source).
func Preference() []string {
	return []string{
		SquareRoot{}.Name(), FowlerFit{}.Name(), SemiLog{}.Name(), FirstDerivative{}.Name(), PowerLaw{}.Name(),
		JointFit{}.Name(), CellFit{}.Name(), SecondDerivative{}.Name(),
		NullReading{}.Name(), ZeroCrossing{}.Name(), TwoTangent{}.Name(), Tangent{}.Name(),
		FixedCurrent{}.Name(),
	}
}

// An Answer is what a run comes to: one h/e, with what can be said for it.
type Answer struct {
	// Status is OK if there is an h/e; if not, Reason says why in one sentence,
	// and the numbers are NaN.
	Status Status
	Reason string
	// Method and Fit are names of the method and of the line.
	Method, Fit string
	// HOverE is in V s and U its standard uncertainty: the root of the sum of
	// the squares of UScatter, UWavelength and USpread.
	HOverE, U float64
	// UScatter is that of the cutoffs about the line, or by their own
	// uncertainties where these ask for more.
	UScatter float64
	// UWavelength is what the stated uncertainty of the wavelengths makes.
	UWavelength float64
	// USpread is the root mean square distance in V s of the other usable
	// methods' h/e, 0 where there is no other.
	USpread float64
	// WorkFunction is the collector's in eV, UWorkFunction its standard
	// uncertainty, which has the same three parts.
	WorkFunction, UWorkFunction float64
	// Settings are those that the line rests on, and DegreesOfFreedom the
	// line's.
	Settings, DegreesOfFreedom int
	// Remarks are sentences about what the answer rests on.
	Remarks []string
	// Usable and Unusable are the methods in the order of the extraction.
	Usable, Unusable []Standing
}

// A Standing is how a method stands with a run.
type Standing struct {
	// Method is a name.
	Method string
	// Settings is how many settings have a cutoff by it.
	Settings int
	// HOverE and U are those of its line in V s, and WorkFunction in eV; NaN
	// without a line.
	HOverE, U, WorkFunction float64
	// Reason says in one sentence why the method is of no use here; it is empty
	// for a usable one.
	Reason string
}

// vagueShare is the relative uncertainty of h/e beyond which a line says nothing
// (common practice, no source).
const vagueShare = 1. / 3

// Answer returns the answer that an extraction comes to.
func (c Choice) Answer(e Extraction) Answer {
	out := Answer{HOverE: math.NaN(), U: math.NaN(), UScatter: math.NaN(), UWavelength: math.NaN(), USpread: math.NaN(),
		WorkFunction: math.NaN(), UWorkFunction: math.NaN()}
	fit := c.Fit
	if fit == "" {
		fit = Weighted{}.Name()
	}
	lines := map[string]MethodLine{}
	index := map[string]int{}
	m := -1
	for _, l := range e.Lines {
		if _, known := index[l.Method]; !known {
			m++
			index[l.Method] = m
		}
		if l.Fit != fit && l.Fit != JointLine {
			continue
		}
		lines[l.Method] = l
		s := e.standing(l, m)
		if s.Reason == "" {
			out.Usable = append(out.Usable, s)
		} else {
			out.Unusable = append(out.Unusable, s)
		}
	}
	chosen := c.first(out.Usable)
	if chosen == nil {
		out.Status, out.Reason = NoCutoff, whyNone(out.Unusable)
		return out
	}
	line := lines[chosen.Method]
	out.Method, out.Fit = line.Method, line.Fit
	out.HOverE, out.WorkFunction = line.Line.Slope, -line.Line.Intercept
	out.Settings, out.DegreesOfFreedom = chosen.Settings, line.Line.DegreesOfFreedom
	c.uncertainty(&out, e, line, index[chosen.Method])
	out.Remarks = c.remarks(out, e, index[chosen.Method])
	return out
}

// first returns the usable method that is preferred, or nil.
func (c Choice) first(usable []Standing) *Standing {
	prefer := c.Methods
	if len(prefer) == 0 {
		prefer = Preference()
	}
	for _, name := range prefer {
		for i := range usable {
			if usable[i].Method == name {
				return &usable[i]
			}
		}
	}
	return nil
}

// standing judges a method, the m-th of the extraction, by its line.
func (e Extraction) standing(l MethodLine, m int) Standing {
	s := Standing{Method: l.Method, HOverE: math.NaN(), U: math.NaN(), WorkFunction: math.NaN()}
	counts := map[string]int{}
	reason, lit := "", 0
	for _, set := range e.Settings {
		c := set.Cutoffs[m]
		lit++
		if c.Status == OK {
			s.Settings++
			continue
		}
		// The commonest reason stands for all, the first of equals.
		if counts[c.Reason]++; reason == "" || counts[c.Reason] > counts[reason] {
			reason = c.Reason
		}
	}
	switch {
	case reason == "" && s.Settings < fewestPoints:
		s.Reason = fmt.Sprintf("an answer at %d of %d settings, and a line needs %d", s.Settings, lit, fewestPoints)
		return s
	case s.Settings < fewestPoints || 2*s.Settings <= lit:
		s.Reason = fmt.Sprintf("an answer at %d of %d settings: %s", s.Settings, lit, reason)
		return s
	case l.Status != OK:
		s.Reason = l.Reason
		return s
	}
	s.HOverE, s.U, s.WorkFunction = l.Line.Slope, l.Line.whole(), -l.Line.Intercept
	switch {
	case !(s.HOverE > 0):
		s.Reason = "its cutoffs do not rise with the frequency"
	case s.U > vagueShare*s.HOverE:
		s.Reason = "its cutoffs leave h/e open by more than a third"
	}
	return s
}

// whole returns the standard uncertainty of the slope in V s by the scatter or by
// the stated uncertainties of the points, whichever asks for more: a few points
// lie close to a line by chance.
func (l Line) whole() float64 {
	if stated := l.StatedU(); stated > l.USlope && finite(stated) {
		return stated
	}
	return l.USlope
}

// Whole returns the line with the uncertainties that an answer takes: those of the
// scatter, or those by the stated uncertainties of the points where these ask for
// more. ChiSquare stays, so that StatedU does not hold for it.
func (l Line) Whole() Line {
	if more := l.whole() / l.USlope; finite(more) {
		l.USlope, l.UIntercept, l.Covariance = l.USlope*more, l.UIntercept*more, l.Covariance*more*more
	}
	return l
}

// uncertainty fills the uncertainties of an answer by a line of method m.
func (c Choice) uncertainty(out *Answer, e Extraction, l MethodLine, m int) {
	whole := l.Line.Whole()
	phi := whole.UIntercept
	out.UScatter = whole.USlope
	slope, height := e.byWavelength(l, m, c.UWavelength)
	out.UWavelength = slope
	out.USpread = 0
	var square, squarePhi, n float64
	for _, s := range out.Usable {
		if s.Method == out.Method {
			continue
		}
		square += (s.HOverE - out.HOverE) * (s.HOverE - out.HOverE)
		squarePhi += (s.WorkFunction - out.WorkFunction) * (s.WorkFunction - out.WorkFunction)
		n++
	}
	if n > 0 {
		out.USpread = math.Sqrt(square / n)
		squarePhi /= n
	}
	out.U = math.Sqrt(out.UScatter*out.UScatter + out.UWavelength*out.UWavelength + out.USpread*out.USpread)
	out.UWorkFunction = math.Sqrt(phi*phi + height*height + squarePhi)
}

// byWavelength returns what independent errors of the wavelengths, with a standard
// uncertainty u in nm, make of slope in V s and intercept in V. An error of the
// frequency moves a point off the line by the slope times as much.
func (e Extraction) byWavelength(l MethodLine, m int, u float64) (slope, intercept float64) {
	if u == 0 {
		return 0, 0
	}
	weight := func(s Setting) float64 {
		if s.Cutoffs[m].Status != OK || !(s.Wavelength > 0) {
			return 0
		}
		if l.Fit == (Ordinary{}).Name() || l.Fit == (TheilSen{}).Name() {
			return 1
		}
		return 1 / (s.Cutoffs[m].U * s.Cutoffs[m].U)
	}
	var sw, sx float64
	for _, s := range e.Settings {
		sw += weight(s)
		sx += weight(s) * s.Frequency
	}
	x := sx / sw
	var sxx, square, squareHeight float64
	for _, s := range e.Settings {
		d := s.Frequency - x
		sxx += weight(s) * d * d
	}
	for _, s := range e.Settings {
		w, d := weight(s), s.Frequency-x
		if w == 0 {
			continue
		}
		off := l.Line.Slope * s.Frequency * u / s.Wavelength
		square += math.Pow(w*d/sxx*off, 2)
		squareHeight += math.Pow((w/sw-x*w*d/sxx)*off, 2)
	}
	return math.Sqrt(square), math.Sqrt(squareHeight)
}

// remarks says what an answer by method m rests on.
func (c Choice) remarks(out Answer, e Extraction, m int) []string {
	var all []string
	if out.Settings == fewestPoints {
		all = append(all, "the line rests on three settings, whose scatter says little")
	}
	if c.UWavelength == 0 {
		all = append(all, "no uncertainty of the wavelengths was stated, so that none is in the answer")
	}
	if len(out.Usable) == 1 {
		all = append(all, "no other method is usable, so that the spread between methods is not in the answer")
	}
	if names := e.OutOfOrder(m); len(names) > 0 {
		all = append(all, "the cutoffs of "+strings.Join(names, ", ")+" are out of the order of the frequencies; none was left out")
	}
	for _, s := range e.Settings {
		if r := s.Cutoffs[m].Remark; r != "" {
			all = append(all, r)
			break
		}
	}
	return all
}

// whyNone says why no method is usable.
func whyNone(unusable []Standing) string {
	counts := map[string]int{}
	reason := "the run has no curves"
	for i, s := range unusable {
		if counts[s.Reason]++; i == 0 || counts[s.Reason] > counts[reason] {
			reason = s.Reason
		}
	}
	return "no method is usable; " + reason
}

// OutOfOrder returns the names of the settings whose cutoffs by method m are not
// in the order of the frequencies: light of a higher frequency stops at a lower
// voltage, and the difference is more than twice its standard uncertainty. Such
// cutoffs are not dropped, since nothing tells which of them is wrong.
func (e Extraction) OutOfOrder(m int) []string {
	var names []string
	for i, s := range e.Settings {
		for k, other := range e.Settings {
			a, b := s.Cutoffs[m], other.Cutoffs[m]
			if i == k || a.Status != OK || b.Status != OK || s.Frequency == other.Frequency {
				continue
			}
			fall := b.Stopping - a.Stopping
			if s.Frequency < other.Frequency {
				fall = -fall
			}
			if fall > 2*math.Hypot(a.U, b.U) {
				names = append(names, s.Name)
				break
			}
		}
	}
	return names
}
