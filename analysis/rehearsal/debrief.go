package rehearsal

import (
	"cmp"
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A Debrief is what is said at the end: of the work, and then the truth.
type Debrief struct {
	Findings []Finding
	// Spotless are the names of the checks that found nothing in what was done, and
	// Undone of those that had nothing to look at.
	Spotless, Undone []string
	// HOverE in V s and WorkFunction, the collector's in eV, are true.
	HOverE, WorkFunction float64
	// Lines are those of the filters with what was read.
	Lines []LineTruth
	// Stated is the h/e that the person stated last, and Drawn that of the line
	// through the person's cutoffs, in V s; NaN for none.
	Stated, U, Drawn, UDrawn float64
	// Methods are what each method makes of the person's own readings.
	Methods []MethodTruth
	// Effects say what moves the cutoffs that the method Rule reads, the
	// strongest first.
	Effects []EffectTruth
	Rule    string
	// Fault is the one that was planted, and Named what the person said of it.
	Fault, Named string
}

// A LineTruth is one setting of the light.
type LineTruth struct {
	FilterLabel
	// Stopping is the true stopping voltage in V; Read and U are the person's,
	// NaN for none.
	Stopping, Read, U float64
}

// A MethodTruth is what a method makes of the person's readings.
type MethodTruth struct {
	// Method is its name; Stopping has a voltage in V for each of the Lines,
	// NaN where there is none.
	Method   string
	Stopping []float64
	// HOverE and U are in V s, NaN where there is no line.
	HOverE, U float64
}

// An EffectTruth says what one effect of the bench does to the cutoffs.
type EffectTruth struct {
	Effect instrument.EffectID
	// Shift is by how much, in V, the effect moves the cutoff of the first line
	// that the method reads, and Slope by how much, relative to the truth, h/e.
	Shift, Slope float64
}

// Debrief returns what is to be said. It takes some tenths of a second.
func (r *Rehearsal) Debrief() (Debrief, error) {
	a, fault := r.setup.apparatus(0)
	truth := sim.TruthOf(a)
	d := Debrief{
		Findings: r.Findings(), Spotless: r.Spotless(), Undone: r.Undone(),
		HOverE: truth.HOverE, WorkFunction: truth.CollectorWorkFunction,
		Stated: math.NaN(), U: math.NaN(), Drawn: math.NaN(), UDrawn: math.NaN(),
		Named: r.book.Fault, Fault: fault.Name,
	}
	if !r.setup.Drill && r.desks[1] != nil {
		d.Fault = r.desks[1].fault.Name
	}
	for i, l := range r.Filters() {
		line := LineTruth{FilterLabel: l, Stopping: truth.Stopping[i], Read: math.NaN(), U: math.NaN()}
		for _, k := range r.linePages() {
			if p := r.book.Pages[k]; p.Wavelength == l.Wavelength {
				c, _ := p.Cutoff()
				line.Read, line.U = c.Stopping, c.U
			}
		}
		d.Lines = append(d.Lines, line)
	}
	if n := len(r.book.Statements); n > 0 {
		d.Stated, d.U = r.book.Statements[n-1].HOverE, r.book.Statements[n-1].U
	}
	if line, err := r.Line(); err == nil {
		d.Drawn, d.UDrawn = line.Slope, line.USlope
	}
	d.Methods = r.methods()
	var err error
	rule := r.rule()
	d.Rule = rule.Name()
	d.Effects, err = effects(a, rule, r.Facts())
	return d, err
}

// lit returns the undimmed run of the first bench with the dark current taken off
// where there is one. Each wavelength has the curve of one page: two pages of a line
// may hold two lights, and would make one curve of neither.
func (r *Rehearsal) lit() run.Run {
	read := run.Run{Facts: r.Facts()}
	dark := run.Curve{Setting: Page{}.Setting(), Dark: true}
	for i, p := range r.book.Pages {
		c := r.book.curve(p)
		switch {
		case p.Bench != 0 || len(c.Readings) == 0:
		case p.Dark():
			dark.Readings = append(dark.Readings, c.Readings...)
		case r.pageOf(p.Wavelength) == i:
			read.Curves = append(read.Curves, c)
		}
	}
	if len(dark.Readings) > 0 {
		read.Curves = append(read.Curves, dark)
	}
	if without, ok := analysis.WithoutDark(read); ok {
		return without
	}
	return read
}

// pageOf returns the index of the page of undimmed light that stands for a
// wavelength: the last one with a cutoff, or without any the last one with readings;
// -1 for none.
func (r *Rehearsal) pageOf(wavelength float64) int {
	best, withCutoff := -1, false
	for i, p := range r.book.Pages {
		if p.Bench != 0 || p.Wavelength != wavelength || p.Transmission != 1 || len(r.book.curve(p).Readings) == 0 {
			continue
		}
		if _, ok := p.Cutoff(); ok || !withCutoff {
			best, withCutoff = i, ok
		}
	}
	return best
}

// methods returns what each method makes of the readings, by the ordinary line
// or its own.
func (r *Rehearsal) methods() []MethodTruth {
	lit := r.lit()
	if len(lit.Curves) == 0 {
		return nil
	}
	all := analysis.Methods()
	x := analysis.Extract(lit, all)
	filters := r.Filters()
	var out []MethodTruth
	for m, method := range all {
		t := MethodTruth{Method: method.Name(), Stopping: make([]float64, len(filters)), HOverE: math.NaN(), U: math.NaN()}
		for i, f := range filters {
			t.Stopping[i] = math.NaN()
			for _, s := range x.Settings {
				if s.Wavelength == f.Wavelength && s.Cutoffs[m].Status == analysis.OK {
					t.Stopping[i] = s.Cutoffs[m].Stopping
				}
			}
		}
		for _, l := range x.Lines {
			own := l.Fit == analysis.Ordinary{}.Name() || l.Fit == analysis.JointLine
			if l.Method == t.Method && own && l.Status == analysis.OK {
				t.HOverE, t.U = l.Line.Slope, l.Line.USlope
			}
		}
		out = append(out, t)
	}
	return out
}

// effectStep is the step in V of the curves from which the effects are told.
const effectStep = 0.02

// effects returns the effects of an apparatus that move what a method reads from
// its curves without noise: each is taken away alone.
func effects(a instrument.Apparatus, method analysis.Method, f run.Facts) ([]EffectTruth, error) {
	whole, err := readBy(a, method, f)
	if err != nil {
		return nil, err
	}
	truth := sim.TruthOf(a)
	var out []EffectTruth
	for _, e := range instrument.Present(a) {
		less, err := readBy(e.Off(a), method, f)
		if err != nil {
			// Without the effect the apparatus cannot be; nothing is said of it.
			continue
		}
		t := EffectTruth{Effect: e.ID}
		at := slices.IndexFunc(whole, func(v float64) bool { return finite(v) })
		if at < 0 || !finite(less[at]) {
			continue
		}
		t.Shift = whole[at] - less[at]
		t.Slope = (slope(a, whole) - slope(a, less)) / truth.HOverE
		if math.Abs(t.Shift) >= 1e-3 || math.Abs(t.Slope) >= 1e-3 {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(x, y EffectTruth) int { return cmp.Compare(strength(y), strength(x)) })
	return out, nil
}

// strength orders effects: a per cent of h/e counts as much as ten millivolts.
func strength(e EffectTruth) float64 {
	s := math.Abs(e.Shift)
	if finite(e.Slope) {
		s = max(s, math.Abs(e.Slope))
	}
	return s
}

// readBy returns what a method reads, in V, from the mean curve of each light, NaN
// where it has no answer.
func readBy(a instrument.Apparatus, method analysis.Method, f run.Facts) ([]float64, error) {
	transport := physics.Quick{}
	r := run.Run{Facts: f}
	for _, l := range a.Lights {
		mean, err := instrument.NewMeanCurrent(a, l, transport)
		if err != nil {
			return nil, err
		}
		c := run.Curve{Setting: l.Name, Wavelength: l.Nominal}
		for v := a.Plan.Start; v < a.Plan.Stop+effectStep/2; v += effectStep {
			current := mean.At(v).Net()
			// Every point is as sure as a last digit allows.
			c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: current, Uncertainty: f.Resolution / math.Sqrt(12)})
		}
		r.Curves = append(r.Curves, c)
	}
	x := analysis.Extract(r, []analysis.Method{method})
	out := make([]float64, len(a.Lights))
	for i, s := range x.Settings {
		out[i] = math.NaN()
		if s.Cutoffs[0].Status == analysis.OK {
			out[i] = s.Cutoffs[0].Stopping
		}
	}
	return out, nil
}

