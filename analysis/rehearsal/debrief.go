package rehearsal

import (
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
	// Spotless are the names of the checks that found nothing.
	Spotless []string
	// HOverE in V s and WorkFunction, the collector's in eV, are true.
	HOverE, WorkFunction float64
	// Lines are those of the filters with what was read.
	Lines []LineTruth
	// Stated is the h/e that the person stated last, and Drawn that of the line
	// through the person's cutoffs, in V s; NaN for none.
	Stated, U, Drawn, UDrawn float64
	// Methods are what each method makes of the person's own readings.
	Methods []MethodTruth
	// Effects say what moves the cutoffs, the strongest first.
	Effects []EffectTruth
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
	// Shift is by how much, in V, the null reading of the strongest line moves
	// when the effect is taken away, and Slope by how much, relative to the
	// truth, h/e does.
	Shift, Slope float64
}

// Debrief returns what is to be said. It takes some tenths of a second.
func (r *Rehearsal) Debrief() (Debrief, error) {
	a, fault := r.setup.apparatus(0)
	truth := sim.TruthOf(a)
	d := Debrief{
		Findings: r.Findings(), Spotless: r.Spotless(),
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
	d.Effects, err = effects(a)
	return d, err
}

// lit returns the undimmed run of the first bench, one curve a wavelength, with
// the dark current taken off where there is one.
func (r *Rehearsal) lit() run.Run {
	whole := r.Run(0)
	merged := run.Run{Facts: whole.Facts}
	for _, c := range whole.Curves {
		full := Page{Wavelength: c.Wavelength, Transmission: 1}.Setting()
		if !c.Dark && c.Setting != full && !sameBut(c.Setting, full) {
			continue
		}
		i := slices.IndexFunc(merged.Curves, func(m run.Curve) bool { return m.Wavelength == c.Wavelength && m.Dark == c.Dark })
		if i < 0 {
			c.Readings = slices.Clone(c.Readings)
			merged.Curves = append(merged.Curves, c)
			continue
		}
		merged.Curves[i].Readings = append(merged.Curves[i].Readings, c.Readings...)
	}
	if without, ok := analysis.WithoutDark(merged); ok {
		return without
	}
	return merged
}

// sameBut reports whether a setting is another page of the one named.
func sameBut(setting, name string) bool {
	return len(setting) > len(name) && setting[:len(name)] == name && setting[len(name)] == ','
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

// effects returns the effects of an apparatus that move the noise-free null
// reading, which is where the person's meter no longer tells the current from
// that far beyond: each is taken away alone.
func effects(a instrument.Apparatus) ([]EffectTruth, error) {
	whole, err := nullReadings(a)
	if err != nil {
		return nil, err
	}
	truth := sim.TruthOf(a)
	var out []EffectTruth
	for _, e := range instrument.Present(a) {
		less, err := nullReadings(e.Off(a))
		if err != nil {
			// Without the effect the apparatus cannot be; nothing is said of it.
			continue
		}
		t := EffectTruth{Effect: e.ID, Shift: math.NaN()}
		at := -1
		for i := range whole {
			if finite(whole[i], less[i]) {
				at = i
				break
			}
		}
		if at < 0 {
			continue
		}
		t.Shift = whole[at] - less[at]
		t.Slope = (slope(a, whole) - slope(a, less)) / truth.HOverE
		if math.Abs(t.Shift) >= 1e-3 || math.Abs(t.Slope) >= 1e-3 {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(x, y EffectTruth) int {
		switch a, b := strength(x), strength(y); {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
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

// nullShare is the part of a curve's greatest current that a meter no longer
// tells from what flows far beyond the cutoff, as a person sees it.
const nullShare = 2e-3

// nullReadings returns for each light the voltage in V at which the mean current
// comes within nullShare of what flows at the end, NaN where it never does.
func nullReadings(a instrument.Apparatus) ([]float64, error) {
	transport := sim.OnlyOnce(physics.Quadrature{})
	var out []float64
	for _, l := range a.Lights {
		mean, err := instrument.NewMeanCurrent(a, l, transport)
		if err != nil {
			return nil, err
		}
		at := func(v float64) float64 { return mean.At(v).Net() }
		low, high := a.Plan.Start, a.Plan.Stop
		end := at(high)
		level := end + nullShare*(at(low)-end)
		null := math.NaN()
		for v := high - effectStep; v > low; v -= effectStep {
			if i := at(v); i > level {
				next := at(v + effectStep)
				null = v + effectStep*(i-level)/(i-next)
				break
			}
		}
		out = append(out, null)
	}
	return out, nil
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
	mean, err := instrument.NewMeanCurrent(a, a.Lights[x.Controls.Filter], physics.Quadrature{})
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