// rule returns the method by which the person read most lines, or the one of the
// ruler where none was named.
func (r *Rehearsal) rule() analysis.Method {
	var named analysis.Method = analysis.Tangent{}
	most, count := 0, make(map[string]int)
	for _, i := range r.linePages() {
		c, _ := r.book.Pages[i].Cutoff()
		m, err := analysis.ByName(c.Rule)
		if err != nil {
			continue
		}
		if count[c.Rule]++; count[c.Rule] > most {
			most, named = count[c.Rule], m
		}
	}
	return named
}

// slope returns that of the ordinary line through voltages in V, NaN without
// one.
func slope(a instrument.Apparatus, v []float64) float64 {
	var points []analysis.Point
	for i, l := range a.Lights {
		if finite(v[i]) {
			points = append(points, analysis.Point{Setting: l.Name, Frequency: physics.Frequency(l.Nominal), Stopping: v[i]})
		}
	}
	line, err := analysis.Ordinary{}.Fit(points)
	if err != nil {
		return math.NaN()
	}
	return line.Slope
}

// arriving returns the number of electrons that still cross to the collector in
// a second, on average, in the light and at the voltage of a reading.
func (r *Rehearsal) arriving(x Reading) float64 {
	a, _ := r.setup.apparatus(r.head(x).Bench)
	mean, err := instrument.NewMeanCurrent(a, a.Lights[x.Controls.Filter], physics.Quick{})
	if err != nil {
		return 0
	}
	return mean.At(x.Controls.Dial).Forward * x.Controls.Transmission / physics.ElementaryCharge
}

func finite(x ...float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
